//! Plans as nobody draws them first: what a page must stand all the same. All invented.

/// Name and text of each.
pub fn plans() -> Vec<(&'static str, String)> {
    vec![
        ("eight-cylinders.toml", eight_cylinders()),
        ("ten-hours.toml", ten_hours()),
        ("halocline.toml", halocline()),
        ("no-wing.toml", no_wing()),
        ("no-lead-right.toml", no_lead_right()),
        ("us-units.toml", us_units()),
        ("long-names.toml", long_names()),
    ]
}

fn short(title: &str, more: &str, suit: &str, cylinders: &str, dive: &str) -> String {
    format!(
        "title = \"{title} (invented)\"\n{more}\n[diver]\nmass = \"80 kg\"\n[suit]\nkind = \"{suit}\"\n{cylinders}\n[dive]\n{dive}\n"
    )
}

const TWIN: &str =
    "[[cylinder]]\nname = \"back\"\nsize = \"twin steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"220 bar\"";

/// Eight of them, six of which are breathed in turn.
pub fn eight_cylinders() -> String {
    let stages: String = (1..=7)
        .map(|i| {
            format!(
                "[[cylinder]]\nname = \"stage {i}\"\nsize = \"aluminium 11 L 207 bar\"\ngas = \"nitrox {}\"\nfill = \"200 bar\"\n\
                 removable = true\n",
                30 + i
            )
        })
        .collect();
    let legs: String =
        (1..=6).map(|i| format!("[[dive.leg]]\nstay = \"9 min\"\nbreathe = \"stage {i}\"\n")).collect::<String>();
    let legs = format!(
        "last_stop = \"6 m\"\n[[dive.leg]]\nto = \"30 m\"\nspeed = \"15 m/min\"\nbreathe = \"back\"\n{legs}\
         [[dive.leg]]\nto = \"6 m\"\nspeed = \"9 m/min\"\nbreathe = \"back\"\n[[dive.leg]]\nstay = \"5 min\"\n\
         [[dive.leg]]\nto = \"0 m\"\nspeed = \"3 m/min\""
    );
    short("Eight cylinders", "", "dry membrane heavy", &format!("{TWIN}\n{stages}"), &legs)
}

/// Ten hours in shallow water, an axis that must find other ticks, and gas that runs out before the end.
pub fn ten_hours() -> String {
    let breathing = "[breathing]\nrate = \"6 L/min\"\n";
    let dive = "last_stop = \"3 m\"\n[[dive.leg]]\nto = \"4 m\"\nover = \"2 min\"\n[[dive.leg]]\nstay = \"588 min\"\n\
                [[dive.leg]]\nto = \"3 m\"\nover = \"1 min\"\n[[dive.leg]]\nstay = \"8 min\"\n[[dive.leg]]\nto = \"0 m\"\nover = \"1 min\"";
    short("Ten hours", breathing, "dry membrane heavy", TWIN, dive)
}

/// Fresh water over salt, the border of which is crossed four times.
pub fn halocline() -> String {
    let site = "[[site.layer]]\nfrom = \"0 m\"\nwater = \"fresh\"\ntemperature = \"12 °C\"\n[[site.layer]]\nfrom = \"10 m\"\nwater = \"sea\"\ntemperature = \"9 °C\"";
    let legs: String = [16, 6, 14, 5]
        .map(|m| format!("[[dive.leg]]\nto = \"{m} m\"\nspeed = \"9 m/min\"\n[[dive.leg]]\nstay = \"8 min\"\n"))
        .concat();
    let dive = format!("last_stop = \"5 m\"\n{legs}[[dive.leg]]\nto = \"0 m\"\nspeed = \"5 m/min\"");
    short("Four times through a halocline", site, "wet 7 mm", TWIN, &dive)
}

/// A wet suit and no wing at all.
pub fn no_wing() -> String {
    let cylinder = "[[cylinder]]\nsize = \"steel 12 L 232 bar\"\ngas = \"air\"\nfill = \"200 bar\"\n[[ballast]]\nname = \"belt\"\nmass = \"6 kg\"\nditchable = true";
    short("No wing", "gear = \"none\"", "wet 5 mm", cylinder, "depth = \"18 m\"\ntime = \"30 min\"")
}

/// Thick foam, a deep dive and heavy gas: what keeps the last stop is more than can be swum up.
pub fn no_lead_right() -> String {
    let more = "[[ballast]]\nname = \"belt\"\nmass = \"4 kg\"";
    let gas = "[[cylinder]]\nname = \"back\"\nsize = \"twin steel 18 L 232 bar\"\ngas = \"air\"\nfill = \"232 bar\"";
    short(
        "No lead is right",
        more,
        "wet 7 mm two-piece",
        gas,
        "depth = \"45 m\"\ntime = \"20 min\"\nstops = [\"6 m 10 min\"]",
    )
}

/// Written in feet and pounds.
pub fn us_units() -> String {
    "title = \"Feet and pounds (invented)\"\nunits = \"us\"\n[diver]\nmass = \"176 lb\"\n[suit]\nkind = \"wet 7 mm\"\n\
     [[ballast]]\nname = \"belt\"\nmass = \"3 lb\"\ncount = 4\nditchable = true\n[[cylinder]]\nsize = \"aluminium 11 L 207 bar\"\n\
     gas = \"nitrox 32\"\nfill = \"3000 psi\"\n[dive]\ndepth = \"80 ft\"\ntime = \"25 min\"\nstops = [\"15 ft 3 min\"]\n"
        .into()
}

/// Names longer than any place for them.
pub fn long_names() -> String {
    let name = "the large cylinder that hangs on the left side of the harness";
    let cylinders = format!(
        "{TWIN}\n[[cylinder]]\nname = \"{name}\"\nsize = \"aluminium 11 L 207 bar\"\ngas = \"nitrox 50\"\nfill = \"200 bar\"\nremovable = true\n\
         [[ballast]]\nname = \"a weight that somebody described at length and without a single hyphen\"\nmass = \"2 kg\"\nditchable = true"
    );
    let title =
        "A title that goes on and on, as titles of plans do when a whole week of diving is written into one of them";
    short(title, "", "dry membrane heavy", &cylinders, "depth = \"24 m\"\ntime = \"30 min\"")
}
