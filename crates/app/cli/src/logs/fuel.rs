//! The fuel in the tank, as far as the words for it can be understood.

use super::{Day, DayPull};
use shortblock_gas::fuel::{self, find};
use shortblock_pulls::check::Fuel;
use shortblock_pulls::derived::FuelUsed;

/// The fuel of a pull: its own setting, else that of the day, else petrol, which is then said.
pub fn fuel_of(day: &Day, pull: &DayPull) -> Fuel {
    let (name, fuel) = understood(words(day, pull));
    Fuel { name, stoichiometric_ratio: fuel.map_or(f64::NAN, |fuel| fuel.stoichiometric_afr()) }
}

/// What of the same fuel consumption and air flow need.
pub fn fuel_used(day: &Day, pull: &DayPull) -> Option<FuelUsed> {
    let fuel = understood(words(day, pull)).1?;
    Some(FuelUsed {
        stoichiometric_ratio: fuel.stoichiometric_afr(),
        lower_heating_value: fuel.lower_heating_value(),
    })
}

fn words<'a>(day: &'a Day, pull: &DayPull) -> Option<&'a str> {
    let own = day.said(pull).and_then(|said| {
        said.settings.iter().find(|s| s.name == "fuel").map(|setting| setting.text.as_str())
    });
    own.or(day.session.as_ref().and_then(|session| session.fuel.as_deref()))
}

/// What it counts as, in words, and the fuel.
fn understood(words: Option<&str>) -> (String, Option<fuel::Fuel>) {
    let petrol = |name: String| (name, find("petrol").ok());
    let Some(words) = words else {
        return petrol("petrol, since nobody said the fuel".to_owned());
    };
    if let Ok(fuel) = find(words) {
        return (words.to_owned(), Some(fuel));
    }
    let tokens: Vec<String> = words
        .split(|c: char| !c.is_alphanumeric())
        .map(str::to_lowercase)
        .filter(|t| !t.is_empty())
        .collect();
    // "99 RON E10" is E10; "petrol with 10 % ethanol" is neither petrol nor ethanol.
    let mut named: Vec<fuel::Fuel> = tokens.iter().filter_map(|token| find(token).ok()).collect();
    match (named.pop(), named.is_empty()) {
        (Some(one), true) => (words.to_owned(), Some(one)),
        (None, _) if tokens.iter().any(|t| matches!(t.as_str(), "ron" | "octane" | "unleaded")) => {
            petrol(format!("{words}, taken as petrol"))
        }
        _ => petrol(format!("petrol, since \"{words}\" is not understood")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stoichiometric ratios: petrol 14.6, ethanol 9.0, methanol 6.47 (Heywood 1988, table D.4, from
    /// memory, to its last place); E10 lies a thirtieth below petrol by volume and ratio of the two.
    #[test]
    fn fuels_are_understood_by_the_one_name_in_them() {
        let ratio = |words| understood(words).1.expect("a fuel").stoichiometric_afr();
        let name = |words| understood(Some(words)).0;
        assert!((ratio(Some("methanol")) - 6.47).abs() < 0.05);
        assert!((ratio(Some("pure ethanol")) - 9.0).abs() < 0.05);
        let (petrol, e10) = (ratio(None), ratio(Some("99 RON E10")));
        assert!((petrol - 14.6).abs() < 0.15, "{petrol}");
        assert!((0.955..0.97).contains(&(e10 / petrol)), "{e10}");
        assert!(understood(None).0.contains("nobody said"));
        assert!(name("98 RON").ends_with("taken as petrol"));
        assert!(name("petrol with 10 % ethanol").contains("not understood"));
        assert!(name("").contains("not understood"));
    }
}
