//! The commented plan of a list.

use std::fmt::Write as _;

use super::FromReadings;
use super::kind::{Kind, Suit, without_size};
use super::read::Row;
use crate::physics::bulk::Bulk;
use crate::plan::catalogue::Size;
use crate::plan::typical::material;
use crate::units::BAR_PA;

/// The usual name of the cylinder that is breathed.
const MAIN: &str = "back";
/// A suit that floats by more than this was read with gas in it, kg: a shell squeezed empty is nearly neutral.
const WITH_GAS_KG: f64 = 2.0;

/// A text in the quotes of TOML.
fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string().trim().to_owned()
}

/// How sure a reading is that does not say it, for 95 %: the steps of a spring scale and trapped air. Our own judgement.
const SCALE_DOUBT: &str = "0.2 kg (95%)";
/// The same of a diver, who breathes: half a breath. Our own judgement.
const BODY_DOUBT: &str = "0.5 kg (95%)";
/// What every diver wears, with the words that tell it.
const USUAL: [(&str, &[&str]); 4] = [
    ("regulator", &["regulator", "regulators", "regs", "reg"]),
    ("plate or harness", &["plate", "harness", "backplate"]),
    ("fins", &["fins", "fin"]),
    ("mask", &["mask"]),
];

/// What is being written.
struct Writer {
    text: String,
    taken: Vec<String>,
    missing: Vec<String>,
}

/// The plan of some rows.
pub(super) fn plan(rows: &[Row], title: &str, file: &str) -> FromReadings {
    let mut writer = Writer { text: String::new(), taken: Vec::new(), missing: Vec::new() };
    let of = |wanted: fn(&Kind) -> bool| rows.iter().filter(move |row| wanted(&row.kind));
    writer.diver(of(|kind| *kind == Kind::Diver).next());
    writer.suit(of(|kind| matches!(kind, Kind::Suit(_))).next());
    of(|kind| *kind == Kind::Part).for_each(|row| writer.part(row));
    let has_parts = of(|kind| *kind == Kind::Part).next().is_some();
    writer.not_worn(rows);
    writer.wing(of(|kind| *kind == Kind::Wing).next(), has_parts);
    of(|kind| *kind == Kind::Lead).for_each(|row| writer.lead(row));
    if of(|kind| *kind == Kind::Lead).next().is_none() {
        writer.missing.push("lead: none is carried; lightpoint ballast says how much".into());
    }
    let cylinders: Vec<&Row> = of(|kind| matches!(kind, Kind::Cylinder(_))).collect();
    let cylinders = writer.cylinders(&cylinders);
    writer.dive(MAIN);
    let body = std::mem::take(&mut writer.text);
    let text = writer.head(title, file) + &body;
    FromReadings { text, taken: writer.taken, missing: writer.missing, cylinders }
}

impl Writer {
    /// What the file is, above the plan.
    fn head(&self, title: &str, file: &str) -> String {
        let mut head = format!("# Made from the readings of {}.\n#\n", file.replace(['\n', '\r'], " "));
        let comment = |head: &mut String, what: &str, list: &[String]| {
            if !list.is_empty() {
                let _ = writeln!(head, "# {what}:");
                list.iter().for_each(|line| _ = writeln!(head, "#   {}", line.replace(['\n', '\r'], " ")));
            }
        };
        comment(&mut head, "Taken", &self.taken);
        comment(&mut head, "Not in the list", &self.missing);
        head.push_str(
            "#\n# lightpoint check lists every figure with its doubt. Write what you know: what is written wins.\n\
             # (guess) marks what nobody measured: take the word away with the figure of your own.\n\n",
        );
        let _ = writeln!(head, "title = {}", quoted(title));
        head
    }

    fn key(&mut self, name: &str, value: &str, comment: &str) {
        let comment = if comment.is_empty() { String::new() } else { format!("  # {comment}") };
        let _ = writeln!(self.text, "{name} = {}{comment}", quoted(value));
    }

    fn table(&mut self, head: &str, row: Option<&Row>) {
        let _ = writeln!(self.text, "\n{head}");
        if let Some(note) = row.and_then(|row| row.note.as_ref()) {
            let _ = writeln!(self.text, "# {}", note.replace(['\n', '\r'], " "));
        }
    }

    /// Mass, reading and water of a row, as far as it has them.
    fn figures(&mut self, row: &Row) {
        if let Some(mass) = &row.mass {
            self.key("mass", &mass.text, "");
        }
        if let Some(reading) = &row.in_water {
            let unweighed = row.mass.is_none() && !matches!(row.kind, Kind::Cylinder(_));
            let doubt = if row.kind == Kind::Diver { BODY_DOUBT } else { SCALE_DOUBT };
            let guessed = if reading.has_doubt { String::new() } else { format!(" ± {doubt}") };
            let comments = [
                (!reading.has_doubt).then_some("how sure it is, is a guess"),
                unweighed.then_some("never weighed, so its mass is typical"),
            ];
            let comments: Vec<&str> = comments.into_iter().flatten().collect();
            self.key("in_water", &format!("{}{guessed}", reading.text), &comments.join("; "));
        }
        if let Some((word, _)) = row.water.as_ref().filter(|_| row.in_water.is_some()) {
            self.key("read_in", word, "");
        }
    }

    fn take(&mut self, row: &Row, as_what: &str) {
        let reading = row.in_water.as_ref().map_or("no reading".to_owned(), |reading| reading.text.clone());
        let many = if row.count > 1 { format!("{} × ", row.count) } else { String::new() };
        self.taken.push(format!("{many}{}, {reading}: {as_what}", row.piece));
    }

    fn diver(&mut self, row: Option<&Row>) {
        self.table("[diver]", row);
        let mass = row.and_then(|row| row.mass.as_ref());
        if mass.is_none() {
            self.key("mass", "80 ± 20 kg (guess)", "*** bathroom scale, in swimwear");
            self.missing.push("mass of the diver: 80 ± 20 kg, a guess".into());
        }
        match row {
            Some(row) => {
                self.figures(row);
                self.take(row, "the diver's body");
            }
            None => self.missing.push("what the diver's body does in water: typical for the mass".into()),
        }
    }

    fn suit(&mut self, row: Option<&Row>) {
        let Some(row) = row else {
            let _ =
                writeln!(self.text, "\n# [suit]\n# kind = \"wet 5 mm\"  # or \"dry membrane light\", \"dry neoprene\"");
            self.missing.push("suit: none is worn".into());
            return;
        };
        self.table("[suit]", Some(row));
        self.key("name", &row.piece, "");
        match row.kind {
            Kind::Suit(Suit::Dry { is_foam }) => self.dry_suit(row, is_foam),
            Kind::Suit(Suit::Wet(mm)) => {
                self.key("kind", &format!("wet {mm} mm"), "");
                self.figures(row);
                if row.in_water.is_some() {
                    self.text.push_str("foam = {}  # the depth squeezes it\n");
                }
                self.take(row, "the wet suit, of foam");
            }
            _ => {}
        }
    }

    fn dry_suit(&mut self, row: &Row, is_foam: bool) {
        let kind = if is_foam { "dry neoprene" } else { "dry membrane light" };
        self.key("kind", kind, "*** its gas and its undergarment are typical: a check in the pool tells more");
        let with_gas = row.in_water.as_ref().is_some_and(|reading| reading.value > WITH_GAS_KG);
        if with_gas || is_foam {
            let _ = writeln!(self.text, "# its reading is not taken: it depends on the gas that was in the suit");
            self.missing
                .push(format!("{}: typical, for a reading of a dry suit holds the gas that was in it", row.piece));
            return;
        }
        self.figures(row);
        self.take(row, "the shell of the dry suit, squeezed empty");
        self.missing.push("gas and undergarment of the dry suit: typical".into());
    }

    fn part(&mut self, row: &Row) {
        self.table("[[part]]", Some(row));
        self.key("name", &row.piece, "");
        if row.count > 1 {
            let _ = writeln!(self.text, "count = {}", row.count);
        }
        self.figures(row);
        self.take(row, "a part");
    }

    /// What is usually worn and is in no row, where the list has gear at all.
    fn not_worn(&mut self, rows: &[Row]) {
        let parts: Vec<String> =
            rows.iter().filter(|row| row.kind == Kind::Part).map(|row| row.piece.to_lowercase()).collect();
        let has = |words: &[&str]| {
            let is_word = |word: &str| words.contains(&word);
            parts.iter().any(|piece| piece.split(|c: char| !c.is_alphanumeric()).any(is_word))
        };
        let missing: Vec<&str> = USUAL.iter().filter(|(_, words)| !has(words)).map(|(what, _)| *what).collect();
        if !parts.is_empty() && !missing.is_empty() {
            self.text.push_str(
                "\n# A part with nothing but its name is typical: \"regulator set\", \"steel plate and harness\", \"rubber fins\", \
                 \"mask\".\n# [[part]]\n# name = \"rubber fins\"\n",
            );
            self.missing.push(format!("{}: none is worn, for the list has none", missing.join(", ")));
        }
    }

    fn wing(&mut self, row: Option<&Row>, has_parts: bool) {
        match row {
            Some(row) => {
                self.table("[wing]", Some(row));
                self.key("name", &row.piece, "");
                self.figures(row);
                self.take(row, "the empty wing");
                self.missing.push("capacity of the wing: typical".into());
            }
            None if has_parts => {
                self.table("[wing]", None);
                self.text.push_str("# not in the list: typical\n");
                self.missing.push("wing: typical, empty and its capacity".into());
            }
            None => self.missing.push("plate and harness, fins, mask, regulator, wing: typical".into()),
        }
    }

    /// Lead by its mass; by its reading, that over what a kilogram of it pulls.
    fn lead(&mut self, row: &Row) {
        self.table("[[ballast]]", Some(row));
        self.key("name", &row.piece, "");
        if row.count > 1 {
            let _ = writeln!(self.text, "count = {}", row.count);
        }
        match (&row.mass, &row.in_water) {
            (Some(mass), _) => self.key("mass", &mass.text, ""),
            (None, Some(reading)) => {
                let lead_kg_m3 = material("lead").map_or(f64::NAN, |lead| lead.estimate.value);
                let water_kg_m3 = row.water.as_ref().and_then(|(_, water)| *water).unwrap_or(1000.0);
                let pull = -Bulk::new(1.0, 1.0 / lead_kg_m3).net_kg(water_kg_m3);
                let kg = -reading.value / pull;
                self.key("mass", &format!("{kg:.2} kg"), "from its reading: lead pulls less than its mass");
            }
            (None, None) => {}
        }
        self.take(row, "lead");
    }

    /// All cylinders; their names.
    fn cylinders(&mut self, rows: &[&Row]) -> Vec<String> {
        if rows.is_empty() {
            self.table("[[cylinder]]", None);
            self.key(
                "size",
                "steel 12 L 232 bar",
                "*** not in the list: a guess; lightpoint cylinders lists the sizes",
            );
            self.key("gas", "air", "");
            self.key("fill", "200 bar", "");
            self.missing.push("cylinder: steel 12 L 232 bar with air of 200 bar, a guess".into());
            return vec![MAIN.into()];
        }
        let mut names: Vec<String> = Vec::new();
        let is_main = |row: &&Row| row.piece.to_lowercase().contains(MAIN) || row.piece.to_lowercase().contains("twin");
        let main = rows.iter().position(is_main).unwrap_or(0);
        for (i, row) in rows.iter().enumerate() {
            let Kind::Cylinder(Some(size)) = row.kind else { continue };
            let wanted = if i == main { MAIN.to_owned() } else { without_size(&row.piece, size).to_lowercase() };
            let wanted = if wanted.is_empty() || wanted == MAIN && i != main { "cylinder".into() } else { wanted };
            let mut name = wanted.clone();
            let mut number = 2;
            while (name == MAIN && i != main) || names.contains(&name) {
                name = format!("{wanted} {number}");
                number += 1;
            }
            names.push(name.clone());
            self.cylinder(row, size, &name, i == main);
        }
        names
    }

    fn cylinder(&mut self, row: &Row, size: &Size, name: &str, is_main: bool) {
        self.table("[[cylinder]]", Some(row));
        self.key("name", name, "");
        self.key("size", &size.name, "");
        if row.count > 1 {
            let _ = writeln!(self.text, "count = {}", row.count);
        }
        self.figures(row);
        if let Some(pressure) = row.pressure.as_ref().filter(|_| row.in_water.is_some()) {
            self.key("read_at", &pressure.text, "what its gauge showed at the reading");
        }
        let gas = row.gas.as_deref().unwrap_or("air");
        self.key("gas", gas, if row.gas.is_none() { "*** not in the list: a guess" } else { "" });
        // what is read with more than half of its pressure was full
        let full = row.pressure.as_ref().filter(|pressure| pressure.value > 0.5 * size.working_pa);
        match full {
            Some(pressure) => self.key("fill", &pressure.text, "as it was read"),
            None => {
                let fill = format!("{:.0} bar", size.working_pa / BAR_PA);
                self.key("fill", &fill, "** its working pressure: not in the list");
                self.missing.push(format!("fill of {name}: its working pressure, {fill}"));
            }
        }
        if !is_main {
            self.text.push_str("# removable = true  # if the diver may leave it or hand it on\n");
        }
        if row.gas.is_none() {
            self.missing.push(format!("gas of {name}: air, a guess"));
        }
        self.take(row, &format!("cylinder \"{name}\", {}", size.name));
    }

    fn dive(&mut self, main: &str) {
        self.table("[dive]", None);
        self.key("depth", "18 m", "*** a guess, as the time");
        self.key("time", "30 min", "from leaving the surface to leaving the bottom");
        self.missing.push(format!("dive: 18 m for 30 min, breathing {main}, last stop and reserve typical: a guess"));
        self.missing.push("water of the dive: the sea, 35 PSU, 15 °C; write [site]".into());
        self.text.push_str(
            "\n# [site]\n# water = \"sea\"  # or \"fresh\", or salinity = \"33 PSU\"\n# temperature = \"8 °C\"\n",
        );
    }
}
