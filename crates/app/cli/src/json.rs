//! The shapes that JSON results are made of.

use crate::manner::Manner;
use serde_json::{Value as Json, json};
use shortblock_engine::{Finding, Sources};
use shortblock_units::{Origin, Quantity};

/// Share of cases in which a ± holds: 19 times in 20.
pub const COVERAGE: f64 = 0.95;
/// Figures of a number in JSON and CSV: more than any ± needs, fewer than rounding noise shows.
const FIGURES: i32 = 7;

/// A number without the noise of a unit conversion.
pub fn clean(number: f64) -> f64 {
    if number == 0.0 || !number.is_finite() {
        return number;
    }
    format!("{number:.*e}", FIGURES as usize - 1).parse().unwrap_or(number)
}

/// A value in SI with its ±, in the unit that is shown.
pub fn quantity(
    si: f64,
    plus_minus: Option<f64>,
    quantity: Quantity,
    kind: Origin,
    manner: &Manner,
) -> Json {
    let unit = manner.unit(quantity);
    let plus_minus = plus_minus.map(|pm| clean(unit.span_from_si(pm)));
    json!({
        "value": clean(unit.from_si(si)),
        "unit": unit.symbol,
        "plus_minus": plus_minus,
        "coverage": plus_minus.map(|_| COVERAGE),
        "kind": kind.key(),
    })
}

/// A fault or a doubt.
pub fn finding(finding: &Finding, sources: &Sources) -> Json {
    let place = finding.place.as_ref();
    let position = place.map(|place| sources.position(place));
    let file = place.and_then(|place| sources.get(place.source)).map(|source| &source.name);
    let remedy = [finding.mark.as_str(), finding.remedy.as_str()];
    let remedy: Vec<&str> = remedy.into_iter().filter(|text| !text.is_empty()).collect();
    json!({
        "what": finding.what,
        "path": finding.path,
        "file": file,
        "line": position.map(|p| p.line),
        "column": position.map(|p| p.column),
        "remedy": remedy.join("; "),
    })
}

/// One object as a line of text.
pub fn line(object: &Json, manner: &Manner) -> String {
    let text = object.to_string() + "\n";
    if manner.plain { escaped(&text) } else { text }
}

/// JSON in ASCII: letters beyond it only stand inside texts, where an escape means the same.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii() {
            out.push(c);
            continue;
        }
        for unit in c.encode_utf16(&mut [0; 2]) {
            out += &format!("\\u{unit:04x}");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escapes_mean_the_same() {
        let object = json!({ "name": "µ 漢 \u{1F600}" });
        let text = escaped(&object.to_string());
        assert!(text.is_ascii());
        assert_eq!(serde_json::from_str::<Json>(&text).ok(), Some(object));
    }

    #[test]
    fn numbers_lose_their_noise_and_nothing_else() {
        assert_eq!(clean(0.1 + 0.2), 0.3);
        assert_eq!(clean(-337.600_000_01), -337.6);
        assert_eq!(clean(0.0), 0.0);
        assert!(clean(f64::NAN).is_nan());
    }
}
