//! What the tests of whole reports share: random numbers, tables, and what a report comes to.

use meniscus::course::{Combine, Course, Fit};
use meniscus::parse::ast::Symbol;
use meniscus::report::{self, Report};

/// Random numbers, the same on every machine (SplitMix64: G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014, from
/// memory).
pub(crate) struct Random(pub(crate) u64);

impl Random {
    /// Between 0 and 1.
    pub(crate) fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        let high = u32::try_from((z ^ (z >> 31)) >> 32).unwrap();
        (f64::from(high) + 0.5) / 4_294_967_296.0
    }

    /// Of the normal distribution with standard deviation 1 (Box and Muller).
    pub(crate) fn normal(&mut self) -> f64 {
        let (radius, angle) = (libm::sqrt(-2.0 * libm::log(self.even())), self.even());
        radius * libm::cos(std::f64::consts::TAU * angle)
    }
}

pub(crate) fn course(combine: Combine, fit: Fit) -> Course {
    Course { combine, fit, ..Course::default() }
}

/// Two columns, `x` and `y`, of pure numbers; `x` and `y` are the headings' clauses.
pub(crate) fn table(points: &[(f64, f64)], x: &str, y: &str) -> String {
    let mut text = format!("| ~{{x [1]; {x}}} | ~{{y [1]; {y}}} |\n|---|---|\n");
    for (across, up) in points {
        text.push_str(&format!("| {across:.6} | {up:.6} |\n"));
    }
    text.push('\n');
    text
}

/// Value and uncertainty of a quantity, in its unit.
pub(crate) fn figures(report: &Report<'_>, symbol: &str) -> (f64, f64) {
    let (_, quantity) = report.sheet.find(&Symbol::new(symbol)).unwrap();
    let measure = quantity.measure.unwrap_or_else(|| panic!("{symbol}: {:?}", report.sheet.faults));
    (quantity.unit.from_si(measure.value), measure.uncertainty / quantity.unit.factor())
}

/// How often a rule speaks of a report.
pub(crate) fn times(source: &str, course: &Course, rule: &str) -> usize {
    let report = report::read(source, course);
    report.findings.iter().filter(|finding| finding.rule == rule).count()
}
