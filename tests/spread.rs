//! Propagation of distributions, held against worked examples, closed forms and handbook tables.

mod uncertain;

use std::sync::atomic::AtomicBool;

use lightpoint::study::spread::{Answer, Control, Sequence, Settings, spread};

#[test]
fn look() {
    let dive = uncertain::large();
    let cancel = AtomicBool::new(false);
    for (sequence, draws) in [(Sequence::Sobol, Some(2048)), (Sequence::Random, Some(2048)), (Sequence::Sobol, None)] {
        let settings = Settings { sequence, draws, ..Settings::default() };
        let t = std::time::Instant::now();
        let found = spread(&dive.inputs, &|v: &[f64]| dive.build(v, 10.0), &settings, Control { cancel: &cancel, progress: |_| {} }).unwrap();
        println!("{sequence:?} {} {:?} {:?} failures {:?}", found.draws, found.stopped, t.elapsed(), found.failures);
        for (a, s) in &found.summaries {
            println!("{:22} central {:.3} {:?}", a.label(), a.of(&found.central), s);
        }
        for (r, c) in &found.risks { println!("{} {:?}", r.label(), c); }
        println!("own {:?} best {:?}", found.own_lead, found.lead.best());
    }
    let _ = Answer::Least;
}
