//! The body in its posture: where joints and segments are.
//!
//! Angles of limbs turn in the plane of the side view, from footward (0) towards the back (a quarter turn), headward (a
//! half) and the belly (three quarters). All of them are our own judgement:
//!
//! | | upper arm | forearm | thigh | shank |
//! | --- | --- | --- | --- | --- |
//! | straight | footward | footward | footward | footward |
//! | knees bent | to the belly | headward | footward | 50° to the back |
//!
//! The foot is pointed by 40° from a right angle to the shank, as fins want it, so that it is level where the knees are
//! bent. That puts the feet at 0.81 of stature below the shoulder line with straight legs and at 0.72 with bent knees.

use crate::physics::body::Posture;
use crate::physics::body::table::{Row, Segment, Table};
use crate::physics::place::Point;

/// Joint of the shoulder below the shoulder line, share of stature: about a tenth of the upper arm (from memory of
/// de Leva 1996, J. Biomech. 29, 1231). The wrist of a hanging arm comes to 0.336 with it; 0.335 in the figure of
/// Drillis and Contini 1966 (from memory).
const SHOULDER_JOINT_FRAC: f64 = 0.02;
/// Ankle in front of the heel, share of the foot's length (our own judgement).
const HEEL_TO_ANKLE_FRAC: f64 = 0.25;
/// How far the knees are bent (our own judgement).
const KNEE_BENT_DEG: f64 = 50.0;
/// How far feet are pointed from a right angle to the shank (our own judgement).
const FOOT_POINTED_DEG: f64 = 40.0;
/// Radius of the head in a picture, share of stature: half of its height from the top to the jaw (de Leva 1996, seen).
const HEAD_RADIUS_FRAC: f64 = 0.058;

/// Angles of the limbs, degrees from footward towards the back.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pose {
    upper_arm_deg: f64,
    forearm_deg: f64,
    shank_deg: f64,
}

impl Pose {
    /// Arms above the head, legs straight: how swimmers were measured.
    #[cfg(test)]
    pub(super) const ARMS_RAISED: Self = Self { upper_arm_deg: 180.0, forearm_deg: 180.0, shank_deg: 0.0 };
    /// Straight but for the knees.
    #[cfg(test)]
    pub(super) const LEGS_BENT: Self = Self { upper_arm_deg: 0.0, forearm_deg: 0.0, shank_deg: KNEE_BENT_DEG };

    pub(super) fn of(posture: Posture) -> Self {
        match posture {
            Posture::KneesBent => Self { upper_arm_deg: -90.0, forearm_deg: 180.0, shank_deg: KNEE_BENT_DEG },
            Posture::Straight => Self { upper_arm_deg: 0.0, forearm_deg: 0.0, shank_deg: 0.0 },
        }
    }

    fn toe_deg(&self) -> f64 {
        self.shank_deg + FOOT_POINTED_DEG - 90.0
    }
}

/// A body of a size in a pose.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figure {
    pub stature_m: f64,
    pub table: Table,
    pub joints: Joints,
}

/// Landmarks of a body in its posture, each pair as its middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joints {
    /// Top of the head.
    pub top_of_head: Point,
    /// Centre of the head.
    pub head: Point,
    /// Seventh vertebra of the neck.
    pub neck: Point,
    /// The shoulder line, from which places are measured.
    pub shoulder: Point,
    /// Armpit.
    pub armpit: Point,
    /// Chest, at its fullest.
    pub chest: Point,
    /// Belt, on the hip bones.
    pub belt: Point,
    /// Tail, at the sacrum.
    pub tail: Point,
    /// Hip.
    pub hip: Point,
    /// Knee.
    pub knee: Point,
    /// Ankle.
    pub ankle: Point,
    /// Centre of the foot.
    pub feet: Point,
    /// Heel, on the sole.
    pub heel: Point,
    /// Tip of the toes, on the sole.
    pub toe: Point,
    /// Joint of the shoulder, where the arm begins.
    pub arm: Point,
    /// Elbow.
    pub elbow: Point,
    /// Wrist.
    pub wrist: Point,
    /// Tip of the middle finger, hand stretched.
    pub fingertip: Point,
}

/// One piece of a plain figure from the side; left is zero everywhere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stroke {
    /// The head, round.
    Head {
        /// Middle of it.
        centre: Point,
        /// Its radius, m.
        radius_m: f64,
    },
    /// From the neck to the hip.
    Torso(Point, Point),
    /// From the hip to the knee.
    Thigh(Point, Point),
    /// From the knee to the ankle.
    Shank(Point, Point),
    /// From the heel to the toes.
    Foot(Point, Point),
    /// From the shoulder to the elbow.
    UpperArm(Point, Point),
    /// From the elbow to the wrist.
    Forearm(Point, Point),
    /// From the wrist to the fingertips.
    Hand(Point, Point),
}

/// The way of a length, m, at an angle from footward towards the back.
fn way(length_m: f64, angle_deg: f64) -> Point {
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    Point::new(-cos, 0.0, sin) * length_m
}

/// A place between two.
fn part_way(from: Point, to: Point, frac: f64) -> Point {
    from + (to - from) * frac
}

impl Joints {
    /// Joints of a body of a table and a stature in a pose.
    fn of(stature_m: f64, table: &Table, pose: Pose) -> Self {
        let marks = table.landmarks;
        let below = |frac: f64| Point::new(-frac * stature_m, 0.0, 0.0);
        let length_m = |segment| table.row(segment).length_frac * stature_m;
        let arm = below(SHOULDER_JOINT_FRAC);
        let elbow = arm + way(length_m(Segment::UpperArm), pose.upper_arm_deg);
        let wrist = elbow + way(length_m(Segment::Forearm), pose.forearm_deg);
        let knee = below(marks.knee_frac);
        let ankle = knee + way((marks.ankle_frac - marks.knee_frac) * stature_m, pose.shank_deg);
        let foot_m = marks.foot_frac * stature_m;
        let to_sole = way((marks.sole_frac - marks.ankle_frac) * stature_m, pose.toe_deg() + 90.0);
        let heel = ankle + to_sole - way(HEEL_TO_ANKLE_FRAC * foot_m, pose.toe_deg());
        let toe = heel + way(foot_m, pose.toe_deg());
        // half as high over the sole as the ankle
        let feet = part_way(heel, toe, table.row(Segment::Foot).centre_frac) - to_sole * 0.5;
        let (top_of_head, neck) = (below(marks.top_frac), below(marks.neck_frac));
        Joints {
            top_of_head,
            head: part_way(top_of_head, neck, table.row(Segment::Head).centre_frac),
            neck,
            shoulder: Point::ORIGIN,
            armpit: below(marks.armpit_frac),
            chest: below(marks.chest_frac),
            belt: below(marks.belt_frac),
            tail: below(marks.tail_frac),
            hip: below(marks.hip_frac),
            knee,
            ankle,
            feet,
            heel,
            toe,
            arm,
            elbow,
            wrist,
            fingertip: wrist + way(length_m(Segment::Hand), pose.forearm_deg),
        }
    }
}

impl Figure {
    pub(super) fn new(stature_m: f64, table: Table, pose: Pose) -> Self {
        Self { stature_m, table, joints: Joints::of(stature_m, &table, pose) }
    }

    pub(super) fn outline(&self) -> Vec<Stroke> {
        let at = self.joints;
        let radius_m = HEAD_RADIUS_FRAC * self.stature_m;
        vec![
            Stroke::Head { centre: at.top_of_head - Point::new(radius_m, 0.0, 0.0), radius_m },
            Stroke::Torso(at.neck, at.hip),
            Stroke::Thigh(at.hip, at.knee),
            Stroke::Shank(at.knee, at.ankle),
            Stroke::Foot(at.heel, at.toe),
            Stroke::UpperArm(at.arm, at.elbow),
            Stroke::Forearm(at.elbow, at.wrist),
            Stroke::Hand(at.wrist, at.fingertip),
        ]
    }

    /// Both ends of a segment, the near (or headward) one first. Those of the trunk's three divide it by their lengths.
    pub(super) fn ends(&self, segment: Segment) -> (Point, Point) {
        let at = self.joints;
        let length_frac = |rows: &[Row]| rows.iter().map(|row| row.length_frac).sum::<f64>();
        let trunk = &self.table.rows[Segment::UpperTrunk as usize..=Segment::LowerTrunk as usize];
        let down = |count: usize| part_way(at.neck, at.hip, length_frac(&trunk[..count]) / length_frac(trunk));
        match segment {
            Segment::Head => (at.top_of_head, at.neck),
            Segment::UpperTrunk => (at.neck, down(1)),
            Segment::MiddleTrunk => (down(1), down(2)),
            Segment::LowerTrunk => (down(2), at.hip),
            Segment::UpperArm => (at.arm, at.elbow),
            Segment::Forearm => (at.elbow, at.wrist),
            Segment::Hand => (at.wrist, at.fingertip),
            Segment::Thigh => (at.hip, at.knee),
            Segment::Shank => (at.knee, at.ankle),
            Segment::Foot => (at.heel, at.toe),
        }
    }

    /// Centre of all segments of a kind.
    pub(super) fn centre(&self, segment: Segment) -> Point {
        if segment == Segment::Foot {
            return self.joints.feet;
        }
        let (near, far) = self.ends(segment);
        part_way(near, far, self.table.row(segment).centre_frac)
    }
}
