//! What of a closed circuit can be set by hand: its loop, its setpoints, the oxygen that is used, the moment of a bail-out.

use toml_edit::{InlineTable, Value};

use super::collect::{At, Collector, Range};
use super::controls::{Control, Group};
use super::figure::{as_typical, guess, time, written_like};
use super::{Sets, entry_key, list_text, table_text};
use crate::estimate::KeyPath;
use crate::plan::Built;
use crate::plan::file::{Loop, OxygenUse, OxygenUseTable};
use crate::plan::typical::Typical;
use crate::plan::typical::circuit::OXYGEN_USE;
use crate::plan::unit::{Duration, FlowRate};
use crate::plan::written::Written;
use crate::units::{MINUTE_S, Quantity, UnitSystem};

const VOLUME: Range = [(2.0, 12.0, 0.5), (0.08, 0.4, 0.02)];
const SETPOINT: Range = [(0.4, 1.6, 0.1), (0.4, 1.6, 0.1)];
/// Both systems count oxygen in litres.
const OXYGEN: Range = [(0.3, 3.0, 0.1), (0.3, 3.0, 0.1)];

fn key(word: &str) -> KeyPath {
    KeyPath::ROOT.field("loop").field(word)
}

impl Collector<'_> {
    pub(super) fn circuit(&mut self) {
        let plan = self.plan;
        let Some(table) = &plan.file().breathing_loop else { return };
        self.loop_setpoints(table);
        let control = self.control("loop volume", Group::Loop, "Gas in the loop", Quantity::Volume, VOLUME);
        self.figure(control, key("volume"), table.volume.as_ref());
        self.oxygen_use(table);
        if table.bail_out_on.as_ref().is_some_and(|list| !list.0.is_empty()) {
            self.bail_out(table);
        }
    }

    fn loop_setpoints(&mut self, table: &Loop) {
        let set = self.built.scenario.profile().setpoints();
        if table.setpoint.is_none() && table.setpoint_change.is_empty() {
            for (i, setpoint) in set.iter().enumerate() {
                let control = self.setpoint(i);
                let keys = vec![key("setpoint").to_string(), key("setpoint_change").to_string()];
                let value = setpoint.pressure_pa;
                self.push(Control { value, keys, is_typical: true, ..control }, At::TypicalSetpoint(i));
            }
            return;
        }
        let control = self.setpoint(0);
        match &table.setpoint {
            Some(written) => self.figure(control, key("setpoint"), Some(written)),
            // as planned, so it is written without a doubt
            None => {
                let value = set.first().map_or(0.0, |first| first.pressure_pa);
                let at = At::Figure { key: key("setpoint"), old: None, typical: None };
                self.push(Control { value, is_typical: true, ..control }, at);
            }
        }
        for (i, change) in table.setpoint_change.iter().enumerate() {
            let control = self.setpoint(i + 1);
            let key = entry_key("loop.setpoint_change", i, None).field("to");
            self.figure(control, key, change.to.as_ref());
        }
    }

    fn setpoint(&self, index: usize) -> Control {
        let (id, label) = match index {
            0 => ("setpoint".to_owned(), "Setpoint at the start".to_owned()),
            1 => ("setpoint 1".to_owned(), "Setpoint after its change".to_owned()),
            n => (format!("setpoint {n}"), format!("Setpoint after change {n}")),
        };
        self.control(&id, Group::Loop, &label, Quantity::PartialPressure, SETPOINT)
    }

    fn oxygen_use(&mut self, table: &Loop) {
        let at = key("metabolic_rate");
        match &table.metabolic_rate {
            Some(OxygenUse::Rate(rate)) => {
                let control = self.oxygen("rate");
                self.figure(control, at, Some(rate));
            }
            Some(OxygenUse::Kinds(kinds)) => {
                for (kind, written) in rates(kinds) {
                    if let Some(written) = written {
                        let control = self.oxygen(kind);
                        self.figure(control, at.clone().field(kind), Some(written));
                    }
                }
            }
            None => {
                for (kind, typical) in &OXYGEN_USE {
                    if self.built.inputs.iter().any(|input| input.path == at.clone().field(kind)) {
                        let control = self.oxygen(kind);
                        let (value, keys) = (typical.estimate.value, vec![at.to_string()]);
                        self.push(Control { value, keys, is_typical: true, ..control }, At::TypicalOxygenUse(kind));
                    }
                }
            }
        }
    }

    fn oxygen(&self, kind: &str) -> Control {
        let label = match kind {
            "rate" => "Oxygen that the body uses",
            "descent" => "Oxygen used on the way down",
            "bottom" => "Oxygen used at the bottom",
            "ascent" => "Oxygen used on the way up",
            _ => "Oxygen used at a stop",
        };
        let control = self.control(&format!("oxygen use {kind}"), Group::Loop, label, Quantity::FlowRate, OXYGEN);
        Control { unit: Quantity::FlowRate.trade(), decimals: 1, ..control }
    }

    /// The moment of the bail-out; the end of the dive where none is planned.
    fn bail_out(&mut self, table: &Loop) {
        let profile = self.built.written_profile();
        let last_min = (profile.end_s() / MINUTE_S).floor();
        let written = table.bail_out.as_deref().map(str::trim).filter(|text| *text != "none");
        let of_leg = |text: &str| {
            let leg = text.strip_prefix("leg ")?.trim().parse::<usize>().ok()?.checked_sub(1)?;
            (leg < profile.legs().len()).then(|| profile.leg_start(leg).0)
        };
        let of_time = |text: &str| Written::<Duration>::parse(text).estimate().ok().map(|time| time.value);
        let value = written.and_then(|text| of_leg(text).or_else(|| of_time(text))).unwrap_or(last_min * MINUTE_S);
        let range = [(0.0, last_min, 1.0); 2];
        let control = self.control("bail out", Group::Loop, "Bail-out from", Quantity::Duration, range);
        let old = written.map(str::to_owned);
        let is_typical = old.is_none();
        self.push(Control { value, is_typical, ..control }, At::Figure { key: key("bail_out"), old, typical: None });
    }
}

/// The rates that a table may have.
fn rates(table: &OxygenUseTable) -> [(&'static str, Option<&Written<FlowRate>>); 5] {
    [
        ("rate", table.rate.as_ref()),
        ("descent", table.descent.as_ref()),
        ("bottom", table.bottom.as_ref()),
        ("ascent", table.ascent.as_ref()),
        ("stop", table.stop.as_ref()),
    ]
}

/// One typical rate of oxygen set; the others are written out beside it.
pub(super) fn typical_oxygen_use(kind: &str, si: f64) -> Sets {
    let text = |(name, typical): &(&str, Typical)| match *name == kind {
        true => guess(si, &typical.estimate, Quantity::FlowRate, UnitSystem::Metric),
        false => as_typical(&typical.estimate, Quantity::FlowRate),
    };
    let mut table = InlineTable::new();
    for rate in &OXYGEN_USE {
        table.insert(rate.0, Value::from(text(rate)));
    }
    vec![(key("metabolic_rate").to_string(), table_text(table))]
}

/// One typical setpoint set; the other is written out beside it, with the moment from which on it holds.
pub(super) fn typical_setpoint(built: &Built, index: usize, si: f64) -> Sets {
    let text = |pressure_pa: f64| written_like(None, Quantity::PartialPressure, pressure_pa, UnitSystem::Metric);
    let set = built.scenario.profile().setpoints().iter().enumerate();
    let mut set = set.map(|(i, one)| (one.time_s, text(if i == index { si } else { one.pressure_pa })));
    let mut sets = Sets::new();
    sets.extend(set.next().map(|(_, first)| (key("setpoint").to_string(), first)));
    let changes: Vec<InlineTable> = set
        .map(|(time_s, to)| {
            let mut change = InlineTable::new();
            change.insert("to", Value::from(to));
            change.insert("at", Value::from(time(time_s)));
            change
        })
        .collect();
    sets.push((key("setpoint_change").to_string(), list_text(changes)));
    sets
}
