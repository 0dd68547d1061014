//! Breathing from cylinders.

use super::collect::{At, Collector, Range};
use super::controls::{Control, Group};
use crate::estimate::KeyPath;
use crate::plan::file::Breathing;
use crate::plan::typical::dive::RATES;
use crate::plan::unit::FlowRate;
use crate::plan::written::Written;
use crate::units::Quantity;

const RATE: Range = [(5.0, 60.0, 1.0), (0.2, 2.1, 0.05)];

impl Collector<'_> {
    pub(super) fn breathing(&mut self) {
        let plan = self.plan;
        let table = |kind: &str| KeyPath::ROOT.field("breathing").field(kind);
        let Some(breathing) = &plan.file().breathing else {
            for (kind, typical) in &RATES {
                if self.built.inputs.iter().any(|input| input.path == table(kind)) {
                    let control = self.rate(kind);
                    let value = typical.estimate.value;
                    let keys = RATES.iter().map(|(kind, _)| table(kind).to_string()).collect();
                    self.push(Control { value, keys, is_typical: true, ..control }, At::TypicalRate(kind));
                }
            }
            return;
        };
        for (kind, written) in rates(breathing) {
            if let Some(written) = written {
                let control = self.rate(kind);
                self.figure(control, table(kind), Some(written));
            }
        }
    }

    fn rate(&self, kind: &str) -> Control {
        let label = match kind {
            "rate" => "Breathing".to_owned(),
            "descent" => "Breathing on the way down".to_owned(),
            "bottom" => "Breathing at the bottom".to_owned(),
            "ascent" => "Breathing on the way up".to_owned(),
            _ => "Breathing at a stop".to_owned(),
        };
        self.control(&format!("breathing {kind}"), Group::Dive, &label, Quantity::FlowRate, RATE)
    }
}

/// The rates that a table may have.
fn rates(table: &Breathing) -> [(&'static str, Option<&Written<FlowRate>>); 5] {
    [
        ("rate", table.rate.as_ref()),
        ("descent", table.descent.as_ref()),
        ("bottom", table.bottom.as_ref()),
        ("ascent", table.ascent.as_ref()),
        ("stop", table.stop.as_ref()),
    ]
}
