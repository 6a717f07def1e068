//! Each operator and function of real numbers: its value, its partial derivatives, its domain. Pure
//! mathematics; units and places are the caller's.

use super::fault::Undefined;
use crate::parse::ast::Function;

/// A value, or why there is none.
pub(super) type Valued<T> = Result<T, Undefined>;

/// A value and its derivative. An infinite derivative says that the function has a value here and no first-order
/// sensitivity.
pub(super) type Slope = (f64, f64);

/// `a / b` with the derivatives by both. Written so that `x / x` has two that cancel exactly.
pub(super) fn quotient(a: f64, b: f64) -> Valued<(f64, [f64; 2])> {
    if b == 0.0 {
        return Err(Undefined::Division);
    }
    let value = a / b;
    finite(value, (value, [1.0 / b, -value / b]))
}

/// `base ^ exponent` with the derivatives by both. `fixed` says that the exponent is a plain number
/// without uncertainty: then none by it is asked for, and 0⁰ is the empty product, 1.
pub(super) fn power(base: f64, exponent: f64, fixed: bool) -> Valued<(f64, [f64; 2])> {
    let whole = exponent == libm::trunc(exponent);
    let undefined = match base {
        b if b < 0.0 => !whole,
        0.0 => exponent < 0.0 || exponent == 0.0 && !fixed,
        _ => false,
    };
    if undefined {
        return Err(Undefined::Power);
    }
    let value = raised(base, exponent);
    let by_base = if exponent == 0.0 { 0.0 } else { exponent * raised(base, exponent - 1.0) };
    let by_exponent = match base {
        _ if fixed => 0.0,
        b if b > 0.0 => value * libm::log(b),
        // The logarithm of a negative number is not real. 0^y is 0 for every y near a positive one.
        b if b < 0.0 => f64::INFINITY,
        _ => 0.0,
    };
    finite(value, (value, [by_base, by_exponent]))
}

/// Squares are products, exact where these are.
fn raised(base: f64, exponent: f64) -> f64 {
    match exponent {
        0.0 => 1.0,
        1.0 => base,
        2.0 => base * base,
        _ => libm::pow(base, exponent),
    }
}

/// The angle of the point (x, y), with the derivatives by `y` and by `x`.
pub(super) fn atan2(y: f64, x: f64) -> Valued<(f64, [f64; 2])> {
    let square = x * x + y * y;
    if square == 0.0 {
        return Err(Undefined::Function("atan2"));
    }
    Ok((libm::atan2(y, x), [x / square, -y / square]))
}

/// A function of one number; `None` for one that is of another sort.
pub(super) fn of_one(function: Function, x: f64) -> Option<Valued<Slope>> {
    use Function as F;
    let outside = Err(Undefined::Function(function.word()));
    let answer = match function {
        F::Sqrt if x < 0.0 => outside,
        F::Sqrt => {
            let root = libm::sqrt(x);
            Ok((root, 0.5 / root))
        }
        F::Cbrt => {
            let root = libm::cbrt(x);
            Ok((root, 1.0 / (3.0 * root * root)))
        }
        F::Exp => {
            let e = libm::exp(x);
            Ok((e, e))
        }
        F::Ln | F::Log10 if x <= 0.0 => outside,
        F::Ln => Ok((libm::log(x), 1.0 / x)),
        F::Log10 => Ok((libm::log10(x), 1.0 / (x * std::f64::consts::LN_10))),
        F::Sin => Ok((libm::sin(x), libm::cos(x))),
        F::Cos => Ok((libm::cos(x), -libm::sin(x))),
        F::Tan if is_pole_of_tangent(x) => outside,
        F::Tan => {
            let (t, c) = (libm::tan(x), libm::cos(x));
            Ok((t, 1.0 / (c * c)))
        }
        F::Asin | F::Acos if !(-1.0..=1.0).contains(&x) => outside,
        F::Asin => Ok((libm::asin(x), 1.0 / libm::sqrt((1.0 - x) * (1.0 + x)))),
        F::Acos => Ok((libm::acos(x), -1.0 / libm::sqrt((1.0 - x) * (1.0 + x)))),
        F::Atan => Ok((libm::atan(x), 1.0 / (1.0 + x * x))),
        F::Sinh => Ok((libm::sinh(x), libm::cosh(x))),
        F::Cosh => Ok((libm::cosh(x), libm::sinh(x))),
        F::Tanh => {
            let c = libm::cosh(x);
            Ok((libm::tanh(x), 1.0 / (c * c)))
        }
        // At zero −1 and +1 are equally right, and equally large.
        F::Abs => Ok((x.abs(), if x < 0.0 { -1.0 } else { 1.0 })),
        _ => return None,
    };
    Some(answer.and_then(|slope| finite(slope.0, slope)))
}

/// Does `x` stand for an odd multiple of a right angle? No double is one; the nearest double to one
/// is within a unit of its last place, and the tangent of that is noise.
fn is_pole_of_tangent(x: f64) -> bool {
    let quarter_turns = x / std::f64::consts::FRAC_PI_2;
    let nearest = libm::round(quarter_turns);
    let odd = libm::fmod(nearest.abs(), 2.0) == 1.0;
    odd && (quarter_turns - nearest).abs() <= 4.0 * f64::EPSILON * nearest.abs()
}

fn finite<T>(value: f64, answer: T) -> Valued<T> {
    if value.is_finite() { Ok(answer) } else { Err(Undefined::Overflow) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quotient_of_equals_has_derivatives_that_cancel() {
        for x in [5.0, 0.1, 3.7e-19] {
            let (value, [by_a, by_b]) = quotient(x, x).unwrap();
            assert_eq!((value, by_a + by_b), (1.0, 0.0));
        }
        assert_eq!(quotient(1.0, 0.0), Err(Undefined::Division));
    }

    #[test]
    fn powers_at_the_edges_of_their_domain() {
        assert_eq!(power(0.0, 2.0, true), Ok((0.0, [0.0, 0.0])));
        assert_eq!(power(-2.0, 3.0, true), Ok((-8.0, [12.0, 0.0])));
        assert_eq!(power(-2.0, 0.5, true), Err(Undefined::Power));
        assert_eq!(power(0.0, 0.0, true), Ok((1.0, [0.0, 0.0])));
        assert_eq!(power(0.0, 0.0, false), Err(Undefined::Power));
        assert_eq!(power(0.0, -1.0, true), Err(Undefined::Power));
        assert_eq!(power(1e200, 2.0, true), Err(Undefined::Overflow));
        assert!(power(0.0, 0.5, true).is_ok_and(|(value, by)| value == 0.0 && by[0].is_infinite()));
        assert!(power(-2.0, 3.0, false).is_ok_and(|(_, by)| by[1].is_infinite()));
    }

    #[test]
    fn functions_outside_their_domain_have_no_value() {
        let has = |f, x| of_one(f, x).unwrap().is_ok();
        assert!(has(Function::Sqrt, 0.0) && !has(Function::Sqrt, -0.01));
        assert!(!has(Function::Ln, 0.0) && !has(Function::Log10, -1.0));
        assert!(has(Function::Asin, 1.0) && !has(Function::Asin, 1.001) && !has(Function::Acos, -1.001));
        assert!(!has(Function::Tan, std::f64::consts::FRAC_PI_2) && !has(Function::Tan, -4.71238898038469));
        assert!(has(Function::Tan, std::f64::consts::PI) && has(Function::Tan, 1.57));
        assert!(!has(Function::Exp, 1000.0));
        assert!(of_one(Function::Sqrt, 0.0).unwrap().unwrap().1.is_infinite());
        assert!(of_one(Function::Mean, 1.0).is_none());
        assert!(atan2(0.0, 0.0).is_err());
    }

    proptest::proptest! {
        /// No derivative is taken by differences; differences judge them.
        #[test]
        fn derivatives_equal_central_differences(x in 0.05f64..0.95) {
            for function in Function::ALL {
                let Some(Ok((_, slope))) = of_one(function, x) else { continue };
                let h = 1e-5;
                let at = |x| of_one(function, x).unwrap().unwrap().0;
                let difference = (at(x + h) - at(x - h)) / (2.0 * h);
                proptest::prop_assert!((slope - difference).abs() <= 1e-6 * (1.0 + slope.abs()), "{:?} at {}", function, x);
            }
        }
    }
}
