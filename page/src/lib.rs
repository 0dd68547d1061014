use lightpoint::internals::{answer::DiveFacts, plan::Plan};
#[unsafe(no_mangle)]
pub extern "C" fn go() -> f64 {
    let plan = Plan::demonstration(&[]).unwrap();
    let facts = DiveFacts::of(&plan).unwrap();
    facts.lead.least_kg
}
#[unsafe(no_mangle)]
pub extern "C" fn read() -> f64 {
    let plan = Plan::demonstration(&[]).unwrap();
    let b = plan.build().unwrap();
    b.scenario.profile().end_s()
}
use lightpoint::internals::{findings::Findings, sim, study::lead_bounds};
#[unsafe(no_mangle)]
pub extern "C" fn parse() -> f64 {
    let plan = Plan::demonstration(&[]).unwrap();
    plan.title().len() as f64
}
#[unsafe(no_mangle)]
pub extern "C" fn runit() -> f64 {
    let plan = Plan::demonstration(&[]).unwrap();
    let b = plan.build().unwrap();
    let t = sim::run(&b.scenario).unwrap();
    let f = Findings::of(&b.scenario, &t);
    lead_bounds(&b.scenario).unwrap().least_kg + f.heavy.bare_kg
}
use lightpoint::UnitSystem;
use lightpoint::internals::{
    answer::*,
    report::{self, Report, Rows, Source, html::*},
};
#[unsafe(no_mangle)]
pub extern "C" fn handout() -> f64 {
    let plan = Plan::demonstration(&[]).unwrap();
    let units = UnitSystem::Metric;
    let facts = HandoutFacts::of(&plan, None, &Pieces::Usual(units)).unwrap();
    let d = &facts.comparison.dives[0];
    let rows = Rows::for_looking(&facts.built.scenario, &d.trace, &d.findings);
    let source =
        Source { title: "x".into(), plan: "y".into(), sha256: String::new(), note: None, takes_the_sea: false };
    let report = Report {
        source: &source,
        scenario: &facts.built.scenario,
        trace: &d.trace,
        rows: &rows,
        findings: &d.findings,
        inputs: &facts.built.inputs,
        checked: None,
        notes: &[],
        units,
    };
    let h = Handout {
        report: &report,
        sizes: &lightpoint::internals::answer::handout::sizes(&plan),
        mind: &[],
        carry: &facts.carry,
        removable: &facts.removable,
        check: &facts.check,
        beside: None,
        date: None,
        paper: report::html::Paper::A4,
    };
    page(&h).unwrap().len() as f64
}
#[unsafe(no_mangle)]
pub extern "C" fn doubt() -> f64 {
    let plan = Plan::demonstration(&[]).unwrap();
    let f = DoubtFacts::of(
        &plan,
        DrawSettings::default(),
        true,
        Watch { cancel: &std::sync::atomic::AtomicBool::new(false), progress: &mut |_, _| () },
    )
    .unwrap()
    .unwrap();
    report::json::doubt::result as *const () as usize as f64 + f.study.rows.len() as f64
}
