//! A plan file read and asked: `cargo run --example plan_file profiles/coastal-cave.toml`. Without a name the plan that is
//! built in, an invented dive.

use std::sync::atomic::AtomicBool;

use lightpoint::{Answers, Control, DrawSettings, Error, Pieces, Plan};

fn main() -> Result<(), Error> {
    // what `--set` does
    let changes = [("suit.gas_volume".to_owned(), "12 L".to_owned())];
    let plan = match std::env::args().nth(1) {
        Some(path) => Plan::load(path)?, // every problem at once, each with its line
        None => Plan::demonstration(&changes)?,
    };
    let ask = Answers::of(&plan);

    let dive = ask.dive()?;
    let built = &dive.built;
    println!("{}: {} figures, {} of them with a doubt", plan.title(), built.inputs.len(), built.uncertain().count());
    for note in &built.notes {
        println!("note: {note}");
    }
    let findings = &dive.findings;
    println!("heaviest {:.2} kg, lightest {:.2} kg", findings.heavy.bare_kg, findings.light.bare_kg);

    let ballast = ask.ballast(&Pieces::Step(1.0))?;
    let lead = &ballast.carry;
    println!("lead: at least {:.2} kg, at most {:.2} kg", lead.range.least.lead_kg, lead.range.most.lead_kg);
    for tried in &ballast.tried {
        println!("no lead is right; this closes {:.2} kg of the gap: {:?}", tried.closes_kg, tried.change);
    }

    let cancel = AtomicBool::new(false);
    let control = Control { cancel: &cancel, progress: |_| {} };
    if let Some(doubt) = ask.doubt(&DrawSettings::default(), control)? {
        for (answer, summary) in &doubt.study.outlook.summaries {
            let (low, high) = (summary.symmetric.low, summary.symmetric.high);
            println!("{answer:?}: 95 % between {low:.2} and {high:.2} kg");
        }
    }
    Ok(())
}
