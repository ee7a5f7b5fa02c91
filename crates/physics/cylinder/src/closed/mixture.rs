//! Gas properties of one fuel at one equivalence ratio, made once a run.

use shortblock_gas::flame_speed::FlameFuel;
use shortblock_gas::{BurnedTable, FrozenGas, Fuel, GasError, HumidAir};

/// Properties of air, fuel vapour and burned gas of one mixture.
#[derive(Clone, Debug)]
pub struct Mixture {
    /// The engine's air, humidity included.
    pub air: FrozenGas,
    /// Fuel vapour.
    pub vapour: FrozenGas,
    /// Burned gas of this mixture, composition frozen (residual gas, crevice contents).
    pub burned: FrozenGas,
    /// Burned gas of this mixture in equilibrium.
    pub table: BurnedTable,
    /// Flame speed of the fuel.
    pub flame: FlameFuel,
    /// Equivalence ratio of the fresh charge (1/lambda).
    pub equivalence_ratio: f64,
    /// Latent heat of the fuel, J/kg.
    pub latent_heat: f64,
}

impl Mixture {
    /// Makes the properties of `fuel` burning in `air` at an equivalence ratio.
    ///
    /// # Errors
    /// [`GasError`] when the mixture is too rich or the equivalence ratio out of range.
    pub fn new(fuel: &Fuel, equivalence_ratio: f64, air: &HumidAir) -> Result<Self, GasError> {
        Ok(Self {
            air: FrozenGas::air(air),
            vapour: FrozenGas::vapour(fuel),
            burned: FrozenGas::burned(fuel, equivalence_ratio, air)?,
            table: BurnedTable::new(fuel, equivalence_ratio, air)?,
            flame: FlameFuel::new(fuel),
            equivalence_ratio,
            latent_heat: fuel.latent_heat,
        })
    }
}
