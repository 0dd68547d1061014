//! A plan file read, checked and run: `cargo run --example plan_file profiles/coastal-cave.toml`. Without a name the plan
//! that is built in, an invented dive.

use lightpoint::{Ballast, Error, Findings, Pieces, Plan, run};

fn main() -> Result<(), Error> {
    // what `--set` does
    let changes = [("suit.gas_volume".to_owned(), "12 L".to_owned())];
    let plan = match std::env::args().nth(1) {
        Some(path) => Plan::load(path)?, // every problem at once, each with its line
        None => Plan::demonstration(&changes)?,
    };
    let built = plan.build()?;
    println!("{}: {} figures, {} of them with a doubt", plan.title(), built.inputs.len(), built.uncertain().count());
    for note in &built.notes {
        println!("note: {note}");
    }

    let dive = &built.scenario;
    let findings = Findings::of(dive, &run(dive)?);
    println!("heaviest {:.2} kg, lightest {:.2} kg", findings.heavy.bare_kg, findings.light.bare_kg);

    let ballast = Ballast::of(dive, &Pieces::Step(1.0), Vec::new)?;
    println!("lead: at least {:.2} kg, at most {:.2} kg", ballast.range.least.lead_kg, ballast.range.most.lead_kg);
    for tried in &ballast.tried {
        println!("no lead is right; this closes {:.2} kg of the gap: {:?}", tried.closes_kg, tried.change);
    }
    Ok(())
}
