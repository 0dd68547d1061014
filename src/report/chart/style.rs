//! Colours and strokes. Dash and shape always say what the colour says, so that a grey print reads the same.

/// Red, green, blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Rgb(pub u8, pub u8, pub u8);

// The palette of Okabe and Ito for colour-blind readers ("Color Universal Design", 2002, revised 2008), from memory;
// its yellow is too pale for a line on white and is left out.
pub(super) const BLACK: Rgb = Rgb(0, 0, 0);
pub(super) const ORANGE: Rgb = Rgb(0xE6, 0x9F, 0x00);
pub(super) const SKY: Rgb = Rgb(0x56, 0xB4, 0xE9);
pub(super) const GREEN: Rgb = Rgb(0x00, 0x9E, 0x73);
pub(super) const BLUE: Rgb = Rgb(0x00, 0x72, 0xB2);
pub(super) const VERMILION: Rgb = Rgb(0xD5, 0x5E, 0x00);
pub(super) const PURPLE: Rgb = Rgb(0xCC, 0x79, 0xA7);

/// Text.
pub(super) const INK: Rgb = Rgb(0x22, 0x22, 0x22);
/// Vermilion, darker, so that small text reads on white.
pub(super) const VERMILION_TEXT: Rgb = Rgb(0xA8, 0x46, 0x00);
/// Green, darker, likewise.
pub(super) const GREEN_TEXT: Rgb = Rgb(0x00, 0x6B, 0x4F);
/// Blue, darker, likewise.
pub(super) const BLUE_TEXT: Rgb = Rgb(0x00, 0x55, 0x85);
/// Text of lesser weight.
pub(super) const SOFT: Rgb = Rgb(0x55, 0x55, 0x55);
/// Grid.
pub(super) const GRID: Rgb = Rgb(0xE2, 0xE2, 0xE2);
/// Frames, ticks, leaders.
pub(super) const RULE: Rgb = Rgb(0x99, 0x99, 0x99);
/// Paper.
pub(super) const PAPER: Rgb = Rgb(0xFF, 0xFF, 0xFF);

/// Sizes of text, px.
pub(super) const TITLE_PX: f64 = 21.0;
pub(super) const BODY_PX: f64 = 14.0;
pub(super) const SMALL_PX: f64 = 13.0;

/// Pattern of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Dash {
    Solid,
    Long,
    OneDot,
    Short,
    TwoDots,
    Dots,
    LongShort,
}

impl Dash {
    /// Drawn and free lengths in turn, px; empty for a whole line.
    pub fn pattern(self) -> &'static [f64] {
        match self {
            Dash::Solid => &[],
            Dash::Long => &[13.0, 5.0],
            Dash::OneDot => &[11.0, 4.0, 2.5, 4.0],
            Dash::Short => &[6.0, 4.0],
            Dash::TwoDots => &[11.0, 3.5, 2.5, 3.5, 2.5, 3.5],
            Dash::Dots => &[2.2, 3.4],
            Dash::LongShort => &[16.0, 4.0, 5.0, 4.0],
        }
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stroke {
    pub colour: Rgb,
    pub width: f64,
    pub dash: Dash,
}

impl Stroke {
    /// A whole line.
    pub const fn solid(colour: Rgb, width: f64) -> Self {
        Self { colour, width, dash: Dash::Solid }
    }

    /// A broken line.
    pub const fn dashed(colour: Rgb, width: f64, dash: Dash) -> Self {
        Self { colour, width, dash }
    }
}

/// The stroke of the n-th of several curves: colour and dash both tell it from the others. Vermilion is the limit's, and
/// orange says that one is broken.
pub(super) fn series(n: usize) -> Stroke {
    const COLOURS: [Rgb; 5] = [BLUE, GREEN, PURPLE, BLACK, SKY];
    const DASHES: [Dash; 7] =
        [Dash::Solid, Dash::Long, Dash::OneDot, Dash::Short, Dash::TwoDots, Dash::LongShort, Dash::Dots];
    // 5 and 7 have no common factor: the pair repeats only after 35 curves
    Stroke::dashed(COLOURS[n % COLOURS.len()], 2.2, DASHES[n % DASHES.len()])
}
