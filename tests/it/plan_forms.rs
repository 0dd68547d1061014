//! One dive written in different ways is one dive: metric and US units, legs and CSV, shorthand and layers, gear list and
//! figures, changes by leg, by time and by depth.

use std::path::PathBuf;

use lightpoint::internals::estimate::{Origin, Shape};
use lightpoint::internals::plan::{Built, Note, Plan};
use lightpoint::internals::profile::Move;
use lightpoint::internals::rig::Body;
use lightpoint::internals::scenario::Scenario;

const SITE: &str = "[site]\nwater = \"sea\"\ntemperature = \"10 °C\"\n";
const DIVER: &str = "[diver]\nmass = \"80 kg\"\nvolume = \"79.5 L\"\n";
const BACK: &str = "[[cylinder]]\nname = \"back\"\nsize = \"steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\n";
const STAGE: &str = "[[cylinder]]\nname = \"stage\"\nsize = \"aluminium 80 cuft\"\ngas = \"nitrox 50\"\nfill = \"200 bar\"\nremovable = true\n";
const RATE: &str = "[breathing]\nrate = \"18 L/min\"\n";
const LEGS: &str = "[dive]\n[[dive.leg]]\nto = \"20 m\"\nover = \"2 min\"\nbreathe = \"back\"\n[[dive.leg]]\nstay = \"10 min\"\n[[dive.leg]]\nto = \"0 m\"\nover = \"4 min\"\n";

fn build_in(dir: PathBuf, parts: &[&str]) -> Built {
    let plan = Plan::parse(&parts.join("\n"), "plan.toml", dir).unwrap_or_else(|problems| panic!("{problems}"));
    plan.build().unwrap_or_else(|problems| panic!("{problems}"))
}

fn build(parts: &[&str]) -> Built {
    build_in(PathBuf::new(), parts)
}

fn folder(name: &str, files: &[(&str, &str)]) -> PathBuf {
    let dir = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::create_dir_all(&dir).unwrap();
    for (file, text) in files {
        std::fs::write(dir.join(file), text).unwrap();
    }
    dir
}

/// Equal within rounding of decimal unit conversions.
fn same(a: &Scenario, b: &Scenario) {
    let close = |what: &str, a: f64, b: f64| {
        assert!((a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-3), "{what}: {a} against {b}");
    };
    for (what, a, b) in
        [("fixed", a.fixed().bulk, b.fixed().bulk), ("ditchable", a.fixed().ditchable(), b.fixed().ditchable())]
    {
        close(what, a.mass_kg, b.mass_kg);
        close(what, a.volume_m3, b.volume_m3);
        close(what, a.lift_kg, b.lift_kg);
    }
    close("surface", a.water().surface_pa(), b.water().surface_pa());
    close("density", a.water().density_kg_m3(0, 15.0), b.water().density_kg_m3(0, 15.0));
    assert_eq!(a.segments().len(), b.segments().len());
    for (a, b) in a.segments().iter().zip(b.segments()) {
        assert_eq!((a.leg, a.layer, a.source), (b.leg, b.layer, b.source));
        close("end", a.end_s, b.end_s);
        close("depth", a.end_m, b.end_m);
        close("rate", a.rate_m3_s, b.rate_m3_s);
    }
    assert_eq!(a.rig().cylinders.len(), b.rig().cylinders.len());
    for (i, (one, other)) in a.rig().cylinders.iter().zip(&b.rig().cylinders).enumerate() {
        assert_eq!(
            (one.name(), one.count(), one.is_carried_at_start(), one.is_removable()),
            (other.name(), other.count(), other.is_carried_at_start(), other.is_removable())
        );
        close("water", one.water_m3(), other.water_m3());
        close("shell", one.shell_kg(), other.shell_kg());
        close("external", one.external_m3(), other.external_m3());
        close("gas", a.filled_mol(i), b.filled_mol(i));
        close("reserve", one.reserve_gauge_pa(), other.reserve_gauge_pa());
    }
    let wing_m3 = |dive: &Scenario| dive.rig().wing.map_or(0.0, |wing| wing.capacity_m3());
    close("wing", wing_m3(a), wing_m3(b));
    close("swim up", a.rig().swim_up_kg, b.rig().swim_up_kg);
    close("head", a.rig().head_out_m3, b.rig().head_out_m3);
}

#[test]
fn metric_and_us_units_are_one_plan() {
    // exact factors: 0.453 592 37 kg/lb, 0.3048 m/ft, 28.316 846 592 L/ft³, 6 894.757 293 168 36 Pa/psi
    let metric = build(&[
        "[site]\ndensity = \"1025.1816559334488 kg/m3\"\ntemperature = \"10 °C\"\n",
        "[diver]\nmass = \"81.6466266 kg\"\nvolume = \"79.2871704576 L\"\nswim_up = \"6.80388555 kg\"\n",
        "[[ballast]]\nname = \"belt\"\nmass = \"0.90718474 kg\"\ncount = 4\nditchable = true\n",
        "[wing]\nmass = \"1.81436948 kg\"\nvolume = \"1.64 L\"\ncapacity = \"19.8217926144 L\"\nsupply = \"back\"\n",
        "[[cylinder]]\nname = \"back\"\nwater = \"11.03 L\"\nmass = \"15.10462592 kg\"\nexternal = \"16.5 L\"\ngas = \"air\"\nfill = \"206.8427187950508 bar\"\nfill_temperature = \"25 °C\"\nreserve = \"34.4737864658418 bar\"\n",
        "[breathing]\nrate = \"16.9901079552 L/min\"\n",
        "[dive]\nlast_stop = \"4.572 m\"\n[[dive.leg]]\nto = \"18.288 m\"\nspeed = \"18.288 m/min\"\n[[dive.leg]]\nstay = \"20 min\"\n[[dive.leg]]\nto = \"4.572 m\"\nspeed = \"9.144 m/min\"\n[[dive.leg]]\nstay = \"3 min\"\n[[dive.leg]]\nto = \"0 m\"\nspeed = \"9.144 m/min\"\n",
    ]);
    let us = build(&[
        "[site]\ndensity = \"64 lb/cuft\"\ntemperature = \"50 °F\"\n",
        "[diver]\nmass = \"180 lb\"\nvolume = \"2.8 cuft\"\nswim_up = \"15 lb\"\n",
        "[[ballast]]\nname = \"belt\"\nmass = \"32 oz\"\ncount = 4\nditchable = true\n",
        "[wing]\nmass = \"4 lb\"\nvolume = \"1640 mL\"\ncapacity = \"0.7 cuft\"\nsupply = \"back\"\n",
        "[[cylinder]]\nname = \"back\"\nwater = \"11.03 L\"\nmass = \"33.3 lb\"\nexternal = \"16.5 L\"\ngas = \"air\"\nfill = \"3000 psi\"\nfill_temperature = \"77 °F\"\nreserve = \"500 psi\"\n",
        "[breathing]\nrate = \"0.6 cuft/min\"\n",
        "[dive]\nlast_stop = \"15 ft\"\n[[dive.leg]]\nto = \"60 ft\"\nspeed = \"60 ft/min\"\n[[dive.leg]]\nstay = \"20 min\"\n[[dive.leg]]\nto = \"15 ft\"\nspeed = \"30 ft/min\"\n[[dive.leg]]\nstay = \"3:00\"\n[[dive.leg]]\nto = \"0 ft\"\nspeed = \"30 ft/min\"\n",
    ]);
    same(&metric.scenario, &us.scenario);
}

#[test]
fn legs_and_csv_are_one_dive() {
    let inline = build(&[
        SITE,
        DIVER,
        BACK,
        STAGE,
        "[dive]\nlast_stop = \"5 m\"\n[[dive.leg]]\nto = \"20 m\"\nover = \"2 min\"\nbreathe = \"back\"\nrate = \"18 L/min\"\n[[dive.leg]]\nstay = \"10 min\"\nrate = \"20 L/min\"\nleave = \"stage\"\n[[dive.leg]]\nto = \"5 m\"\nover = \"90 s\"\nrate = \"18 L/min\"\ntake = [\"stage\"]\n[[dive.leg]]\nstay = \"3 min\"\nbreathe = \"stage\"\nrate = \"15 L/min\"\n[[dive.leg]]\nto = \"0 m\"\nover = \"1 min\"\nrate = \"15 L/min\"\n[[dive.change]]\nleg = 5\nhand_off = \"back\"\n",
    ]);
    let with_units = "time,depth,breathe,rate,leave,take,hand_off\n0 s,0 m,,,,,\n2:00,20 m,back,18 L/min,stage,,\n0:12:00,20 m,back,20 L/min,,stage,\n13.5 min,5 m,back,18 L/min,,,\n16.5 min,500 cm,stage,15 L/min,,,back\n17.5 min,0 m,stage,15 L/min,,,\n";
    // a byte order mark, quotes, Windows line ends, a comment, empty lines, other header spellings
    let bare = "\u{feff}# a log\r\nTime (min),\"Depth m\",breathe,rate_l_min,leave,take,hand off\r\n0,0,,,,,\r\n2,20,\"back\",18,stage,,\r\n12,20,,20,,stage,\r\n\r\n13.5,5,,18,,,\r\n16.5,5,stage,15,,,back\r\n17.5,0,,15,,,\r\n";
    for (name, csv) in [("with_units", with_units), ("bare", bare)] {
        let dir = folder(name, &[("dive.csv", csv)]);
        let file = build_in(dir, &[SITE, DIVER, BACK, STAGE, "[dive]\nlast_stop = \"5 m\"\nprofile = \"dive.csv\"\n"]);
        same(&inline.scenario, &file.scenario);
        assert_eq!(inline.scenario.profile(), file.scenario.profile(), "{name}");
    }
}

#[test]
fn a_change_by_leg_time_or_depth_is_one_change() {
    let with = |change: &str| build(&[SITE, DIVER, BACK, STAGE, RATE, LEGS, change]);
    let by_leg = with("[[dive.change]]\nleg = 3\nleave = \"stage\"\n");
    assert_eq!(by_leg.scenario.profile().changes()[0].time_s, 720.0);
    let by_time = with("[[dive.change]]\nat = \"12 min\"\nleave = \"stage\"\n");
    same(&by_leg.scenario, &by_time.scenario);
    // 20 m in 4 min: 15 m is passed one minute after leaving the bottom, 10 m one minute after leaving the surface
    let up = with("[[dive.change]]\ndepth = \"15 m\"\nway = \"up\"\nleave = \"stage\"\n");
    assert!((up.scenario.profile().changes()[0].time_s - 780.0).abs() < 1e-9);
    let down = with("[[dive.change]]\ndepth = \"10 m\"\nway = \"down\"\nhand_off = \"stage\"\n");
    let change = down.scenario.profile().changes()[0];
    assert!((change.time_s - 60.0).abs() < 1e-9 && change.kind == Move::HandOff && change.cylinder == 1);
}

#[test]
fn a_layer_is_what_the_shorthand_says() {
    let layers = "[[site.layer]]\nfrom = \"0 m\"\nwater = \"sea\"\ntemperature = \"10 °C\"\n";
    same(&build(&[SITE, DIVER, BACK, RATE, LEGS]).scenario, &build(&[layers, DIVER, BACK, RATE, LEGS]).scenario);
}

#[test]
fn a_pool_reading_follows_into_the_sea() {
    // 2.6 kg pulling with 2.2 kg in a pool of 997 kg/m³ displaces 0.4/997 m³, so in 1025 kg/m³ it pulls
    // 2.6 − 1025·0.4/997 kg = 2.188 766 kg
    let gear = "name,mass,in_water,read_in,doubt,scale,kind,note\nplate,2.6 kg,-2.2 kg,pool,50 g,spring scale,measured,weighed twice\n";
    let dir = folder("gear", &[("gear.csv", gear)]);
    let site = "[site]\ndensity = \"1025 kg/m3\"\ntemperature = \"10 °C\"\n";
    let listed =
        build_in(dir, &["gear_list = \"gear.csv\"\n", site, DIVER, BACK, RATE, LEGS, "[[part]]\npiece = \"plate\"\n"]);
    let own = "[[part]]\nname = \"plate\"\nmass = \"2.6 kg\"\nin_water = \"-2.2 kg\"\nread_in = \"997 kg/m3\"\n";
    let own = build(&[site, DIVER, BACK, RATE, LEGS, own]);
    same(&listed.scenario, &own.scenario);
    let plate = listed.scenario.rig().parts.iter().find(|part| part.name == "plate").unwrap();
    assert!((plate.bulk(1e5).net_kg(1025.0) + 2.188_766).abs() < 1e-6);
    let input = listed.inputs.iter().find(|input| input.path == "gear.csv:2:in_water").unwrap();
    assert_eq!((input.origin, input.group.as_deref()), (Origin::Measured, Some("scale spring scale")));
    assert_eq!(input.note.as_deref(), Some("weighed twice"));
    let doubt = input.estimate.doubt.unwrap();
    assert!((doubt.half_width - 0.05).abs() < 1e-12 && doubt.shape == Shape::Rectangular);
}

#[test]
fn a_piece_used_twice_is_one_figure() {
    let gear = "name,mass,volume\nregulator,1.2 kg,0.2 ± 0.05 L\n";
    let dir = folder("twice", &[("gear.csv", gear)]);
    let parts = "[[part]]\npiece = \"regulator\"\ncount = 2\n[[part]]\nname = \"spare\"\npiece = \"regulator\"\n";
    let built = build_in(dir, &["gear_list = \"gear.csv\"\n", SITE, DIVER, BACK, RATE, LEGS, parts]);
    assert_eq!(built.inputs.iter().filter(|input| input.path == "gear.csv:2:volume").count(), 1);
    assert_eq!(built.scenario.rig().parts.iter().map(|part| part.count).collect::<Vec<_>>(), [1, 2, 1]);
}

#[test]
fn a_bare_reading_is_kept_and_named() {
    let part = "[[part]]\nname = \"old light\"\nin_water = \"-0.8 kg\"\n";
    let built = build(&[SITE, DIVER, BACK, RATE, LEGS, part]);
    assert!(built.scenario.rig().parts.iter().any(|p| p.body == Body::Reading { lift_kg: -0.8 }));
    assert!(built.notes.contains(&Note::BareReadings(vec!["old light".into()])));
}

#[test]
fn cylinders_without_a_manifold_are_two_that_share() {
    let side = BACK.replace("\"back\"", "\"side\"") + "count = 2\nmanifold = false\n";
    let legs =
        LEGS.replace("\"back\"", "\"side\"").replace("stay = \"10 min\"", "stay = \"10 min\"\nbreathe = \"side 2\"");
    let built = build(&[SITE, DIVER, &side, RATE, &legs]);
    let names: Vec<&str> = built.scenario.rig().cylinders.iter().map(|c| c.name()).collect();
    assert_eq!(names, ["side 1", "side 2"]);
    assert_eq!(built.scenario.segments()[0].source.len(), 2);
    assert_eq!(built.scenario.segments()[1].source.iter().collect::<Vec<_>>(), [1]);
}

#[test]
fn a_weighed_shell_displaces_more_metal() {
    // half a kilogram more steel of 7850 kg/m³ displaces 0.5/7850 m³ more
    let typical = build(&[SITE, DIVER, BACK, RATE, LEGS]);
    let weighed = build(&[SITE, DIVER, &(BACK.to_owned() + "mass = \"15.4 kg\"\n"), RATE, LEGS]);
    let (a, b) = (&typical.scenario.rig().cylinders[0], &weighed.scenario.rig().cylinders[0]);
    assert!((b.shell_kg() - a.shell_kg() - 0.5).abs() < 1e-9);
    assert!((b.external_m3() - a.external_m3() - 0.5 / 7850.0).abs() < 1e-12);
}

#[test]
fn rates_follow_the_kind_of_leg() {
    let rates =
        "[breathing]\ndescent = \"20 L/min\"\nbottom = \"19 L/min\"\nascent = \"18 L/min\"\nstop = \"15 L/min\"\n";
    let legs = "[dive]\n[[dive.leg]]\nto = \"10 m\"\nover = \"1 min\"\n[[dive.leg]]\nstay = \"1 min\"\n[[dive.leg]]\nto = \"20 m\"\nover = \"1 min\"\n[[dive.leg]]\nstay = \"5 min\"\n[[dive.leg]]\nto = \"5 m\"\nover = \"2 min\"\n[[dive.leg]]\nstay = \"3 min\"\n[[dive.leg]]\nto = \"0 m\"\nover = \"1 min\"\n";
    let built = build(&[SITE, DIVER, BACK, rates, legs]);
    let litres: Vec<f64> = built.scenario.profile().legs().iter().map(|leg| (leg.rate_m3_s * 6e4).round()).collect();
    assert_eq!(litres, [20.0, 19.0, 20.0, 19.0, 18.0, 15.0, 18.0]);
    assert_eq!(built.inputs.iter().filter(|input| input.group.as_deref() == Some("breathing")).count(), 4);
}

#[test]
fn instrument_depths_are_pressures() {
    // EN 13319: 1 bar = 10 m, so in water of 1000 kg/m³ a reading of 20 m is 2e5/(1000·9.80665) = 20.394 m
    let site = "[site]\ndensity = \"1000 kg/m3\"\ntemperature = \"10 °C\"\n";
    let legs = LEGS.replace("[dive]\n", "[dive]\ndepths = \"instrument\"\n");
    let built = build(&[site, DIVER, BACK, RATE, &legs]);
    assert!((built.scenario.profile().max_depth_m() - 20.394_324).abs() < 1e-5);
}

#[test]
fn a_draw_moves_the_uncertain_figures_and_nothing_else() {
    let diver = "[diver]\nmass = \"80 kg\"\nvolume = \"79.5 ± 0.5 L\"\nlung_trim = \"1 L\"\nhead_out = \"8 L\"\n";
    let back = "[[cylinder]]\nname = \"back\"\nwater = \"12 L\"\nmass = \"14.8 kg\"\nexternal = \"13.9 L\"\ngas = \"air\"\nfill = \"200 ± 10 bar\"\nfill_temperature = \"20 °C\"\n";
    let plan = Plan::parse(
        &["gear = \"none\"", diver, &SITE.replace("water = \"sea\"", "salinity = \"35 PSU\""), back, RATE, LEGS]
            .join("\n"),
        "p",
        "",
    )
    .unwrap();
    let built = plan.build().unwrap();
    let paths: Vec<String> = built.uncertain().map(|input| input.path.to_string()).collect();
    assert_eq!(paths, ["cylinder[1].fill", "diver.volume"]);
    let drawn = plan.build_draw(&[2.1e7, 0.0797], &built).unwrap();
    assert_eq!(drawn.rig().cylinders[0].fill_gauge_pa(), 2.1e7);
    assert!((drawn.fixed().bulk.volume_m3 - built.scenario.fixed().bulk.volume_m3 - 0.0002).abs() < 1e-12);
    assert_eq!(drawn.segments(), built.scenario.segments());
    assert!(plan.build_draw(&[2.1e7], &built).is_err(), "too few numbers");
    assert!(plan.build_draw(&[2.1e7, 0.08, 1.0], &built).is_err(), "too many numbers");
    assert!(plan.build_draw(&[-2.1e7, 0.08], &built).is_err(), "an impossible pressure");
}

#[test]
fn set_changes_one_value() {
    let text = [SITE, DIVER, BACK, RATE, LEGS].join("\n");
    let sets =
        [("cylinder.back.fill".to_owned(), "150 bar".to_owned()), ("site.temperature".to_owned(), "12 °C".to_owned())];
    let changed = Plan::parse_with(&text, "plan.toml", "", &sets).unwrap();
    let written = Plan::parse(&text.replace("200 bar", "150 bar").replace("10 °C", "12 °C"), "plan.toml", "").unwrap();
    same(&changed.build().unwrap().scenario, &written.build().unwrap().scenario);
    let plain = Plan::parse(&text, "plan.toml", "").unwrap();
    assert_eq!(plain.checksum(), changed.checksum(), "the checksum is of the file as it is on disk");
    assert_ne!(plain.checksum(), written.checksum());
}

#[test]
fn the_demonstration_builds() {
    let plan = Plan::demonstration(&[]).unwrap();
    assert!(plan.build().is_ok());
    assert_eq!(plan.checksum().len(), 64);
}

#[test]
fn damaged_plans_do_not_panic() {
    let text = include_str!("../../profiles/cold-trimix.toml");
    // every eleventh place cut off, and with a stray byte: a problem or a plan, never a panic
    for (at, _) in text.char_indices().step_by(11) {
        for damaged in [
            text[..at].to_owned(),
            format!("{}\"{}", &text[..at], &text[at..]),
            format!("{}-{}", &text[..at], &text[at..]),
        ] {
            if let Ok(plan) = Plan::parse(&damaged, "damaged", "") {
                let _ = plan.build().map_err(|problems| problems.to_string());
            }
        }
    }
}

/// Three readings of one piece: mean −0.43 kg by hand, deviations 0.01, 0.03, −0.04 kg, so s = √(0.0026/2) = 0.03606 kg
/// and s/√3 = 0.02082 kg; the scale's ±50 g are 0.02887 kg; together 0.03559 kg with 2·(0.03559/0.02082)⁴ = 17.1 degrees
/// of freedom, cut to 17. Student's t for 95 % and 17 is 2.110 (handbook table, from memory), so ±0.0751 kg.
#[test]
fn repeated_readings_are_combined() {
    let dir = tempfile::tempdir().unwrap();
    let list = "name,mass,in_water,read_in,doubt,scale\nlamp,1.2 kg; 1.22 kg,-0.42 kg; -0.40 kg; -0.47 kg,pool,50 g,spring scale\n";
    std::fs::write(dir.path().join("gear.csv"), list).unwrap();
    let text = std::fs::read_to_string("profiles/cold-trimix.toml").unwrap();
    let text = text.replacen("[site]", "gear_list = \"gear.csv\"\n\n[site]", 1) + "\n[[part]]\npiece = \"lamp\"\n";
    let built = Plan::parse(&text, "plan.toml", dir.path()).unwrap().build().unwrap();
    let found = |column: &str| {
        let path = format!("gear.csv:2:{column}");
        built.inputs.iter().find(|input| input.path == *path).unwrap_or_else(|| panic!("{path}")).clone()
    };
    let reading = found("in_water");
    assert_eq!(reading.origin.text(), "measured (3 readings)");
    assert!((reading.estimate.value + 0.43).abs() < 1e-12);
    let half_width = reading.estimate.doubt.unwrap().half_width;
    // the factors above have four figures
    assert!((half_width - 0.0751).abs() < 5e-5, "{half_width}");
    assert_eq!(found("mass").origin.text(), "measured (2 readings)");
    assert!((found("mass").estimate.value - 1.21).abs() < 1e-12);
}

#[test]
fn repeated_readings_that_make_no_sense() {
    let told = |cells: &str| {
        let dir = tempfile::tempdir().unwrap();
        let list = format!("name,mass,in_water,volume,read_in,doubt\nlamp,{cells}\n");
        std::fs::write(dir.path().join("gear.csv"), list).unwrap();
        let text = std::fs::read_to_string("profiles/cold-trimix.toml").unwrap();
        let text = text.replacen("[site]", "gear_list = \"gear.csv\"\n\n[site]", 1) + "\n[[part]]\npiece = \"lamp\"\n";
        match Plan::parse(&text, "plan.toml", dir.path()).and_then(|plan| plan.build()) {
            Ok(_) => panic!("{cells} is taken"),
            Err(problems) => problems.to_string(),
        }
    };
    assert!(told("1.2 kg,,0.3 L; 0.4 L,,").contains("volume takes one figure, not several"));
    assert!(told("1.2 kg,-0.4 kg; -0.5 L,,pool,50 g").contains("is not a unit of mass"));
    assert!(told("1.2 kg,;,,pool,50 g").contains("no reading"));
}

/// A record of many rows is made shorter, and says so; the dive stays the same within the tenth of a gram that is
/// promised, held against the engine's run of every row. Both runs step from second to second, so their own errors are
/// alike; what they may differ by on top is the water's and gas's curvature within a leg, below a hundredth of that.
#[test]
fn a_long_record_is_made_shorter_and_stays_the_same_dive() {
    use lightpoint::internals::profile::{Leg, Profile};
    // whole centimetres every second, as an instrument writes them: down, along a slope, up with waves, a stop
    let depth_m = |s: i32| {
        let t = f64::from(s);
        let m = match s {
            0..=150 => t / 5.0,
            151..=1500 => 30.0 + 6.0 * ((t - 150.0) / 1350.0).powi(2),
            1501..=2400 => 36.0 - 30.0 * (t - 1500.0) / 900.0 + 0.1 * (t / 40.0).sin(),
            2401..=2900 => 6.0,
            _ => (6.0 - (t - 2900.0) * 0.05).max(0.0),
        };
        (m * 100.0).round() / 100.0
    };
    let rows: Vec<(f64, f64)> = (0..=3020).map(|s| (f64::from(s), depth_m(s))).collect();
    let csv: String = rows.iter().map(|(s, m)| format!("{s},{m}\n")).collect();
    let rest = "[suit]\nmass = \"4 kg\"\nvolume = \"4 L\"\ngas_volume = \"12 L\"\nsupply = \"back\"\n[wing]\nmass = \"2 kg\"\nvolume = \"1.8 L\"\ncapacity = \"18 L\"\nsupply = \"back\"\n[[ballast]]\nname = \"belt\"\nmass = \"16 kg\"\n[breathing]\nrate = \"15 L/min\"\n";
    let back = BACK.replace("size = ", "count = 2\nsize = ");
    let dir = folder("record", &[("dive.csv", &format!("time_s,depth_m\n{csv}"))]);
    let built = build_in(dir, &[SITE, DIVER, &back, rest, "[dive]\nlast_stop = \"6 m\"\nprofile = \"dive.csv\"\n"]);
    let short = &built.scenario;
    let note = built.notes.iter().map(ToString::to_string).find(|note| note.contains("rows")).expect("a note");
    assert!(note.starts_with("3021 rows of the profile became "), "{note}");
    assert!(note.contains("no depth moved by more than") && note.ends_with("0.1 g"), "{note}");
    let kept = short.profile().legs().len();
    assert!(kept < 1000, "{note}");

    let leg = short.profile().legs()[0];
    let legs = rows[1..].iter().map(|&(end_s, end_m)| Leg { end_s, end_m, rate_m3_s: 15e-3 / 60.0, ..leg }).collect();
    let whole = Profile::new(0.0, legs, Vec::new()).unwrap();
    let whole = Scenario::new(short.rig().clone(), short.water().clone(), whole, *short.settings()).unwrap();
    let (a, b) = (lightpoint::internals::sim::run(&whole).unwrap(), lightpoint::internals::sim::run(short).unwrap());
    let mut compared = 0;
    for (one, _) in b.series(short, 1.0, &[]) {
        let time_s = one.state.time_s;
        let off_kg = (one.balance.bare_kg() - a.at(&whole, time_s).balance.bare_kg()).abs();
        assert!(off_kg < 1.01e-4, "{off_kg} kg at {time_s} s, {} m", one.state.depth_m);
        compared += 1;
    }
    assert!(compared > 2500, "{compared} moments compared");
    assert_eq!(short.profile().stops(), whole.profile().stops());
}
