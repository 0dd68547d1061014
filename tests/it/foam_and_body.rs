//! Foam under pressure, rigid bodies in two waters, and an unvented bubble on its way up, against published figures and
//! identities.

use crate::support::{constant_water, suit_alone};
use approx::{assert_abs_diff_eq, assert_relative_eq};
use lightpoint::internals::physics::foam::Foam;
use lightpoint::internals::physics::water::{INSTRUMENT_PA_M, Water};
use lightpoint::internals::rig::{Bag, BagStart, Body, CylinderSet, SUIT};
use lightpoint::internals::units::{ATMOSPHERE_PA, LITRE_M3, PSI_PA, STANDARD_GRAVITY_M_S2, celsius_to_k};

/// Density of lead, kg/m³, from memory of handbook tables.
const LEAD_KG_M3: f64 = 11_340.0;

/// Share of its volume that a foam keeps at an absolute pressure.
fn kept_frac(gas_frac: f64, compliance_frac: f64, pressure_pa: f64) -> f64 {
    Foam { volume0_m3: 1.0, gas_frac, compliance_frac }.volume_m3(pressure_pa)
}

// Seen in the abstract of Brown et al. 2019, Mater. Res. Express, doi 10.1088/2053-1591/ab0447: foam of an 8 mm suit
// loses about 52 % of its insulation at 57 psi over the surface. Squeezed foam conducts heat at least as well as
// before, so its thickness falls by less than its insulation: it keeps at least 48 %, and its gas fraction is at most
// 0.654 if all of the squeeze reaches the gas. Tolerance 0.0005: rounding of that fraction; the printed 52 %
// themselves are good to 0.006 of it.
#[test]
fn eight_millimetre_foam_bounds_the_gas_fraction_from_above() {
    assert_abs_diff_eq!(57.0 * PSI_PA, 393e3, epsilon = 0.5e3);
    let deep_pa = ATMOSPHERE_PA + 57.0 * PSI_PA;
    assert_abs_diff_eq!(kept_frac(0.654, 1.0, deep_pa), 0.48, epsilon = 0.0005);
    for tenth in 0..=10 {
        let compliance_frac = f64::from(tenth) / 10.0;
        // foam with less gas, or foam that carries some of the squeeze itself, keeps as much or more
        assert!(kept_frac(0.653, compliance_frac, deep_pa) > 0.48, "squeeze share {compliance_frac}");
    }
    assert!(kept_frac(0.66, 1.0, deep_pa) < 0.48);
}

// Seen in a public encyclopedia's article on wet suits: typical foam halves its thickness at about 15 m. With 1 bar to
// 10 m and all of the squeeze on the gas that is a gas fraction of 0.838. Tolerance 0.001: rounding of the fraction.
#[test]
fn foam_that_is_halved_at_fifteen_metres() {
    let pressure_pa = ATMOSPHERE_PA + 15.0 * INSTRUMENT_PA_M;
    assert_abs_diff_eq!(kept_frac(0.838, 1.0, pressure_pa), 0.5, epsilon = 0.001);
    // the two printed figures do not meet: they span what a plan without a measurement has to allow for
    let deep_pa = ATMOSPHERE_PA + 57.0 * PSI_PA;
    assert!(kept_frac(0.654, 1.0, pressure_pa) > 0.6 && kept_frac(0.838, 1.0, deep_pa) < 0.34);
}

// Seen in the abstract of Monji et al. 1989, Undersea Biomed. Res. 16, 313: from 0.5 to 5 ata thickness falls along a
// curve (convex is our reading of it: gas under pressure). Shape only, no number. Strict signs, with differences of
// 1e-12 left to rounding; the curve's own are above 5e-6.
#[test]
fn thickness_falls_along_a_convex_curve() {
    let step_ata = 0.05;
    for gas_frac in [0.2, 0.654, 0.75, 0.838] {
        for compliance_frac in [0.4, 0.7, 1.0] {
            let kept = |i: u32| kept_frac(gas_frac, compliance_frac, (0.5 + step_ata * f64::from(i)) * ATMOSPHERE_PA);
            for i in 1..90 {
                let (above, here, below) = (kept(i - 1), kept(i), kept(i + 1));
                assert!(above - here > 1e-12, "{gas_frac} {compliance_frac}: falls at step {i}");
                assert!(above - here > here - below + 1e-12, "{gas_frac} {compliance_frac}: convex at step {i}");
            }
            assert_relative_eq!(kept(10), 1.0, max_relative = 1e-12);
        }
    }
}

// Identity with the density of lead from memory: a kilogram of lead pulls 1 - rho/11340 kg, 0.910 kg in sea water of
// 1025 kg/m³ and 0.912 kg in fresh water of 999.1 kg/m³. Tolerance: the third decimal is rounded.
#[test]
fn a_kilogram_of_lead_in_two_waters() {
    let lead = Body::Rigid { mass_kg: 1.0, volume_m3: 1.0 / LEAD_KG_M3 };
    assert_abs_diff_eq!(lead.bulk(ATMOSPHERE_PA).net_kg(1025.0), -0.910, epsilon = 0.0005);
    assert_abs_diff_eq!(lead.bulk(ATMOSPHERE_PA).net_kg(999.1), -0.912, epsilon = 0.0005);
}

// Identity: 100 kg that float in balance in 1025 kg/m³ displace 100/1025 m³ and are 100*(1 - 999.1/1025) = 2.53 kg too
// heavy in 999.1 kg/m³. Tolerance: the second decimal is rounded.
#[test]
fn a_diver_in_balance_in_the_sea_is_heavy_in_fresh_water() {
    let system = Body::Rigid { mass_kg: 100.0, volume_m3: 100.0 / 1025.0 };
    assert_abs_diff_eq!(system.bulk(ATMOSPHERE_PA).net_kg(1025.0), 0.0, epsilon = 1e-12);
    assert_abs_diff_eq!(system.bulk(ATMOSPHERE_PA).net_kg(999.1), -2.53, epsilon = 0.005);
}

/// Water in which 10 m are 1 bar, under one atmosphere.
fn water_of_en_13319() -> Water {
    constant_water(INSTRUMENT_PA_M / STANDARD_GRAVITY_M_S2, celsius_to_k(10.0))
}

/// Depths and what 5.0 L at 30 m are there.
const BOYLE_M_L: [(f64, f64); 5] = [(30.0, 5.0), (20.0, 6.659), (10.0, 9.967), (5.0, 13.260), (0.0, 19.804)];

// Boyle's law: 5.0 L at 30 m, nothing vented, in metres of EN 13319. Tolerance: the third decimal of a litre is
// rounded. The bubble is the gas of a suit of 19.804 L that was closed at the surface and whose bottle is empty: from
// 30 m on its way up nothing comes in and nothing is vented.
#[test]
fn an_unvented_bubble_on_its_way_up() {
    let suit = Bag::suit(19.804 * LITRE_M3, CylinderSet::of([0]));
    let dive = suit_alone(suit, 0.0, water_of_en_13319(), &BOYLE_M_L.map(|(depth_m, _)| depth_m));
    let trace = lightpoint::internals::sim::run(&dive).unwrap();
    for (minute, (depth_m, litres)) in BOYLE_M_L.into_iter().enumerate() {
        let now = trace.at(&dive, 60.0 * minute as f64);
        assert_eq!(now.state.depth_m, depth_m);
        assert_abs_diff_eq!(now.balance.bags[SUIT].volume_m3 / LITRE_M3, litres, epsilon = 0.0005);
    }
    assert_eq!(trace.last().state.vented.mass_kg(), 0.0);
}

// The same bubble in a suit that is kept at 5 L: what has to go is the surplus, and at each depth it has the volume that
// the printed figure has over 5 L. Tolerance as above.
#[test]
fn a_bubble_that_is_vented_on_its_way_up() {
    let suit = Bag::suit(5.0 * LITRE_M3, CylinderSet::of([0])).starting(BagStart::Supply);
    let dive = suit_alone(suit, 200.0, water_of_en_13319(), &BOYLE_M_L.map(|(depth_m, _)| depth_m));
    let trace = lightpoint::internals::sim::run(&dive).unwrap();
    for (minute, (_, litres)) in BOYLE_M_L.into_iter().enumerate() {
        let now = trace.at(&dive, 60.0 * minute as f64);
        let kept = now.balance.bags[SUIT];
        assert_abs_diff_eq!(kept.volume_m3 / LITRE_M3, 5.0, epsilon = 0.0005);
        // the same gas at the same pressure: its volume is as its mass
        let vented_l = now.state.vented.mass_kg() / kept.mass_kg * kept.volume_m3 / LITRE_M3;
        assert_abs_diff_eq!(vented_l, litres - 5.0, epsilon = 0.0005);
    }
}
