//! `data/iso80000-rounding.yaml`, `data/pdg-rounding.yaml`, and the roundings of JCGM 100:2008, 7.2.6, in
//! `data/gum-forms.yaml` (the forms of that file are read in their own module).

use meniscus::quantity::figures::{self, Figures};
use meniscus::quantity::{Decimal, Exact, Rounding, Unit, Units, round};
use serde_yaml::Value;

use crate::{cases, list, text};

fn decimal(value: &Value) -> Decimal {
    read(&text(value))
}

fn read(digits: &str) -> Decimal {
    Decimal::read(digits).unwrap_or_else(|| panic!("no number: {digits}"))
}

/// The power of ten that a step of 0.01 or 10 is; `None` of 0.05.
fn place(step: Decimal) -> Option<i32> {
    let step = step.trimmed();
    (step.digits() == 1).then(|| step.last_place())
}

#[test]
fn iso_80000_1_annex_b() {
    let file = cases("iso80000-rounding.yaml");
    let (mut ran, mut in_places) = (0, 0);
    for case in list(&file["cases"]) {
        let (given, step) = (decimal(&case["given"]), decimal(&case["rounding_range"]));
        for (rule, key) in [(Rounding::Even, "rule_A_half_to_even"), (Rounding::Nearest, "rule_B_half_away_from_zero")]
        {
            let expected = text(&case[key]);
            assert_eq!(round::to_multiple(given, step, rule).unwrap().to_string(), expected, "{given} by {step}");
            if let Some(place) = place(step) {
                let rounded = round::to_place(given, place, rule);
                assert_eq!((rounded.to_string(), rounded.last_place()), (expected.clone(), place), "{given}");
                assert_eq!(Exact::of(given).unwrap().round(place, rule).unwrap().to_string(), expected, "{given}");
                in_places += 1;
            }
            ran += 1;
        }
    }
    assert_eq!((ran, in_places), (66, 58), "33 cases by two rules, four of them in steps of 0.05");
}

/// Annex B.4: once, never in steps.
#[test]
fn rounding_twice_is_not_rounding_once() {
    let case = &cases("iso80000-rounding.yaml")["double_rounding"];
    let (given, place) = (decimal(&case["given"]), place(decimal(&case["rounding_range"])).unwrap());
    let even = |number, place| round::to_place(number, place, Rounding::Even);
    assert_eq!(even(given, place).to_string(), text(&case["expect"]));
    assert_eq!(even(even(given, place - 1), place).to_string(), text(&case["wrong_in_two_steps"]));
    assert_eq!(round::to_place(given, place, Rounding::Nearest).to_string(), text(&case["expect"]));
}

/// The file's note `binary_trap` names four numbers that no double holds. As typed they are ties; and a
/// computed double next to them is taken for the fifteen digits that mean something, so that it is one too.
#[test]
fn numbers_that_no_double_holds() {
    let file = cases("iso80000-rounding.yaml");
    let note = text(&file["binary_trap"]["note"]);
    let mut ran = 0;
    for case in list(&file["cases"]).iter().filter(|case| note.contains(&text(&case["given"]))) {
        let typed = text(&case["given"]);
        let place = place(decimal(&case["rounding_range"])).unwrap();
        let double = Decimal::of_f64(typed.parse().unwrap()).unwrap();
        for (rule, key) in [(Rounding::Even, "rule_A_half_to_even"), (Rounding::Nearest, "rule_B_half_away_from_zero")]
        {
            assert_eq!(round::to_place(double, place, rule).to_string(), text(&case[key]), "{typed}");
        }
        ran += 1;
    }
    assert_eq!(ran, 4);
    assert!(text(&file["zero"]["note"]).contains("without"), "zero has no sign, as among the cases");
}

#[test]
fn particle_data_group() {
    let file = cases("pdg-rounding.yaml");
    let mut ran = 0;
    for case in list(&file["cases"]) {
        let (value, amount) = (decimal(&case["given"]["value"]), decimal(&case["given"]["uncertainty"]));
        let shown = figures::together(value, amount, Figures::Pdg, Rounding::Nearest);
        let uncertainty = shown.uncertainty.unwrap();
        assert_eq!(shown.value.to_string(), text(&case["expect"]["value"]), "{value} ± {amount}");
        assert_eq!(uncertainty.to_string(), text(&case["expect"]["uncertainty"]), "{value} ± {amount}");
        let place = read(&text(&case["last_place"])).trimmed().last_place();
        assert_eq!((shown.value.last_place(), uncertainty.last_place()), (place, place), "{value} ± {amount}");
        assert_eq!(leading_three(amount), text(&case["three_leading_digits"]), "{amount}");
        ran += 1;
    }
    assert_eq!(ran, 20);
}

fn leading_three(amount: Decimal) -> String {
    let rounded = round::to_figures(amount, 3, Rounding::Nearest).digits().to_string();
    format!("{rounded:0<3}").chars().take(3).collect()
}

/// The rule itself, for all three-digit uncertainties, and what the file leaves to decide.
#[test]
fn the_rule_for_every_three_digits() {
    let file = cases("pdg-rounding.yaml");
    let bands: Vec<String> = list(&file["rule"]).iter().map(|band| text(&band["three_leading_digits"])).collect();
    assert_eq!(bands, ["100 to 354", "355 to 949", "950 to 999"]);
    for three in 100..=999u128 {
        let shown = figures::uncertainty(Decimal::new(false, three, -3), Figures::Pdg, Rounding::Nearest);
        let expected = match three {
            100..=354 => Decimal::new(false, (three + 5) / 10, -2),
            355..=949 => Decimal::new(false, (three + 50) / 100, -1),
            _ => Decimal::new(false, 10, -1),
        };
        assert_eq!((shown.digits(), shown.last_place()), (expected.digits(), expected.last_place()), "{three}");
    }
    assert_eq!(list(&file["to_decide"]).len(), 3);
    // Between whole numbers the uncertainty rounded to three figures decides.
    let shown = |amount| figures::uncertainty(read(amount), Figures::Pdg, Rounding::Nearest).to_string();
    assert_eq!(
        (shown("354.4"), shown("354.6"), shown("949.4"), shown("949.5")),
        ("350".into(), "400".into(), "900".into(), "1000".into())
    );
    // Zeros that are no figures: the last place tells, and a power of ten is written from it.
    assert_eq!(figures::uncertainty(read("34567"), Figures::Pdg, Rounding::Nearest).last_place(), 3);
    // Missing digits count as zero.
    assert_eq!(shown("0.2"), "0.20");
}

#[test]
fn gum_7_2_6() {
    let file = cases("gum-forms.yaml");
    let mut ran = Vec::new();
    for case in list(&file["cases"]) {
        let (given, expect) = (&case["given"], &case["expect"]);
        let id = text(&case["id"]);
        match id.as_str() {
            "forms-7.2.6-up" => {
                let up = two_figures(&given["uncertainty"], Rounding::Up);
                assert_eq!(
                    (up.as_str(), up.as_str()),
                    (text(&expect["published"]).as_str(), text(&expect["computed_up"]).as_str())
                );
                assert_eq!(two_figures(&given["uncertainty"], Rounding::Nearest), text(&expect["computed_nearest"]));
            }
            "forms-7.2.6-down" => {
                // The program's `up` lets go what is under a tenth of a step: it keeps the clause's 28 kHz
                // where the strict rule would give 29 kHz.
                assert_eq!(two_figures(&given["uncertainty"], Rounding::Up), text(&expect["published"]));
                assert_eq!(two_figures(&given["uncertainty"], Rounding::Nearest), text(&expect["computed_nearest"]));
            }
            "forms-7.2.6-value" => value_to_the_place_of_its_uncertainty(given, expect),
            "forms-7.2.6-digits" => at_most_two_figures(&text(&expect["figures_of_uncertainty"])),
            _ => continue,
        }
        ran.push(id);
    }
    assert_eq!(ran, ["forms-7.2.6-up", "forms-7.2.6-down", "forms-7.2.6-value", "forms-7.2.6-digits"]);
}

/// `10.47 mΩ` to two figures, with its unit.
fn two_figures(amount: &Value, rounding: Rounding) -> String {
    let (amount, unit) = with_unit(&text(amount));
    format!("{} {unit}", figures::uncertainty(amount, Figures::Two, rounding))
}

fn with_unit(typed: &str) -> (Decimal, Unit) {
    let (number, unit) = typed.split_once(' ').unwrap();
    (read(number), Units::default().find(&meniscus::parse::unit(unit).unwrap()).unwrap())
}

fn value_to_the_place_of_its_uncertainty(given: &Value, expect: &Value) {
    let (value, unit) = with_unit(&text(&given["value"]));
    let (amount, small) = with_unit(&text(&given["uncertainty"]));
    let amount = unit.exactly(Exact::of(amount).unwrap(), &small).unwrap().decimal().unwrap();
    let shown = figures::together(value, amount, Figures::Two, Rounding::Nearest);
    assert_eq!(format!("{} {unit}", shown.value), text(&expect["published"]));
    assert_eq!(format!("({} ± {}) {unit}", shown.value, shown.uncertainty.unwrap()), text(&expect["rounded_together"]));
}

fn at_most_two_figures(published: &str) {
    assert_eq!(published, "at most 2 as a rule");
    for rule in [Figures::One, Figures::Two, Figures::LeadingOne, Figures::Pdg] {
        for digits in 1..=9999u128 {
            let shown = figures::uncertainty(Decimal::new(false, digits, -4), rule, Rounding::Nearest);
            assert!(shown.figures() <= 2, "{digits} by {rule:?}");
        }
    }
}
