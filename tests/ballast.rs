//! How much lead: hand-worked balances, and what must hold for every dive.

mod rig;

use lightpoint::study::lead_bounds;

#[test]
#[ignore = "measures, does not check"]
fn how_long_it_takes() {
    for step_s in [1.0, 10.0] {
        let scenario = rig::large(6.0, step_s);
        let start = std::time::Instant::now();
        let n = 2000;
        let mut sum = 0.0;
        for _ in 0..n {
            sum += lead_bounds(std::hint::black_box(&scenario)).unwrap().most_kg;
        }
        let each = start.elapsed() / n;
        let start = std::time::Instant::now();
        for _ in 0..n {
            sum += lightpoint::study::Probe::of(std::hint::black_box(&scenario)).unwrap().load_kg;
        }
        let probe = start.elapsed() / n;
        let start = std::time::Instant::now();
        for _ in 0..n {
            sum += scenario.with_lead(3.0, 0.0).last_stop_m();
        }
        println!(
            "step {step_s} s: bounds {each:?}, probe {probe:?} with_lead {:?} {:?} {sum}",
            start.elapsed() / n,
            lead_bounds(&scenario)
        );
    }
}
