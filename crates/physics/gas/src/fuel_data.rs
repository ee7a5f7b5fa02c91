//! Data of the fuels: composition, formation enthalpy, latent heat, density, vapour polynomials.
//!
//! Liquid formation enthalpies: Active Thermochemical Tables (ATcT), CRC Handbook or NIST, as
//! collected by the PyPI package chemicals 1.5.2. Latent heats at 298.15 K: Perry's Handbook, 8th ed.,
//! table 2-150, else gas minus liquid formation enthalpy. Densities at 15 C: Perry 8th ed., table
//! 2-32. Octane numbers of pure fuels: Heywood 1988, table D.4 (from memory); n-heptane and
//! iso-octane define the scale.
//! Boiling points: CRC Handbook (from memory). Petrols: half is distilled over at about 100 C, as EN 228
//! wants (46 to 71 % at 100 C, from memory).
//! Vapour polynomials: NASA TM-4513 (see [`crate::species`]); nitromethane and acetone from Poling,
//! Prausnitz & O'Connell 2001, appendix A (through the same package), 200 to 1000 K.

use crate::nasa::Nasa7;

/// Where the heat capacity of a vapour comes from.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Vapour {
    /// The polynomial of the substance, formation enthalpy included.
    Nasa(&'static Nasa7),
    /// Heat capacity of the substance; the enthalpy follows from liquid and latent heat.
    HeatCapacity(&'static Nasa7),
    /// Heat capacity summed from moles of other vapours, for lack of a polynomial.
    Surrogate(&'static [(&'static Nasa7, f64)]),
}

/// A pure liquid fuel.
pub(crate) struct Pure {
    pub name: &'static str,
    /// Atoms of C, H, O, N.
    pub atoms: [f64; 4],
    /// Formation enthalpy of the liquid, kJ/mol.
    pub hf_liquid_kj: f64,
    /// Latent heat at 298.15 K, kJ/kg.
    pub latent_kj: f64,
    /// Boiling point at one atmosphere, K.
    pub boiling_point: f64,
    /// Density of the liquid at 15 C, kg/m3.
    pub density: f64,
    pub ron: Option<f64>,
    pub mon: Option<f64>,
    pub vapour: Vapour,
}

/// A petrol known by its hydrogen to carbon ratio and heating value.
pub(crate) struct Petrol {
    pub name: &'static str,
    /// Hydrogen atoms per carbon atom.
    pub h_per_c: f64,
    /// Lower heating value of the liquid, MJ/kg: an input, not a result.
    pub lhv_mj: f64,
    /// Latent heat at 298.15 K, kJ/kg.
    pub latent_kj: f64,
    /// Temperature at which half is distilled over, K.
    pub boiling_point: f64,
    /// Density of the liquid at 15 C, kg/m3.
    pub density: f64,
    pub ron: Option<f64>,
    pub mon: Option<f64>,
}

/// A blend by liquid volume of fuels listed before it.
pub(crate) struct Blend {
    pub name: &'static str,
    pub parts: &'static [(&'static str, f64)],
    /// Octane numbers, where a fuel standard sets them; else they follow from the parts.
    pub octane: Option<(f64, f64)>,
}

/// Molar mass given to a petrol's pseudo-molecule, kg/mol (ours; Heywood prints about 110).
pub(crate) const PETROL_MOLAR_MASS: f64 = 0.105;

/// C8H18,isooctane, gas. Source: NASA TM-4513.
pub(crate) static ISOOCTANE: Nasa7 = Nasa7 {
    low: [
        0.815737338,
        0.0732643959,
        1.78300688e-05,
        -6.9358962e-08,
        3.21629382e-11,
        -30477.2862,
        24.1509994,
    ],
    high: [
        15.9899273,
        0.055318479,
        -1.95267072e-05,
        3.11779172e-09,
        -1.85312577e-13,
        -35875.7973,
        -60.1161414,
    ],
};
/// C7H16,n-heptane, gas. Source: NASA TM-4513.
static N_HEPTANE: Nasa7 = Nasa7 {
    low: [
        11.1532484,
        -0.00949415433,
        0.000195571181,
        -2.4975252e-07,
        9.84873213e-11,
        -26771.1735,
        -15.909611,
    ],
    high: [
        18.5354704,
        0.0391420468,
        -1.38030268e-05,
        2.22403874e-09,
        -1.3345258e-13,
        -31950.0783,
        -70.190284,
    ],
};
/// C7H8, gas. Source: NASA TM-4513.
pub(crate) static TOLUENE: Nasa7 = Nasa7 {
    low: [
        1.611914,
        0.0211188902,
        8.53221453e-05,
        -1.32566876e-07,
        5.59406109e-11,
        4096.51976,
        20.2973614,
    ],
    high: [
        12.939475,
        0.0266921558,
        -9.68420108e-06,
        1.5739214e-09,
        -9.46670482e-14,
        -677.035769,
        -46.7255302,
    ],
};
/// CH3OH, gas. Source: NASA TM-4513.
static METHANOL: Nasa7 = Nasa7 {
    low: [
        5.71539582,
        -0.0152309129,
        6.52441155e-05,
        -7.10806889e-08,
        2.61352698e-11,
        -25642.7656,
        -1.50409823,
    ],
    high: [
        3.60134486,
        0.0102430954,
        -3.59985517e-06,
        5.72505986e-10,
        -3.3911764e-14,
        -25997.191,
        4.70512253,
    ],
};
/// C2H5OH, gas. Source: NASA TM-4513.
static ETHANOL: Nasa7 = Nasa7 {
    low: [
        4.85868178,
        -0.0037400674,
        6.95550267e-05,
        -8.86541147e-08,
        3.5168443e-11,
        -29996.1309,
        4.80192294,
    ],
    high: [
        6.5628977,
        0.0152034264,
        -5.38922247e-06,
        8.62150224e-10,
        -5.12824683e-14,
        -31525.7984,
        -9.47557644,
    ],
};
/// C8H16,1-octene, gas. Source: NASA TM-4513.
static OCTENE: Nasa7 = Nasa7 {
    low: [
        10.148786,
        0.00125107538,
        0.000185252736,
        -2.49094162e-07,
        1.00250395e-10,
        -14326.7453,
        -8.50774418,
    ],
    high: [
        22.0134086,
        0.0367972174,
        -1.29830482e-05,
        2.10854637e-09,
        -1.27294158e-13,
        -20610.9835,
        -85.533717,
    ],
};
/// nitromethane, gas, heat capacity only; constant above 1000 K. Source: Poling et al. 2001.
static NITROMETHANE: Nasa7 = Nasa7 {
    low: [4.196, -0.001102, 5.158e-05, -6.721e-08, 2.66e-11, 0.0, 0.0],
    high: [14.063999999999993, 0.0, 0.0, 0.0, 0.0, -4708.166666666661, -59.23106242632902],
};
/// acetone, gas, heat capacity only; constant above 1000 K. Source: Poling et al. 2001.
static ACETONE: Nasa7 = Nasa7 {
    low: [5.126, 0.001511, 5.731e-05, -7.177e-08, 2.728e-11, 0.0, 0.0],
    high: [19.456999999999997, 0.0, 0.0, 0.0, 0.0, -6958.666666666664, -85.93237423642631],
};

/// Pure fuels. Surrogates: an ether is ethanol plus the missing carbons of iso-octane, propylene
/// oxide is its isomer acetone (ours). Densities of etbe and propylene_oxide from memory.
pub(crate) static PURE: &[Pure] = &[
    Pure {
        name: "isooctane",
        atoms: [8.0, 18.0, 0.0, 0.0],
        hf_liquid_kj: -258.8,
        latent_kj: 308.93,
        boiling_point: 372.4,
        density: 698.5,
        ron: Some(100.0),
        mon: Some(100.0),
        vapour: Vapour::Nasa(&ISOOCTANE),
    },
    Pure {
        name: "n-heptane",
        atoms: [7.0, 16.0, 0.0, 0.0],
        hf_liquid_kj: -223.91,
        latent_kj: 365.547,
        boiling_point: 371.6,
        density: 689.949,
        ron: Some(0.0),
        mon: Some(0.0),
        vapour: Vapour::Nasa(&N_HEPTANE),
    },
    Pure {
        name: "toluene",
        atoms: [7.0, 8.0, 0.0, 0.0],
        hf_liquid_kj: 12.36,
        latent_kj: 412.414,
        boiling_point: 383.8,
        density: 873.021,
        ron: Some(120.0),
        mon: Some(109.0),
        vapour: Vapour::Nasa(&TOLUENE),
    },
    Pure {
        name: "methanol",
        atoms: [1.0, 4.0, 1.0, 0.0],
        hf_liquid_kj: -238.4,
        latent_kj: 1174.83,
        boiling_point: 337.7,
        density: 799.095,
        ron: Some(106.0),
        mon: Some(92.0),
        vapour: Vapour::Nasa(&METHANOL),
    },
    Pure {
        name: "ethanol",
        atoms: [2.0, 6.0, 1.0, 0.0],
        hf_liquid_kj: -277.03,
        latent_kj: 923.433,
        boiling_point: 351.4,
        density: 794.707,
        ron: Some(107.0),
        mon: Some(89.0),
        vapour: Vapour::Nasa(&ETHANOL),
    },
    Pure {
        name: "nitromethane",
        atoms: [1.0, 3.0, 2.0, 1.0],
        hf_liquid_kj: -112.6,
        latent_kj: 625.588,
        boiling_point: 374.3,
        density: 1141.99,
        ron: None,
        mon: None,
        vapour: Vapour::HeatCapacity(&NITROMETHANE),
    },
    Pure {
        name: "mtbe",
        atoms: [5.0, 12.0, 1.0, 0.0],
        hf_liquid_kj: -313.6,
        latent_kj: 342.275,
        boiling_point: 328.3,
        density: 745.794,
        ron: Some(117.0),
        mon: Some(101.0),
        vapour: Vapour::Surrogate(&[(&ETHANOL, 1.0), (&ISOOCTANE, 0.375)]),
    },
    Pure {
        name: "etbe",
        atoms: [6.0, 14.0, 1.0, 0.0],
        hf_liquid_kj: -350.8,
        latent_kj: 361.138,
        boiling_point: 345.9,
        density: 745.0,
        ron: Some(117.0),
        mon: Some(101.0),
        vapour: Vapour::Surrogate(&[(&ETHANOL, 1.0), (&ISOOCTANE, 0.5)]),
    },
    Pure {
        name: "acetone",
        atoms: [3.0, 6.0, 1.0, 0.0],
        hf_liquid_kj: -248.4,
        latent_kj: 537.556,
        boiling_point: 329.2,
        density: 797.871,
        ron: None,
        mon: None,
        vapour: Vapour::HeatCapacity(&ACETONE),
    },
    Pure {
        name: "propylene_oxide",
        atoms: [3.0, 6.0, 1.0, 0.0],
        hf_liquid_kj: -123.271,
        latent_kj: 480.706,
        boiling_point: 307.6,
        density: 834.0,
        ron: None,
        mon: None,
        vapour: Vapour::Surrogate(&[(&ACETONE, 1.0)]),
    },
    Pure {
        name: "1-octene",
        atoms: [8.0, 16.0, 0.0, 0.0],
        hf_liquid_kj: -124.5,
        latent_kj: 360.78,
        boiling_point: 394.4,
        density: 721.216,
        ron: None,
        mon: None,
        vapour: Vapour::Nasa(&OCTENE),
    },
];

/// Petrols. `gasoline_e0`: CH1.87 (Heywood D.4, from memory), middle of the usual heating values and
/// of EN 228's densities, octane numbers of EN 228's 95 grade (from memory). `indolene`: certification
/// petrol (from memory). The leaded race petrol is constructed, its octane number is not invented.
pub(crate) static PETROL: &[Petrol] = &[
    Petrol {
        name: "gasoline_e0",
        h_per_c: 1.87,
        lhv_mj: 43.5,
        latent_kj: 350.0,
        boiling_point: 373.0,
        density: 745.0,
        ron: Some(95.0),
        mon: Some(85.0),
    },
    Petrol {
        name: "indolene",
        h_per_c: 1.86,
        lhv_mj: 43.0,
        latent_kj: 350.0,
        boiling_point: 373.0,
        density: 742.0,
        ron: None,
        mon: None,
    },
    Petrol {
        name: "leaded_race_petrol_generic",
        h_per_c: 2.05,
        lhv_mj: 44.0,
        latent_kj: 320.0,
        boiling_point: 373.0,
        density: 720.0,
        ron: None,
        mon: None,
    },
];

/// Blends by liquid volume. Pump petrols carry the octane numbers of EN 228's 95 grade (from memory).
pub(crate) static BLEND: &[Blend] = &[
    Blend {
        name: "e5",
        parts: &[("gasoline_e0", 0.95), ("ethanol", 0.05)],
        octane: Some((95.0, 85.0)),
    },
    Blend {
        name: "e10",
        parts: &[("gasoline_e0", 0.9), ("ethanol", 0.1)],
        octane: Some((95.0, 85.0)),
    },
    Blend { name: "e85_83vol", parts: &[("gasoline_e0", 0.17), ("ethanol", 0.83)], octane: None },
    Blend { name: "e85_nominal", parts: &[("gasoline_e0", 0.15), ("ethanol", 0.85)], octane: None },
    Blend { name: "m85", parts: &[("gasoline_e0", 0.15), ("methanol", 0.85)], octane: None },
    Blend {
        name: "oxygenated_race_petrol_generic",
        parts: &[("isooctane", 0.55), ("toluene", 0.25), ("mtbe", 0.2)],
        octane: None,
    },
    Blend {
        name: "high_oxygen_race_petrol_generic",
        parts: &[("isooctane", 0.4), ("toluene", 0.25), ("mtbe", 0.2), ("ethanol", 0.15)],
        octane: None,
    },
    Blend {
        name: "toluene_reference_fuel_50_iso_35_tol_15_hep",
        parts: &[("isooctane", 0.5), ("toluene", 0.35), ("n-heptane", 0.15)],
        octane: None,
    },
    Blend {
        name: "nitro20_methanol80",
        parts: &[("methanol", 0.8), ("nitromethane", 0.2)],
        octane: None,
    },
    Blend {
        name: "nitro90_methanol10",
        parts: &[("methanol", 0.1), ("nitromethane", 0.9)],
        octane: None,
    },
];
