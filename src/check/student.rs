//! Student's t for a test of one reading among its like.

/// The t that is exceeded with the probability `tail` at so many degrees of freedom; `None` outside
/// `0 < tail < 0.5` and for none of them. Bisection on a finite sum: to some twelve figures.
pub(super) fn upper(tail: f64, dof: u32) -> Option<f64> {
    if !(tail > 0.0 && tail < 0.5) || dof == 0 {
        return None;
    }
    let dof = dof.min(MOST_DOF);
    let (mut low, mut high) = (0.0, 1.0);
    while above(high, dof) > tail && high < 1e12 {
        high *= 2.0;
    }
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if above(middle, dof) > tail { low = middle } else { high = middle }
    }
    Some(0.5 * (low + high))
}

/// Beyond so many degrees of freedom t differs from the normal distribution by less than the test can
/// use, and the sum stays short.
const MOST_DOF: u32 = 500;

/// The probability of a larger t: one less the finite sums of Abramowitz and Stegun, 26.7.3 and 26.7.4.
fn above(t: f64, dof: u32) -> f64 {
    let nu = f64::from(dof);
    let angle = libm::atan(t / libm::sqrt(nu));
    let (sine, cosine) = (libm::sin(angle), libm::cos(angle));
    let square = cosine * cosine;
    let odd = dof % 2 == 1;
    // Terms of the series, each from the one before it: cos^(k+2) · k/(k+1) onwards.
    let (mut term, mut sum, mut k) = if odd { (cosine, 0.0, 1.0) } else { (1.0, 0.0, 0.0) };
    while k < nu - 1.0 {
        sum += term;
        term *= square * (k + 1.0) / (k + 2.0);
        k += 2.0;
    }
    let inside = if odd { (angle + sine * sum) * std::f64::consts::FRAC_2_PI } else { sine * sum };
    0.5 * (1.0 - inside)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, table G.2: t for 95.45 % and 99 % of both tails.
    #[test]
    fn values_are_those_of_the_table() {
        for (level, dof, t) in [
            (0.9545, 1, 13.97),
            (0.9545, 4, 2.87),
            (0.9545, 10, 2.28),
            (0.99, 5, 4.03),
            (0.99, 50, 2.68),
            (0.95, 19, 2.09),
        ] {
            let computed = upper((1.0 - level) / 2.0, dof).unwrap();
            assert!((computed - t).abs() < 6e-3 * t.clamp(1.0, 2.0), "{level} {dof}: {computed}");
        }
        assert_eq!([upper(0.6, 3), upper(0.01, 0)], [None, None]);
    }
}
