//! `data/codata-2022.yaml`: every constant of the table against the program's.

use meniscus::quantity::constants::{CONSTANTS, find};
use meniscus::quantity::{Decimal, Unit, Units};

use crate::{cases, list, text};

/// Symbols of the file that are none of the notation, which allows no slash and one underscore.
const SPELT_OTHERWISE: [(&str, &str); 4] =
    [("m_p/m_e", "ratio_pe"), ("e/m_e", "quotient_e"), ("V_m_100kPa", "V_m100kPa"), ("V_m_atm", "V_matm")];

/// Words that the table prints short.
const SHORT: [(&str, &str); 3] =
    [("mag. mom.", "magnetic moment"), ("mag. ", "magnetic "), ("gyromag.", "gyromagnetic")];

#[test]
fn every_constant() {
    let file = cases("codata-2022.yaml");
    let mut ran = 0;
    for case in list(&file["constants"]) {
        let listed = text(&case["symbol"]);
        let symbol = SPELT_OTHERWISE.iter().find(|(from, _)| *from == listed).map_or(listed.as_str(), |(_, to)| to);
        let constant = find(symbol).unwrap_or_else(|| panic!("{symbol} is missing"));
        assert_eq!(
            constant.name,
            SHORT.iter().fold(text(&case["name"]), |name, (short, long)| name.replace(short, long))
        );
        assert_eq!(constant.value, text(&case["value"]), "{symbol}");
        assert_eq!(constant.uncertainty, text(&case["uncertainty"]), "{symbol}");
        assert_eq!(constant.exact, case["exact"].as_bool().unwrap(), "{symbol}");
        let (ours, theirs) = (unit(constant.unit), unit(&in_the_notation(&text(&case["unit"]))));
        assert_eq!((ours.dimension, ours.scale), (theirs.dimension, theirs.scale), "{symbol}");
        assert_eq!(constant.all_digits.is_some(), case.get("digits").is_some(), "{symbol}");
        if let Some(computed) = case.get("exact_to_30_digits_computed") {
            // The file drops a zero at the end of ħ.
            let all = Decimal::read(constant.all_digits.unwrap()).unwrap();
            assert_eq!(all, Decimal::read(&text(computed)).unwrap(), "{symbol}");
        }
        ran += 1;
    }
    assert_eq!((ran, CONSTANTS.len()), (52, 52));
}

/// The file gives no thirty digits of two constants whose printed ones are cut. The one follows from
/// others of the table; the other is held to its definition, b′ = x k/h with x = 3 (1 − e^−x).
#[test]
fn the_two_without_thirty_digits() {
    let number = |symbol: &str| find(symbol).unwrap().number();
    let per_volume = number("atm").over(number("k")).unwrap().to_f64() / 273.15;
    assert!((number("n_0").to_f64() / per_volume - 1.0).abs() < 1e-15);
    let mut x = 3.0f64;
    for _ in 0..100 {
        x = 3.0 * -libm::expm1(-x);
    }
    let peak = x * number("k").to_f64() / number("h").to_f64();
    assert!((number("b_prime").to_f64() / peak - 1.0).abs() < 1e-15);
}

/// `J mol^-1 K^-1` as `J*mol^-1*K^-1`.
fn in_the_notation(unit: &str) -> String {
    unit.replace(' ', "*")
}

fn unit(typed: &str) -> Unit {
    if typed == "1" {
        return Unit::one();
    }
    Units::default().find(&meniscus::parse::unit(typed).unwrap()).unwrap()
}
