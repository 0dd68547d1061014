//! Gases by their names: `air`, `nitrox 32`, `EAN32`, `trimix 18/45`, `18/45`, `heliox 16/84`.

use crate::physics::gas::{GasError, GasMix};

/// A gas by its name. `Some(Err)` when the name is one, but its shares do not sum.
pub(crate) fn named_gas(name: &str) -> Option<Result<GasMix, GasError>> {
    let lower = name.trim().to_lowercase();
    match lower.as_str() {
        "air" => return Some(Ok(GasMix::AIR)),
        "oxygen" | "o2" => return Some(Ok(GasMix::OXYGEN)),
        "argon" => return Some(Ok(GasMix::ARGON)),
        "helium" => return Some(Ok(GasMix::HELIUM)),
        _ => {}
    }
    // the shares begin with the first digit, with or without a space before it
    let (kind, shares) = lower.split_at(lower.find(|c: char| c.is_ascii_digit())?);
    match kind.trim_end() {
        "nitrox" | "ean" | "eanx" => {
            let o2 = shares.trim_end().strip_suffix('%').unwrap_or(shares);
            Some(GasMix::new(percent(o2)?, 0.0))
        }
        kind @ ("trimix" | "tx" | "heliox" | "") => {
            let (o2, he) = shares.split_once('/')?;
            let (o2, he) = (percent(o2)?, percent(he)?);
            // a heliox that leaves nitrogen over is a misprint
            if kind == "heliox" && (o2 + he - 1.0).abs() > 1e-3 {
                return Some(Err(GasError::Sum { sum: o2 + he }));
            }
            Some(GasMix::new(o2, he))
        }
        _ => None,
    }
}

fn percent(text: &str) -> Option<f64> {
    let text = text.trim();
    let digits = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    digits.then(|| text.parse::<f64>().ok())?.map(|percent| percent / 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gases_by_name() {
        let nitrox = Some(GasMix::new(0.32, 0.0));
        let trimix = Some(GasMix::new(0.18, 0.45));
        assert_eq!(named_gas("Air"), Some(Ok(GasMix::AIR)));
        for name in ["nitrox 32", "nitrox32", "Nitrox 32 %", "EAN32", "EAN 32", "eanx32"] {
            assert_eq!(named_gas(name), nitrox, "{name}");
        }
        for name in ["trimix 18/45", "trimix 18 / 45", "Trimix18/45", "tx 18/45", "18/45", " 18 / 45 "] {
            assert_eq!(named_gas(name), trimix, "{name}");
        }
        assert!(matches!(named_gas("trimix 60/50"), Some(Err(GasError::Sum { .. }))));
        assert!(matches!(named_gas("heliox 16/80"), Some(Err(_))));
        for nonsense in
            ["nitrox", "nitrox x", "trimix 18", "trimix 18/-4", "steam 5", "", "32", "18/45/37", "nitrox -3"]
        {
            assert!(named_gas(nonsense).is_none(), "{nonsense}");
        }
    }
}
