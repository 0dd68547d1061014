//! The page in a real browser: what is seen at once, what moves, and for whom.

use serde_json::Value;

use super::{Page, hostile, page, profile, result, shown};
use crate::browser;
use crate::command::quiet_in;
use crate::common::plans;

/// Contrast by WCAG 2.1, 1.4.3 (the formula from memory): text needs 4.5 to 1, on paper and on the dark page.
#[test]
fn text_stands_out() {
    let style = include_str!("../../../src/report/html/style.css");
    let luminance = |hex: &str| {
        let digits = hex.trim_start_matches('#');
        let full: String =
            if digits.len() == 3 { digits.chars().flat_map(|c| [c, c]).collect() } else { digits.into() };
        let linear = |i: usize| {
            let value = f64::from(u8::from_str_radix(&full[i..i + 2], 16).unwrap()) / 255.0;
            if value <= 0.03928 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(0) + 0.7152 * linear(2) + 0.0722 * linear(4)
    };
    let (light, dark) = style.split_once("prefers-color-scheme: dark").unwrap();
    for scheme in [light, dark] {
        let colour = |name: &str| {
            let start = scheme.find(&format!("{name}: #")).unwrap_or_else(|| panic!("{name}")) + name.len() + 2;
            scheme[start..].split(';').next().unwrap()
        };
        for name in ["--ink", "--soft", "--vermilion-text", "--green-text", "--blue"] {
            for paper in ["--paper", "--tint", "--plain"].map(colour) {
                let (a, b) = (luminance(paper) + 0.05, luminance(colour(name)) + 0.05);
                let ratio = a.max(b) / a.min(b);
                assert!(ratio >= 4.5, "{name} on {paper}: {ratio:.2}");
            }
        }
    }
}

/// Nothing on the console, nothing asked of a network, nothing to scroll sideways.
fn is_quiet_and_fits(browser: &mut browser::Browser, name: &str) {
    let width = browser.ask("document.documentElement.clientWidth");
    // an element that sticks out of the page counts, even where the page hides it
    let widest = browser.ask(
        "Math.max(document.documentElement.scrollWidth, document.body.scrollWidth, \
         ...Array.from(document.querySelectorAll('main *')).filter(e => !e.closest('.unseen') && e.getClientRects().length) \
         .map(e => Math.floor(e.getBoundingClientRect().right)))",
    );
    assert!(widest.as_f64().unwrap() <= width.as_f64().unwrap(), "{name}: {widest} wide in {width}");
    assert_eq!(browser.heard, Vec::<String>::new(), "{name}");
}

#[test]
fn opens_on_phone_and_laptop() {
    let Some(mut browser) = browser::browser("opens_on_phone_and_laptop") else { return };
    let dir = tempfile::tempdir().unwrap();
    let nasty = hostile(dir.path());
    let mut pages: Vec<(String, Page)> =
        plans().iter().map(|plan| (plan.display().to_string(), page(plan, &[]))).collect();
    let (a, b) = (profile("single-wetsuit.toml"), profile("mountain-lake.toml"));
    pages.push(("compared".into(), page(&a, &["--compare", b.to_str().unwrap()])));
    pages.push(("US units".into(), page(&b, &["--units", "us", "--compare", a.to_str().unwrap()])));
    pages.push(("hostile".into(), page(&nasty, &[])));
    for (i, (name, page)) in pages.iter().enumerate() {
        for (width, height, dark) in [(360, 740, false), (1280, 800, false), (768, 1024, true)] {
            browser.prefer_dark(dark);
            browser.open(&page.path, width, height);
            is_quiet_and_fits(&mut browser, name);
            assert_eq!(browser.ask("document.getElementById('moment').hidden"), false, "{name}");
            browser.keep_picture(&format!("{i}-{width}.png"));
        }
    }
    // the last one open is the hostile one: its words are on the page as they were written
    let title = browser.text("h1");
    assert!(
        title.contains("</script><script>alert(1)</script> \"q\" 'a' <img src=x onerror=alert(2)> &lt; \u{2028} -->"),
        "{title}"
    );
    assert_eq!(browser.ask("document.scripts.length"), 2);
    assert_eq!(browser.ask("document.images.length"), 0);
}

#[test]
fn nothing_else_can_run_or_load() {
    let Some(mut browser) = browser::browser("nothing_else_can_run_or_load") else { return };
    let page = page(&profile("single-wetsuit.toml"), &[]);
    browser.open(&page.path, 1280, 800);
    let blocked = browser.ask(
        "(async () => { \
           const seen = []; \
           document.addEventListener('securitypolicyviolation', e => seen.push(e.effectiveDirective)); \
           await fetch('http://127.0.0.1:9/').catch(() => 0); \
           const put = (tag, more) => document.body.appendChild(Object.assign(document.createElement(tag), more)); \
           put('script', { textContent: 'window.ran = 1' }); \
           put('img', { src: 'http://127.0.0.1:9/a.png' }); \
           put('style', { textContent: 'body { color: red }' }); \
           put('iframe', { src: 'http://127.0.0.1:9/' }); \
           await new Promise(done => setTimeout(done, 300)); \
           return [seen.sort(), window.ran === undefined]; })()",
    );
    let expected =
        serde_json::json!([["connect-src", "frame-src", "img-src", "script-src-elem", "style-src-elem"], true]);
    assert_eq!(blocked, expected);
}

/// What the panel shows now.
fn panel(browser: &mut browser::Browser) -> Value {
    browser.ask(
        "Object.fromEntries(Array.from(document.querySelectorAll('[id^=v-]')).map(e => [e.id.slice(2), e.textContent]))",
    )
}

/// A number with its unit, as the panel must show it.
fn with_unit(value: &Value, decimals: usize, unit: &str, signed: bool) -> String {
    let text = shown(value, decimals);
    let is_zero = !text.contains(|c: char| c.is_ascii_digit() && c != '0');
    let text = if is_zero { text.replace('−', "") } else { text };
    let plus = if signed && !is_zero && !text.starts_with('−') { "+" } else { "" };
    format!("{plus}{text} {unit}")
}

/// A number of SI in another unit: exact by definition (international yard and pound agreement, 1959; the psi by its parts).
fn in_unit(si: &Value, unit: &str) -> Value {
    let size = match unit {
        "lb" => 0.453_592_37,
        "ft" => 0.3048,
        "bar" => 1e5,
        "psi" => 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254),
        _ => 1.0,
    };
    Value::from(si.as_f64().unwrap() / size)
}

fn clock(seconds: &Value) -> String {
    let seconds = seconds.as_f64().unwrap().round() as i64;
    format!("{}:{:02} min", seconds / 60, seconds % 60)
}

#[test]
fn the_moments_are_those_of_the_result() {
    let Some(mut browser) = browser::browser("the_moments_are_those_of_the_result") else { return };
    for plan in plans() {
        for (units, mass, depth, depth_decimals) in [("metric", "kg", "m", 1), ("us", "lb", "ft", 0)] {
            let page = page(&plan, &["--units", units]);
            let result = result(&plan, &["--units", units]);
            browser.open(&page.path, 1280, 800);
            let name = plan.display();
            for point in ["heavy point", "light point"] {
                let found = &result["findings"][point.replace(' ', "_")];
                browser.ask(&format!(
                    "Array.from(document.querySelectorAll('#marks button')).find(b => b.textContent.includes('{point}')).click()"
                ));
                let now = panel(&mut browser);
                let bare = with_unit(&in_unit(&found["net_wing_empty_kg"], mass), 1, mass, true);
                assert_eq!(now["bare"], bare, "{name}: {point}");
                assert_eq!(now["time"], clock(&found["time_s"]), "{name}: {point}");
                let deep = with_unit(&in_unit(&found["depth_m"], depth), depth_decimals, depth, false);
                assert_eq!(now["depth"], deep, "{name}: {point}");
                // who floats where the dive must be stayed down is told so, and marked
                let floats = point == "light point" && found["net_wing_empty_kg"].as_f64().unwrap() > 0.0;
                let words: &[&str] = match floats {
                    true => &["! the diver floats off", "! the diver presses against the ceiling"],
                    false => &["the diver sinks"],
                };
                let light = now["light"].as_str().unwrap();
                assert!(words.iter().any(|words| light.starts_with(words)), "{name}: {light}");
                let marked =
                    browser.ask("document.getElementById('v-light').parentElement.classList.contains('beyond')");
                assert_eq!(marked, floats, "{name}: {point}");
                // what is read out is what is shown
                let spoken = browser.ask("document.getElementById('time').getAttribute('aria-valuetext')");
                assert!(spoken.as_str().unwrap().contains(&bare), "{name}: {spoken}");
                // the bars add up to the net below them; each is rounded to a tenth
                let bars = browser.ask(
                    "Array.from(document.querySelectorAll('.bar .amount')).map(e => \
                     e.textContent === '—' ? 0 : Number(e.textContent.replace('−', '-')))",
                );
                let bars: Vec<f64> = bars.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
                let parts = bars.len() - 2;
                let sum: f64 = bars[..parts].iter().sum();
                assert!((sum - bars[parts]).abs() <= 0.05 * (parts as f64 + 1.0) + 1e-9, "{name}: {bars:?}");
            }
            browser.ask(
                "Array.from(document.querySelectorAll('#marks button')).find(b => b.textContent.includes('largest load')).click()",
            );
            let wing = &result["findings"]["failed_wing"];
            let load = with_unit(&in_unit(&wing["worst_load_kg"], mass), 1, mass, false);
            let now = panel(&mut browser);
            assert_eq!(now["load"], load, "{name}");
            let words = match wing["verdict"].as_str().unwrap() {
                "can-swim" => "within the limit",
                "after-ditching" => "within it after letting go",
                _ => "beyond",
            };
            assert!(now["verdict"].as_str().unwrap().contains(words), "{name}: {}", now["verdict"]);
            the_end_is_the_result(&mut browser, &result, units, &name.to_string());
            assert_eq!(browser.heard, Vec::<String>::new(), "{name}");
        }
    }
}

/// At the end of the dive the pressures are those of the result.
fn the_end_is_the_result(browser: &mut browser::Browser, result: &Value, units: &str, name: &str) {
    browser.ask("document.getElementById('time').focus()");
    browser.press("End", 35);
    let now = panel(browser);
    assert_eq!(now["time"], clock(&result["run"]["duration_s"]), "{name}");
    let unit = if units == "us" { "psi" } else { "bar" };
    for (i, cylinder) in result["findings"]["cylinders"].as_array().unwrap().iter().enumerate() {
        let there = now[format!("gauge-{i}")].as_str().unwrap();
        // carried to the end, or not any more
        let expected = with_unit(&in_unit(&cylinder["last_gauge_pa"], unit), 0, unit, false);
        assert!(there == expected || there == "not carried", "{name}: {there} against {expected}");
    }
}

#[test]
fn the_series_behind_the_slider_is_the_series() {
    for plan in plans() {
        let page = page(&plan, &[]);
        let data = page.html.split("id=\"moments\">").nth(1).unwrap().split("</script>").next().unwrap();
        let data: Value = serde_json::from_str(data).unwrap();
        let rows = data["rows"].as_array().unwrap();
        assert!(rows.len() <= 600, "{}: {} rows", plan.display(), rows.len());
        let out = page.dir.path().join("out");
        quiet_in(page.dir.path(), &["run", plan.to_str().unwrap(), "--out", out.to_str().unwrap()]);
        let mut reader = csv::Reader::from_path(out.join("series.csv")).unwrap();
        let header = reader.headers().unwrap().clone();
        let column = |name: &str| header.iter().position(|c| c == name).unwrap_or_else(|| panic!("{name}"));
        let mut pairs = vec![
            ("depth", "depth_m"),
            ("ambient", "ambient_bar"),
            ("bare", "net_wing_empty_kg"),
            ("net", "net_kg"),
            ("wing", "wing_l"),
            ("suit", "suit_l"),
            ("load", "swim_up_load_kg"),
        ];
        if header.iter().any(|name| name == "loop_l") {
            pairs.push(("oxygen", "loop_oxygen_partial_bar"));
        }
        let names = data["columns"].as_array().unwrap();
        let shown = |name: &str| names.iter().position(|one| one == name).unwrap_or_else(|| panic!("{name}"));
        let wanted: Vec<usize> = pairs.iter().map(|(_, name)| column(name)).collect();
        let on_page: Vec<usize> = pairs.iter().map(|(name, _)| shown(name)).collect();
        let time = column("time_min");
        let series: Vec<Vec<f64>> = reader
            .records()
            .map(|record| {
                let record = record.unwrap();
                let number = |i: usize| record[i].parse::<f64>().unwrap();
                std::iter::once(time).chain(wanted.iter().copied()).map(number).collect()
            })
            .collect();
        for row in rows {
            let minute = row[0].as_f64().unwrap() / 60.0;
            let here: Vec<f64> = on_page.iter().map(|&i| row[i].as_f64().unwrap()).collect();
            // both are rounded: the page to 1e-4, the series to 1e-4 and finer, times to 1e-5 min
            let close = |other: &&Vec<f64>| {
                (other[0] - minute).abs() < 1.1e-5 && here.iter().zip(&other[1..]).all(|(a, b)| (a - b).abs() < 1.6e-4)
            };
            assert!(series.iter().any(|other| close(&other)), "{}: {row}", plan.display());
        }
    }
}

#[test]
fn keys_pointer_and_finger_move_it() {
    let Some(mut browser) = browser::browser("keys_pointer_and_finger_move_it") else { return };
    let page = page(&profile("single-wetsuit.toml"), &[]);
    browser.open(&page.path, 1280, 800);
    let seconds = |browser: &mut browser::Browser| {
        let text = browser.text("#v-time");
        let (minutes, seconds) = text.trim_end_matches(" min").split_once(':').unwrap();
        60 * minutes.parse::<i64>().unwrap() + seconds.parse::<i64>().unwrap()
    };
    let pointer =
        |browser: &mut browser::Browser| browser.ask("document.querySelector('.wide .pointer').getAttribute('x1')");

    assert_eq!(seconds(&mut browser), 0);
    browser.ask("document.getElementById('time').focus()");
    let start = pointer(&mut browser);
    browser.press("ArrowRight", 39);
    let one = seconds(&mut browser);
    assert!(one > 0 && one <= 10, "{one}");
    assert_ne!(pointer(&mut browser), start, "the pointer on the figure moves along");
    browser.press("PageUp", 33);
    assert!((seconds(&mut browser) - one - 60).abs() <= 6);
    browser.press("ArrowLeft", 37);
    browser.press("End", 35);
    let end = seconds(&mut browser);
    let slider = browser.ask("Number(document.getElementById('time').value)").as_f64().unwrap();
    assert!((slider - end as f64).abs() <= 0.5, "the slider's thumb goes along");
    browser.press("Home", 36);
    assert_eq!(seconds(&mut browser), 0);

    // the slider itself, and the figure: the middle of the plot is the middle of the dive
    let (x, y, width) = browser.place("#time");
    browser.click(x + 0.25 * width, y);
    assert!((seconds(&mut browser) as f64 / end as f64 - 0.75).abs() < 0.02);
    let (x, y, width) = browser.place(".wide svg");
    let middle = "(() => { const d = document.querySelector('.wide svg').dataset; \
                  return (Number(d.plotLeft) + Number(d.plotRight)) / 2 / document.querySelector('.wide svg').viewBox.baseVal.width; })()";
    let middle = x - 0.5 * width + browser.ask(middle).as_f64().unwrap() * width;
    browser.click(middle, y);
    assert!((seconds(&mut browser) as f64 / end as f64 - 0.5).abs() < 0.02);
    // moved by anything but the focused slider, the page tells it once at rest
    browser.ask("document.activeElement.blur()");
    browser.click(middle + 100.0, y);
    let told =
        browser.ask("new Promise(done => setTimeout(() => done(document.getElementById('live').textContent), 900))");
    assert!(told.as_str().unwrap().contains("If the wing failed now"), "{told}");

    // a finger, on a phone
    browser.open(&page.path, 360, 740);
    let (x, y, width) = browser.place(".upright svg");
    browser.swipe(&[(x - 0.3 * width, y), (x - 0.1 * width, y), (x + 0.1 * width, y)]);
    let there = seconds(&mut browser);
    assert!(there > end / 3 && there < end, "{there} of {end}");
    assert_eq!(browser.heard, Vec::<String>::new());
}

/// Upper and lower edge of what a selector finds, from the upper edge of the window.
fn edges(browser: &mut browser::Browser, selector: &str) -> (f64, f64) {
    let edges = browser.ask(&format!(
        "(b => [b.top, b.bottom])(document.querySelector({}).getBoundingClientRect())",
        serde_json::json!(selector)
    ));
    (edges[0].as_f64().unwrap(), edges[1].as_f64().unwrap())
}

#[test]
fn figure_and_verdict_are_seen_together() {
    let Some(mut browser) = browser::browser("figure_and_verdict_are_seen_together") else { return };
    for plan in plans() {
        let page = page(&plan, &[]);
        for (width, height, shown) in [(1280, 720, ".wide"), (360, 740, ".upright")] {
            let name = format!("{} at {width} × {height}", plan.display());
            browser.open(&page.path, width, height);
            // a picture on the first screen: on a phone at least its half
            let (top, bottom) = edges(&mut browser, &format!("{shown} svg"));
            assert!(top >= 0.0 && 0.5 * (top + bottom) < f64::from(height), "{name}: {top} to {bottom}");
            // and while the slider moves all of it, with the verdict, which does not move what is above it
            browser.ask("document.getElementById('figure').scrollIntoView({ block: 'start', behavior: 'instant' })");
            let slider = edges(&mut browser, "#time");
            for share in [0.0, 0.1, 0.4, 0.8, 1.0] {
                browser.ask(&format!(
                    "(s => {{ s.value = {share} * s.max; s.dispatchEvent(new Event('input')); }})(document.getElementById('time'))"
                ));
                let (top, _) = edges(&mut browser, &format!("{shown} svg"));
                let (_, bottom) = edges(&mut browser, ".verdicts");
                assert!(top >= -1.0 && bottom <= f64::from(height), "{name}, {share}: {top} to {bottom}");
                assert_eq!(edges(&mut browser, "#time"), slider, "{name}: the slider stays under the finger");
                let (_, marks) = edges(&mut browser, "#marks");
                assert!(marks > bottom - 1.0, "{name}: nothing lies over the verdict");
            }
        }
    }
}

#[test]
fn a_drag_marks_no_text() {
    let Some(mut browser) = browser::browser("a_drag_marks_no_text") else { return };
    let page = page(&profile("single-wetsuit.toml"), &[]);
    browser.open(&page.path, 1280, 720);
    for selector in [".wide svg", "#time"] {
        let (x, y, width) = browser.place(selector);
        browser.drag((x - 0.3 * width, y), (x + 0.3 * width, y + 40.0));
        assert_eq!(browser.ask("getSelection().toString()"), "", "{selector}");
        assert_ne!(browser.text("#v-time"), "0:00 min", "{selector}: it moved");
    }
}

/// WCAG 2.1, 1.4.4: text of twice the size loses nothing. Twice in two ways: the whole page enlarged, which leaves half
/// the pixels, and the reader's own size of letters.
#[test]
fn letters_of_twice_the_size_fit() {
    let Some(mut browser) = browser::browser("letters_of_twice_the_size_fit") else { return };
    for plan in ["cold-trimix.toml", "coastal-cave.toml"] {
        let page = page(&profile(plan), &[]);
        browser.open(&page.path, 640, 360);
        is_quiet_and_fits(&mut browser, plan);
        for width in [1280, 768] {
            browser.open(&page.path, width, 800);
            browser.ask("document.documentElement.style.fontSize = '200%'");
            is_quiet_and_fits(&mut browser, plan);
            let cut = browser.ask(
                "Array.from(document.querySelectorAll('main *')).filter(e => !e.closest('.unseen, svg') && e.children.length === 0 \
                 && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline').map(e => e.textContent)",
            );
            assert_eq!(cut, serde_json::json!([]), "{plan} at {width}");
        }
    }
}

#[test]
fn every_control_is_reached_by_the_keyboard() {
    let Some(mut browser) = browser::browser("every_control_is_reached_by_the_keyboard") else { return };
    let page = page(&profile("cold-trimix.toml"), &[]);
    browser.open(&page.path, 1280, 720);
    let controls = browser.ask("document.querySelectorAll('input, button, summary').length").as_u64().unwrap();
    assert!(controls >= 4, "{controls}");
    for i in 0..controls {
        browser.press("Tab", 9);
        let seen = browser.ask(
            "(e => [Array.from(document.querySelectorAll('input, button, summary')).indexOf(e), \
             getComputedStyle(e).outlineStyle])(document.activeElement)",
        );
        assert_eq!(seen, serde_json::json!([i, "solid"]));
    }
}

#[test]
fn the_dark_page_is_dark_and_prints_light() {
    let Some(mut browser) = browser::browser("the_dark_page_is_dark_and_prints_light") else { return };
    let page = page(&profile("single-wetsuit.toml"), &[]);
    browser.prefer_dark(true);
    browser.open(&page.path, 1280, 720);
    let colours =
        "[getComputedStyle(document.querySelector('main')).backgroundColor, getComputedStyle(document.body).color]";
    assert_eq!(browser.ask(colours), serde_json::json!(["rgb(25, 27, 30)", "rgb(233, 231, 226)"]));
    browser.call(
        "Emulation.setEmulatedMedia",
        serde_json::json!({
            "media": "print", "features": [{ "name": "prefers-color-scheme", "value": "dark" }]
        }),
    );
    assert_eq!(browser.ask("getComputedStyle(document.body).color"), "rgb(34, 34, 34)");
    assert_eq!(browser.ask("getComputedStyle(document.querySelector('figure svg')).filter"), "none");
}
