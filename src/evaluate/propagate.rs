//! Sensitivities of quantities to independent variables, behind a few verbs.

/// A quantity or a source in a [`Propagation`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Node(pub(super) u32);

/// One source's part in a quantity's uncertainty, in the coherent SI unit of the quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contribution {
    /// The source.
    pub source: Node,
    /// The sensitivity coefficient, in SI.
    pub sensitivity: f64,
    /// |c·a|, under `standard` |c|·s.
    pub contribution: f64,
    /// Its share of the whole: of the sum under `sum`, else of the sum of squares. 0 to 1.
    pub share: f64,
}

/// Everything that is known of how errors travel through a report.
#[derive(Debug, Default)]
pub struct Propagation {}

impl Propagation {
    /// The contributions of all sources to a quantity, largest first (equal ones in the order of the report); `None`
    /// where finding them would take more than `steps`.
    pub fn contributions(&self, of: Node, steps: usize) -> Option<Vec<Contribution>> {
        let _ = (of, steps);
        None
    }
}
