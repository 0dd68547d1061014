//! What of a plan can be set by hand: each figure with how it is set.

use super::controls::{Control, Group, name_of};
use super::figure::{decimals_of, reader_unit};
use super::{entry_key, lead, place, split, water};
use crate::estimate::{Estimate, Input, KeyPath, Origin};
use crate::plan::assemble::is_guess;
use crate::plan::unit::Dimension;
use crate::plan::written::Written;
use crate::plan::{Built, Plan};
use crate::units::{Quantity, Shown, UnitSystem};

/// Least and greatest number and the step, metric and US.
pub(super) type Range = [(f64, f64, f64); 2];

const LEAD: Range = [(0.0, 20.0, 0.5), (0.0, 44.0, 1.0)];
const LOAD: Range = [(0.0, 15.0, 0.5), (0.0, 33.0, 1.0)];
const BODY: Range = [(40.0, 140.0, 1.0), (90.0, 310.0, 1.0)];
const BODY_VOLUME: Range = [(40.0, 140.0, 0.5), (1.4, 5.0, 0.02)];
const SUIT_GAS: Range = [(0.0, 25.0, 0.5), (0.0, 0.9, 0.02)];
const FOAM: Range = [(0.5, 20.0, 0.5), (0.02, 0.7, 0.02)];
const SHEET: Range = [(1.0, 10.0, 0.5), (1.0, 10.0, 0.5)];
const WING: Range = [(5.0, 40.0, 1.0), (0.2, 1.4, 0.05)];
const GAUGE: Range = [(0.0, 300.0, 5.0), (0.0, 4400.0, 50.0)];
const RESERVE: Range = [(0.0, 120.0, 5.0), (0.0, 1800.0, 50.0)];
const SALINITY: Range = [(0.0, 42.0, 1.0), (0.0, 42.0, 1.0)];
const DENSITY: Range = [(995.0, 1035.0, 1.0), (62.1, 64.6, 0.1)];
const TEMPERATURE: Range = [(-1.0, 35.0, 1.0), (30.0, 95.0, 1.0)];
const ALTITUDE: Range = [(0.0, 4500.0, 50.0), (0.0, 14_500.0, 100.0)];
const DEPTH: Range = [(3.0, 100.0, 1.0), (10.0, 330.0, 1.0)];
const TIME: Range = [(2.0, 180.0, 1.0), (2.0, 180.0, 1.0)];

/// Steps along the body; its ends are those of the diver.
const ALONG: Range = [(0.0, 0.0, 1.0), (0.0, 0.0, 0.5)];

/// How a control is set.
pub(super) enum At {
    Lead,
    WaterChoice,
    /// the place of a piece of ballast by its word, and how far along the body it is
    LeadPlace(usize),
    LeadAlong(usize),
    Water(&'static str),
    /// a kind of breathing where no rate is written at all
    TypicalRate(&'static str),
    /// the same of the oxygen that the body uses
    TypicalOxygenUse(&'static str),
    /// a setpoint of a plan that writes none, by its place in time
    TypicalSetpoint(usize),
    Figure {
        key: KeyPath,
        /// what stands there, or what it begins from
        old: Option<String>,
        /// what stands for it, where nothing is written; `None` where a figure is taken as planned
        typical: Option<Estimate>,
    },
}

/// A control and how it is set.
pub(super) struct Handle {
    pub control: Control,
    pub at: At,
}

/// What collects the handles.
pub(super) struct Collector<'p> {
    pub plan: &'p Plan,
    pub built: &'p Built,
    pub units: UnitSystem,
    list: Vec<Handle>,
}

/// All of them, in the order in which a reader looks for them.
pub(super) fn handles(plan: &Plan, built: &Built, units: UnitSystem) -> Vec<Handle> {
    let mut collector = Collector { plan, built, units, list: Vec::new() };
    collector.lead();
    collector.diver();
    collector.suit_and_wing();
    collector.circuit();
    collector.cylinders();
    collector.water();
    collector.dive();
    collector.breathing();
    collector.list
}

impl Collector<'_> {
    pub(super) fn control(&self, id: &str, group: Group, label: &str, quantity: Quantity, range: Range) -> Control {
        let (min, max, step) = range[usize::from(self.units == UnitSystem::Us)];
        Control {
            id: id.to_owned(),
            group,
            label: label.to_owned(),
            keys: Vec::new(),
            quantity,
            value: 0.0,
            unit: quantity.shown(self.units),
            min,
            max,
            step,
            decimals: decimals_of(quantity, reader_unit(quantity, self.units)),
            is_typical: false,
            cylinder: None,
            choices: Vec::new(),
            chosen: None,
        }
    }

    /// A figure by its key: as written, else typical as the dive was built with it, else not at all.
    pub(super) fn figure<D: Dimension>(&mut self, control: Control, key: KeyPath, written: Option<&Written<D>>) {
        let named = |input: &&Input| input.path == key;
        let typical =
            self.built.inputs.iter().find(named).filter(|input| input.origin == Origin::Typical && !is_guess(input));
        let (value, is_typical) = match (written.map(|one| (one.estimate(), one.is_guess())), typical) {
            (Some((Ok(estimate), is_guess)), _) => (estimate.value, is_guess),
            (None, Some(input)) => (input.estimate.value, true),
            _ => return,
        };
        let old = written.map(|one| one.text().to_owned());
        let estimate = typical.map(|input| input.estimate).filter(|_| takes_doubt(&key));
        self.push(Control { value, is_typical, ..control }, At::Figure { key, old, typical: estimate });
    }

    pub(super) fn push(&mut self, mut control: Control, at: At) {
        if let At::Figure { key, .. } = &at {
            control.keys = vec![key.to_string()];
        }
        // what is written may lie beyond what is usual
        let number = control.unit.number(control.value);
        control.min = control.min.min(number.floor());
        control.max = control.max.max(number.ceil());
        self.list.push(Handle { control, at });
    }

    fn lead(&mut self) {
        let (total_kg, fixed_kg) = lead::total_kg(self.plan);
        let mut control = self.control("lead", Group::Lead, "Lead", Quantity::Mass, LEAD);
        control.value = total_kg;
        control.min = control.unit.number(fixed_kg);
        control.keys = vec!["ballast".into()];
        self.push(control, At::Lead);
        let plan = self.plan;
        for (i, table) in plan.file().ballast.iter().enumerate().filter(|(_, table)| table.mass.is_some()) {
            let name = table.name.as_deref().unwrap_or("lead");
            let key = entry_key("ballast", i, table.name.as_deref()).field("mass");
            let each = if table.count.unwrap_or(1) > 1 { ", each" } else { "" };
            let control = self.control(&format!("ballast {}", i + 1), Group::Lead, "", Quantity::Mass, LEAD);
            let label = format!(
                "{}{}{each}",
                name.chars().take(1).flat_map(char::to_uppercase).collect::<String>(),
                name.chars().skip(1).collect::<String>()
            );
            self.figure(Control { label, ..control }, key, table.mass.as_ref());
        }
        self.lead_places();
    }

    fn lead_places(&mut self) {
        let places = place::hung(self.plan, self.built);
        for (i, hung) in places.iter().enumerate() {
            let (number, name) = (hung.index + 1, &hung.part.name);
            let key = format!("ballast[{number}].at");
            let is_typical = hung.is_typical();
            let label = format!("Place of {name}");
            let control =
                self.control(&format!("place ballast {number}"), Group::Lead, &label, Quantity::Length, ALONG);
            let (words, chosen) = hung.words();
            let choices = words.into_iter().map(|word| (word, word.to_owned())).collect();
            let keys = vec![key.clone()];
            let chosen = chosen.map(str::to_owned);
            self.push(Control { choices, chosen, keys, is_typical, ..control }, At::LeadPlace(i));
            let label = format!("{name}, headward of the shoulders");
            let control = self.control(&format!("at ballast {number}"), Group::Lead, &label, Quantity::Length, ALONG);
            let unit = place::unit(self.units);
            let [min, max] = place::ends_m(self.built).map(|m| unit.number(m).round());
            let (value, decimals, keys) = (hung.at.along_m, unit.decimals, vec![key]);
            self.push(Control { value, unit, decimals, min, max, keys, is_typical, ..control }, At::LeadAlong(i));
        }
    }

    fn diver(&mut self) {
        let plan = self.plan;
        let Some(diver) = &plan.file().diver else { return };
        let at = |key: &str| KeyPath::ROOT.field("diver").field(key);
        let control = self.control("swim up", Group::Diver, "Swim-up limit", Quantity::Mass, LOAD);
        self.figure(control, at("swim_up"), diver.swim_up.as_ref());
        let control = self.control("mass", Group::Diver, "Diver's mass", Quantity::Mass, BODY);
        self.figure(control, at("mass"), diver.mass.as_ref());
        let control = self.control("volume", Group::Diver, "Diver's volume", Quantity::Volume, BODY_VOLUME);
        self.figure(control, at("volume"), diver.volume.as_ref());
    }

    fn suit_and_wing(&mut self) {
        let plan = self.plan;
        if let Some(suit) = &plan.file().suit {
            let at = |key: &str| KeyPath::ROOT.field("suit").field(key);
            let control = self.control("suit gas", Group::Suit, "Gas in the suit", Quantity::Volume, SUIT_GAS);
            self.figure(control, at("gas_volume"), suit.gas_volume.as_ref());
            let foam = suit.foam.as_ref();
            let control = self.control("suit foam", Group::Suit, "Foam of the suit", Quantity::Volume, FOAM);
            self.figure(control, at("foam").field("volume"), foam.and_then(|foam| foam.volume.as_ref()));
            let control = self.control("suit sheet", Group::Suit, "Thickness of the suit", Quantity::Length, SHEET);
            // both systems sell sheet by the millimetre
            let unit = Shown { symbol: "mm", suffix: "mm", decimals: 1, factor: 1e-3, zero: 0.0 };
            let control = Control { unit, decimals: 1, ..control };
            if let Some(thickness) = foam.and_then(|foam| foam.thickness.as_ref()) {
                self.figure(control, at("foam").field("thickness"), Some(thickness));
            }
        }
        let capacity = plan.file().wing.as_ref().and_then(|wing| wing.capacity.as_ref());
        let control = self.control("wing", Group::Suit, "Capacity of the wing", Quantity::Volume, WING);
        self.figure(control, KeyPath::ROOT.field("wing").field("capacity"), capacity);
    }

    fn cylinders(&mut self) {
        let plan = self.plan;
        for (i, table) in plan.file().cylinder.iter().enumerate() {
            let name = name_of(table);
            let of = |label: &str| format!("{label} of {name}");
            // an only one may have no name
            let own = table.name.as_deref().or((plan.file().cylinder.len() == 1).then_some("back"));
            let key = entry_key("cylinder", i, own);
            for (word, label, range, written) in
                [("fill", "Fill", GAUGE, &table.fill), ("reserve", "Reserve", RESERVE, &table.reserve)]
            {
                let control =
                    self.control(&format!("{word} {name}"), Group::Cylinder, &of(label), Quantity::Pressure, range);
                let control = Control { cylinder: Some(name.to_owned()), ..control };
                if let Some(written) = written {
                    self.figure(control, key.clone().field(word), Some(written));
                }
            }
        }
    }

    fn water(&mut self) {
        let plan = self.plan;
        let site = plan.file().site.as_ref();
        let mut control = self.control("water", Group::Water, "Water", Quantity::Density, DENSITY);
        control.value = self.built.scenario.water().density_kg_m3(0, 0.0);
        control.keys = vec!["site".into()];
        control.choices = vec![(water::AS_WRITTEN, "as written".into())];
        control.choices.extend(water::WATERS.map(|word| (word, word.to_owned())));
        control.chosen = water::choice(plan).map(str::to_owned);
        let density_kg_m3 = control.value;
        self.push(control, At::WaterChoice);
        if site.is_none_or(|site| site.layer.is_empty()) {
            for (key, label, quantity, range) in [
                ("salinity", "Salinity", Quantity::Salinity, SALINITY),
                ("density", "Density of the water", Quantity::Density, DENSITY),
                ("temperature", "Temperature of the water", Quantity::Temperature, TEMPERATURE),
            ] {
                let written = site.is_some_and(|site| water::text_of(site, key).is_some());
                let value = match (key, water::typical(self.built, key)) {
                    ("density", None) => density_kg_m3,
                    (_, Some(estimate)) => estimate.value,
                    (_, None) => continue, // a water by its density has no salinity
                };
                let control = self.control(key, Group::Water, label, quantity, range);
                let keys = vec![format!("site.{key}")];
                self.push(Control { value, keys, is_typical: !written, ..control }, At::Water(key));
            }
        }
        if site.is_some_and(|site| site.surface_pressure.is_none()) {
            let altitude = site.and_then(|site| site.altitude.as_ref());
            let control = self.control("altitude", Group::Water, "Altitude", Quantity::Length, ALTITUDE);
            let key = KeyPath::ROOT.field("site").field("altitude");
            match altitude {
                Some(written) => self.figure(control, key, Some(written)),
                None => {
                    self.push(Control { is_typical: true, ..control }, At::Figure { key, old: None, typical: None })
                }
            }
        }
    }

    fn dive(&mut self) {
        let plan = self.plan;
        let Some(dive) = &plan.file().dive else { return };
        let at = |key: &str| KeyPath::ROOT.field("dive").field(key);
        if let Some(depth) = &dive.depth {
            let control = self.control("depth", Group::Dive, "Depth", Quantity::Length, DEPTH);
            self.figure(control, at("depth"), Some(depth));
        }
        if let Some(time) = &dive.time {
            let control = self.control("time", Group::Dive, "Time to leaving the bottom", Quantity::Duration, TIME);
            self.figure(control, at("time"), Some(time));
        }
        if plan.file().cylinder.iter().any(|table| table.reserve.is_none()) {
            let control = self.control("reserve", Group::Dive, "Reserve", Quantity::Pressure, RESERVE);
            match &dive.reserve {
                Some(reserve) => self.figure(control, at("reserve"), Some(reserve)),
                None => {
                    let value = crate::plan::typical::RESERVE.estimate.value;
                    let at = At::Figure { key: at("reserve"), old: None, typical: None };
                    self.push(Control { value, is_typical: true, ..control }, at);
                }
            }
        }
    }
}

/// Whether a figure of this key may carry a doubt: those of the dive are taken as planned.
fn takes_doubt(key: &KeyPath) -> bool {
    let is_reserve = split(key).is_some_and(|(_, last)| last == "reserve");
    key.first() != "dive" && !is_reserve
}
