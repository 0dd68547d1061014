//! Propagation of distributions, held against worked examples, closed forms and handbook tables.

mod uncertain;

use lightpoint::study::spread::{Draws, Sequence, Row};
use lightpoint::study::{Probe, lead_bounds_from};
use lightpoint::sim;

struct B(f64);
impl sim::Watch for B { fn moment(&mut self, at: &sim::Moment<'_>) -> Result<(), sim::SimError> { self.0 = self.0.min(at.now.balance.bare_kg()); Ok(()) } }

#[test]
fn look() {
    let dive = uncertain::large();
    let draws = Draws::new(&dive.inputs, Sequence::Sobol, 1);
    let n = 2000;
    let time = |name: &str, f: &mut dyn FnMut(u64)| {
        let t = std::time::Instant::now();
        for i in 0..n { f(i) }
        println!("{name:10} {:.1} us", t.elapsed().as_secs_f64() * 1e6 / n as f64);
    };
    for _ in 0..2 {
    time("values", &mut |i| { std::hint::black_box(draws.values(i)); });
    time("build", &mut |i| { std::hint::black_box(dive.build(&draws.values(i), 10.0).unwrap()); });
    let s = dive.build(&draws.values(5), 10.0).unwrap();
    time("clone", &mut |_| { std::hint::black_box(s.clone()); });
    time("with_lead", &mut |_| { std::hint::black_box(s.with_lead(3.0, 0.0)); });
    time("drive", &mut |_| { let mut b = B(0.0); sim::drive(&s, &mut b).unwrap(); std::hint::black_box(b.0); });
    time("probe", &mut |_| { std::hint::black_box(Probe::of(&s).unwrap()); });
    let p = Probe::of(&s).unwrap();
    time("bounds", &mut |_| { std::hint::black_box(lead_bounds_from(&s, &p).unwrap()); });
    time("row", &mut |i| { std::hint::black_box(Row::of(&dive.build(&draws.values(i), 10.0).unwrap()).unwrap()); });
    println!("{} segs", s.segments().len());
    }
}

#[test]
fn quick() {
    for dive in [uncertain::large(), uncertain::small()] {
        let draws = Draws::new(&dive.inputs, Sequence::Sobol, 1);
        let (mut a, mut b, mut c, mut d) = (0f64, 0f64, [0f64; 7],0f64);
        for i in 0..500 {
            let s = dive.build(&draws.values(i), 10.0).unwrap();
            let r = Row::of(&s).unwrap();
            let e = lead_bounds_from(&s, &Probe::of(&s).unwrap()).unwrap();
            a = a.max((r.least_kg - e.least_kg).abs());
            b = b.max((r.most_kg - e.most_kg).abs());
            let s1 = dive.build(&draws.values(i), 1.0).unwrap();
            let e1 = lead_bounds_from(&s1, &Probe::of(&s1).unwrap()).unwrap();
            d = d.max((r.least_kg-e1.least_kg).abs()).max((r.most_kg-e1.most_kg).abs());
            let r1 = Row::of(&s1).unwrap();
            for (k, (x, y)) in [(r.least_kg, r1.least_kg), (r.most_kg, r1.most_kg), (r.heavy_kg, r1.heavy_kg), (r.light_kg, r1.light_kg), (r.load_kg, r1.load_kg), (r.hold_planned_kg, r1.hold_planned_kg), (r.hold_drained_kg, r1.hold_drained_kg)].into_iter().enumerate() {
                if (x - y).abs() > c[k].abs() { c[k] = x - y; }
            }
        }
        println!("quick against full: least {a:.5} most {b:.5}; 10 s against 1 s {c:?}; quick10 against full1 {d:.5}");
    }
}
