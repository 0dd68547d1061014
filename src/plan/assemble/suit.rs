//! Wet suit or dry suit: from its figures, or typical by its kind.

use super::Builder;
use super::cylinders::Names;
use super::figures::{Figures, at};
use crate::physics::foam::Foam;
use crate::physics::place::Centres;
use crate::plan::file::{FoamTable, Suit};
use crate::plan::inputs::Limit;
use crate::plan::key::Key;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::body::{Area, Build};
use crate::plan::typical::places::{self, Placed, Spot, Usually};
use crate::plan::typical::suit::{
    DRY_NEOPRENE, FIBRES, FOAM_SOURCE, GAS_SOURCE, KINDS, Kind, MEMBRANE, SHEET, SHELL, UNDERGARMENT_SOURCE,
};
use crate::plan::words::{any_of, did_you_mean};
use crate::rig::{Bag, BagStart, Body, Part, Role};
use crate::units::Quantity;

/// Undergarments that divers wear, kg.
const UNDERGARMENT: Limit = Limit::Within(0.1, 6.0);

/// A suit with its kind, and what typical figures follow from.
#[derive(Clone, Copy)]
struct Kinded {
    kind: Kind,
    area: Area,
    undergarment_kg: f64,
}

impl Builder<'_, '_> {
    pub(super) fn suit(
        &mut self,
        key: Key,
        suit: &Suit,
        build: &Build,
        names: &Names,
        parts: &mut Vec<Part>,
    ) -> Option<Bag> {
        let name = suit.name.as_deref().or(suit.piece.as_deref()).unwrap_or("suit");
        self.inputs.about(name);
        let kind = self.suit_kind(key, suit);
        if kind == Some(Kind::Swimwear) && suit.mass.is_none() && suit.foam.is_none() && suit.in_water.is_none() {
            self.refuse_beside_swimwear(key, suit);
            return None;
        }
        let figures = Figures {
            mass: at(&key, "mass", &suit.mass),
            volume: at(&key, "volume", &suit.volume),
            density: at(&key, "density", &suit.density),
            in_water: at(&key, "in_water", &suit.in_water),
            read_in: suit.read_in.as_deref(),
            scale: suit.scale.as_deref(),
            foam: suit.foam.as_ref(),
            ..Figures::NONE
        };
        let area = build.area();
        let mut kinded = None;
        let body = match kind {
            Some(kind) if suit.piece.is_none() => self.kind_of_body(key, kind, area, figures, parts),
            _ => self.body_or_piece(key, &suit.piece, figures, "volume, density, in_water or foam"),
        };
        let is_dry =
            suit.gas_volume.is_some() || kind.is_some_and(|kind| kind == Kind::DryNeoprene || is_membrane(kind));
        let at = self.over_body(if is_dry { places::DRY_SUIT } else { places::WET_SUIT });
        parts.push(Part { name: name.into(), role: Role::Suit, count: 1, body, ditchable: false, at });
        if let Some(kind) = kind.filter(|kind| kind.undergarment_kg().is_some() || is_membrane(*kind)) {
            let undergarment_kg = self.undergarment(key, suit, kind, parts);
            kinded = Some(Kinded { kind, area, undergarment_kg });
        } else if suit.undergarment.is_some() {
            self.inputs.fault(ProblemCode::WhichKeys, key.field("undergarment"), || {
                let help = "write kind = \"dry membrane\" beside it, or make the undergarment a [[part]]".into();
                ("undergarment is for a dry suit with its kind".into(), Some(help))
            });
        }
        self.suit_gas(key, suit, kinded, names)
    }

    /// The kind, if one is written and known.
    fn suit_kind(&mut self, key: Key, suit: &Suit) -> Option<Kind> {
        let word = suit.kind.as_deref()?;
        let found = Kind::of(word);
        if found.is_none() {
            self.inputs.fault(ProblemCode::UnknownWord, key.field("kind"), || {
                let known: Vec<String> = KINDS.iter().map(|kind| format!("\"{kind}\"")).collect();
                let near = did_you_mean(word, KINDS).unwrap_or_else(|| format!("write {}", any_of(&known)));
                (format!("\"{word}\" is not a kind of suit"), Some(near))
            });
        }
        found.or(Some(Kind::Swimwear))
    }

    fn refuse_beside_swimwear(&mut self, key: Key, suit: &Suit) {
        let beside = [
            (suit.undergarment.is_some(), "undergarment"),
            (suit.gas_volume.is_some(), "gas_volume"),
            (suit.volume.is_some(), "volume"),
            (suit.density.is_some(), "density"),
            (suit.piece.is_some(), "piece"),
        ];
        // a kind that is not known is told already
        if let Some((_, word)) = beside.iter().find(|(given, _)| *given)
            && suit.kind.as_deref().and_then(Kind::of).is_some()
        {
            self.inputs.fault(ProblemCode::WhichKeys, key.field(word), || {
                (format!("{word} beside swimwear, which is no suit"), Some("write the kind of the suit".into()))
            });
        }
    }

    /// The shell of a suit by its kind; what is written wins.
    fn kind_of_body(&mut self, key: Key, kind: Kind, area: Area, figures: Figures, parts: &mut Vec<Part>) -> Body {
        let known = figures.volume.is_some() || figures.in_water.is_some();
        if known || kind == Kind::Swimwear || (figures.density.is_some() && figures.mass.is_some()) {
            return self.body(key, figures, "volume, density, in_water or foam");
        }
        let Some(foam) = kind.foam_m3(area) else { return self.membrane(key, figures) };
        let volume_m3 = match figures.foam.filter(|foam| foam.volume.is_some() || foam.thickness.is_some()) {
            Some(foam) => self.foam_volume(key, foam),
            None => {
                let at = key.field("foam");
                self.inputs.typical_of(at.field("volume"), Quantity::Volume, foam, FOAM_SOURCE)
            }
        };
        let sheet_kg_m3 = match figures.density {
            Some((at, density)) => self.inputs.take(at, density, Limit::Within(50.0, 1500.0), None),
            None => self.inputs.typical(key.field("density"), &SHEET),
        };
        let mut mass_kg = sheet_kg_m3 * volume_m3;
        let whole = match figures.mass {
            Some((at, mass)) => Some(self.inputs.take(at, mass, Limit::NotNegative, None)),
            None if kind == Kind::DryNeoprene => Some(self.inputs.typical(key.field("mass"), &DRY_NEOPRENE)),
            None => None,
        };
        match (whole, kind) {
            // what the sheet does not weigh is boots, seals and zip
            (Some(whole_kg), Kind::DryNeoprene) => {
                let rest_kg = (whole_kg - mass_kg).max(0.0);
                let at = key.field("fittings");
                let volume_m3 = rest_kg / self.inputs.typical(at.field("density"), &SHELL);
                let body = Body::Rigid { mass_kg: rest_kg, volume_m3 };
                parts.push(Part {
                    name: "boots, seals, zip".into(),
                    role: Role::Suit,
                    count: 1,
                    body,
                    ditchable: false,
                    at: self.over_body(places::BOOTS),
                });
                mass_kg = mass_kg.min(whole_kg);
            }
            (Some(whole_kg), _) => mass_kg = whole_kg,
            (None, _) => {}
        }
        let none = FoamTable::default();
        let foam: Foam = self.foam(key.field("foam"), figures.foam.unwrap_or(&none), volume_m3);
        Body::Foam { mass_kg, foam }
    }

    fn membrane(&mut self, key: Key, figures: Figures) -> Body {
        if figures.foam.is_some() {
            return self.body(key, figures, "volume, density, in_water or foam");
        }
        let mass_kg = match figures.mass {
            Some((at, mass)) => self.inputs.take(at, mass, Limit::NotNegative, None),
            None => self.inputs.typical(key.field("mass"), &MEMBRANE),
        };
        let density_kg_m3 = match figures.density {
            Some((at, density)) => self.inputs.take(at, density, Limit::Within(100.0, 5000.0), None),
            None => self.inputs.typical(key.field("density"), &SHELL),
        };
        Body::Rigid { mass_kg, volume_m3: mass_kg / density_kg_m3 }
    }

    /// The undergarment of a dry suit by its kind; its mass.
    fn undergarment(&mut self, key: Key, suit: &Suit, kind: Kind, parts: &mut Vec<Part>) -> f64 {
        let at = key.field("undergarment");
        let mass_kg = match (&suit.undergarment, kind.undergarment_kg()) {
            (Some(mass), _) => self.inputs.take(at, mass, UNDERGARMENT, None),
            (None, Some(typical)) => self.inputs.typical_of(at, Quantity::Mass, typical, UNDERGARMENT_SOURCE),
            (None, None) => {
                self.inputs.missing(at, || {
                    "undergarment = \"1.8 kg\", or kind = \"dry membrane light\" or \"dry membrane heavy\"".into()
                });
                f64::NAN
            }
        };
        let volume_m3 = mass_kg / self.inputs.typical(at.field("density"), &FIBRES);
        let body = Body::Rigid { mass_kg, volume_m3 };
        let at = self.over_body(places::UNDERGARMENT);
        parts.push(Part { name: "undergarment".into(), role: Role::Suit, count: 1, body, ditchable: false, at });
        mass_kg
    }

    /// The gas of a dry suit.
    fn suit_gas(&mut self, key: Key, suit: &Suit, kinded: Option<Kinded>, names: &Names) -> Option<Bag> {
        let at = key.field("gas_volume");
        let typical = kinded.and_then(|of| of.kind.gas_m3(of.area, of.undergarment_kg));
        let suit_gas_m3 = match (&suit.gas_volume, typical) {
            (Some(volume), _) => self.inputs.take(at, volume, Limit::NotNegative, None),
            // a drawn suit has no less than no gas
            (None, Some(gas)) => self.inputs.typical_of(at, Quantity::Volume, gas, GAS_SOURCE).max(0.0),
            (None, None) => {
                for (given, word) in [(suit.supply.is_some(), "supply"), (suit.extra_volume.is_some(), "extra_volume")]
                {
                    if given {
                        self.inputs.missing(key.field("gas_volume"), || {
                            format!("gas_volume = \"11 L\": {word} is for a dry suit, which has gas in it")
                        });
                    }
                }
                return None;
            }
        };
        let spare_m3 = match &suit.extra_volume {
            Some(spare) => self.inputs.take(key.field("extra_volume"), spare, Limit::NotNegative, None),
            None => 0.0,
        };
        let supply = self.supply(key, "suit", &suit.supply, names);
        let start = self.suit_start(key, suit);
        let at = self.at(key, "gas_at", "gas of the suit", &suit.gas_at, Usually::At(Placed::middle(places::SUIT_GAS)));
        Some(Bag::suit(suit_gas_m3, supply).with_extra(spare_m3).starting(start).placed(at))
    }

    /// Centres of what covers the body.
    fn over_body(&self, spot: Spot) -> Option<Centres> {
        Some(Centres::at(Placed::middle(spot).on(&self.stance).0))
    }

    /// What the suit holds when the dive starts; typical is a diver who closes it on the shore.
    fn suit_start(&mut self, key: Key, suit: &Suit) -> BagStart {
        const STARTS: [(&str, BagStart); 2] = [("air", BagStart::Air), ("supply", BagStart::Supply)];
        let found = self.choice(key.field("start"), suit.start.as_deref(), &STARTS.map(|(word, _)| word));
        found.map_or(BagStart::Air, |i| STARTS[i].1)
    }
}

fn is_membrane(kind: Kind) -> bool {
    matches!(kind, Kind::Membrane { .. })
}
