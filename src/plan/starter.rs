//! The starter plan of `lightpoint new`: a plan that runs as it is, with a comment on every figure.
//!
//! Put together from the commented fragments in `starter/`. In them `<80 kg|175 lb>` is the metric and the US text of one
//! figure, round in each system rather than converted, and `$SIZE` a word that depends on the rig.

/// Most stages that a starter plan has.
pub const MAX_STAGES: u32 = 4;

/// What the diver wears.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Suit {
    /// A dry suit without foam, over an undergarment, in cold water.
    Dry,
    /// A wet suit of 5 mm, in temperate water.
    Wet,
}

/// Main cylinders.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cylinders {
    /// One on the back.
    Single,
    /// Two on the back, with a manifold.
    Twin,
    /// Two at the sides, each on its own.
    Sidemount,
    /// A loop, with one cylinder of oxygen and one of diluent.
    Loop,
}

/// Units in which the plan is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// kg, m, L, bar.
    Metric,
    /// lb, ft, cu ft, psi.
    Us,
}

/// Which starter plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Starter {
    /// Suit.
    pub suit: Suit,
    /// Main cylinders.
    pub cylinders: Cylinders,
    /// Stages breathed before them, up to [`MAX_STAGES`]; with a loop those breathed if it fails.
    pub stages: u32,
    /// Units.
    pub units: Units,
}

macro_rules! fragment {
    ($name:literal) => {
        include_str!(concat!("starter/", $name, ".toml"))
    };
}

impl Starter {
    /// The plan's text.
    pub fn text(&self) -> String {
        let mut text = String::new();
        for (i, section) in self.sections().iter().enumerate() {
            text.push_str(if i > 0 { "\n" } else { "" });
            text.push_str(&self.in_units(section));
        }
        let text = self.words().iter().fold(text, |text, (word, meaning)| text.replace(word, meaning));
        text.lines().map(aligned).collect()
    }

    /// A plan in ten lines, in which typical figures stand for all that it leaves out: the rig and the depth of a dive.
    /// `None` for a rig that takes more words: sidemount, or stages. A loop has twice the lines, and one bail-out.
    pub fn short_text(&self) -> Option<String> {
        let text = match (self.cylinders, self.stages) {
            (Cylinders::Single | Cylinders::Twin, 0) => fragment!("short"),
            (Cylinders::Loop, 1) => fragment!("short-loop"),
            _ => return None,
        };
        let text = self.in_units(text);
        let kind = match self.suit {
            Suit::Dry => "dry membrane light",
            Suit::Wet => "wet 5 mm",
        };
        let (size, fill) = self.size();
        let size = if self.is_pair_of_singles() { format!("{size}\"\ncount = \"2") } else { size.to_owned() };
        let text = text.replace("$KIND", kind).replace("$SIZE", &size).replace("count = \"2\"", "count = 2");
        Some(text.replace("$FILL", fill).replace("$WHAT", &self.what()).lines().map(aligned).collect())
    }

    /// Names of its cylinders.
    pub fn cylinder_names(&self) -> Vec<String> {
        let main: &[&str] = match self.cylinders {
            Cylinders::Single | Cylinders::Twin => &["back"],
            Cylinders::Sidemount => &["left", "right"],
            Cylinders::Loop => &["oxygen", "diluent"],
        };
        let main = main.iter().map(|name| (*name).to_owned());
        main.chain((1..=self.stages).map(|n| format!("stage {n}"))).collect()
    }

    /// The fragments in the order of the plan.
    fn sections(&self) -> Vec<String> {
        let is_side = self.cylinders == Cylinders::Sidemount;
        let is_loop = self.cylinders == Cylinders::Loop;
        let mut list = vec![fragment!("head"), fragment!("site"), fragment!("diver")];
        list.push(match self.suit {
            Suit::Dry => fragment!("suit-dry"),
            Suit::Wet => fragment!("suit-wet"),
        });
        list.push(if is_side { fragment!("gear-side") } else { fragment!("gear-back") });
        if self.is_pair_of_singles() {
            list.push(fragment!("manifold"));
        }
        if is_loop {
            list.push(fragment!("gear-loop"));
        }
        list.extend([fragment!("gear"), fragment!("lead"), fragment!("wing")]);
        if is_loop {
            list.push(fragment!("loop"));
        }
        list.push(match self.cylinders {
            Cylinders::Single => fragment!("cylinders-single"),
            Cylinders::Twin => fragment!("cylinders-twin"),
            Cylinders::Sidemount => fragment!("cylinders-sidemount"),
            Cylinders::Loop => fragment!("cylinders-loop"),
        });
        let mut sections: Vec<String> = list.into_iter().map(str::to_owned).collect();
        let numbered = |text: &str, n: u32| text.replace("$N", &n.to_string());
        if self.stages > 0 {
            sections.push(fragment!("stages").to_owned());
        }
        sections.extend((1..=self.stages).map(|n| numbered(fragment!("stage"), n)));
        sections.extend([fragment!("breathing"), fragment!("dive")].map(str::to_owned));
        if self.stages > 0 && !is_loop {
            // breathed since the way down
            sections.push(fragment!("leg-first-stage").to_owned());
            sections.extend((2..=self.stages).map(|n| numbered(fragment!("leg-stage"), n)));
        }
        sections.push(match self.cylinders {
            Cylinders::Single | Cylinders::Twin => fragment!("legs-back").to_owned(),
            Cylinders::Sidemount => fragment!("legs-side").to_owned(),
            Cylinders::Loop => fragment!("legs-loop").to_owned(),
        });
        sections.push(fragment!("legs-end").to_owned());
        sections
    }

    /// The words that depend on the rig.
    fn words(&self) -> [(&'static str, String); 11] {
        let (wing_supply, suit_supply) = match self.cylinders {
            Cylinders::Sidemount => ("left", "right"),
            Cylinders::Loop => ("diluent", "diluent"),
            Cylinders::Single | Cylinders::Twin => ("back", "back"),
        };
        let first = match self.cylinders {
            Cylinders::Loop => "loop",
            _ if self.stages > 0 => "stage 1",
            _ => wing_supply,
        };
        // regulators of their own: the first stages of a loop's cylinders belong to the unit
        let main = match self.cylinders {
            Cylinders::Loop => 0,
            Cylinders::Single => 1,
            Cylinders::Twin | Cylinders::Sidemount => 2,
        };
        let bail_out: Vec<String> = (1..=self.stages).map(|n| format!("\"stage {n}\"")).collect();
        let (size, fill) = self.size();
        let temperature = match self.suit {
            Suit::Dry => self.one_of("8 °C", "46 °F"),
            Suit::Wet => self.one_of("20 °C", "68 °F"),
        };
        [
            ("$WHAT", self.what()),
            ("$TEMPERATURE", temperature.to_owned()),
            ("$SUIT_SUPPLY", suit_supply.to_owned()),
            ("$WING_SUPPLY", wing_supply.to_owned()),
            ("$REGULATORS", (main + self.stages).to_string()),
            ("$LEAD", self.lead()),
            ("$CAPACITY", self.capacity().to_owned()),
            ("$SIZE", size.to_owned()),
            ("$FILL", fill.to_owned()),
            ("$FIRST", first.to_owned()),
            ("$BAIL_OUT", bail_out.join(", ")),
        ]
    }

    /// The rig in words.
    fn what(&self) -> String {
        let suit = match self.suit {
            Suit::Dry => "dry suit",
            Suit::Wet => "wet suit",
        };
        let cylinders = match self.cylinders {
            Cylinders::Single => "single cylinder",
            Cylinders::Twin => "twin cylinders",
            Cylinders::Sidemount => "sidemount",
            Cylinders::Loop => "closed circuit",
        };
        let stages = match self.stages {
            0 => String::new(),
            1 => ", one stage".into(),
            n => format!(", {n} stages"),
        };
        format!("{suit}, {cylinders}{stages}")
    }

    /// Size of the main cylinders and their fill: steel for the dry suit, which needs the weight; aluminium for the wet
    /// suit, which must not become too heavy to swim up.
    fn size(&self) -> (&'static str, &'static str) {
        match (self.units, self.suit, self.cylinders) {
            (Units::Metric, _, Cylinders::Loop) => ("steel 3 L 232 bar", "200 bar"),
            (Units::Us, _, Cylinders::Loop) => ("aluminium 19 cuft", "2700 psi"),
            (Units::Metric, Suit::Dry, Cylinders::Single) => ("steel 12 L 232 bar", "220 bar"),
            (Units::Metric, Suit::Dry, Cylinders::Twin) => ("twin steel 8.5 L 232 bar", "220 bar"),
            (Units::Metric, Suit::Dry, Cylinders::Sidemount) => ("steel 10 L 232 bar", "220 bar"),
            (Units::Metric, Suit::Wet, Cylinders::Twin) => ("twin aluminium 11 L 207 bar", "200 bar"),
            (Units::Metric, Suit::Wet, _) => ("aluminium 11 L 207 bar", "200 bar"),
            (Units::Us, Suit::Dry, Cylinders::Single) => ("steel 95 cuft", "3000 psi"),
            (Units::Us, Suit::Dry, _) => ("steel 76 cuft", "2400 psi"),
            (Units::Us, Suit::Wet, _) => ("aluminium 80 cuft", "3000 psi"),
        }
    }

    /// The list has no twins by their US names: two single ones, with the manifold as a part.
    fn is_pair_of_singles(&self) -> bool {
        self.cylinders == Cylinders::Twin && self.units == Units::Us
    }

    fn capacity(&self) -> &'static str {
        match (self.cylinders, self.stages) {
            (Cylinders::Single, 0) => self.one_of("16 L", "36 lb"),
            (Cylinders::Twin | Cylinders::Sidemount, 3..) => self.one_of("26 L", "60 lb"),
            _ => self.one_of("20 L", "45 lb"),
        }
    }

    /// The least lead of this plan, in half kilograms or half pounds, as `lightpoint ballast` finds it: a starter begins
    /// at the right end of its range.
    fn lead(&self) -> String {
        use {Cylinders::*, Suit::*, Units::*};
        let (least, of_a_stage) = match (self.units, self.suit, self.cylinders) {
            (Metric, Dry, Single) => (7.48, 0.17),
            (Metric, Dry, Twin) => (2.49, 0.17),
            (Metric, Dry, Sidemount) => (7.92, 0.17),
            (Metric, Dry, Loop) => (7.84, 0.177),
            (Metric, Wet, Loop) => (0.81, 0.168),
            (Us, Dry, Loop) => (21.39, 0.661),
            (Us, Wet, Loop) => (6.12, 0.625),
            (Metric, Wet, Single) => (3.33, 0.161),
            (Metric, Wet, Twin) => (1.09, 0.161),
            (Metric, Wet, Sidemount) => (5.64, 0.161),
            (Us, Dry, Single) => (11.49, 0.65),
            (Us, Dry, Twin) => (12.25, 0.65),
            (Us, Dry, Sidemount) => (22.08, 0.65),
            (Us, Wet, Single) => (7.51, 0.61),
            (Us, Wet, Twin) => (2.86, 0.61),
            (Us, Wet, Sidemount) => (12.69, 0.61),
        };
        let (piece, unit) = match self.units {
            Metric => (0.5, "kg"),
            Us => (0.5, "lb"),
        };
        let pieces: f64 = (least + of_a_stage * f64::from(self.stages)) / piece;
        format!("{} {unit}", pieces.ceil() * piece)
    }

    fn one_of(&self, metric: &'static str, us: &'static str) -> &'static str {
        match self.units {
            Units::Metric => metric,
            Units::Us => us,
        }
    }

    /// Takes one side of every `<metric|us>`.
    fn in_units(&self, text: &str) -> String {
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('<') {
            let Some(((metric, us), after)) =
                after.split_once('>').and_then(|(pair, after)| Some((pair.split_once('|')?, after)))
            else {
                break;
            };
            out.push_str(before);
            out.push_str(match self.units {
                Units::Metric => metric,
                Units::Us => us,
            });
            rest = after;
        }
        out.push_str(rest);
        out
    }
}

/// A line with the comment behind its figure set apart, all in one column.
fn aligned(line: &str) -> String {
    match line.split_once(" # ") {
        Some((code, comment)) if !line.starts_with('#') => format!("{code:<36}  # {comment}\n"),
        _ => format!("{line}\n"),
    }
}
