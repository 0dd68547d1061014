//! Typical figures of bodies, suits and gear against what is printed elsewhere.

use lightpoint::internals::estimate::Estimate;
use lightpoint::internals::plan::typical::body::{Build, Sex, mosteller_m2};
use lightpoint::internals::plan::typical::gear::{self, Named};
use lightpoint::internals::plan::typical::suit::{Kind, SHEET};
use lightpoint::internals::plan::typical::{dive, material};

const UNKNOWN: Build = Build { mass_kg: 80.0, sex: None, height_m: None, age_years: None };

fn half_width(estimate: &Estimate) -> f64 {
    estimate.doubt.expect("a doubt").half_width
}

/// Source: Mosteller's formula at 170 cm and 70 kg is printed as 1.82 m² (worked example of clinical tables, from memory).
/// Cross-check: Du Bois and Du Bois 1916, `0.007184·kg^0.425·cm^0.725`, which the tables seen give beside it; the two differ
/// by less than 5 % from 50 to 110 kg and 1.55 to 1.95 m, and we allow 7 %.
#[test]
fn the_skin_is_as_large_as_the_formulas_say() {
    assert!((mosteller_m2(70.0, 1.70) - 1.82).abs() < 0.005, "to the printed digits");
    for mass_kg in [50.0, 65.0, 80.0, 95.0, 110.0f64] {
        for height_m in [1.55, 1.70, 1.85, 1.95f64] {
            // no builds that are hardly met with: body mass index from 17 to 35
            let index = mass_kg / (height_m * height_m);
            if !(17.0..=35.0).contains(&index) {
                continue;
            }
            let du_bois_m2 = 0.007_184 * mass_kg.powf(0.425) * (100.0 * height_m).powf(0.725);
            let area = Build { mass_kg, height_m: Some(height_m), ..UNKNOWN }.area();
            assert!((area.area_m2 / du_bois_m2 - 1.0).abs() < area.half_width_frac, "{mass_kg} kg, {height_m} m");
        }
    }
}

/// The lift of a body from its density without lung gas and from the gas in its lungs, both printed: body density, men 1055
/// kg/m³ (Johnson 1996, J. Stat. Educ. 4(1)), women 1031 at 33 to 50 years (J. Appl. Physiol.
/// 1975); lung volumes of ECSC 1993 (Quanjer et al.; coefficients from memory): residual volume 1.31·H + 0.022·A −
/// 1.23 and 1.81·H + 0.016·A − 2.00, functional residual capacity 2.34·H + 0.009·A − 1.09 and 2.24·H + 0.001·A − 1.00 L.
/// Tolerance 0.6 kg: how much of the expiratory reserve is kept under water is known from 30 to 100 % of it, which is
/// ± 0.4 to 0.5 L, and half a breath from 0.3 to 0.8 L.
#[test]
fn a_typical_body_lifts_what_its_density_and_its_lungs_make() {
    let fresh_kg_m3 = 999.1;
    for (sex, mass_kg, height_m, age, density_kg_m3) in [
        // near the means of Johnson's 250 men, and of women of ANSUR II's stature and mass
        (Sex::Man, 81.0, 1.78, 45.0, 1055.0),
        (Sex::Woman, 67.0, 1.63, 42.0, 1031.0),
    ] {
        let (residual_l, rest_l) = match sex {
            Sex::Man => (1.31 * height_m + 0.022 * age - 1.23, 2.34 * height_m + 0.009 * age - 1.09),
            Sex::Woman => (1.81 * height_m + 0.016 * age - 2.00, 2.24 * height_m + 0.001 * age - 1.00),
        };
        let gas_l = residual_l + 0.6 * (rest_l - residual_l) + 0.55 + 0.1;
        let expected_kg = mass_kg * (fresh_kg_m3 / density_kg_m3 - 1.0) + gas_l * fresh_kg_m3 / 1000.0;
        let (lift, _) = Build { mass_kg, sex: Some(sex), height_m: Some(height_m), age_years: Some(age) }.lift_kg();
        assert!((lift.value - expected_kg).abs() < 0.6, "{sex:?}: {} against {expected_kg}", lift.value);
    }
}

/// The scatter of body density alone, 19 kg/m³ SD of men (Johnson 1996), moves a body of 80 kg by 80·1000·19/1055² = 1.4 kg
/// SD, 2.7 kg for 95 %: what mass alone tells is no better than that, and what all tells is not much better. Siri's formula,
/// 495/(F + 450) for kg/L (seen): 5 points of fat, from 17 to 22 %, are 11 kg/m³.
#[test]
fn the_doubt_of_a_body_is_that_of_its_density() {
    let scatter_kg = 1.96 * 80.0 * 1000.0 * 19.0 / (1055.0f64 * 1055.0);
    assert!((scatter_kg - 2.7).abs() < 0.05);
    let width = |build: Build| half_width(&build.lift_kg().0);
    let man = Build { sex: Some(Sex::Man), ..UNKNOWN };
    let tall = Build { height_m: Some(1.80), ..man };
    let old = Build { age_years: Some(50.0), ..tall };
    assert!(width(UNKNOWN) > scatter_kg && (width(man) / scatter_kg - 1.0).abs() < 0.1);
    // what is known more makes it narrower, never wider
    assert!(width(UNKNOWN) > width(man) && width(man) > width(tall) && width(tall) > width(old));
    let woman = Build { sex: Some(Sex::Woman), ..UNKNOWN };
    let tall = Build { height_m: Some(1.65), ..woman };
    let old = Build { age_years: Some(50.0), ..tall };
    assert!(width(woman) > width(tall) && width(tall) > width(old));
    let siri_kg_m3 = |fat_percent: f64| 495e3 / (fat_percent + 450.0);
    assert!((siri_kg_m3(17.0) - siri_kg_m3(22.0) - 11.2).abs() < 0.1);
    // men of Johnson's mean fat, 19 %, have Johnson's mean density to a tenth of its scatter
    assert!((siri_kg_m3(19.0) - 1055.0).abs() < 1.9);
}

/// Lift in fresh water at the surface of a suit on a diver of 75 kg and 1.75 m, 1.91 m².
fn wet_kg(kind: &str) -> f64 {
    let build = Build { mass_kg: 75.0, height_m: Some(1.75), ..UNKNOWN };
    let foam = Kind::of(kind).expect(kind).foam_m3(build.area()).expect("foam");
    foam.value * (1000.0 - SHEET.estimate.value)
}

fn named_kg(name: &str) -> f64 {
    match gear::named(name) {
        Some(Named::Foam { foam, .. }) => foam.value * (1000.0 - SHEET.estimate.value),
        Some(Named::Rigid(piece)) => piece.lift.value,
        None => panic!("{name}"),
    }
}

/// A weak check, for the stretch of the foam was chosen with it: a training sheet's lead for wet suits in the pool, 2.5 kg
/// for 3 mm, 6.25 for 5 mm two-piece, 8.5 for 7 mm with hood and gloves (seen). Tolerance 30 %, the suit's own doubt.
#[test]
fn wet_suits_lift_what_a_training_sheet_gives_lead_for() {
    let long = wet_kg("wet 7 mm") + named_kg("hood 7 mm") + named_kg("gloves 7 mm");
    for (found_kg, sheet_kg) in [(wet_kg("wet 3 mm"), 2.5), (wet_kg("wet 5 mm two-piece"), 6.25), (long, 8.5)] {
        assert!((found_kg / sheet_kg - 1.0).abs() < 0.30, "{found_kg} against {sheet_kg}");
    }
    // a suit of some thickness, and its doubt: the stretch of a quarter, the area, and with the sheet's density 28 %
    let build = Build { mass_kg: 75.0, height_m: Some(1.75), ..UNKNOWN };
    let foam = Kind::of("wet 5 mm").unwrap().foam_m3(build.area()).unwrap();
    let of_sheet = half_width(&SHEET.estimate) / (1000.0 - SHEET.estimate.value);
    let whole = (half_width(&foam) / foam.value).hypot(of_sheet);
    assert!((whole - 0.28).abs() < 0.01, "{whole}");
}

/// A weak check too: the same sheet's lead for dry suits is a tenth of the body's mass and 1.5 to 3 kg (light), 3 to 7 (heavy),
/// 3 to 5 (foam neoprene): for 75 kg 9 to 10.5, 10.5 to 14.5 and 10.5 to 12.5 kg. What gas, shell and underwear lift must lie
/// within its own half-width of the middle of that.
#[test]
fn dry_suits_lift_what_a_training_sheet_gives_lead_for() {
    let build = Build { mass_kg: 75.0, height_m: Some(1.75), ..UNKNOWN };
    for (kind, low_kg, high_kg) in
        [("dry membrane light", 9.0, 10.5), ("dry membrane heavy", 10.5, 14.5), ("dry neoprene", 10.5, 12.5)]
    {
        let kind = Kind::of(kind).unwrap();
        let under_kg = kind.undergarment_kg().unwrap().value;
        let gas = kind.gas_m3(build.area(), under_kg).unwrap();
        let of_underwear_kg = under_kg * (1000.0 / 1350.0 - 1.0);
        let of_shell_kg = match kind.foam_m3(build.area()) {
            Some(foam) => 700.0 * foam.value + (5.0 - 300.0 * foam.value) * (1000.0 / 1200.0 - 1.0),
            None => 3.5 * (1000.0 / 1200.0 - 1.0),
        };
        let lift_kg = 1000.0 * gas.value + of_underwear_kg + of_shell_kg;
        let middle_kg = 0.5 * (low_kg + high_kg);
        assert!((lift_kg - middle_kg).abs() < 1000.0 * half_width(&gas), "{kind:?}: {lift_kg} against {middle_kg}");
        // a larger diver has more of it
        let larger = Build { mass_kg: 100.0, height_m: Some(1.90), ..UNKNOWN };
        assert!(kind.gas_m3(larger.area(), under_kg).unwrap().value > 1.15 * gas.value);
    }
    // over the 1.67 m² that it covers the gas of a membrane suit is 5 to 8 mm thick
    let thickness_mm = |kg: f64| {
        let kind = Kind::Membrane { undergarment_kg: Some(kg) };
        1e3 * kind.gas_m3(build.area(), kg).unwrap().value / 1.67
    };
    assert!((5.0..8.0).contains(&thickness_mm(1.2)) && (5.0..8.0).contains(&thickness_mm(2.2)));
}

/// Plates are metal: what a bare one lifts follows from the printed densities of steel and aluminium. Tolerance 0.15 kg, the
/// rounding of mass and lift and the webbing in the slots.
#[test]
fn plates_are_made_of_metal() {
    let steel_kg_m3 = material("stainless steel").unwrap().estimate.value;
    let Some(Named::Rigid(plate)) = gear::named("steel plate") else { panic!("no plate") };
    let expected_kg = plate.mass_kg * (1000.0 / steel_kg_m3 - 1.0);
    assert!((plate.lift.value - expected_kg).abs() < 0.15, "{expected_kg}");
    // twice as thick, the second plate weighs and sinks as the first
    let Some(Named::Rigid(thick)) = gear::named("steel plate 6 mm and harness") else { panic!("no plate") };
    let Some(Named::Rigid(thin)) = gear::named("steel plate and harness") else { panic!("no plate") };
    assert!((thick.mass_kg - thin.mass_kg - plate.mass_kg).abs() < 0.15);
    assert!((thick.lift.value - thin.lift.value - plate.lift.value).abs() < 0.25, "the sum of two roundings more");
}

/// No draw makes a mass or a volume below nothing: 4 standard deviations away on either side, where one in 16 000 lies.
#[test]
fn no_piece_is_drawn_below_nothing() {
    let far = 4.0 / 1.96;
    for piece in &gear::PIECES {
        let lift = &piece.lift;
        for lift_kg in [lift.value - far * half_width(lift), lift.value + far * half_width(lift)] {
            let (mass_kg, volume_l) = if lift.value < 0.0 {
                let volume_l = piece.mass_kg + lift.value;
                (volume_l - lift_kg, volume_l)
            } else {
                (piece.mass_kg, piece.mass_kg + lift_kg)
            };
            assert!(mass_kg > 0.0 && volume_l > 0.0, "{}: {mass_kg} kg, {volume_l} L", piece.names[0]);
        }
    }
}

/// Source: fin-swimming against 5 kg, 23.7 ± 5.9 (SD) L/min (Koch 2022, seen): an easy dive takes less than such work, and the
/// upper end of its 95 % is about that.
#[test]
fn an_easy_dive_takes_less_than_work() {
    for (kind, rate) in &dive::RATES {
        let litres_min = 6e4 * rate.estimate.value;
        let upper = litres_min + 6e4 * half_width(&rate.estimate);
        assert!(litres_min < 23.7 && upper < 23.7 + 5.9, "{kind}");
        assert!((half_width(&rate.estimate) / rate.estimate.value - 0.45).abs() < 1e-12);
    }
}
