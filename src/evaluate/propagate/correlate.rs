//! How strongly quantities are correlated (JCGM 100:2008, 5.2.2 and H.2.4).

use super::{Node, Propagation};

/// A variable with its part in a quantity's standard uncertainty.
type Share = (Node, f64);

impl Propagation {
    /// The correlation coefficients of several quantities, each with all of them; 0 of one that is exact. `None` where
    /// finding them would take more than `steps`.
    pub fn correlations(&self, of: &[Node], mut steps: usize) -> Option<Vec<Vec<f64>>> {
        // The matrix alone takes as much.
        steps = steps.checked_sub(of.len().checked_mul(of.len())?)?;
        let rows: Vec<[Vec<Share>; 2]> = of.iter().map(|&node| self.shares(node, &mut steps)).collect::<Option<_>>()?;
        let variance = |[own, tied]: &[Vec<Share>; 2]| covariance(own, tied);
        let deviations: Vec<f64> = rows.iter().map(|row| libm::sqrt(variance(row).max(0.0))).collect();
        let mut matrix = vec![vec![0.0; of.len()]; of.len()];
        for (a, [own, _]) in rows.iter().enumerate() {
            for (b, [_, tied]) in rows.iter().enumerate().take(a) {
                steps = steps.checked_sub(1 + own.len() + tied.len())?;
                let size = deviations[a] * deviations[b];
                let r = if size > 0.0 { (covariance(own, tied) / size).clamp(-1.0, 1.0) } else { 0.0 };
                (matrix[a][b], matrix[b][a]) = (r, r);
            }
            matrix[a][a] = 1.0;
        }
        Some(matrix)
    }

    /// Every variable's part in a quantity, and the same with what is tied to it.
    fn shares(&self, node: Node, steps: &mut usize) -> Option<[Vec<Share>; 2]> {
        let swept = self.sweep(node, steps)?;
        let own: Vec<_> =
            swept.iter().map(|part| (part.node, part.sensitivity * libm::sqrt(part.own.variance))).collect();
        let tied = self.ties.correlated(&own);
        Some([own, tied])
    }
}

/// Both sorted by node.
fn covariance(own: &[Share], tied: &[Share]) -> f64 {
    let (mut sum, mut others) = (0.0, tied.iter().peekable());
    for &(node, x) in own {
        while others.next_if(|&&(other, _)| other < node).is_some() {}
        if let Some(&(_, y)) = others.next_if(|&&(other, _)| other == node) {
            sum += x * y;
        }
    }
    sum
}
