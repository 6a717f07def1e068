//! What the rows of a line share, held to its definition: every row followed down to its sources by itself, a source
//! that reaches two rows or more entering as a whole, all others being the row's own.

use std::collections::BTreeMap;

use meniscus::course::{Combine, Course, Fit};
use meniscus::evaluate::fit::{self, Method, Options, Point};
use meniscus::evaluate::propagate::{Contribution, Node};
use meniscus::evaluate::sheet::{Measure, Origin, Sheet};
use meniscus::parse::ast::Symbol;
use meniscus::report;
use proptest::prelude::*;

use crate::reports::{Random, course, figures};
use crate::square;

/// Formulas of a result column `z`, beside readings `x` and `y` and a quantity `q`, and columns between.
const FORMULAS: [(&str, &str); 9] = [
    ("own row", "| ~{z [1] = 2*y + x} | ~{w [1] = 0} "),
    ("less the mean", "| ~{z [1] = y - mean(y)} | ~{w [1] = 0} "),
    ("over the first", "| ~{z [1] = y/first(y)} | ~{w [1] = 0} "),
    ("over the scatter", "| ~{z [1] = (y - mean(y))/sd(y)} | ~{w [1] = 0} "),
    ("a shared quantity", "| ~{z [1] = y*q} | ~{w [1] = 0} "),
    ("shared, and taken out again", "| ~{w [1] = y*q} | ~{z [1] = w/q} "),
    ("the mean, and put back", "| ~{w [1] = y - mean(y)} | ~{z [1] = w + mean(y)} "),
    ("mixed", "| ~{w [1] = q*(y - mean(x)) + x} | ~{z [1] = w/sum(w) + y/row(y, 2)} "),
    ("residuals of a line", "| ~{w [1] = y - slope(y against x)*x} | ~{z [1] = w + q} "),
];

fn report_of(columns: &str, rows: usize, random: &mut Random) -> String {
    let mut text = format!(
        "~{{q = 1.52; instrument 0.03 \"scale\"}}\n\n\
         | ~{{x [1]; ± 0.05 \"rule\"}} | ~{{y [1]; reading 0.2 \"dial\"; ± 0.1 \"drift\"}} {columns}|\n|--|--|--|--|\n"
    );
    for row in 1..=rows {
        let x = f64::from(u32::try_from(row).unwrap()) + 0.3 * random.even();
        text.push_str(&format!("| {x:.4} | {:.4} | | |\n", 20.0 + 3.1 * x + 0.4 * random.normal()));
    }
    text + "\n~{m = slope(z against x)} ~{c = intercept(z against x)} ~{both = m + 3*c}\n"
}

fn rows<'s>(sheet: &'s Sheet, symbol: &str) -> impl Iterator<Item = Measure> + use<'s> {
    let (_, quantity) = sheet.find(&Symbol::new(symbol)).unwrap();
    let Origin::Column(column) = &quantity.origin else { panic!("{symbol} is no column") };
    column.rows.iter().map(|row| row.measure.unwrap())
}

/// Each row's contributions to y and to x, by the definition.
fn contributions(sheet: &Sheet) -> Vec<[Vec<Contribution>; 2]> {
    let all = |measure: Measure| sheet.propagation.contributions(measure.node, usize::MAX).unwrap();
    rows(sheet, "z").zip(rows(sheet, "x")).map(|(y, x)| [all(y), all(x)]).collect()
}

/// The standard uncertainties of slope, intercept, and slope + 3·intercept; `None` where there is no line, its rows
/// having nothing of their own that could be a weight.
fn by_definition(sheet: &Sheet, method: Method) -> Option<[f64; 3]> {
    let parts = contributions(sheet);
    let mut reach: BTreeMap<Node, Vec<usize>> = BTreeMap::new();
    for (row, part) in parts.iter().enumerate() {
        part.iter().flatten().for_each(|part| reach.entry(part.source).or_default().push(row));
    }
    let shared = |part: &&Contribution| reach[&part.source].windows(2).any(|pair| pair[0] != pair[1]);
    let own = |parts: &[Contribution]| {
        parts.iter().filter(|part| !shared(part)).map(|part| part.contribution).fold(0.0, f64::hypot)
    };
    let points: Vec<_> = rows(sheet, "z")
        .zip(rows(sheet, "x"))
        .zip(&parts)
        .map(|((y, x), [of_y, of_x])| Point { x: x.value, y: y.value, sx: own(of_x), sy: own(of_y) })
        .collect();
    let line = fit::line(&points, Options { method, through_origin: false }).ok()?;
    // Of each shared source what it moves slope and intercept by, times its amount.
    let mut moved: BTreeMap<Node, [f64; 2]> = BTreeMap::new();
    for (row, (point, [of_y, of_x])) in points.iter().zip(&parts).enumerate() {
        let by = line.sensitivity(row, point);
        for (parts, slope, intercept) in
            [(of_y, by.slope_by_y, by.intercept_by_y), (of_x, by.slope_by_x, by.intercept_by_x)]
        {
            for part in parts.iter().filter(shared) {
                let [m, c] = moved.entry(part.source).or_default();
                let signed = part.contribution.copysign(part.sensitivity);
                *m += slope * signed;
                *c += intercept * signed;
            }
        }
    }
    let own = line.uncertainty.unwrap();
    let fitted = [
        square(own.slope),
        square(own.intercept),
        square(own.slope) + 9.0 * square(own.intercept) + 6.0 * own.covariance(),
    ];
    let of = |weigh: fn(&[f64; 2]) -> f64, fitted: f64| {
        (moved.values().map(|m| square(weigh(m))).sum::<f64>() + fitted).sqrt()
    };
    Some([of(|m| m[0], fitted[0]), of(|m| m[1], fitted[1]), of(|m| m[0] + 3.0 * m[1], fitted[2])])
}

fn assert_as_defined(which: usize, rows: usize, fit: (Fit, Method), random: &mut Random) {
    let (name, columns) = FORMULAS[which];
    let source = report_of(columns, rows, random);
    let course: Course = course(Combine::Standard, fit.0);
    let report = report::read(&source, &course);
    let Some(defined) = by_definition(&report.sheet, fit.1) else {
        assert!(report.sheet.find(&Symbol::new("m")).unwrap().1.measure.is_none(), "{name}");
        return;
    };
    for (symbol, defined) in ["m", "c", "both"].into_iter().zip(defined) {
        let (_, ours) = figures(&report, symbol);
        assert!((ours - defined).abs() <= 1e-12 * defined, "{name}, {rows} rows, {symbol}: {ours} against {defined}");
    }
}

proptest! {
    #[test]
    fn what_rows_share_is_what_reaches_two_of_them(which in 0..FORMULAS.len(), rows in 3_usize..14, start: u64, weighted: bool) {
        let fit = if weighted { (Fit::Weighted, Method::Weighted) } else { (Fit::Scatter, Method::Scatter) };
        assert_as_defined(which, rows, fit, &mut Random(start));
    }
}

#[test]
fn three_hundred_rows_that_each_rest_on_all() {
    for which in 0..FORMULAS.len() {
        assert_as_defined(which, 300, (Fit::Scatter, Method::Scatter), &mut Random(7));
    }
}
