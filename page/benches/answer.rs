//! What an answer to the page costs, without the browser around it. `cargo bench -p lightpoint-page`.

use divan::{Bencher, black_box};
use serde_json::json;

const PLAN: &str = include_str!("../../profiles/cold-trimix.toml");

fn main() {
    divan::main();
}

fn question(op: &str, extra: serde_json::Value) -> Vec<u8> {
    let mut question = json!({ "op": op, "name": "cold-trimix.toml", "text": PLAN, "sets": [] });
    if let (Some(all), Some(extra)) = (question.as_object_mut(), extra.as_object()) {
        all.extend(extra.clone());
    }
    question.to_string().into_bytes()
}

fn ask(bencher: Bencher<'_, '_>, question: &[u8]) {
    bencher.bench_local(|| lightpoint_page::answer(black_box(question)));
}

/// A frame of a drag: the plan of the frame before is known, the changed one is read, run and told.
#[divan::bench]
fn frame_of_a_drag(bencher: Bencher<'_, '_>) {
    let mut lead = 0;
    bencher.bench_local(|| {
        lead = (lead + 1) % 100;
        let to = 1.0 + 0.05 * f64::from(lead);
        lightpoint_page::answer(&question("dive", json!({ "change": { "control": "lead", "to": to } })))
    });
}

/// Another moment of the same dive, nothing changed.
#[divan::bench]
fn another_moment(bencher: Bencher<'_, '_>) {
    ask(bencher, &question("dive", json!({ "moment_s": 600.0, "failure_s": 900.0 })));
}

/// All that takes longer.
#[divan::bench(sample_count = 10)]
fn whole(bencher: Bencher<'_, '_>) {
    ask(bencher, &question("whole", json!({})));
}

/// The printed page.
#[divan::bench(sample_count = 10)]
fn handout(bencher: Bencher<'_, '_>) {
    ask(bencher, &question("handout", json!({})));
}
