//! The vocabulary that every other room shares: numbers as typed, rounding, figures, dimensions,
//! units, sources of uncertainty. Nothing here knows a report.

pub mod constants;
mod decimal;
mod dimension;
mod dimensions;
mod exact;
pub mod figures;
mod lookup;
mod mistyped;
mod near;
pub mod round;
mod source;
pub mod unit;
mod units;

pub use decimal::{Decimal, LARGEST_EXPONENT, MOST_DIGITS};
pub use dimension::{BASE, Dimension};
pub use exact::Exact;
pub use figures::{Figures, Rounded};
pub use lookup::{LARGEST_POWER, Units, UnknownUnit};
pub use mistyped::half_width;
pub use near::nearest;
pub use round::Rounding;
pub use source::{Kind, Kinds, Shape};
pub use unit::Unit;
