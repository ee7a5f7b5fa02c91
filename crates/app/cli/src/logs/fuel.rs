//! The fuel in the tank, as far as the words for it can be understood.

use super::{Day, DayPull};
use shortblock_gas::fuel::{self, find};
use shortblock_pulls::check::Fuel;

/// The fuel of a pull: its own setting, else that of the day, else petrol, which is then said.
pub fn fuel_of(day: &Day, pull: &DayPull) -> Fuel {
    let own = day.said(pull).and_then(|said| {
        said.settings.iter().find(|s| s.name == "fuel").map(|setting| setting.text.as_str())
    });
    understood(own.or(day.session.as_ref().and_then(|session| session.fuel.as_deref())))
}

fn understood(words: Option<&str>) -> Fuel {
    let petrol = |name: String| Fuel { name, stoichiometric_ratio: ratio("petrol") };
    let Some(words) = words else {
        return petrol("petrol, since nobody said the fuel".to_owned());
    };
    if let Ok(fuel) = find(words) {
        return Fuel { name: words.to_owned(), stoichiometric_ratio: fuel.stoichiometric_afr() };
    }
    let tokens: Vec<String> = words
        .split(|c: char| !c.is_alphanumeric())
        .map(str::to_lowercase)
        .filter(|t| !t.is_empty())
        .collect();
    // "99 RON E10" is E10; "petrol with 10 % ethanol" is neither petrol nor ethanol.
    let named: Vec<&str> = tokens.iter().map(String::as_str).filter(|t| find(t).is_ok()).collect();
    match named[..] {
        [one] => Fuel { name: words.to_owned(), stoichiometric_ratio: ratio(one) },
        [] if tokens.iter().any(|t| matches!(t.as_str(), "ron" | "octane" | "unleaded")) => {
            petrol(format!("{words}, taken as petrol"))
        }
        _ => petrol(format!("petrol, since \"{words}\" is not understood")),
    }
}

/// Stoichiometric ratio of a fuel that is known; not a number for another.
fn ratio(name: &str) -> f64 {
    fuel::find(name).map_or(f64::NAN, |fuel| fuel.stoichiometric_afr())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stoichiometric ratios: petrol 14.6, ethanol 9.0, methanol 6.47 (Heywood 1988, table D.4, from
    /// memory, to its last place); E10 lies a thirtieth below petrol by volume and ratio of the two.
    #[test]
    fn fuels_are_understood_by_the_one_name_in_them() {
        let of = |words: Option<&str>| understood(words);
        assert!((of(Some("methanol")).stoichiometric_ratio - 6.47).abs() < 0.05);
        assert!((of(Some("pure ethanol")).stoichiometric_ratio - 9.0).abs() < 0.05);
        let (petrol, e10) = (of(None), of(Some("99 RON E10")));
        assert!((petrol.stoichiometric_ratio - 14.6).abs() < 0.15, "{petrol:?}");
        let share = e10.stoichiometric_ratio / petrol.stoichiometric_ratio;
        assert!((0.955..0.97).contains(&share), "{share}");
        assert!(petrol.name.contains("nobody said"));
        assert!(of(Some("98 RON")).name.ends_with("taken as petrol"));
        let mixed = of(Some("petrol with 10 % ethanol"));
        assert!(mixed.name.contains("not understood"), "{mixed:?}");
        assert!(of(Some("")).name.contains("not understood"));
    }
}
