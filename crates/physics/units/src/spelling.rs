//! Finding a unit by the way it is written.
//!
//! Separators between the parts of a unit are free (`lb.ft`, `lb·ft`, `lb ft`, `lb-ft`, `lbft`),
//! raised figures and degree signs are read like their plain forms, and capitals matter only where
//! two units differ by them. Words such as "abs" and "gauge" after a pressure choose its kind.

use crate::quantity::Quantity;
use crate::tables::units_of;
use crate::unit::Unit;

/// Words after a pressure unit which say that it is counted from vacuum.
const ABSOLUTE_WORDS: [&str; 4] = [".abs", ".absolute", "abs", "a"];
/// Words after a pressure unit which say that it is counted from the air outside.
const GAUGE_WORDS: [&str; 5] = [".gauge", ".gage", ".g", "gauge", "g"];

/// Returns the text with every separator as one `.`, none at the ends, and only plain characters.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.trim().chars() {
        match c {
            '²' => out.push('2'),
            '³' => out.push('3'),
            '°' | 'º' => out.push_str("deg"),
            '℃' => out.push_str("degC"),
            '℉' => out.push_str("degF"),
            'µ' | 'μ' => out.push('u'),
            '″' | '”' => out.push('"'),
            'ℓ' => out.push('l'),
            '₂' => out.push('2'),
            '¹' => out.push('1'),
            '⁻' => push_dot(&mut out),
            '(' | ')' | '^' => {}
            '/' | '∕' | '⁄' => {
                trim_dot(&mut out);
                out.push('/');
            }
            '.' | '·' | '⋅' | '∙' | '•' | '・' | '･' | '*' | '×' | '-' | '‑' | '_' => {
                push_dot(&mut out)
            }
            c if c.is_whitespace() => push_dot(&mut out),
            c => out.push(c),
        }
    }
    trim_dot(&mut out);
    out.replace(".per.", "/")
}

fn push_dot(out: &mut String) {
    if !out.is_empty() && !out.ends_with(['.', '/']) {
        out.push('.');
    }
}

fn trim_dot(out: &mut String) {
    if out.ends_with('.') {
        out.pop();
    }
}

/// True when the plain text is this spelling; a `.` of the spelling may be missing in the text.
fn is_spelling(text: &str, spelling: &str, fold: bool) -> bool {
    let mut t = text.chars().peekable();
    for s in spelling.chars() {
        match t.peek() {
            Some(&c) if c == s || (fold && c.eq_ignore_ascii_case(&s)) => {
                t.next();
            }
            _ if s == '.' => {}
            _ => return false,
        }
    }
    t.next().is_none()
}

fn spells(unit: &Unit, text: &str, fold: bool) -> bool {
    is_spelling(text, unit.symbol, fold)
        || unit.spellings.iter().any(|s| is_spelling(text, s, fold))
}

fn find_exact(quantity: Quantity, text: &str) -> Option<&'static Unit> {
    units_of(quantity).iter().find(|u| spells(u, text, false))
}

/// Finds the only unit that `text` spells without regard to capitals.
///
/// Milli and mega differ by the capital alone, so a first letter m in mixed writing ("Mg", "mPa")
/// counts as typed; all capitals or none ("MM", "mpa") show only how somebody types.
fn find_folded(quantity: Quantity, text: &str) -> Option<&'static Unit> {
    let one_case = text == text.to_uppercase() || text == text.to_lowercase();
    let prefix = text.chars().next().filter(|c| !one_case && c.eq_ignore_ascii_case(&'m'));
    let agrees = |u: &&Unit| prefix.is_none_or(|c| u.symbol.starts_with(c));
    let mut found = units_of(quantity).iter().filter(|u| spells(u, text, true)).filter(agrees);
    found.next().filter(|_| found.next().is_none())
}

/// Returns the unit of this quantity that `text` spells: exactly, or else without regard to
/// capitals. Only pressures take the words "abs" (absolute) and "gauge" (gauge and difference).
pub(crate) fn find(quantity: Quantity, text: &str) -> Option<&'static Unit> {
    let text = plain(text);
    let words: &[&str] = match quantity {
        Quantity::AbsolutePressure => &ABSOLUTE_WORDS,
        Quantity::GaugePressure => &GAUGE_WORDS,
        _ => &[],
    };
    let exact_or_folded = |t: &str| find_exact(quantity, t).or_else(|| find_folded(quantity, t));
    let bare = exact_or_folded(&text);
    bare.or_else(|| words.iter().find_map(|w| exact_or_folded(text.strip_suffix(w)?)))
}

/// Returns every kind of quantity in which `text` spells a unit exactly, or, when there is none,
/// without regard to capitals; best known kinds first.
pub(crate) fn kinds_of(text: &str) -> Vec<(Quantity, &'static Unit)> {
    let found: Vec<_> =
        Quantity::ALL.iter().filter_map(|&q| find(q, text).map(|unit| (q, unit))).collect();
    let text = plain(text);
    let exact: Vec<_> =
        found.iter().copied().filter(|(q, _)| find_exact(*q, &text).is_some()).collect();
    if exact.is_empty() { found } else { exact }
}

/// Returns up to three symbols of this quantity whose spelling is close to `text`, nearest first.
/// A whole part of a spelling counts as close: "gal" is one of several gallons.
pub(crate) fn nearest(quantity: Quantity, text: &str) -> Vec<&'static str> {
    /// Longer words are free text, not a slip of the key.
    const LONGEST: usize = 24;
    let text = plain(text).to_lowercase();
    let length = text.chars().count();
    if length > LONGEST {
        return Vec::new();
    }
    let mut near: Vec<(usize, &'static str)> = units_of(quantity)
        .iter()
        .filter_map(|u| {
            let spellings = u.spellings.iter().chain(std::iter::once(&u.symbol));
            let best = spellings.map(|s| closeness(&text, &s.to_lowercase())).min()?;
            (best <= 1 + length / 4 && best < length).then_some((best, u.symbol))
        })
        .collect();
    near.sort_by_key(|(d, _)| *d);
    near.into_iter().take(3).map(|(_, symbol)| symbol).collect()
}

fn closeness(text: &str, spelling: &str) -> usize {
    if text.len() > 1 && spelling.split('.').any(|part| part == text) {
        return 1;
    }
    distance(text, spelling)
}

/// Edit distance with swaps of neighbours (optimal string alignment), in characters.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut before: Vec<usize> = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let swap = usize::from(a[i - 1] != b[j - 1]);
            row[j] = (last[j] + 1).min(row[j - 1] + 1).min(last[j - 1] + swap);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn symbol(q: Quantity, text: &str) -> Option<&'static str> {
        find(q, text).map(|u| u.symbol)
    }

    #[test]
    fn separators_are_free() {
        for text in
            ["lb.ft", "lb·ft", "lb ft", "lb-ft", "lbft", "lbf ft", "ft lbf", "ft.lb", "LB-FT"]
        {
            assert_eq!(symbol(Quantity::Torque, text), Some("lb.ft"), "{text}");
        }
        for text in ["N.m", "N m", "N·m", "Nm", "nm", "N\u{2009}m", "N⋅m"] {
            assert_eq!(symbol(Quantity::Torque, text), Some("N.m"), "{text}");
        }
        for text in ["g/kWh", "g/(kW·h)", "g / kW h", "g per kWh"] {
            assert_eq!(symbol(Quantity::FuelConsumption, text), Some("g/kWh"), "{text}");
        }
    }

    #[test]
    fn a_separator_inside_a_word_is_not_free() {
        assert_eq!(symbol(Quantity::Length, "m m"), None);
        assert_eq!(symbol(Quantity::EngineSpeed, "r.p.m"), None);
    }

    #[test]
    fn signs_are_read_like_words() {
        assert_eq!(symbol(Quantity::Temperature, "°C"), Some("degC"));
        assert_eq!(symbol(Quantity::Temperature, "℉"), Some("degF"));
        assert_eq!(symbol(Quantity::Angle, "°"), Some("deg"));
        assert_eq!(symbol(Quantity::Area, "mm²"), Some("mm2"));
        assert_eq!(symbol(Quantity::Length, "µm"), Some("um"));
        assert_eq!(symbol(Quantity::Length, "″"), Some("in"));
        assert_eq!(symbol(Quantity::Length, "in."), Some("in"));
        assert_eq!(symbol(Quantity::PressureDifference, "in. H₂O"), Some("inH2O"));
    }

    #[test]
    fn capitals_matter_only_where_they_must() {
        assert_eq!(symbol(Quantity::AbsolutePressure, "MPa"), Some("MPa"));
        assert_eq!(symbol(Quantity::Length, "MM"), Some("mm"));
        assert_eq!(symbol(Quantity::AbsolutePressure, "Kpa"), Some("kPa"));
        assert_eq!(symbol(Quantity::Power, "KW"), Some("kW"));
        assert_eq!(symbol(Quantity::EngineSpeed, "RPM"), Some("rpm"));
    }

    #[test]
    fn milli_is_never_taken_for_mega() {
        assert_eq!(symbol(Quantity::Energy, "MJ"), Some("MJ"));
        assert_eq!(symbol(Quantity::Energy, "mJ"), Some("mJ"));
        assert_eq!(symbol(Quantity::Energy, "mj"), None);
        assert_eq!(symbol(Quantity::Mass, "Mg"), None);
        assert_eq!(symbol(Quantity::AbsolutePressure, "mPa"), None);
    }

    #[test]
    fn the_kind_of_pressure_is_kept_apart() {
        for text in ["psia", "psi abs", "psi absolute", "psi"] {
            assert!(find(Quantity::AbsolutePressure, text).is_some(), "{text}");
        }
        for text in ["psig", "psi gauge", "kPa (gauge)", "bar g", "barg"] {
            assert!(find(Quantity::GaugePressure, text).is_some(), "{text}");
            assert!(find(Quantity::AbsolutePressure, text).is_none(), "{text}");
            assert!(find(Quantity::PressureDifference, text).is_none(), "{text}");
        }
    }

    #[test]
    fn slips_find_their_neighbour() {
        assert_eq!(nearest(Quantity::Power, "kv").first(), Some(&"kW"));
        assert_eq!(nearest(Quantity::EngineSpeed, "rmp").first(), Some(&"rpm"));
        assert_eq!(nearest(Quantity::Length, "metr").first(), Some(&"m"));
        assert_eq!(distance("ca", "ac"), 1);
        assert_eq!(distance("", "abc"), 3);
    }
}
