//! The body against published tables and measurements (checks T4 to T8 of the trim), and what must hold whatever they say.

use super::*;

const SHAPES: [Shape; 3] = [Shape::Man, Shape::Woman, Shape::Between];
/// Density of fresh water at 20 °C, kg/m³, from memory of handbook tables.
const FRESH_KG_M3: f64 = 998.2;

fn stance(stature_m: f64, shape: Shape, posture: Posture) -> Stance {
    Stance { stature_m, shape, posture }
}

/// A usual body: stature, mass, volume. Lifts at mid-lung in fresh water are those of `plan::typical::body` by sex and mass
/// (computed there from underwater weighing and lung volumes): men −0.71 + 0.030·(m − 75), women +1.68 + 0.043·(m − 75) kg.
fn usual(shape: Shape) -> (f64, f64, f64) {
    let (stature_m, mass_kg, lift_kg) = match shape {
        Shape::Woman => (1.63, 65.0, 1.68 - 0.43),
        _ => (1.75, 75.0, -0.71),
    };
    (stature_m, mass_kg, (mass_kg + lift_kg) / FRESH_KG_M3)
}

fn headward_cm(centres: &Centres) -> f64 {
    (centres.volume - centres.mass).along_m * 100.0
}

fn close(a: Point, b: Point, within_m: f64) -> bool {
    let apart = a - b;
    apart.along_m.hypot(apart.up_m) < within_m && (apart.left_m).abs() < within_m
}

/// Winter's table: mass, centre from the near end, density kg/L; a course handout of Biomechanics and Motor Control of
/// Human Movement, seen. In the order of [`Segment`], the trunk as one.
const WINTER: [(f64, f64, f64, f64); 8] = [
    (1.0, 0.081, 1.000, 1.11),
    (1.0, 0.497, 0.500, 1.03),
    (2.0, 0.028, 0.436, 1.07),
    (2.0, 0.016, 0.430, 1.13),
    (2.0, 0.006, 0.506, 1.16),
    (2.0, 0.100, 0.433, 1.05),
    (2.0, 0.0465, 0.433, 1.09),
    (2.0, 0.0145, 0.500, 1.10),
];

// check T4; 1e-12: the printed shares sum to one exactly; 5e-5: the last digit of 1.0541
#[test]
fn another_table_has_its_own_sums_and_nearly_our_centre_of_mass() {
    let masses: f64 = WINTER.iter().map(|(count, mass, ..)| count * mass).sum();
    assert!((masses - 1.0).abs() < 1e-12, "{masses}");
    let volume: f64 = WINTER.iter().map(|(count, mass, _, density)| count * mass / density).sum();
    assert!((1.0 / volume - 1.0541).abs() < 5e-5, "{}", 1.0 / volume);
    let body = stance(1.75, Shape::Man, Posture::Straight);
    let at = body.joints();
    // that table's ends: the ear for the head, shoulder joint to hip for the trunk, knuckles for the hand
    let knuckles = at.wrist + (at.fingertip - at.wrist) * (86.2 / 187.9);
    let ends = [
        (at.neck, at.head),
        (at.arm, at.hip),
        (at.arm, at.elbow),
        (at.elbow, at.wrist),
        (at.wrist, knuckles),
        (at.hip, at.knee),
        (at.knee, at.ankle),
        (at.ankle, at.toe),
    ];
    let pieces = WINTER.iter().zip(ends);
    let centre =
        weighted(pieces.map(|((count, mass, frac, _), (near, far))| (count * mass, near + (far - near) * *frac)));
    // 2 % of stature: tables of other people, with other cuts between them; a leg's mass put wrong moves it by 5 %
    let ours = body.centres(75.0, 0.0745).mass;
    assert!((centre.along_m - ours.along_m).abs() < 0.02 * 1.75, "{centre:?} {ours:?}");
}

// check T5, masses and centres as printed there (de Leva 1996, table 4, its main rows; lengths mm as kept in public
// repositories, seen). 5e-4: shares are printed to 5e-5, and there are ten of them
#[test]
fn shares_of_mass_sum_to_one() {
    const MEN: [f64; 10] = [0.0694, 0.1596, 0.1633, 0.1117, 0.0271, 0.0162, 0.0061, 0.1416, 0.0433, 0.0137];
    const WOMEN: [f64; 10] = [0.0668, 0.1545, 0.1465, 0.1247, 0.0255, 0.0138, 0.0056, 0.1478, 0.0481, 0.0129];
    for (table, printed) in [(MAN, MEN), (WOMAN, WOMEN)] {
        assert_eq!(table.rows.map(|row| row.mass_frac), printed);
        let sum: f64 = Segment::ALL.iter().map(|&segment| table.mass_frac(segment)).sum();
        assert!((sum - 1.0).abs() < 5e-4, "{sum}");
    }
}

// The same table has some segments twice, by other ends. Both must say the same place, mm from the headmost end of
// ours: head to the jaw, upper trunk from the breastbone's upper end (as far below the neck's vertebra as the two lengths
// of the trunk differ), hand to the knuckles. 0.15 mm: lengths are printed to 0.1 mm, shares to 1e-4.
#[test]
fn both_kinds_of_rows_say_the_same_centres() {
    for (table, stature_mm, rows) in [
        (MAN, 1741.0, [0.5976 * 203.3, 603.3 - 531.9 + 0.2999 * 170.7, 0.7900 * 86.2]),
        (WOMAN, 1735.0, [0.5894 * 200.2, 614.8 - 529.3 + 0.2077 * 142.5, 0.7474 * 78.0]),
    ] {
        for (segment, main_mm) in [Segment::Head, Segment::UpperTrunk, Segment::Hand].into_iter().zip(rows) {
            let row = table.row(segment);
            let ours_mm = row.centre_frac * row.length_frac * stature_mm;
            assert!((ours_mm - main_mm).abs() < 0.15, "{segment:?}: {ours_mm} {main_mm}");
        }
    }
}

// check T6; 0.05 kg/m³: the last digit of what is printed there
#[test]
fn densities_of_segments_make_that_of_the_body() {
    const DEMPSTER: [f64; 10] = [1110.0, 920.0, 1010.0, 1010.0, 1070.0, 1130.0, 1160.0, 1050.0, 1090.0, 1100.0];
    let body_kg_m3 = |density: &dyn Fn(Segment) -> f64| {
        1.0 / Segment::ALL.iter().map(|&segment| MAN.mass_frac(segment) / density(segment)).sum::<f64>()
    };
    let (clauser, dempster) = (body_kg_m3(&Segment::density_kg_m3), body_kg_m3(&|segment| DEMPSTER[segment as usize]));
    assert!((clauser - 1041.9).abs() < 0.05, "{clauser}");
    assert!((dempster - 1028.6).abs() < 0.05, "{dempster}");
}

// Check T7. Centre of buoyancy headward of the centre of mass: men 0.79 ± 0.43 cm, women 0.16 ± 0.34 cm (SD; McLean and
// Hinrichs 1998, J. Sports Sci. 16, 373, abstract seen). Their centres lie at 60 to 62 % of height, ours with arms at the
// side at 56 %, with arms raised at 59 %: so their swimmers had the arms above the head, and so have ours here. How full
// their lungs were the abstract does not say. Another study, arms raised, neutral: boys 1.93 ± 0.21, girls 1.36 ± 0.17
// (Watanabe 2014, Sport Mont 12, 98, abstract seen). The model lies between the two; it is inside one SD of the first for
// men, and for women 0.42 cm above its mean, inside two.
#[test]
fn the_body_floats_headward_of_where_it_weighs_as_swimmers_do() {
    for (shape, (mean_cm, sd_cm), sds, neutral_cm) in
        [(Shape::Man, (0.79, 0.43), 1.0, 1.93), (Shape::Woman, (0.16, 0.34), 2.0, 1.36)]
    {
        let (stature_m, mass_kg, volume_m3) = usual(shape);
        let gas_m3 = stance(stature_m, shape, Posture::Straight).lung_gas_m3();
        let figure = Figure::new(stature_m, shape.table(), Pose::ARMS_RAISED);
        let centres = figure.centres(mass_kg, volume_m3, gas_m3);
        let height_frac = shape.table().landmarks.sole_frac + centres.mass.along_m / stature_m;
        assert!((0.58..0.62).contains(&height_frac), "{height_frac}");
        let found_cm = headward_cm(&centres);
        assert!((found_cm - mean_cm).abs() < sds * sd_cm, "{shape:?} {found_cm}");
        assert!(found_cm < neutral_cm, "{shape:?} {found_cm}");
    }
}

// What the model says of arms at the side, for which we know no measurement: 1.33 and 1.04 cm. Arms are denser than the
// rest: raised by 0.4 m, 10 % of the mass takes the centre of mass further than that of volume: by 0.4 cm (men), by hand
// 0.099·(1 − 1007/1065)·0.75 m. 0.15 cm: the hand's figures are rounded.
#[test]
fn arms_at_the_side_move_the_centres_apart() {
    for (shape, cm) in [(Shape::Man, 1.33), (Shape::Woman, 1.04)] {
        let (stature_m, mass_kg, volume_m3) = usual(shape);
        let body = stance(stature_m, shape, Posture::Straight);
        let found_cm = headward_cm(&body.centres(mass_kg, volume_m3));
        let raised = Figure::new(stature_m, shape.table(), Pose::ARMS_RAISED);
        let raised_cm = headward_cm(&raised.centres(mass_kg, volume_m3, body.lung_gas_m3()));
        assert!((found_cm - raised_cm - 0.43).abs() < 0.15, "{found_cm} {raised_cm}");
        // the figures named above, to their last digit
        assert!((found_cm - cm).abs() < 0.006, "{shape:?} {found_cm}");
    }
}

// check T8, and by hand: ΔV·lever/V and g·ρ·ΔV·lever
#[test]
fn a_litre_of_chest_gas_is_three_newton_metres() {
    let litre_m3 = 1e-3;
    for shape in SHAPES {
        let (volume_m3, body) = (75.0 / FRESH_KG_M3, stance(1.75, shape, Posture::Straight));
        let (less, more) = (
            body.centres_with_gas(75.0, volume_m3, 2.5e-3),
            body.centres_with_gas(75.0, volume_m3 + litre_m3, 2.5e-3 + litre_m3),
        );
        let moved_cm = headward_cm(&more) - headward_cm(&less);
        assert!((0.35..0.5).contains(&moved_cm), "{shape:?} {moved_cm}");
        let torque_nm = 9.80665 * 1000.0 * litre_m3 * (body.lungs() - less.mass).along_m;
        assert!((2.7..3.5).contains(&torque_nm), "{shape:?} {torque_nm}");
    }
}

// conservation: the shares of volume sum to the body's own, those of mass to one. 1e-12: rounding
#[test]
fn shares_sum_to_the_body() {
    for shape in SHAPES {
        let figure = Figure::new(1.8, shape.table(), Pose::of(Posture::KneesBent));
        let pieces = figure.pieces();
        let masses: f64 = pieces.iter().map(|piece| piece.mass_frac).sum();
        assert!((masses - 1.0).abs() < 1e-12, "{masses}");
        for (mass_kg, volume_m3, gas_m3) in [(75.0, 0.0745, 0.003), (120.0, 0.124, 0.004), (50.0, 0.049, 0.0)] {
            let volumes: f64 = figure.volumes(&pieces, mass_kg, volume_m3, gas_m3).iter().map(|(m3, _)| m3).sum();
            assert!((volumes - volume_m3).abs() < 1e-12, "{volumes}");
        }
    }
}

// A fat diver's lift must not count as chest gas: three kilograms of it move the torque by less than one litre in the
// chest would (2.7 to 3.5 N·m, check T8), taken about the centre of mass.
#[test]
fn fat_is_not_lung() {
    let body = stance(1.75, Shape::Man, Posture::Straight);
    let about_mass_nm = |volume_m3: f64| {
        let centres = body.centres(100.0, volume_m3);
        9.80665 * 1000.0 * volume_m3 * (centres.volume - centres.mass).along_m
    };
    let moved_nm = about_mass_nm(0.103) - about_mass_nm(0.100);
    assert!(moved_nm.abs() < 2.7, "{moved_nm}");
}

// mirror: a body is the same on both sides, so nothing of it is left of the middle
#[test]
fn nothing_is_to_the_left() {
    for shape in SHAPES {
        for posture in [Posture::KneesBent, Posture::Straight] {
            let body = stance(1.7, shape, posture);
            let centres = body.centres(70.0, 0.070);
            let covers =
                [Cover::WetSuit, Cover::DrySuit, Cover::Undergarment, Cover::Hood, Cover::Gloves, Cover::Boots];
            let at = body.joints();
            let places = [centres.mass, centres.volume, body.lungs(), at.toe, at.fingertip, at.feet, at.head];
            let lefts = covers.map(|cover| body.cover(cover)).into_iter().chain(places).map(|at| at.left_m);
            assert!(lefts.into_iter().all(|left_m| left_m == 0.0), "{body:?}");
        }
    }
}

// similar bodies: twice as tall, eight times the mass, volume and gas, everything twice as far. 1e-12: rounding
#[test]
fn everything_goes_with_stature() {
    for posture in [Posture::KneesBent, Posture::Straight] {
        let (small, tall) = (stance(1.0, Shape::Woman, posture), stance(2.0, Shape::Woman, posture));
        let (a, b) = (small.centres_with_gas(12.0, 0.0121, 4e-4), tall.centres_with_gas(96.0, 0.0968, 3.2e-3));
        assert!(close(a.mass * 2.0, b.mass, 1e-12) && close(a.volume * 2.0, b.volume, 1e-12), "{a:?} {b:?}");
        assert!(close(small.lungs() * 2.0, tall.lungs(), 1e-12));
        assert!(close(small.cover(Cover::DrySuit) * 2.0, tall.cover(Cover::DrySuit), 1e-12));
        assert!(close(small.joints().toe * 2.0, tall.joints().toe, 1e-12));
    }
}

// Places that a table of places gives otherwise: the ankle at 0.69 and the feet at 0.72 of stature with bent knees, the
// feet at 0.81 with straight legs (our own judgement), the head at −0.11 (ANSUR II). 0.01: they are given to that, for
// men and women alike, whose own differ by 0.003.
#[test]
fn feet_and_head_are_where_the_table_of_places_has_them() {
    let frac = |at: Point| -at.along_m / 1.75;
    for shape in SHAPES {
        let bent = stance(1.75, shape, Posture::KneesBent).joints();
        let straight = stance(1.75, shape, Posture::Straight).joints();
        for (found, expected) in [
            (frac(bent.ankle), 0.69),
            (frac(bent.feet), 0.72),
            (frac(straight.feet), 0.81),
            (frac(straight.head), -0.11),
            (frac(bent.head), -0.11),
        ] {
            assert!((found - expected).abs() < 0.01, "{shape:?} {found} {expected}");
        }
        assert!((bent.toe - bent.heel).up_m.abs() < 1e-12, "feet are level");
        assert!(bent.ankle.up_m > 0.25 && bent.elbow.up_m < -0.2, "shanks to the back, arms to the belly");
    }
}

// bent knees and folded arms bring mass headward and keep it in the middle between back and belly (5 mm: judgement, an
// eighth of the ± 4 cm of every place); straight it lies in the middle but for the feet, 2.7 % of the mass 2 cm off
#[test]
fn bent_knees_take_the_mass_headward() {
    for shape in SHAPES {
        let [bent, straight] = [Posture::KneesBent, Posture::Straight].map(|posture| {
            let (stature_m, mass_kg, volume_m3) = usual(shape);
            stance(stature_m, shape, posture).centres(mass_kg, volume_m3).mass
        });
        assert!(bent.along_m > straight.along_m + 0.03, "{bent:?} {straight:?}");
        assert!(straight.up_m.abs() < 0.001 && bent.up_m.abs() < 0.005, "{bent:?} {straight:?}");
        // legs alone, by hand: shanks 0.09·(1 − cos 50°)·0.10·H, feet 0.027·0.09·H, which is 9.8 mm at 1.70 m; 1 mm: shapes
        // and statures differ
        let (stature_m, ..) = usual(shape);
        let by_legs = Figure::new(stature_m, shape.table(), Pose::LEGS_BENT).centres(70.0, 0.07, 0.003).mass;
        assert!((by_legs.along_m - straight.along_m - 0.0098).abs() < 0.001 && by_legs.up_m > 0.01, "{by_legs:?}");
    }
}

// shares 0.82 and 0.88 of a one-piece and a dry suit, as areas of suits have them here; 0.005: printed to 0.01. Centres by
// order: with feet further footward; hands in front of the head where arms are folded; a suit near the body's middle
#[test]
fn what_covers_the_body() {
    assert!((Cover::WetSuit.area_frac() - 0.82).abs() < 0.005);
    assert!((Cover::DrySuit.area_frac() - 0.88).abs() < 0.005);
    let everything = Cover::Undergarment.area_frac() + Cover::Hood.area_frac() + Cover::Gloves.area_frac();
    // the shares are printed to 0.001 and sum to 1.001
    assert!((everything - 1.0).abs() < 0.002, "{everything}");
    for shape in SHAPES {
        let body = stance(1.75, shape, Posture::Straight);
        let along_m = |what| body.cover(what).along_m;
        assert!(along_m(Cover::Boots) < along_m(Cover::DrySuit) && along_m(Cover::DrySuit) < along_m(Cover::WetSuit));
        assert!(along_m(Cover::Undergarment) < along_m(Cover::DrySuit), "a dry suit has a collar");
        assert!(along_m(Cover::Hood) > 0.0 && along_m(Cover::Gloves) < along_m(Cover::WetSuit));
        let suit = along_m(Cover::DrySuit) - body.centres(75.0, 0.0745).mass.along_m;
        assert!((-0.15..0.0).contains(&suit), "legs have more area for their mass: {suit}");
        let folded = stance(1.75, shape, Posture::KneesBent).cover(Cover::Gloves);
        assert!(folded.along_m > 0.0 && folded.up_m < 0.0);
    }
}

// where the sex is not known: between the two, for bodies of one stature
#[test]
fn between_lies_between() {
    let of = |shape| {
        let body = stance(1.7, shape, Posture::Straight);
        [body.centres(70.0, 0.0702).mass.along_m, body.lung_gas_m3(), -body.joints().chest.along_m]
    };
    let (man, woman, between) = (of(Shape::Man), of(Shape::Woman), of(Shape::Between));
    for i in 0..3 {
        let (low, high) = (man[i].min(woman[i]), man[i].max(woman[i]));
        assert!((low..=high).contains(&between[i]), "{low} {} {high}", between[i]);
    }
}

// the drawing hangs together: each line begins where the one before ends, and the head ends at the top of it
#[test]
fn the_outline_hangs_together() {
    for posture in [Posture::KneesBent, Posture::Straight] {
        let body = stance(1.75, Shape::Between, posture);
        let (at, strokes) = (body.joints(), body.outline());
        assert!(strokes.contains(&Stroke::Torso(at.neck, at.hip)) && strokes.contains(&Stroke::Thigh(at.hip, at.knee)));
        assert!(
            strokes.contains(&Stroke::Shank(at.knee, at.ankle)) && strokes.contains(&Stroke::Foot(at.heel, at.toe))
        );
        assert!(
            strokes.contains(&Stroke::UpperArm(at.arm, at.elbow))
                && strokes.contains(&Stroke::Forearm(at.elbow, at.wrist))
        );
        assert_eq!(strokes.len(), 8);
        let Stroke::Head { centre, radius_m } = strokes[0] else { panic!("the head comes first") };
        assert!((centre.along_m + radius_m - at.top_of_head.along_m).abs() < 1e-12);
        assert!(centre.along_m - radius_m > at.neck.along_m, "there is a neck");
    }
}
