//! Constants of nature: the 2022 CODATA recommended values (NIST, table of the 2022 adjustment),
//! digits as published.

use super::{Decimal, Exact};

/// What the values are taken from.
pub const SOURCE: &str = "CODATA 2022";

/// One recommended value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Constant {
    /// The symbol by which a course asks for it; Greek letters by their names.
    pub symbol: &'static str,
    /// What it is.
    pub name: &'static str,
    /// The value, with the digits that were published.
    pub value: &'static str,
    /// Its standard uncertainty; `0` of an exact one.
    pub uncertainty: &'static str,
    /// Its unit, as the notation spells it; `1` of a pure number.
    pub unit: &'static str,
    /// Is it exact, by the definition of the SI (SI Brochure, 9th edition, 2.2) or by convention?
    pub exact: bool,
    /// Of an exact one whose published digits are cut: thirty digits (fewer where the decimal ends),
    /// computed from the defining constants.
    pub all_digits: Option<&'static str>,
}

impl Constant {
    /// The published value, as it is shown.
    pub fn shown(&self) -> Decimal {
        read(self.value)
    }

    /// The value to compute with: of an exact one with all its digits, so that the cut is no error.
    pub fn number(&self) -> Exact {
        Exact::of(read(self.all_digits.unwrap_or(self.value))).unwrap_or(Exact::ZERO)
    }

    /// The standard uncertainty, written to the last place of the published value; `None` of an exact one.
    pub fn standard_uncertainty(&self) -> Option<Decimal> {
        (!self.exact).then(|| read(self.uncertainty))
    }
}

/// A test reads every number of the table, so that the zero is never met.
fn read(digits: &str) -> Decimal {
    Decimal::read(digits).unwrap_or(Decimal::ZERO)
}

/// The constant of that symbol, which may begin with a Greek letter or its name (`μ_0`, `mu_0`).
pub fn find(symbol: &str) -> Option<&'static Constant> {
    CONSTANTS.iter().find(|constant| is_same(constant.symbol, symbol))
}

fn is_same(known: &str, symbol: &str) -> bool {
    const LETTERS: [(&str, &[char]); 8] = [
        ("mu", &['μ', 'µ']),
        ("epsilon", &['ε', 'ϵ']),
        ("alpha", &['α']),
        ("gamma", &['γ']),
        ("lambda", &['λ']),
        ("sigma", &['σ']),
        ("Phi", &['Φ']),
        ("hbar", &['ħ']),
    ];
    let by_letter = |(name, letters): &(&str, &[char])| {
        let rests = symbol.strip_prefix(*letters).zip(known.strip_prefix(name));
        rests.is_some_and(|(typed, listed)| typed == listed)
    };
    known == symbol || LETTERS.iter().any(by_letter)
}

const fn measured(
    symbol: &'static str,
    name: &'static str,
    value: &'static str,
    uncertainty: &'static str,
    unit: &'static str,
) -> Constant {
    Constant { symbol, name, value, uncertainty, unit, exact: false, all_digits: None }
}

const fn exact(symbol: &'static str, name: &'static str, value: &'static str, unit: &'static str) -> Constant {
    Constant { symbol, name, value, uncertainty: "0", unit, exact: true, all_digits: None }
}

/// An exact one of which CODATA prints the first digits only.
const fn cut(
    symbol: &'static str,
    name: &'static str,
    value: &'static str,
    all_digits: &'static str,
    unit: &'static str,
) -> Constant {
    Constant { symbol, name, value, uncertainty: "0", unit, exact: true, all_digits: Some(all_digits) }
}

/// In the order of the published table's groups. The symbols are the usual ones, but for four that no
/// symbol of the notation could be: `ratio_pe` is m_p/m_e, `quotient_e` is −e/m_e, `V_m100kPa` and
/// `V_matm` the molar volumes. `g_n` and `atm` are adopted values, which the same table lists.
#[rustfmt::skip]
pub const CONSTANTS: &[Constant] = &[
    exact("c", "speed of light in vacuum", "299792458", "m/s"),
    exact("h", "Planck constant", "6.62607015e-34", "J/Hz"),
    cut("hbar", "reduced Planck constant", "1.054571817e-34", "1.05457181764615639126242800330e-34", "J*s"),
    exact("e", "elementary charge", "1.602176634e-19", "C"),
    exact("k", "Boltzmann constant", "1.380649e-23", "J/K"),
    exact("N_A", "Avogadro constant", "6.02214076e23", "1/mol"),
    cut("R", "molar gas constant", "8.314462618", "8.31446261815324", "J/(mol*K)"),
    cut("F", "Faraday constant", "96485.33212", "9.64853321233100184e4", "C/mol"),
    measured("G", "Newtonian constant of gravitation", "6.67430e-11", "0.00015e-11", "m^3/(kg*s^2)"),
    measured("mu_0", "vacuum magnetic permeability", "1.25663706127e-6", "0.00000000020e-6", "N/A^2"),
    measured("epsilon_0", "vacuum electric permittivity", "8.8541878188e-12", "0.0000000014e-12", "F/m"),
    measured("Z_0", "characteristic impedance of vacuum", "376.730313412", "0.000000059", "Ω"),
    measured("alpha", "fine-structure constant", "7.2973525643e-3", "0.0000000011e-3", "1"),
    measured("alpha_inv", "inverse fine-structure constant", "137.035999177", "0.000000021", "1"),
    measured("R_inf", "Rydberg constant", "10973731.568157", "0.000012", "1/m"),
    measured("a_0", "Bohr radius", "5.29177210544e-11", "0.00000000082e-11", "m"),
    measured("E_h", "Hartree energy", "4.3597447222060e-18", "0.0000000000048e-18", "J"),
    measured("m_e", "electron mass", "9.1093837139e-31", "0.0000000028e-31", "kg"),
    measured("m_p", "proton mass", "1.67262192595e-27", "0.00000000052e-27", "kg"),
    measured("m_n", "neutron mass", "1.67492750056e-27", "0.00000000085e-27", "kg"),
    measured("m_mu", "muon mass", "1.883531627e-28", "0.000000042e-28", "kg"),
    measured("m_d", "deuteron mass", "3.3435837768e-27", "0.0000000010e-27", "kg"),
    measured("m_alpha", "alpha particle mass", "6.6446573450e-27", "0.0000000021e-27", "kg"),
    measured("ratio_pe", "proton-electron mass ratio", "1836.152673426", "0.000000032", "1"),
    measured("m_u", "atomic mass constant", "1.66053906892e-27", "0.00000000052e-27", "kg"),
    measured("M_u", "molar mass constant", "1.00000000105e-3", "0.00000000031e-3", "kg/mol"),
    measured("mu_B", "Bohr magneton", "9.2740100657e-24", "0.0000000029e-24", "J/T"),
    measured("mu_N", "nuclear magneton", "5.0507837393e-27", "0.0000000016e-27", "J/T"),
    measured("mu_e", "electron magnetic moment", "-9.2847646917e-24", "0.0000000029e-24", "J/T"),
    measured("mu_p", "proton magnetic moment", "1.41060679545e-26", "0.00000000060e-26", "J/T"),
    measured("g_e", "electron g factor", "-2.00231930436092", "0.00000000000036", "1"),
    measured("gamma_p", "proton gyromagnetic ratio", "2.6752218708e8", "0.0000000011e8", "1/(s*T)"),
    measured("r_e", "classical electron radius", "2.8179403205e-15", "0.0000000013e-15", "m"),
    measured("lambda_C", "Compton wavelength", "2.42631023538e-12", "0.00000000076e-12", "m"),
    measured("sigma_e", "Thomson cross section", "6.6524587051e-29", "0.0000000062e-29", "m^2"),
    cut("sigma", "Stefan-Boltzmann constant", "5.670374419e-8", "5.67037441918442945397099673189e-8", "W/(m^2*K^4)"),
    cut("b", "Wien wavelength displacement law constant", "2.897771955e-3", "2.89777195518517266147860544809e-3", "m*K"),
    cut("b_prime", "Wien frequency displacement law constant", "5.878925757e10", "5.87892575764682494660613079531e10", "Hz/K"),
    cut("Phi_0", "magnetic flux quantum", "2.067833848e-15", "2.06783384846192932308111541215e-15", "Wb"),
    cut("K_J", "Josephson constant", "483597.8484e9", "4.83597848416983632447658285055e14", "Hz/V"),
    cut("R_K", "von Klitzing constant", "25812.80745", "2.58128074593045066600455167061e4", "Ω"),
    cut("G_0", "conductance quantum", "7.748091729e-5", "7.74809172986365064668082332331e-5", "S"),
    measured("quotient_e", "electron charge to mass quotient", "-1.75882000838e11", "0.00000000055e11", "C/kg"),
    exact("eV", "electron volt", "1.602176634e-19", "J"),
    cut("V_m100kPa", "molar volume of ideal gas (273.15 K, 100 kPa)", "22.71095464e-3", "2.271095464148557506e-2", "m^3/mol"),
    cut("V_matm", "molar volume of ideal gas (273.15 K, 101.325 kPa)", "22.41396954e-3", "2.24139695450141377350111028868e-2", "m^3/mol"),
    cut("n_0", "Loschmidt constant (273.15 K, 101.325 kPa)", "2.686780111e25", "2.68678011179844382244815315745e25", "1/m^3"),
    cut("c_1", "first radiation constant", "3.741771852e-16", "3.74177185219275801136715555593e-16", "W*m^2"),
    cut("c_2", "second radiation constant", "1.438776877e-2", "1.43877687750393380214667160154e-2", "m*K"),
    measured("r_p", "proton rms charge radius", "8.4075e-16", "0.0064e-16", "m"),
    exact("g_n", "standard acceleration of gravity", "9.80665", "m/s^2"),
    exact("atm", "standard atmosphere", "101325", "Pa"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_of_the_table_is_one() {
        for constant in CONSTANTS {
            let value = Decimal::read(constant.value).unwrap();
            assert!(!value.is_zero(), "{}", constant.symbol);
            let uncertainty = Decimal::read(constant.uncertainty).unwrap();
            assert_eq!(uncertainty.is_zero(), constant.exact, "{}", constant.symbol);
            if !constant.exact {
                assert_eq!(uncertainty.last_place(), value.last_place(), "{}", constant.symbol);
            }
            if let Some(all) = constant.all_digits {
                // Cut, not rounded: the published digits begin the others.
                let (all, value) = (Decimal::read(all).unwrap(), value);
                let dropped = value.last_place().abs_diff(all.last_place());
                assert_eq!(all.digits() / 10u128.pow(dropped), value.digits(), "{}", constant.symbol);
            }
            assert!(!constant.number().is_zero(), "{}", constant.symbol);
        }
    }

    /// The exact ones follow from the defining constants of the SI.
    #[test]
    fn exact_products_are_exact() {
        let number = |symbol: &str| find(symbol).unwrap().number();
        assert_eq!(number("R"), number("N_A").times(number("k")).unwrap());
        assert_eq!(number("F"), number("N_A").times(number("e")).unwrap());
        let volume = number("R").times(Exact::new(27315, 1, -7)).unwrap();
        assert_eq!(number("V_m100kPa"), volume);
    }

    #[test]
    fn symbols_are_found_by_letter_and_by_name() {
        assert_eq!(find("μ_0"), find("mu_0"));
        assert_eq!(find("ħ"), find("hbar"));
        assert_eq!(find("σ").map(|c| c.name), Some("Stefan-Boltzmann constant"));
        assert_eq!(find("Φ_0").map(|c| c.unit), Some("Wb"));
        assert_eq!(find("α_inv"), find("alpha_inv"));
        assert_eq!(find("m"), None);
        assert_eq!(find(""), None);
        assert_eq!(find("c").map(Constant::standard_uncertainty), Some(None));
        assert_eq!(find("G").and_then(Constant::standard_uncertainty).unwrap().to_string(), "0.0000000000000015");
    }
}
