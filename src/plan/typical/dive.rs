//! Water, breathing, speeds and stops of a plan that leaves them out.
//!
//! Breathing: on an easy dive 17 L/min at ambient pressure, at a stop 13, log-normal ± 45 % between divers (our own
//! judgement for the easy dive; beside fin-swimming against 5 kg 23.7 ± 5.9 SD and 31.5 ± 7.1 SD, Koch 2022, seen, and a swim
//! at one's own pace 29.6, computed from oxygen uptake, Knafelc, seen; scatter between people 23 to 25 %, seen). Drawn here as
//! a normal distribution with the same half-width for 95 %: its middle half is the same within 0.3 L/min; the log-normal's
//! 95 % would be 10.8 to 26.7 instead of 9.4 to 24.7 L/min. At either pair of ends the least lead of 30 min at 18 m with 12 L is
//! the same (computed): with less breathed than planned the reserve decides, and with more the cylinder is empty.

use super::Typical;
use crate::estimate::Estimate;
use crate::units::{LITRE_M3, MINUTE_S, Quantity, ZERO_CELSIUS_K};

/// Salinity where a plan has no site.
pub const SITE_SALINITY: Typical = Typical {
    name: "salinity, no site written",
    quantity: Quantity::Salinity,
    estimate: Estimate::normal(35.0, 3.0),
    source: "typical, our own judgement: the open sea; the plan has no [site]",
};
/// Temperature where a plan says none.
pub const SITE_TEMPERATURE: Typical = Typical {
    name: "temperature of the water",
    quantity: Quantity::Temperature,
    estimate: Estimate::normal(ZERO_CELSIUS_K + 15.0, 8.0),
    source: "typical, our own judgement: the plan says none",
};

const fn rate(name: &'static str, litres_min: f64, source: &'static str) -> Typical {
    let rate_m3_s = litres_min * LITRE_M3 / MINUTE_S;
    Typical { name, quantity: Quantity::FlowRate, estimate: Estimate::normal(rate_m3_s, 0.45 * rate_m3_s), source }
}

const RATE_SOURCE: &str = "typical, our own judgement: an easy dive; people differ by ± 45 %";

/// Breathing rates by the kind of leg, where a plan has none.
pub const RATES: [(&str, Typical); 4] = [
    ("descent", rate("breathing, descent", 17.0, RATE_SOURCE)),
    ("bottom", rate("breathing, bottom", 17.0, RATE_SOURCE)),
    ("ascent", rate("breathing, ascent", 17.0, RATE_SOURCE)),
    ("stop", rate("breathing, stop", 13.0, "typical, our own judgement: at rest; people differ by ± 45 %")),
];

const fn habit(name: &'static str, quantity: Quantity, value: f64) -> Typical {
    // as planned, so it carries no doubt
    Typical { name, quantity, estimate: Estimate::exact(value), source: "common practice" }
}

/// Speed of the way down of a short dive.
pub const DESCENT_SPEED: Typical = habit("descent speed", Quantity::Speed, 18.0 / MINUTE_S);
/// Speed of the way up of a short dive.
pub const ASCENT_SPEED: Typical = habit("ascent speed", Quantity::Speed, 9.0 / MINUTE_S);
/// Last stop of a short dive.
pub const LAST_STOP: Typical = habit("last stop", Quantity::Length, 5.0);
/// How long a last stop is whose minutes nobody lists.
pub const LAST_STOP_TIME: Typical = habit("time at the last stop", Quantity::Duration, 3.0 * MINUTE_S);

/// Most gas of the wing of a single cylinder.
pub const WING_CAPACITY: Typical = Typical {
    name: "capacity of the wing",
    quantity: Quantity::Volume,
    estimate: Estimate::normal(18.0 * LITRE_M3, 4.0 * LITRE_M3),
    source: "typical, our own judgement: wings of single cylinders",
};
