//! What the page computes is what the program computes.

use serde_json::{Value, json};

use super::{Live, differences, profiles, result};
use crate::common::plans;

/// An answer without what names files and their bytes: a page carries the lists beside a plan written into it.
fn without_files(mut result: Value) -> Value {
    result["plan"].as_object_mut().unwrap().remove("sha256");
    for input in result["inputs"].as_array_mut().unwrap() {
        // "dive.csv:4:rate" and "dive.profile:4:rate" are one row
        let row = input["key"].as_str().unwrap().split_once(':').map(|(_, row)| row.to_owned());
        if let Some(row) = row {
            input["key"] = row.into();
        }
    }
    result
}

#[test]
fn are_those_of_the_command_line() {
    let Some(mut live) = Live::new("bench numbers") else { return };
    for plan in plans() {
        let name = plan.file_name().unwrap().to_string_lossy().into_owned();
        live.show(&plan, (1280, 720));
        let here = live.result();
        let there = result(&profiles(), &name, &[]);
        let found = differences(&without_files(here.clone()), &without_files(there.clone()));
        assert_eq!(found, Vec::<String>::new(), "{name}");
        // of the text that the page carries it is all the same
        let (dir, file) = live.plan_file();
        let found = differences(&here, &result(dir.path(), &file, &[]));
        assert_eq!(found, Vec::<String>::new(), "{name} as the page carries it");
        // and so says the quick answer, of which all the picture is made, and the one that was worked out in the worker
        let exact =
            live.answer("dive", json!({ "moment_s": null, "failure_s": null, "change": null }))["exact"].clone();
        for key in ["findings", "lead"] {
            assert!(exact[key].as_object().is_some_and(|facts| facts.len() > 3), "{name}: {}", exact[key]);
            for (fact, value) in exact[key].as_object().unwrap() {
                let found = differences(value, &there[key][fact]);
                assert_eq!(found, Vec::<String>::new(), "{name}: exact.{key}.{fact}");
            }
        }
        let worker = live.ask("bench.whole.result");
        assert_eq!(differences(&worker, &here), Vec::<String>::new(), "{name}: the worker");
        live.is_quiet();
    }
}

/// What is drawn is what was computed: the curve passes through the heavy and the light point, and its rows are those of
/// the series.
#[test]
fn the_curve_is_the_series() {
    let Some(mut live) = Live::new("bench curve") else { return };
    for plan in plans() {
        live.show_with(&[plan.to_str().unwrap(), "--units", "metric"], (1280, 720));
        let dive = live.ask("bench.dive");
        let rows = |key: &str| -> Vec<f64> { serde_json::from_value(dive["curve"][key].clone()).unwrap() };
        let (time_s, depth_m, bare_kg) = (rows("time_s"), rows("depth"), rows("bare"));
        assert!(time_s.is_sorted() && time_s.len() == depth_m.len() && time_s.len() == bare_kg.len());
        let out = live.dir.path().join("out");
        let args = ["run", plan.to_str().unwrap(), "--out", out.to_str().unwrap()];
        crate::command::quiet_in(live.dir.path(), &args);
        let mut reader = csv::Reader::from_path(out.join("series.csv")).unwrap();
        let header = reader.headers().unwrap().clone();
        let column = |name: &str| header.iter().position(|c| c == name).unwrap_or_else(|| panic!("{name}"));
        let columns = ["time_min", "depth_m", "net_wing_empty_kg"].map(column);
        for record in reader.records().map(Result::unwrap) {
            let [minute, depth, bare] = columns.map(|i| record[i].parse::<f64>().unwrap());
            // two rows at a jump: one of them is that of the series
            let after = time_s.partition_point(|t| *t < 60.0 * minute - 1e-3);
            let near = after.saturating_sub(1)..(after + 2).min(time_s.len());
            // drawn as straight lines between rows that are about seven pixels apart: on a scale of 15 kg and 500 pixels
            // a tenth of a kilogram is three pixels, and 0.2 m of 50 is two
            let is_met = near.clone().chain(near.clone()).any(|i| {
                let j = (i + 1).min(time_s.len() - 1);
                let width = (time_s[j] - time_s[i]).max(1e-9);
                let share = ((60.0 * minute - time_s[i]) / width).clamp(0.0, 1.0);
                let at = |v: &[f64]| v[i] + share * (v[j] - v[i]);
                (at(&bare_kg) - bare).abs() < 0.1 && (at(&depth_m) - depth).abs() < 0.2
            });
            assert!(is_met, "{}: {minute} min, {depth} m, {bare} kg", plan.display());
        }
    }
}

#[test]
fn nothing_else_can_run_or_load() {
    let Some(mut live) = Live::new("bench policy") else { return };
    live.show(&super::profile("ten-lines.toml"), (1280, 720));
    live.is_quiet();
    let blocked = live.ask(
        "(async () => { \
           const seen = new Set(); \
           document.addEventListener('securitypolicyviolation', e => seen.add(e.effectiveDirective)); \
           await fetch('http://127.0.0.1:9/').catch(() => 0); \
           const put = (tag, more) => document.body.appendChild(Object.assign(document.createElement(tag), more)); \
           put('script', { textContent: 'window.ran = 1' }); \
           put('img', { src: 'http://127.0.0.1:9/a.png' }); \
           put('style', { textContent: 'body { color: red }' }); \
           put('iframe', { src: 'http://127.0.0.1:9/' }); \
           put('form', { action: 'http://127.0.0.1:9/' }).submit(); \
           await new Promise(done => setTimeout(done, 300)); \
           return [[...seen].sort(), window.ran === undefined]; })()",
    );
    let expected =
        json!([["connect-src", "form-action", "frame-src", "img-src", "script-src-elem", "style-src-elem"], true]);
    assert_eq!(blocked, expected);
}

/// The sheet of `handout --live` has the same page behind a button.
#[test]
fn behind_a_sheet_it_is_the_same() {
    let Some(mut live) = Live::new("bench behind a handout") else { return };
    let page = live.dir.path().join("sheet.html");
    let plan = super::profile("ten-lines.toml");
    crate::command::quiet_in(
        live.dir.path(),
        &["handout", plan.to_str().unwrap(), "--live", "--out", page.to_str().unwrap()],
    );
    for (width_px, height_px) in [(1280, 720), (360, 740)] {
        live.browser.open(&page, width_px, height_px);
        live.name = format!("handout --live at {width_px} px");
        live.touch("#bench-open");
        live.wait("Boolean(document.getElementById('bench-frame').contentDocument?.querySelector('[data-ready]'))");
        let here = live.ask("document.getElementById('bench-frame').contentWindow.bench.ask('whole').ok.result");
        let there = result(&profiles(), "ten-lines.toml", &[]);
        assert_eq!(differences(&without_files(here), &without_files(there)), Vec::<String>::new());
        let wide = live.ask("(d => d.scrollWidth - d.clientWidth)(document.getElementById('bench-frame').contentDocument.documentElement)");
        assert_eq!(wide, 0, "{}", live.name);
        live.touch("#bench-close");
        assert_eq!(live.ask("document.getElementById('bench-window').open"), false);
        live.is_quiet();
    }
}
