//! Pieces of lead as people write them: `2 kg`, `5 x 1 kg`, `3 × 2 lb`.

use crate::plan::unit::Mass;
use crate::plan::written::{QuantityError, Written};

/// How many of a mass, `5 x 1 kg`, or one: the count, and what is left of the text. A count that is none, or above `most`,
/// is left in the text, which is then no mass.
pub fn counted(text: &str, most: usize) -> (usize, &str) {
    let several = text.split_once(['x', '×', '*']).and_then(|(count, mass)| {
        let count = count.trim().parse().ok().filter(|count| (1..=most).contains(count))?;
        Some((count, mass))
    });
    several.unwrap_or((1, text))
}

/// A mass, kg.
///
/// # Errors
/// What is wrong with it, and what would be right.
pub fn mass_kg(text: &str) -> Result<f64, String> {
    match Written::<Mass>::parse(text.trim()).estimate() {
        Ok(estimate) => Ok(estimate.value),
        Err(QuantityError::NoUnit { .. }) => Err("a mass needs its unit, such as 0.5 kg or 1 lb".into()),
        Err(error) => Err(format!("{error}; a mass is such as 0.5 kg or 1 lb")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_may_be_counted() {
        for (text, expected) in [
            ("5 x 2 kg", (5, " 2 kg")),
            ("5x2 kg", (5, "2 kg")),
            ("3 × 1 lb", (3, " 1 lb")),
            ("2*1 kg", (2, "1 kg")),
            ("2 kg", (1, "2 kg")),
            // told as no mass
            ("0 x 2 kg", (1, "0 x 2 kg")),
            ("1.5 x 2 kg", (1, "1.5 x 2 kg")),
            ("500 x 2 kg", (1, "500 x 2 kg")),
        ] {
            assert_eq!(counted(text, 99), expected);
        }
        assert_eq!(counted("500 x 2 kg", 9_999), (500, " 2 kg"));
        assert!(mass_kg("0 x 2 kg").is_err() && mass_kg("2").unwrap_err().contains("unit"));
        assert_eq!(mass_kg(" 2 kg "), Ok(2.0));
    }
}
