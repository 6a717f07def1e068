//! The dimensions that have a name. Exponents of m, kg, s, A, K, mol, cd; SI Brochure, 9th edition, table 4.

use super::Dimension;

pub(super) const NUMBER: Dimension = Dimension::NONE;
pub(super) const LENGTH: Dimension = dimension(1, 0, 0, 0, 0, 0, 0);
pub(super) const MASS: Dimension = dimension(0, 1, 0, 0, 0, 0, 0);
pub(super) const TIME: Dimension = dimension(0, 0, 1, 0, 0, 0, 0);
pub(super) const CURRENT: Dimension = dimension(0, 0, 0, 1, 0, 0, 0);
pub(super) const TEMPERATURE: Dimension = dimension(0, 0, 0, 0, 1, 0, 0);
pub(super) const AMOUNT: Dimension = dimension(0, 0, 0, 0, 0, 1, 0);
pub(super) const INTENSITY: Dimension = dimension(0, 0, 0, 0, 0, 0, 1);
pub(super) const AREA: Dimension = dimension(2, 0, 0, 0, 0, 0, 0);
pub(super) const VOLUME: Dimension = dimension(3, 0, 0, 0, 0, 0, 0);
pub(super) const SPEED: Dimension = dimension(1, 0, -1, 0, 0, 0, 0);
pub(super) const ACCELERATION: Dimension = dimension(1, 0, -2, 0, 0, 0, 0);
pub(super) const FREQUENCY: Dimension = dimension(0, 0, -1, 0, 0, 0, 0);
pub(super) const DOSE: Dimension = dimension(2, 0, -2, 0, 0, 0, 0);
pub(super) const EXPOSURE: Dimension = dimension(0, -1, 1, 1, 0, 0, 0);
pub(super) const CATALYTIC: Dimension = dimension(0, 0, -1, 0, 0, 1, 0);
pub(super) const ILLUMINANCE: Dimension = dimension(-2, 0, 0, 0, 0, 0, 1);
pub(super) const VISCOSITY: Dimension = dimension(-1, 1, -1, 0, 0, 0, 0);
pub(super) const DIFFUSIVITY: Dimension = dimension(2, 0, -1, 0, 0, 0, 0);
pub(super) const FIELD_STRENGTH: Dimension = dimension(-1, 0, 0, 1, 0, 0, 0);
pub(super) const FORCE: Dimension = dimension(1, 1, -2, 0, 0, 0, 0);
pub(super) const PRESSURE: Dimension = dimension(-1, 1, -2, 0, 0, 0, 0);
pub(super) const ENERGY: Dimension = dimension(2, 1, -2, 0, 0, 0, 0);
pub(super) const POWER: Dimension = dimension(2, 1, -3, 0, 0, 0, 0);
pub(super) const CHARGE: Dimension = dimension(0, 0, 1, 1, 0, 0, 0);
pub(super) const VOLTAGE: Dimension = dimension(2, 1, -3, -1, 0, 0, 0);
pub(super) const RESISTANCE: Dimension = dimension(2, 1, -3, -2, 0, 0, 0);
pub(super) const CONDUCTANCE: Dimension = dimension(-2, -1, 3, 2, 0, 0, 0);
pub(super) const CAPACITANCE: Dimension = dimension(-2, -1, 4, 2, 0, 0, 0);
pub(super) const FLUX: Dimension = dimension(2, 1, -2, -1, 0, 0, 0);
pub(super) const FLUX_DENSITY: Dimension = dimension(0, 1, -2, -1, 0, 0, 0);
pub(super) const INDUCTANCE: Dimension = dimension(2, 1, -2, -2, 0, 0, 0);

const fn dimension(m: i8, kg: i8, s: i8, a: i8, k: i8, mol: i8, cd: i8) -> Dimension {
    Dimension::new([m, kg, s, a, k, mol, cd])
}
