//! The registry: every rule, in the order in which they are listed. A new rule is a file here and two
//! lines below.

mod amount_without_size;
mod argument_with_unit;
mod ascii_plus_minus;
mod bare_pipe;
mod beyond_display;
mod calculator_digits;
mod clauses_contradict;
mod coarse_reading;
mod column_as_value;
mod correlation;
mod count_with_fraction;
mod course;
mod cycle;
mod decimal_comma;
mod defined_twice;
mod degrees_as_radians;
mod digital_reading;
mod display_digits_missing;
mod domain_within_reach;
mod doubtful_divisor;
mod doubtful_unit;
mod empty_reason;
mod expected_disagrees;
mod expected_missing;
mod far_from_rest;
mod figures_unlike_course;
mod finer_than_eye;
mod instrument_contradicted;
mod item_in_code;
mod item_unread;
mod larger_than_value;
mod lengths_differ;
mod missing_reading;
mod negative_uncertainty;
mod no_blank_before_unit;
mod no_line;
mod no_name;
mod no_number_in_cell;
mod no_reason;
mod no_sensitivity;
mod no_such_row;
mod no_uncertainty;
mod no_unit;
mod no_weight;
mod not_a_column;
mod not_computed;
mod not_straight;
mod nothing_left_out;
mod off_log_axis;
mod one_end_only;
mod one_point_pulls;
mod only_two_points;
mod opener_given_up;
mod outside_domain;
mod outside_range;
mod over_a_division;
mod percent_figures;
mod placeholder_zeros;
mod places_differ;
mod point_multiplied;
mod power_of_unit;
mod prose_measurement;
mod reaction_below_step;
mod reaction_missing;
mod reading_on_display;
mod relative_to_zero;
mod required_kind;
mod results_apart;
mod retyped_value;
mod rough_number;
mod same_reason_twice;
mod scales_differ;
pub(super) mod silence_unread;
pub(super) mod silenced_in_vain;
mod stated;
mod strongly_curved;
mod syntax;
mod thousands_separator;
mod too_few_values;
mod too_many_figures;
mod unclosed;
mod uneven_digits;
mod unit_on_one_side;
mod unit_or_symbol;
mod unit_spelling;
mod units_differ;
mod unknown_instrument;
mod unknown_kind;
mod unknown_symbol;
mod unknown_unit;
mod unused;
mod words_contradict;
mod zero_uncertainty;
mod zero_without_reason;

use super::Rule;

/// Every rule, by group.
pub fn rules() -> &'static [&'static Rule] {
    &ALL
}

/// The rule of that name.
pub fn rule(name: &str) -> Option<&'static Rule> {
    rules().iter().copied().find(|rule| rule.name == name)
}

static ALL: [&Rule; 94] = [
    &unclosed::RULE,
    &opener_given_up::RULE,
    &syntax::RULE,
    &ascii_plus_minus::RULE,
    &bare_pipe::RULE,
    &decimal_comma::RULE,
    &doubtful_unit::RULE,
    &item_in_code::RULE,
    &item_unread::RULE,
    &no_blank_before_unit::RULE,
    &no_number_in_cell::RULE,
    &prose_measurement::RULE,
    &thousands_separator::RULE,
    &unit_or_symbol::RULE,
    &unit_spelling::RULE,
    &unknown_unit::RULE,
    &beyond_display::RULE,
    &calculator_digits::RULE,
    &coarse_reading::RULE,
    &display_digits_missing::RULE,
    &figures_unlike_course::RULE,
    &percent_figures::RULE,
    &placeholder_zeros::RULE,
    &places_differ::RULE,
    &retyped_value::RULE,
    &rough_number::RULE,
    &scales_differ::RULE,
    &too_many_figures::RULE,
    &uneven_digits::RULE,
    &amount_without_size::RULE,
    &clauses_contradict::RULE,
    &defined_twice::RULE,
    &empty_reason::RULE,
    &missing_reading::RULE,
    &negative_uncertainty::RULE,
    &no_name::RULE,
    &no_reason::RULE,
    &no_uncertainty::RULE,
    &no_unit::RULE,
    &nothing_left_out::RULE,
    &relative_to_zero::RULE,
    &same_reason_twice::RULE,
    &unit_on_one_side::RULE,
    &unknown_instrument::RULE,
    &unknown_kind::RULE,
    &unused::RULE,
    &zero_uncertainty::RULE,
    &zero_without_reason::RULE,
    &count_with_fraction::RULE,
    &digital_reading::RULE,
    &far_from_rest::RULE,
    &finer_than_eye::RULE,
    &instrument_contradicted::RULE,
    &one_end_only::RULE,
    &outside_range::RULE,
    &over_a_division::RULE,
    &reaction_below_step::RULE,
    &reaction_missing::RULE,
    &reading_on_display::RULE,
    &argument_with_unit::RULE,
    &column_as_value::RULE,
    &cycle::RULE,
    &degrees_as_radians::RULE,
    &domain_within_reach::RULE,
    &doubtful_divisor::RULE,
    &lengths_differ::RULE,
    &no_line::RULE,
    &no_sensitivity::RULE,
    &no_such_row::RULE,
    &no_weight::RULE,
    &not_a_column::RULE,
    &not_computed::RULE,
    &not_straight::RULE,
    &off_log_axis::RULE,
    &one_point_pulls::RULE,
    &only_two_points::RULE,
    &outside_domain::RULE,
    &point_multiplied::RULE,
    &power_of_unit::RULE,
    &results_apart::RULE,
    &strongly_curved::RULE,
    &too_few_values::RULE,
    &units_differ::RULE,
    &unknown_symbol::RULE,
    &expected_disagrees::RULE,
    &larger_than_value::RULE,
    &stated::RULE,
    &words_contradict::RULE,
    &correlation::RULE,
    &course::RULE,
    &expected_missing::RULE,
    &required_kind::RULE,
    &silence_unread::RULE,
    &silenced_in_vain::RULE,
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evaluate::fault::FaultKind;

    /// The rule that speaks of what evaluation found; of what follows from another fault none does. A new
    /// kind of fault does not compile here before it has its rule.
    const fn speaker(kind: &FaultKind) -> Option<&'static Rule> {
        Some(match kind {
            FaultKind::UnknownSymbol { .. } => &unknown_symbol::RULE,
            FaultKind::DefinedTwice { .. } => &defined_twice::RULE,
            FaultKind::Cycle { .. } => &cycle::RULE,
            FaultKind::UnknownUnit(_) => &unknown_unit::RULE,
            FaultKind::UnitsDiffer { .. } => &units_differ::RULE,
            FaultKind::NotANumber { .. } => &argument_with_unit::RULE,
            FaultKind::PowerOfUnit => &power_of_unit::RULE,
            FaultKind::UnitOrSymbol { .. } => &unit_or_symbol::RULE,
            FaultKind::UnknownKind { .. } => &unknown_kind::RULE,
            FaultKind::UnknownInstrument { .. } => &unknown_instrument::RULE,
            FaultKind::BrokenInstrument { .. } => &course::RULE,
            FaultKind::OutsideDomain { .. } => &outside_domain::RULE,
            FaultKind::NoSensitivity { .. } => &no_sensitivity::RULE,
            FaultKind::Follows { .. } => return None,
            FaultKind::RelativeToZero => &relative_to_zero::RULE,
            FaultKind::NotComputed { .. } => &not_computed::RULE,
            FaultKind::AmountWithoutSize { .. } => &amount_without_size::RULE,
            FaultKind::NegativeAmount => &negative_uncertainty::RULE,
            FaultKind::NothingLeftOut => &nothing_left_out::RULE,
            FaultKind::PointMultiplied | FaultKind::PointsAdded => &point_multiplied::RULE,
            FaultKind::ColumnAsValue => &column_as_value::RULE,
            FaultKind::NoColumn { .. } | FaultKind::NoQuantity { .. } => &not_a_column::RULE,
            FaultKind::LengthsDiffer { .. } => &lengths_differ::RULE,
            FaultKind::TooFewValues { .. } => &too_few_values::RULE,
            FaultKind::AllLeftOut => &too_few_values::RULE,
            FaultKind::NoLine { .. } => &no_line::RULE,
            FaultKind::NoWeight { .. } => &no_weight::RULE,
            FaultKind::OffLogAxis { .. } => &off_log_axis::RULE,
            FaultKind::NoSuchRow { .. } => &no_such_row::RULE,
            FaultKind::NoNumberInCell => &no_number_in_cell::RULE,
            FaultKind::MissingReading => &missing_reading::RULE,
        })
    }

    #[test]
    fn every_fault_of_the_evaluation_has_a_rule_of_the_registry() {
        for kind in [FaultKind::PowerOfUnit, FaultKind::MissingReading, FaultKind::NotComputed { what: "column" }] {
            let rule = speaker(&kind).unwrap();
            assert!(rules().iter().any(|known| std::ptr::eq(*known, rule)), "{}", rule.name);
        }
        let follows = FaultKind::Follows { symbol: crate::parse::ast::Symbol::new("x") };
        assert!(speaker(&follows).is_none());
    }
}
