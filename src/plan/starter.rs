//! The starter plan of `lightpoint new`: a plan that runs as it is, with a comment on every figure.
//!
//! Put together from the commented fragments in `starter/`. In them `<80 kg|175 lb>` is the metric and the US text of one
//! figure, round in each system rather than converted, and `$SHAPE` a word that depends on the rig.

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
    /// Stages breathed before them, up to [`MAX_STAGES`].
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
        self.words().iter().fold(text, |text, (word, meaning)| text.replace(word, meaning))
    }

    /// The fragments in the order of the plan.
    fn sections(&self) -> Vec<String> {
        let is_side = self.cylinders == Cylinders::Sidemount;
        let mut list = vec![fragment!("head"), fragment!("site"), fragment!("diver")];
        list.push(match self.suit {
            Suit::Dry => fragment!("suit-dry"),
            Suit::Wet => fragment!("suit-wet"),
        });
        list.push(if is_side { fragment!("gear-side") } else { fragment!("gear-back") });
        if self.is_pair_of_singles() {
            list.push(fragment!("manifold"));
        }
        list.push(fragment!("gear"));
        list.push(if self.pieces() > 0 { fragment!("lead") } else { fragment!("lead-none") });
        list.push(fragment!("wing"));
        list.push(match self.cylinders {
            Cylinders::Single => fragment!("cylinders-single"),
            Cylinders::Twin => fragment!("cylinders-twin"),
            Cylinders::Sidemount => fragment!("cylinders-sidemount"),
        });
        let mut sections: Vec<String> = list.into_iter().map(str::to_owned).collect();
        let numbered = |text: &str, n: u32| text.replace("$N", &n.to_string());
        sections.extend((1..=self.stages).map(|n| numbered(fragment!("stage"), n)));
        sections.extend([fragment!("breathing"), fragment!("dive")].map(str::to_owned));
        if self.stages > 0 {
            // breathed since the way down
            sections.push(fragment!("leg-first-stage").to_owned());
        }
        sections.extend((2..=self.stages).map(|n| numbered(fragment!("leg-stage"), n)));
        sections.push(if is_side { fragment!("legs-side") } else { fragment!("legs-back") }.to_owned());
        sections.push(fragment!("legs-end").to_owned());
        sections
    }

    /// The words that depend on the rig.
    fn words(&self) -> [(&'static str, String); 10] {
        let (wing_supply, suit_supply) = match self.cylinders {
            Cylinders::Sidemount => ("left", "right"),
            _ => ("back", "back"),
        };
        let first = if self.stages > 0 { "stage 1" } else { wing_supply };
        let main = if self.cylinders == Cylinders::Single { 1 } else { 2 };
        let shape = self.shape();
        // below what the shapes are made for, as a shop would hand them out
        let fill = match (self.units, shape.starts_with("steel 95")) {
            (Units::Metric, _) => "200 bar",
            (Units::Us, true) => "3100 psi",
            (Units::Us, false) => "2900 psi",
        };
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
            ("$PIECES", self.pieces().to_string()),
            ("$CAPACITY", self.capacity().to_owned()),
            ("$SHAPE", shape.to_owned()),
            ("$FILL", fill.to_owned()),
            ("$FIRST", first.to_owned()),
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
        };
        let stages = match self.stages {
            0 => String::new(),
            1 => ", one stage".into(),
            n => format!(", {n} stages"),
        };
        format!("{suit}, {cylinders}{stages}")
    }

    /// Shape of the main cylinders: steel for the dry suit, which needs the weight; aluminium for the wet suit, which
    /// must not be too heavy to swim up, and at the sides.
    fn shape(&self) -> &'static str {
        match (self.suit, self.cylinders) {
            (Suit::Dry, Cylinders::Single) => self.one_of("steel 12 L 232 bar", "steel 95 cuft"),
            (Suit::Dry, Cylinders::Twin) => self.one_of("twin steel 8.5 L 232 bar", "steel 71 cuft"),
            (Suit::Wet, Cylinders::Twin) => self.one_of("twin aluminium 11 L 207 bar", "aluminium 80 cuft"),
            _ => self.one_of("aluminium 11 L 207 bar", "aluminium 80 cuft"),
        }
    }

    /// The list has no twins by their US names: two single ones, with the manifold as a part.
    fn is_pair_of_singles(&self) -> bool {
        self.cylinders == Cylinders::Twin && self.units == Units::Us
    }

    fn capacity(&self) -> &'static str {
        match (self.cylinders, self.stages) {
            (Cylinders::Single, 0) => self.one_of("16 L", "0.55 cu ft"),
            (Cylinders::Twin, 3..) => self.one_of("26 L", "0.95 cu ft"),
            _ => self.one_of("20 L", "0.7 cu ft"),
        }
    }

    /// Pieces of lead.
    fn pieces(&self) -> u32 {
        0
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
