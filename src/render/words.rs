//! Every word that is written into a report. Each has a key, by which a course puts it into its
//! own language (`words: {total: Summe}`); `{name}` in a text is where something is filled in.

use std::ops::Range;

use super::piece::Piece;
use crate::course::Course;
use crate::evaluate::Quantity;
use crate::evaluate::fit::Method;
use crate::evaluate::sheet::Origin;
use crate::parse::ast::Function;
use crate::quantity::Shape;
use crate::quantity::constants::Constant;

/// A word or a sentence, and the key by which a course replaces it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Word {
    /// The key under `words`.
    pub key: &'static str,
    /// What is written where the course says nothing else.
    pub text: &'static str,
}

macro_rules! words {
    ($($name:ident = $key:literal, $text:literal;)*) => {
        $(pub(super) const $name: Word = Word { key: $key, text: $text };)*
        /// All words, in the order in which the pages of the book list them.
        pub const ALL: &[Word] = &[$($name),*];
    };
}

words! {
    RATIONALE = "rationale", "Rationale";
    SOURCE = "source", "Source of uncertainty";
    AMOUNT = "amount", "Amount";
    CONTRIBUTION = "contribution", "Contribution";
    SHARE = "share", "Share";
    REASON = "reason", "Reason";
    TOTAL_SUM = "total-sum", "total, amounts added";
    TOTAL_QUADRATURE = "total-quadrature", "total, root of the sum of squares";
    TOTAL_STANDARD = "total-standard", "combined standard uncertainty";
    EFFECTIVE_DOF = "effective-dof", "effective degrees of freedom";
    EXPANDED_UNCERTAINTY = "expanded-uncertainty", "expanded uncertainty, k = {factor}";
    EXPANDED_AT_LEVEL = "expanded-at-level", "expanded uncertainty, level of confidence {level}, k = {factor}";
    EXPANDED_IN_ROWS = "expanded-in-rows", "the rows show expanded uncertainties, k = {factor}";
    EXPANDED_IN_ROWS_AT_LEVEL = "expanded-in-rows-at-level", "the rows show expanded uncertainties, level of confidence {level}";
    TOTAL_CLAIMED = "total-claimed", "total as stated";
    OTHERS = "others", "and {count} others";
    NO_SOURCE = "no-source", "no source stated";
    NOTHING_LEFT = "nothing-left", "no uncertainty: nothing uncertain enters, or it cancels";
    TOO_MANY = "too-many", "more sources than a table can show; they enter through {operands}";
    EXACT = "exact", "exact";
    STATED = "stated", "stated by the author; computed: {computed}";
    LEFT_OUT = "left-out", "{value} left out";
    READINGS = "readings", "{count} readings";
    MORE_VALUES = "more-values", "and {count} more";
    MEAN = "mean", "mean {mean}";
    SCATTER = "scatter", "standard deviation of one reading {scatter}";
    SCATTER_STANDARD_ERROR = "standard-error", "scatter: {deviation} / √{count}, the standard error of the mean";
    SCATTER_STANDARD_DEVIATION = "standard-deviation", "scatter: standard deviation of one reading";
    ALIKE = "alike", "all readings are alike: their scatter is finer than the scale shows";
    SCATTER_HALF_RANGE = "half-range", "scatter: half of largest less smallest";
    SOURCE_OF = "source-of", "{symbol}: {kind}";
    WITH_INSTRUMENT = "with-instrument", "{kind} ({instrument})";
    TIED = "tied", "{symbols}: correlated";
    TIED_BY_ROWS = "tied-by-rows", "{symbols}: repeat, correlated as their rows are";
    TIED_TO = "tied-to", "correlation with {symbol}: {value}";
    ABOUT_LINE = "about-line", "scatter about the line";
    OF_ITS_POINTS = "of-its-points", "uncertainties of its points";
    SHARED = "shared", "{kind}, one error in all its readings";
    SHARED_SHARE = "shared-share", "{kind}, one error in all its readings, in proportion to them";
    IN_ROWS = "in-rows", "stated in its rows";
    LINE = "line", "line {y} against {x}: {method}, {count} points";
    LINE_THROUGH_ORIGIN = "line-through-origin", "line {y} against {x} through 0: {method}, {count} points";
    EXACT_LINE = "exact-line", "the line is exact, so no scatter can be known";
    DOF = "dof", "degrees of freedom {dof}";
    RESIDUAL_SD = "residual-sd", "residual standard deviation {deviation}";
    REDUCED_CHI_SQUARED = "reduced-chi-squared", "χ² per degree of freedom {value}";
    R_SQUARED = "r-squared", "R² = {value}";
    CORRELATION = "correlation", "correlation of slope and intercept {value}";
    WEIGHTED_MEAN = "weighted-mean", "weighted mean of {count} results: χ² = {chi_squared}, degrees of freedom {dof}";
    BIRGE_RATIO = "birge-ratio", "they scatter {ratio} times as much as their uncertainties say (Birge ratio)";
    PLAIN_KIND = "plain", "overall";
    READING = "reading", "reading";
    DEFINITION = "definition", "definition";
    INSTRUMENT = "instrument", "instrument";
    REACTION = "reaction", "reaction";
    REPEAT = "repeat", "repeat";
    COUNTING = "counting", "counting";
    RANGE = "range", "range";
    OF = "of", "of";
    DIGIT = "digit", "digit";
    DIGITS = "digits", "digits";
    AGAINST = "against", "against";
    THROUGH = "through", "through";
    FUNCTION_MEAN = "function-mean", "mean";
    FUNCTION_SUM = "function-sum", "sum";
    FUNCTION_SD = "function-sd", "sd";
    FUNCTION_SEM = "function-sem", "sem";
    FUNCTION_COUNT = "function-count", "count";
    FUNCTION_FIRST = "function-first", "first";
    FUNCTION_LAST = "function-last", "last";
    FUNCTION_ROW = "function-row", "row";
    FUNCTION_SLOPE = "function-slope", "slope";
    FUNCTION_INTERCEPT = "function-intercept", "intercept";
    FUNCTION_WMEAN = "function-wmean", "wmean";
    SHAPE_NORMAL = "normal", "normal";
    SHAPE_RECTANGULAR = "rectangular", "rectangular";
    SHAPE_TRIANGULAR = "triangular", "triangular";
    SHAPE_ARCSINE = "arcsine", "arcsine";
    SHAPE_TRAPEZOIDAL = "trapezoidal", "trapezoidal";
    SHAPE_EXPANDED = "expanded", "k";
    SHAPE_LEVEL = "level", "level";
    INTERVAL = "interval", "{low} to {high}";
    LONG_FORMULA = "long-formula", "a formula of {count} steps";
    AGREE = "agree", "{left} against {right}: they differ by {difference} and agree within their uncertainties";
    AGREE_TWICE = "agree-twice", "{left} against {right}: they differ by {difference} and agree within twice their uncertainties";
    DISAGREE = "disagree", "{left} against {right}: they differ by {difference}, more than their uncertainties allow";
    EQUAL = "equal", "{left} against {right}: the two are equal";
    ON_ONE_SCALE = "on-one-scale", "{left} and {right} on one scale";
    ROWS = "rows", "{count} rows: {low} to {high}";
    UNDEFINED = "undefined", "undefined";
    BUDGET = "budget", "Uncertainty budget";
    SUMMARY = "summary", "Summary of quantities";
    QUANTITY = "quantity", "Quantity";
    NAME = "name", "Name";
    VALUE = "value", "Value";
    RELATIVE = "relative", "Relative";
    TABLE = "table", "Table";
    GRAPH = "graph", "Graph of {y} against {x}";
    GRAPH_POINTS = "graph-points", "Points: {count}; {y} from {low-y} to {high-y}, {x} from {low-x} to {high-x}";
    GRAPH_LINE = "graph-line", "Line ({method}): slope {slope}, intercept {intercept}";
    GRAPH_LINE_ORIGIN = "graph-line-origin", "Line through the origin ({method}): slope {slope}";
    GRAPH_EXTREMES = "graph-extremes", "Steepest line: slope {steepest}; flattest line: slope {flattest}";
    GRAPH_OFF = "graph-off", "Points with no place on a logarithmic axis, left out: {count}";
    GRAPH_THINNED = "graph-thinned", "Where points crowd, not all are drawn ({drawn} of {count}), but all that stand out, with their bars";
    GRAPH_DATA = "graph-data", "Data of the graph";
    GRAPH_ROW = "graph-row", "Row";
    FIT_SCATTER = "fit-scatter", "least squares";
    FIT_WEIGHTED = "fit-weighted", "weighted least squares";
    FIT_BOTH_ERRORS = "fit-both-errors", "least squares with uncertainties in both";
    FIT_EXTREME_LINES = "fit-extreme-lines", "midway between the steepest and the flattest";
    BARS_SUM = "bars-sum", "Bars: uncertainties, amounts added";
    BARS_QUADRATURE = "bars-quadrature", "Bars: uncertainties, root of the sum of squares";
    BARS_STANDARD = "bars-standard", "Bars: combined standard uncertainties";
    LEGEND_LINE = "legend-line", "fitted line";
    LEGEND_BAND = "legend-band", "fitted line with its uncertainty";
    LEGEND_EXTREMES = "legend-extremes", "steepest and flattest line";
    RESIDUAL = "residual", "residual";
    UNTITLED = "untitled", "Laboratory report";
    LANGUAGE = "language", "en";
}

/// The key by which a course gives a constant of nature its name in the course's language: `constant-m_e`.
pub fn key_of_constant(constant: &Constant) -> String {
    format!("constant-{}", constant.symbol)
}

/// What a quantity is called; a constant's name in the course's language.
pub(super) fn name_of<'n>(quantity: &'n Quantity, course: &'n Course) -> Option<&'n str> {
    let own = match &quantity.origin {
        Origin::Constant(constant) => course.words.get(&key_of_constant(constant)),
        _ => None,
    };
    own.map(String::as_str).or(quantity.name.as_deref())
}

/// The name of a function over columns, or of several quantities. Those of mathematics are the same in all languages.
pub(super) const fn of_function(function: Function) -> Option<Word> {
    Some(match function {
        Function::Mean => FUNCTION_MEAN,
        Function::Sum => FUNCTION_SUM,
        Function::Sd => FUNCTION_SD,
        Function::Sem => FUNCTION_SEM,
        Function::Count => FUNCTION_COUNT,
        Function::First => FUNCTION_FIRST,
        Function::Last => FUNCTION_LAST,
        Function::Row => FUNCTION_ROW,
        Function::Slope | Function::SlopeThroughOrigin => FUNCTION_SLOPE,
        Function::Intercept => FUNCTION_INTERCEPT,
        Function::Wmean => FUNCTION_WMEAN,
        _ => return None,
    })
}

/// What kind of limit an amount is.
pub(super) const fn of_shape(shape: Shape) -> Word {
    match shape {
        Shape::Normal => SHAPE_NORMAL,
        Shape::Rectangular => SHAPE_RECTANGULAR,
        Shape::Triangular => SHAPE_TRIANGULAR,
        Shape::Arcsine => SHAPE_ARCSINE,
        Shape::Trapezoidal(_) => SHAPE_TRAPEZOIDAL,
        Shape::Expanded(_) => SHAPE_EXPANDED,
        Shape::Level(_) => SHAPE_LEVEL,
    }
}

/// How a line was laid through its points.
pub(super) const fn method(method: Method) -> Word {
    match method {
        Method::Scatter => FIT_SCATTER,
        Method::Weighted => FIT_WEIGHTED,
        Method::BothErrors => FIT_BOTH_ERRORS,
        Method::ExtremeLines => FIT_EXTREME_LINES,
    }
}

impl Word {
    /// In the course's language.
    pub(super) fn of(self, course: &Course) -> &str {
        course.words.get(self.key).map_or(self.text, String::as_str)
    }

    /// As a piece of text.
    pub(super) fn piece<'r>(self, course: &'r Course) -> Piece<'r> {
        Piece::text(self.of(course))
    }

    /// With `{name}` replaced by what belongs there. A name that is not known stays as it is; what is
    /// filled in is not searched again.
    pub(super) fn filled<'r, const N: usize>(
        self,
        course: &'r Course,
        mut parts: [(&str, Vec<Piece<'r>>); N],
    ) -> Vec<Piece<'r>> {
        let text = self.of(course);
        let mut pieces = Vec::new();
        // Of each part, where it stands once it is said: a second time it is copied from there.
        let mut places: [Option<Range<usize>>; N] = [const { None }; N];
        let (mut said, mut at) = (0, 0);
        while let Some((before, after)) = text.get(at..).and_then(|rest| rest.split_once('{')) {
            let brace = at + before.len();
            at = brace + 1;
            let is_named = |name: &str| after.strip_prefix(name).is_some_and(|rest| rest.starts_with('}'));
            let known = parts.iter_mut().zip(&mut places).find(|((name, _), _)| is_named(name));
            let Some(((name, part), place)) = known else { continue };
            push_text(&mut pieces, text.get(said..brace));
            match place.clone() {
                Some(place) => pieces.extend_from_within(place),
                None => {
                    *place = Some(pieces.len()..pieces.len() + part.len());
                    pieces.append(part);
                }
            }
            at += name.len() + 1;
            said = at;
        }
        push_text(&mut pieces, text.get(said..));
        pieces
    }
}

fn push_text<'r>(pieces: &mut Vec<Piece<'r>>, text: Option<&'r str>) {
    pieces.extend(text.filter(|text| !text.is_empty()).map(Piece::text));
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_key_is_there_once() {
        let keys: BTreeSet<_> = ALL.iter().map(|word| word.key).collect();
        assert_eq!(keys.len(), ALL.len());
    }

    #[test]
    fn parts_may_come_in_any_order_and_are_not_searched_again() {
        let mut course = Course::default();
        course.words.insert("left-out".into(), "ohne {{value}, {unknown} {value}!{".into());
        let part = vec![Piece::text("{value}")];
        let text: String = LEFT_OUT.filled(&course, [("value", part)]).iter().map(Piece::bare).collect();
        assert_eq!(text, "ohne {{value}, {unknown} {value}!{");
    }
}
