//! The standards by name.

use crate::standards::{compression, din70020, iso1585, observed, sae_j607, sae_j816, sae_j1349};
use crate::subject::Ignition;
use crate::window::Limit;
use std::fmt;

/// A way of bringing power to a common air, by standard and revision.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standard {
    /// No correction.
    AsObserved,
    /// SAE J1349, June 1990, coefficients as printed (1.180 and 0.180).
    J1349Jun1990,
    /// The same assumption of 85 % with unrounded coefficients.
    J1349Jun1990Exact,
    /// SAE J1349, August 2004.
    J1349Aug2004,
    /// SAE J1349, September 2011.
    J1349Sep2011,
    /// SAE J1995, gross power.
    J1995,
    /// SAE J607 type: the "standard" of 60 °F and 29.92 inHg.
    J607,
    /// SAE J816 and J245 type, on indicated power.
    J816,
    /// ISO 1585.
    Iso1585,
    /// UN Regulation 85.
    R85,
    /// Directive 80/1269/EEC.
    Eec80Slash1269,
    /// JIS D 1001, 1993.
    JisD1001,
    /// Regulation (EU) 134/2014, motorcycles.
    Eu134Slash2014,
    /// ISO 15550 and UN Regulation 120.
    Iso15550,
    /// DIN 70020.
    Din70020,
}

/// What people should know of a standard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct About {
    /// Short name for files and the terminal: `j1349-jun1990`.
    pub key: &'static str,
    /// Name as printed.
    pub name: &'static str,
    /// Revision.
    pub revision: &'static str,
    /// What it is for.
    pub purpose: &'static str,
    /// Its reference air.
    pub reference: &'static str,
    /// The formula for spark ignition.
    pub spark: Option<&'static str>,
    /// The formula for compression ignition.
    pub compression: Option<&'static str>,
    /// How far its text is known here.
    pub source: &'static str,
}

impl fmt::Display for Standard {
    /// Name with the year of the revision where the name does not say it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let about = self.about();
        let year = about.revision.len() == 4 && about.revision.parse::<u16>().is_ok();
        if year { write!(f, "{}:{}", about.name, about.revision) } else { f.write_str(about.name) }
    }
}

impl Standard {
    /// Every standard.
    pub const ALL: [Self; 15] = [
        Self::AsObserved,
        Self::J1349Jun1990,
        Self::J1349Jun1990Exact,
        Self::J1349Aug2004,
        Self::J1349Sep2011,
        Self::J1995,
        Self::J607,
        Self::J816,
        Self::Iso1585,
        Self::R85,
        Self::Eec80Slash1269,
        Self::JisD1001,
        Self::Eu134Slash2014,
        Self::Iso15550,
        Self::Din70020,
    ];

    /// What people should know of it.
    pub fn about(self) -> &'static About {
        match self {
            Self::AsObserved => &observed::ABOUT,
            Self::J1349Jun1990 => &sae_j1349::JUN1990,
            Self::J1349Jun1990Exact => &sae_j1349::JUN1990_EXACT,
            Self::J1349Aug2004 => &sae_j1349::AUG2004,
            Self::J1349Sep2011 => &sae_j1349::SEP2011,
            Self::J1995 => &sae_j1349::J1995,
            Self::J607 => &sae_j607::ABOUT,
            Self::J816 => &sae_j816::ABOUT,
            Self::Iso1585 => &iso1585::ISO1585,
            Self::R85 => &iso1585::R85,
            Self::Eec80Slash1269 => &iso1585::EEC,
            Self::JisD1001 => &iso1585::JIS,
            Self::Eu134Slash2014 => &iso1585::EU134,
            Self::Iso15550 => &compression::ISO15550,
            Self::Din70020 => &din70020::ABOUT,
        }
    }

    /// The standard whose short name this is.
    pub fn by_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|standard| standard.about().key == key)
    }

    /// The limits it states, to be edited where yours are others; none where none are known.
    pub fn limits(self, ignition: Ignition) -> Vec<Limit> {
        let compression_ignition = ignition == Ignition::Compression;
        match self {
            Self::AsObserved | Self::J607 | Self::J816 | Self::Din70020 => Vec::new(),
            Self::J1349Jun1990 if compression_ignition => compression::LIMITS.to_vec(),
            Self::J1349Jun1990
            | Self::J1349Jun1990Exact
            | Self::J1349Aug2004
            | Self::J1349Sep2011
            | Self::J1995 => sae_j1349::LIMITS.to_vec(),
            Self::Eu134Slash2014 => iso1585::EU134_LIMITS.to_vec(),
            Self::Iso15550 => compression::LIMITS.to_vec(),
            Self::Iso1585 | Self::R85 | Self::Eec80Slash1269 | Self::JisD1001 => {
                if compression_ignition {
                    compression::LIMITS.to_vec()
                } else {
                    iso1585::LIMITS.to_vec()
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_names_are_unique_and_found() {
        for standard in Standard::ALL {
            assert_eq!(Standard::by_key(standard.about().key), Some(standard));
        }
        assert_eq!(Standard::by_key("nobody's"), None);
    }

    #[test]
    fn every_standard_that_corrects_shows_a_formula() {
        for standard in Standard::ALL {
            let about = standard.about();
            assert!(about.spark.or(about.compression).is_some(), "{}", about.name);
        }
    }
}
