//! Every spelling of every unit leads to that unit and to no other.

use shortblock_units::{Quantity, parse, unit, units_of};

#[test]
fn every_spelling_finds_its_own_unit_in_all_its_dresses() {
    for q in Quantity::ALL {
        for u in units_of(q) {
            for spelling in u.spellings.iter().chain(std::iter::once(&u.symbol)) {
                for dot in [".", "·", " ", "-", "", " · ", "\u{2009}", "\u{a0}"] {
                    let dressed = spelling.replace('.', dot);
                    let found = unit(q, &dressed).map(|u| u.symbol);
                    assert_eq!(found, Some(u.symbol), "{q}: {dressed:?}");
                }
            }
        }
    }
}

#[test]
fn every_spelling_is_read_after_a_number() {
    for q in Quantity::ALL {
        for u in units_of(q) {
            for spelling in u.spellings.iter().chain(std::iter::once(&u.symbol)) {
                let read = |text: String| parse(&text, q).map(|m| m.unit.symbol);
                assert_eq!(read(format!("5 {}", spelling.replace('.', " "))), Ok(u.symbol));
                // "51/min" would run into the number, so a gap is needed there.
                if !spelling.starts_with(|c: char| c.is_ascii_digit()) {
                    assert_eq!(read(format!("5{spelling}")), Ok(u.symbol), "{q}");
                }
            }
        }
    }
}

#[test]
fn writing_that_fits_two_units_but_for_capitals_is_refused() {
    let bare = |s: &str| s.to_lowercase().replace('.', "");
    for q in Quantity::ALL {
        let mut seen: Vec<(String, &str)> = Vec::new();
        for u in units_of(q) {
            for s in u.spellings.iter().chain(std::iter::once(&u.symbol)).map(|s| bare(s)) {
                if seen.iter().any(|(other, owner)| *other == s && *owner != u.symbol) {
                    assert_eq!(unit(q, &s), None, "{q}: {s} of {}", u.symbol);
                }
                seen.push((s, u.symbol));
            }
        }
    }
}

#[test]
fn names_say_what_differs_silently() {
    let name = |q, symbol| unit(q, symbol).unwrap().name;
    assert!(name(Quantity::Power, "hp").contains("550 ft.lbf/s"));
    assert!(name(Quantity::Power, "PS").contains("75 kgf.m/s"));
    assert!(name(Quantity::PressureDifference, "inH2O").contains("4 degC"));
    assert!(name(Quantity::PressureDifference, "inHg").contains("0 degC"));
}
