//! Quantities as text: what the trade writes, what is refused, and that nothing panics.

use proptest::prelude::*;

use lightpoint::internals::estimate::Shape;
use lightpoint::internals::plan::unit::*;
use lightpoint::internals::plan::written::{QuantityError, Written};

fn value<D: Dimension>(text: &str) -> f64 {
    Written::<D>::parse(text).estimate().unwrap_or_else(|error| panic!("{text}: {error}")).value
}

fn error<D: Dimension>(text: &str) -> QuantityError {
    Written::<D>::parse(text).estimate().unwrap_err().clone()
}

#[test]
fn the_trade_writes_its_quantities() {
    let close = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-12;
    assert!(close(value::<Volume>("10.5 L"), 0.0105));
    assert!(close(value::<Pressure>("220 bar"), 2.2e7));
    // 3000 psi = 20.684 27 MPa, by NIST SP 811's factor 6.894 757 E+03 (from memory)
    assert!((value::<Pressure>("3000 psi") / 20.684_271e6 - 1.0).abs() < 1e-7);
    assert_eq!(value::<Length>("100 ft"), 30.48);
    // what is worn is measured in smaller ones; the inch is 25.4 mm, exact by the agreement of 1959
    for text in ["63.5 cm", "635 mm", "25 in", "0.635 m"] {
        assert!(close(value::<Length>(text), 0.635), "{text}");
    }
    assert_eq!(value::<Mass>("-1.2 kg"), -1.2);
    assert_eq!(value::<Mass>("−1.2 kg"), -1.2); // a typographic minus
    assert!(close(value::<Speed>("9 m/min"), 0.15));
    assert!(close(value::<FlowRate>("18L/min"), 3e-4));
    assert!(close(value::<Temperature>("50 °F"), 283.15));
    assert_eq!(value::<Temperature>("7 °C"), 280.15);
    assert_eq!(value::<Duration>("3:30"), 210.0);
    assert_eq!(value::<Duration>("1:02:30"), 3750.0);
    assert_eq!(value::<Duration>("22 min"), 1320.0);
    assert!(close(value::<Density>("64 lb/cuft"), 64.0 * 0.453_592_37 / 0.3048f64.powi(3)));
    assert_eq!(value::<Salinity>("35 PSU"), 35.0);
    // S_R = (35.16504/35)·S_P
    assert!(close(value::<Salinity>("35.16504 g/kg"), 35.0));
    assert_eq!(value::<Fraction>("74 %"), 0.74);
    assert_eq!(value::<Mass>(".5 kg"), 0.5);
    assert_eq!(value::<Mass>("2e-1 kg"), 0.2);
}

#[test]
fn doubts_stand_in_place() {
    let doubt = |text: &str| Written::<Mass>::parse(text).estimate().unwrap().doubt.unwrap();
    let near = |half_width: f64, expected: f64| assert!((half_width - expected).abs() < 1e-12);
    for text in ["-2.6 ± 0.3 kg", "-2.6 +/- 0.3 kg", "-2.6 kg ± 0.3 kg", "-2.6 kg ± 300 g", "-2.6 kg ± 0.3"] {
        near(doubt(text).half_width, 0.3);
        assert_eq!(doubt(text).shape, Shape::Rectangular);
        assert_eq!(value::<Mass>(text), -2.6);
    }
    near(doubt("-2.6 kg ± 10 %").half_width, 0.26);
    assert_eq!(doubt("-2.6 ± 0.3 kg (95%)").shape, Shape::Normal { coverage_frac: 0.95 });
    assert_eq!(doubt("-2.6 ± 0.3 kg (95 %)").shape, Shape::Normal { coverage_frac: 0.95 });
    assert_eq!(doubt("-2.6 ± 0.3 kg (triangular)").shape, Shape::Triangular);
    // a doubt of a temperature is a difference, and of a percentage in points
    let f = Written::<Temperature>::parse("50 ± 9 °F").estimate().unwrap().doubt.unwrap();
    assert!((f.half_width - 5.0).abs() < 1e-12);
    let share = Written::<Fraction>::parse("74 % ± 9 %").estimate().unwrap().doubt.unwrap();
    assert!((share.half_width - 0.09).abs() < 1e-12);
}

#[test]
fn guesses_are_marked_in_place() {
    let guess = |text: &str| {
        let written = Written::<Mass>::parse(text);
        (written.estimate().unwrap_or_else(|error| panic!("{text}: {error}")), written.is_guess())
    };
    for (text, plain, is_guess) in [
        ("11 ± 3 kg (guess)", "11 ± 3 kg", true),
        ("11 kg (guess)", "11 kg", true),
        ("11 ± 3 kg ( guess ) ", "11 ± 3 kg", true),
        ("11 ± 3 kg (95 %, guess)", "11 ± 3 kg (95%)", true),
        ("11 ± 3 kg (guess, triangular)", "11 ± 3 kg (triangular)", true),
        ("11 ± 3 kg (95%)", "11 ± 3 kg (95%)", false),
    ] {
        assert_eq!(guess(text), (guess(plain).0, is_guess), "{text}");
    }
    for text in ["1 ± 1 kg (guess, guess)", "1 ± 1 kg (guess 95%)", "1 ± 1 kg (guess,)", "1 ± 1 kg (guesses)"] {
        assert!(matches!(error::<Mass>(text), QuantityError::Shape { .. }), "{text}");
    }
}

#[test]
fn nonsense_is_told_apart() {
    use QuantityError as E;
    assert_eq!(error::<Mass>("  "), E::Empty);
    assert!(matches!(error::<Mass>("10.5"), E::NoUnit { .. }));
    assert!(matches!(error::<Mass>("10.5 bar"), E::Unit { .. }));
    for text in ["1,500 kg", "10,5 kg", "1 500 kg", "1'500 kg", "1_500 kg", "10.5.2 kg"] {
        assert!(matches!(error::<Mass>(text), E::Separator { .. }), "{text}: {:?}", error::<Mass>(text));
    }
    for text in ["nan kg", "-inf kg", "Infinity kg", "∞ kg", "1e400 kg"] {
        assert!(matches!(error::<Mass>(text), E::NotFinite { .. }), "{text}");
    }
    for text in ["kg", "heavy", "- kg", ". kg", "--2 kg", "1 ± kg"] {
        assert!(matches!(error::<Mass>(text), E::NotNumber { .. }), "{text}: {:?}", error::<Mass>(text));
    }
    for text in ["1 ± 0 kg", "1 ± -2 kg", "1 kg (95%)", "0 kg ± 10 %"] {
        assert_eq!(error::<Mass>(text), E::Doubt, "{text}");
    }
    assert!(matches!(error::<Mass>("1 ± 1 kg (0%)"), E::Shape { .. }));
    assert!(matches!(error::<Mass>("1 ± 1 kg (gauss)"), E::Shape { .. }));
    assert!(matches!(error::<Mass>("1 ± 1 kg ± 2"), E::Rest { .. }));
    for text in ["1:2", "1:60", ":30", "1:2:3:4", "-1:30", "1.5:30"] {
        assert!(matches!(error::<Duration>(text), E::Clock { .. }), "{text}: {:?}", error::<Duration>(text));
    }
}

proptest! {
    #[test]
    fn a_written_number_comes_back(number in -1e6..1e6f64, half_width in 1e-6..1e3f64, unit in 0usize..4) {
        let unit = &Mass::OF.units()[unit];
        let text = format!("{number} ± {half_width} {}", unit.names[0]);
        let estimate = Written::<Mass>::parse(&text).estimate().unwrap();
        prop_assert_eq!(estimate.value, unit.si(number));
        prop_assert_eq!(estimate.doubt.unwrap().half_width, half_width * unit.factor);
    }

    #[test]
    fn no_text_panics(text in "\\PC*", tail in "[-+±0-9.,:e %()kgLbarinf]*") {
        let _ = Written::<Mass>::parse(&text);
        let _ = Written::<Duration>::parse(&tail);
        let _ = Written::<Temperature>::parse(&format!("1{tail}"));
        let _ = Written::<Fraction>::parse(&format!("5 {tail}{text}"));
    }
}
