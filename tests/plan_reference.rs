//! The plan of the reference dive against the dive as plain numbers and against the first row of its series.
//!
//! Source: `tests/reference/case-a/`, computed by an independent implementation with CoolProp 8.0.0 and GSW-Python 3.6.23.

use lightpoint::plan::Plan;
use lightpoint::units::{ATMOSPHERE_PA, BAR_PA};

#[test]
fn case_a_starts_as_the_reference_does() {
    let built =
        Plan::load("tests/reference/case-a/plan.toml").and_then(|plan| plan.build()).unwrap_or_else(|p| panic!("{p}"));
    let scenario = &built.scenario;
    let series = include_str!("reference/case-a/series.csv");
    let mut lines = series.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    let first: Vec<f64> = lines.next().unwrap().split(',').map(|cell| cell.parse().unwrap()).collect();
    let column = |name: &str| first[header.iter().position(|h| *h == name).unwrap()];

    let density = scenario.water().density_kg_m3(0, 0.0);
    assert!((density / column("water_kg_m3") - 1.0).abs() < 1e-4, "the grid's tolerance");
    // deco50 and oxygen inflate nothing, so at the start they are as filled; tolerances of the case
    for (index, name) in [(1, "deco50"), (2, "oxygen")] {
        let cylinder = &scenario.diver().cylinders[index];
        assert_eq!(cylinder.name, name);
        let pressure_pa = scenario.isotherm(0, index).pressure_pa(cylinder.filled_mol / cylinder.water_m3);
        let bar = (pressure_pa - ATMOSPHERE_PA) / BAR_PA;
        assert!((bar / column(&format!("{name}_bar")) - 1.0).abs() < 0.006, "{name}: {bar}");
        let lift_kg = cylinder.lift_kg(density, cylinder.filled_mol);
        assert!((lift_kg - column(&format!("{name}_kg"))).abs() < 0.02, "{name}: {lift_kg}");
    }
    // all gas is on board at the start, whether in cylinders, suit or wing: bare without wing gas is the balance of all
    let diver = scenario.diver();
    let cylinders_kg: f64 = diver.cylinders.iter().map(|c| c.lift_kg(density, c.filled_mol)).sum();
    let loft_m3 = diver.suit_gas.unwrap().loft_m3;
    let whole_kg = density * (scenario.fixed().volume_m3 + loft_m3) - scenario.fixed().mass_kg + cylinders_kg;
    assert!((whole_kg - column("bare_kg")).abs() < 0.02, "{whole_kg}");
    assert_eq!(scenario.profile().end_s(), 70.0 * 60.0);
}
