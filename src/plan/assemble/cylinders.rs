//! Cylinders: size or own figures, gas, fill.

use super::Builder;
use super::bail_out::Breathed;
use super::circuit::{Fed, LOOP};
use crate::physics::gas::{GAS_TEMPERATURE_RANGE_K, GasError, GasMix, MAX_GAS_PA};
use crate::plan::catalogue::{Size, instead_of, size};
use crate::plan::file::{CylinderTable, Gas, GasTable};
use crate::plan::gas_name::named_gas;
use crate::plan::inputs::{Limit, shown};
use crate::plan::key::Key;
use crate::plan::note::Note;
use crate::plan::problem::ProblemCode;
use crate::plan::typical::{FILL_TEMPERATURE, RESERVE};
use crate::plan::words::did_you_mean;
use crate::rig::{Cylinder, CylinderSet, CylinderSpec, MAX_CYLINDERS};
use crate::units::ATMOSPHERE_PA;
use crate::units::Quantity;

/// Which cylinders a name of the plan stands for.
#[derive(Debug, Default)]
pub(super) struct Names {
    /// what each table stands for
    tables: Vec<CylinderSet>,
    /// their names
    of_tables: Vec<String>,
    entries: Vec<(String, CylinderSet)>,
    /// those of a closed circuit
    fed: Option<Fed>,
}

impl Names {
    /// What a name stands for.
    pub fn get(&self, name: &str) -> Option<CylinderSet> {
        self.entries.iter().find(|(known, _)| known == name).map(|(_, set)| *set)
    }

    /// What the only table stands for, if there is only one.
    pub fn only(&self) -> Option<CylinderSet> {
        self.entries.first().filter(|_| self.tables.len() == 1).map(|(_, set)| *set)
    }

    /// What is taken where a plan names none: the only one, or `back`.
    pub fn usual(&self) -> Option<CylinderSet> {
        self.only().or_else(|| self.get(BACK))
    }

    /// What each table stands for.
    pub fn tables(&self) -> impl Iterator<Item = CylinderSet> {
        self.tables.iter().copied()
    }

    /// The same with the cylinders of a closed circuit.
    pub fn feeding(self, fed: Option<Fed>) -> Self {
        Self { fed, ..self }
    }

    /// The cylinders of a closed circuit.
    pub fn fed(&self) -> Option<&Fed> {
        self.fed.as_ref()
    }

    /// What a bag is fed from where a plan names nothing: the usual one, or the diluent of a closed circuit.
    fn usual_supply(&self) -> Option<CylinderSet> {
        self.usual().or_else(|| self.fed().map(|fed| fed.diluent).filter(|set| !set.is_empty()))
    }

    /// The name of a table, by its place.
    pub fn of(&self, index: usize) -> &str {
        self.of_tables.get(index).map_or("", |name| name.as_str())
    }

    /// What a table stands for, by its place.
    pub fn of_table(&self, index: usize) -> Option<CylinderSet> {
        self.tables.get(index).copied()
    }

    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.entries.iter().map(|(name, _)| name.as_str())
    }
}

/// Figures of one unit: a single cylinder, or a set of twins.
pub(super) struct Shell {
    pub water_m3: f64,
    pub mass_kg: f64,
    pub external_m3: f64,
}

/// The usual name, and that of an only cylinder.
const BACK: &str = "back";
/// Fields of a weight check, whose other fields are the pressures of cylinders by their names.
const RESERVED: [&str; 11] =
    ["depth", "lead", "wing", "water", "outcome", "doubt", "note", "breath", "rig", "hung", "needed"];

pub(super) const FILL: Limit = Limit::Within(0.0, MAX_GAS_PA - ATMOSPHERE_PA);
const TEMPERATURE: Limit = Limit::Within(*GAS_TEMPERATURE_RANGE_K.start(), *GAS_TEMPERATURE_RANGE_K.end());

impl Builder<'_, '_> {
    /// All cylinders, and what their names stand for.
    pub(super) fn cylinders(&mut self, list: Key) -> (Vec<Cylinder>, Names) {
        let plan = self.plan;
        let mut cylinders = Vec::new();
        let mut names = Names::default();
        if plan.file.cylinder.is_empty() {
            self.inputs.missing(list, || "a table [[cylinder]] with size, gas and fill".into());
        }
        for (i, table) in plan.file.cylinder.iter().enumerate() {
            self.cylinder(list.index(i), table, &mut cylinders, &mut names);
        }
        self.unique("cylinder", plan.file.cylinder.iter().map(|cylinder| cylinder.name.as_deref()));
        if cylinders.len() > MAX_CYLINDERS {
            let count = cylinders.len();
            self.inputs.fault(ProblemCode::TooManyCylinders, list, || {
                let help = "manifolded cylinders count as one: use count".into();
                (format!("{count} cylinders, but a dive can have at most {MAX_CYLINDERS}"), Some(help))
            });
        }
        (cylinders, names)
    }

    fn cylinder(&mut self, key: Key, table: &CylinderTable, cylinders: &mut Vec<Cylinder>, names: &mut Names) {
        let is_only = self.plan.file.cylinder.len() == 1;
        let name = table.name.as_deref().unwrap_or(if is_only { BACK } else { "" }).trim();
        if name.is_empty() {
            self.inputs.missing(key.field("name"), || "name = \"back\"".into());
        } else if name.eq_ignore_ascii_case(LOOP) {
            self.inputs.fault(ProblemCode::ReservedName, key.field("name"), || {
                let help =
                    "legs breathe a closed circuit by that word: name it \"oxygen\", \"diluent\" or \"back\"".into();
                (format!("a cylinder cannot be called \"{name}\""), Some(help))
            });
        } else if RESERVED.iter().any(|word| word.eq_ignore_ascii_case(name)) {
            self.inputs.fault(ProblemCode::ReservedName, key.field("name"), || {
                let help =
                    "a check in the water has that word for itself: name it \"back\", \"left\" or \"stage 1\"".into();
                (format!("a cylinder cannot be called \"{name}\""), Some(help))
            });
        }
        self.inputs.about(name);
        let count = self.count(key, table.count);
        let size = self.size(key, table);
        let mix = self.gas(key.field("gas"), table.gas.as_ref());
        let shell = self.shell(key, table, size, &mix);
        let fill_gauge_pa = self.inputs.need(key, "fill", &table.fill, FILL);
        let fill_temperature_k =
            self.inputs.or_typical(key, "fill_temperature", &table.fill_temperature, &FILL_TEMPERATURE, TEMPERATURE);
        let reserve_gauge_pa = self.reserve(key, table);
        self.note_overfill(name, size, fill_gauge_pa);
        let twins = size.map_or(1, |size| size.count);
        let apart = table.manifold == Some(false) && count * twins > 1;
        if apart && twins > 1 {
            self.inputs.fault(ProblemCode::WhichKeys, key.field("manifold"), || {
                let help = "name the single size with count = 2 for cylinders without a manifold".into();
                ("a size of twins has a manifold".into(), Some(help))
            });
        }
        let together = if apart { 1 } else { count };
        let of_size = f64::from(twins);
        let spec = CylinderSpec {
            name: name.to_owned(),
            count: together * twins,
            water_m3: shell.water_m3 / of_size,
            external_m3: shell.external_m3 / of_size,
            shell_kg: shell.mass_kg / of_size,
            mix,
            fill_gauge_pa,
            fill_temperature_k,
            reserve_gauge_pa,
            inflates_to_reserve: table.reserve.is_some(),
            rigging: Vec::new(), // hung when the parts are known
            carried_at_start: table.carried.unwrap_or(true),
            removable: table.removable.unwrap_or(false),
            ditchable: table.ditchable.unwrap_or(false),
            lie: None, // laid on the diver when the diver is known
        };
        let made = |spec: CylinderSpec| Cylinder::new(spec).unwrap_or_else(|_| stand_in());
        let first = cylinders.len();
        if apart {
            cylinders.extend((1..=count).map(|n| made(CylinderSpec { name: format!("{name} {n}"), ..spec.clone() })));
        } else {
            cylinders.push(made(spec));
        }
        let of_table = CylinderSet::of(first..cylinders.len());
        names.tables.push(of_table);
        names.of_tables.push(name.to_owned());
        names.entries.push((name.to_owned(), of_table));
        if apart {
            // each can be named alone as well
            for (index, one) in cylinders.iter().enumerate().skip(first) {
                names.entries.push((one.name().to_owned(), CylinderSet::of([index])));
            }
        }
    }

    fn size(&mut self, key: Key, table: &CylinderTable) -> Option<&'static Size> {
        let wanted = table.size.as_deref()?;
        let found = size(wanted);
        if found.is_none() {
            self.inputs.fault(ProblemCode::UnknownSize, key.field("size"), || {
                let help = instead_of(wanted).unwrap_or_else(|| {
                    "name a generic size such as \"steel 12 L 232 bar\", or give water, mass and external".into()
                });
                (format!("\"{wanted}\" is not a size of the list"), Some(help))
            });
        }
        found
    }

    /// Own figures, each with the size's in its place where it is not written.
    fn shell(&mut self, key: Key, table: &CylinderTable, size: Option<&'static Size>, mix: &GasMix) -> Shell {
        // a size that could not be read is told already
        if size.is_none() && (table.size.is_some() || self.inputs.touched(key.field("size"))) {
            return Shell { water_m3: f64::NAN, mass_kg: f64::NAN, external_m3: f64::NAN };
        }
        let water_m3 = match (&table.water, size) {
            (None, Some(size)) => {
                self.inputs.typical_of(key.field("water"), Quantity::Volume, size.water(), &size.provenance)
            }
            (water, _) => self.inputs.need(key, "water", water, Limit::Positive),
        };
        if let (None, None, Some(reading), Some(size)) = (&table.mass, &table.external, &table.in_water, size) {
            return self.read_shell(key, table, reading, mix, size, water_m3);
        }
        let mass_kg = match (&table.mass, size) {
            (None, Some(size)) => {
                self.inputs.typical_of(key.field("mass"), Quantity::Mass, size.mass(), &size.provenance)
            }
            (mass, _) => self.inputs.need(key, "mass", mass, Limit::Positive),
        };
        let inside = Shell { water_m3, mass_kg, external_m3: f64::NAN };
        let external_m3 = self.external(key, table, size, &inside, mix);
        if external_m3 <= water_m3 {
            let at = if table.external.is_some() { key.field("external") } else { key };
            self.inputs.fault(ProblemCode::OutOfRange, at, || {
                let (outer, inner) = (shown(external_m3 * 1e3), shown(water_m3 * 1e3));
                (format!("displaced volume is {outer} L, but must be more than the water capacity of {inner} L"), None)
            });
        }
        Shell { water_m3, mass_kg, external_m3 }
    }

    fn external(
        &mut self,
        key: Key,
        table: &CylinderTable,
        size: Option<&'static Size>,
        inside: &Shell,
        mix: &GasMix,
    ) -> f64 {
        if table.read_at.is_some() && table.in_water.is_none() {
            self.inputs.fault(ProblemCode::WhichKeys, key.field("read_at"), || {
                ("read_at is there without in_water, the reading that it belongs to".into(), None)
            });
        }
        match (&table.external, &table.in_water, size) {
            (Some(external), None, _) => self.inputs.take(key.field("external"), external, Limit::Positive, None),
            (None, Some(reading), _) => self.read_volume(key, table, reading, mix, inside),
            (None, None, Some(size)) => {
                let volume_m3 =
                    self.inputs.typical_of(key.field("external"), Quantity::Volume, size.external(), &size.provenance);
                // a heavier shell of the same size is a thicker one: V = V₀ + (m − m₀)/ρ_metal
                volume_m3 + (inside.mass_kg - size.mass_kg) / size.metal_kg_m3()
            }
            (external, reading, None) | (external, reading, Some(_)) => {
                let both = external.is_some() && reading.is_some();
                self.inputs.fault(ProblemCode::WhichKeys, key, || {
                    let what = if both { "has both external and in_water" } else { "needs a size, or external or in_water" };
                    let help = "write size = \"steel 12 L 232 bar\", or external = \"12.2 L\", or in_water (empty, or with read_at) and read_in";
                    (format!("{key} {what}"), Some(help.into()))
                });
                f64::NAN
            }
        }
    }

    fn reserve(&mut self, key: Key, table: &CylinderTable) -> f64 {
        let plan = self.plan;
        match (&table.reserve, plan.file.dive.as_ref().and_then(|dive| dive.reserve.as_ref())) {
            (Some(own), _) => self.inputs.exact(key.field("reserve"), own, FILL),
            (None, Some(low)) => self.inputs.exact(Key::Root.field("dive").field("reserve"), low, FILL),
            (None, None) => self.inputs.typical(key.field("reserve"), &RESERVE),
        }
    }

    fn note_overfill(&mut self, name: &str, size: Option<&Size>, fill_pa: f64) {
        let Some(size) = size else { return };
        // half a bar is rounding between psi and bar
        if !self.is_draw() && fill_pa > size.working_pa + 0.5e5 {
            self.notes.push(Note::Overfilled { name: name.into(), fill_pa, working_pa: size.working_pa });
        }
    }

    fn gas(&mut self, at: Key, gas: Option<&Gas>) -> GasMix {
        let mix = match gas {
            None => {
                self.inputs
                    .missing(at, || "gas = \"air\", \"nitrox 32\", \"trimix 18/45\" or { o2 = \"32 %\" }".into());
                return GasMix::AIR;
            }
            Some(Gas::Name(name)) => match named_gas(name) {
                Some(mix) => mix,
                None => {
                    self.inputs.fault(ProblemCode::UnknownGas, at, || {
                        let known = ["air", "oxygen", "argon", "helium", "nitrox", "trimix", "heliox"];
                        let help = "write air, oxygen, argon, helium, \"nitrox 32\" or \"EAN32\", \"trimix 18/45\", \"heliox 16/84\", or the shares as { o2 = \"32 %\", he = \"0 %\" }";
                        let word = name.split_whitespace().next().unwrap_or_default();
                        let near = did_you_mean(word, known).filter(|_| !known.contains(&word));
                        (format!("\"{name}\" is not a gas"), Some(near.map_or(help.into(), |near| format!("{near} {help}"))))
                    });
                    return GasMix::AIR;
                }
            },
            Some(Gas::Shares(table)) => self.shares(at, table),
        };
        mix.unwrap_or_else(|error| {
            self.inputs.fault(ProblemCode::MixtureSum, at, || {
                let message = match error {
                    GasError::Sum { sum } => format!("the shares sum to {} %, past 100 %", shown(sum * 100.0)),
                    other => other.to_string(),
                };
                (message, Some("shares of oxygen, helium and argon; the rest is nitrogen".into()))
            });
            GasMix::AIR
        })
    }

    fn shares(&mut self, at: Key, table: &GasTable) -> Result<GasMix, GasError> {
        let share = Limit::Within(0.0, 1.0);
        let mut take = |key: &'static str, given: &Option<_>| match given {
            Some(quantity) => self.inputs.take(at.field(key), quantity, share, None),
            None => 0.0,
        };
        let (o2, he, ar) = (take("o2", &table.o2), take("he", &table.he), take("ar", &table.ar));
        if o2.is_nan() || he.is_nan() || ar.is_nan() {
            return Ok(GasMix::AIR); // told before
        }
        if let Some(n2) = &table.n2 {
            let n2 = self.inputs.exact(at.field("n2"), n2, share);
            let sum = o2 + he + ar + n2;
            // a tenth of a per cent is what analysers and printed mixtures round to
            if (sum - 1.0).abs() > 1e-3 && !self.is_draw() {
                self.inputs.fault(ProblemCode::MixtureSum, at, || {
                    let help = "leave n2 out: the rest is nitrogen".into();
                    (format!("the shares sum to {} %, not to 100 %", shown(sum * 100.0)), Some(help))
                });
                return Ok(GasMix::AIR);
            }
        }
        GasMix::with_argon(o2, he, ar)
    }

    /// The supply of suit or wing.
    pub(super) fn supply(
        &mut self,
        key: Key,
        bag: &'static str,
        supply: &Option<String>,
        names: &Names,
    ) -> CylinderSet {
        let at = key.field("supply");
        let Some(name) = supply else {
            if let Some(usual) = names.usual_supply() {
                return usual;
            }
            let Some(first) = names.words().next() else { return CylinderSet::EMPTY }; // told before
            self.inputs.fault(ProblemCode::MissingSupply, at, || {
                let help =
                    format!("write supply = \"{first}\" in [{bag}], or the name of another cylinder that inflates it");
                (format!("the {bag} has no supply, and no cylinder is called \"back\""), Some(help))
            });
            return CylinderSet::EMPTY;
        };
        self.named(at, name, names)
    }

    /// What a leg breathes by a name: the loop or cylinders.
    pub(super) fn breathed_by(&mut self, at: Key, name: &str, names: &Names) -> Breathed {
        if !name.trim().eq_ignore_ascii_case(LOOP) {
            return Breathed::From(self.named(at, name, names));
        }
        if !self.has_loop() {
            self.inputs.fault(ProblemCode::MissingKey, at, || {
                let help = "write [loop] with oxygen and diluent, or breathe a cylinder".into();
                ("this breathes the loop, but the plan has no closed circuit".into(), Some(help))
            });
        }
        Breathed::Loop
    }

    /// What a name stands for; empty and a problem if it stands for nothing.
    pub(super) fn named(&mut self, at: Key, name: &str, names: &Names) -> CylinderSet {
        names.get(name.trim()).unwrap_or_else(|| {
            self.inputs.fault(ProblemCode::UnknownCylinder, at, || {
                let help = did_you_mean(name, names.words()).or_else(|| {
                    let known: Vec<&str> = names.words().collect();
                    (!known.is_empty()).then(|| format!("known names: {}", known.join(", ")))
                });
                (format!("there is no cylinder \"{name}\""), help)
            });
            CylinderSet::EMPTY
        })
    }
}

/// What stands for a cylinder whose figures are no cylinder's; why not was told with the figure.
fn stand_in() -> Cylinder {
    let spec = CylinderSpec { water_m3: 1e-3, external_m3: 2e-3, shell_kg: 1.0, ..CylinderSpec::default() };
    Cylinder::new(spec).unwrap_or_else(|_| unreachable!("these figures are in range"))
}
