//! Tables of the body: segments, their densities, landmarks.
//!
//! Segments: de Leva 1996, J. Biomech. 29, 1223, table 4, doi 10.1016/0021-9290(95)00178-6, as kept in two public
//! repositories that agree (seen there): men 73.0 kg and 1.741 m, women 61.9 kg and 1.735 m. Of its rows we take those
//! whose ends are landmarks here: head from its top to the seventh vertebra of the neck, upper trunk from there to the
//! breastbone's end, middle trunk to the navel, lower trunk to the middle of the hips, shank to the ankle's joint, hand to
//! the tip of the middle finger. Lengths of head, trunk and legs are stretched to the landmarks, lengths of arms are the
//! table's own.
//!
//! Densities: Clauser, as in Yeadon 1990, kept in a general-purpose library (seen there).
//!
//! Landmarks: means of ANSUR II, 4082 men and 1986 women (data seen, shares computed).

/// Kinds of segment, headmost first, limbs twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Segment {
    Head,
    UpperTrunk,
    MiddleTrunk,
    LowerTrunk,
    UpperArm,
    Forearm,
    Hand,
    Thigh,
    Shank,
    Foot,
}

impl Segment {
    pub(super) const ALL: [Segment; 10] = [
        Segment::Head,
        Segment::UpperTrunk,
        Segment::MiddleTrunk,
        Segment::LowerTrunk,
        Segment::UpperArm,
        Segment::Forearm,
        Segment::Hand,
        Segment::Thigh,
        Segment::Shank,
        Segment::Foot,
    ];

    /// Whether a body has two of it.
    fn is_pair(self) -> bool {
        use Segment::{Head, LowerTrunk, MiddleTrunk, UpperTrunk};
        !matches!(self, Head | UpperTrunk | MiddleTrunk | LowerTrunk)
    }

    pub(super) fn density_kg_m3(self) -> f64 {
        match self {
            Segment::Head => 1070.0,
            Segment::UpperTrunk | Segment::MiddleTrunk | Segment::LowerTrunk => 1019.0,
            Segment::UpperArm => 1056.0,
            Segment::Forearm => 1089.0,
            Segment::Hand => 1109.0,
            Segment::Thigh => 1044.0,
            Segment::Shank => 1085.0,
            Segment::Foot => 1084.0,
        }
    }
}

/// One line: of one segment, not of a pair.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    /// Share of the body's mass.
    pub mass_frac: f64,
    /// Centre from the near (or headward) end, the foot's from the heel, as a share of length.
    pub centre_frac: f64,
    /// Length as a share of stature.
    pub length_frac: f64,
}

/// Landmarks on a body that stands, as shares of stature below the shoulder line; the foot's is its length.
#[derive(Clone, Copy, Debug)]
pub(super) struct Landmarks {
    pub top_frac: f64,
    pub neck_frac: f64,
    pub armpit_frac: f64,
    pub chest_frac: f64,
    pub belt_frac: f64,
    pub tail_frac: f64,
    pub hip_frac: f64,
    pub knee_frac: f64,
    pub ankle_frac: f64,
    pub sole_frac: f64,
    pub foot_frac: f64,
}

/// Segments and landmarks of one shape.
#[derive(Clone, Copy, Debug)]
pub(super) struct Table {
    pub rows: [Row; 10],
    pub landmarks: Landmarks,
}

const fn row(mass_frac: f64, centre_frac: f64, length_mm: f64, stature_mm: f64) -> Row {
    Row { mass_frac, centre_frac, length_frac: length_mm / stature_mm }
}

const MAN_MM: f64 = 1741.0;
const WOMAN_MM: f64 = 1735.0;

pub(super) const MAN: Table = Table {
    rows: [
        row(0.0694, 0.5002, 242.9, MAN_MM),
        row(0.1596, 0.5066, 242.1, MAN_MM),
        row(0.1633, 0.4502, 215.5, MAN_MM),
        row(0.1117, 0.6115, 145.7, MAN_MM),
        row(0.0271, 0.5772, 281.7, MAN_MM),
        row(0.0162, 0.4574, 268.9, MAN_MM),
        row(0.0061, 0.3624, 187.9, MAN_MM),
        row(0.1416, 0.4095, 422.2, MAN_MM),
        row(0.0433, 0.4395, 440.3, MAN_MM),
        row(0.0137, 0.4415, 258.1, MAN_MM),
    ],
    landmarks: Landmarks {
        top_frac: -0.180,
        neck_frac: -0.044,
        armpit_frac: 0.064,
        chest_frac: 0.085,
        belt_frac: 0.216,
        tail_frac: 0.26,
        hip_frac: 0.307,
        knee_frac: 0.542,
        ankle_frac: 0.779,
        sole_frac: 0.820,
        foot_frac: 0.154,
    },
};

pub(super) const WOMAN: Table = Table {
    rows: [
        row(0.0668, 0.4841, 243.7, WOMAN_MM),
        row(0.1545, 0.5050, 228.0, WOMAN_MM),
        row(0.1465, 0.4512, 205.3, WOMAN_MM),
        row(0.1247, 0.4920, 181.5, WOMAN_MM),
        row(0.0255, 0.5754, 275.1, WOMAN_MM),
        row(0.0138, 0.4559, 264.3, WOMAN_MM),
        row(0.0056, 0.3427, 170.1, WOMAN_MM),
        row(0.1478, 0.3612, 368.5, WOMAN_MM),
        row(0.0481, 0.4352, 438.6, WOMAN_MM),
        row(0.0129, 0.4014, 228.3, WOMAN_MM),
    ],
    landmarks: Landmarks {
        top_frac: -0.180,
        neck_frac: -0.037,
        armpit_frac: 0.059,
        chest_frac: 0.100,
        belt_frac: 0.208,
        tail_frac: 0.26,
        hip_frac: 0.301,
        knee_frac: 0.544,
        ankle_frac: 0.781,
        sole_frac: 0.820,
        foot_frac: 0.151,
    },
};

impl Table {
    pub(super) fn row(&self, segment: Segment) -> Row {
        self.rows[segment as usize]
    }

    /// Share of the body's mass of all segments of a kind.
    pub(super) fn mass_frac(&self, segment: Segment) -> f64 {
        self.row(segment).mass_frac * if segment.is_pair() { 2.0 } else { 1.0 }
    }

    /// The mean of two tables.
    pub(super) fn between(&self, other: &Table) -> Table {
        let mean = |a: f64, b: f64| (a + b) / 2.0;
        let rows = std::array::from_fn(|i| {
            let (a, b) = (self.rows[i], other.rows[i]);
            Row {
                mass_frac: mean(a.mass_frac, b.mass_frac),
                centre_frac: mean(a.centre_frac, b.centre_frac),
                length_frac: mean(a.length_frac, b.length_frac),
            }
        });
        let (a, b) = (self.landmarks, other.landmarks);
        let landmarks = Landmarks {
            top_frac: mean(a.top_frac, b.top_frac),
            neck_frac: mean(a.neck_frac, b.neck_frac),
            armpit_frac: mean(a.armpit_frac, b.armpit_frac),
            chest_frac: mean(a.chest_frac, b.chest_frac),
            belt_frac: mean(a.belt_frac, b.belt_frac),
            tail_frac: mean(a.tail_frac, b.tail_frac),
            hip_frac: mean(a.hip_frac, b.hip_frac),
            knee_frac: mean(a.knee_frac, b.knee_frac),
            ankle_frac: mean(a.ankle_frac, b.ankle_frac),
            sole_frac: mean(a.sole_frac, b.sole_frac),
            foot_frac: mean(a.foot_frac, b.foot_frac),
        };
        Table { rows, landmarks }
    }
}
