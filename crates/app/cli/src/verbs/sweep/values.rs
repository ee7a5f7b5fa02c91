//! `--vary`: the values to go through, from a range or a list.

use crate::failure::Failure;
use shortblock_plan::Vary;

/// The most values of one path.
const MOST_VALUES: usize = 200;
const HINT: &str = "hint: path=from:to:step, or a list: --vary exhaust.primary.length=\"700 mm:900 \
                    mm:50 mm\", --vary chamber.compression_ratio=\"10,11,12\"";

/// `path=from:to:step`, or `path=a,b,c`.
pub fn values(text: &str) -> Result<Vary, Failure> {
    let fault = |what: &str| Failure::NotUnderstood(format!("--vary {text}: {what}\n{HINT}"));
    let (path, range) = text.split_once('=').ok_or_else(|| fault("has no ="))?;
    let parts: Vec<&str> = range.split(':').map(str::trim).collect();
    let values = match parts[..] {
        [list] => list.split(',').map(|one| one.trim().to_owned()).collect(),
        [from, to, step] => steps(from, to, step).map_err(fault)?,
        _ => return Err(fault("from:to:step is wanted")),
    };
    if values.iter().any(String::is_empty) || path.trim().is_empty() {
        return Err(fault("something is missing"));
    }
    if values.len() > MOST_VALUES {
        return Err(fault("that is more than 200 values"));
    }
    Ok(Vary { path: path.trim().to_owned(), values })
}

/// The values from `from` to `to`, each with the words behind the number as typed.
fn steps(from: &str, to: &str, step: &str) -> Result<Vec<String>, &'static str> {
    let (first, unit, places) = number(from).ok_or("the first value has no number")?;
    let (last, last_unit, _) = number(to).ok_or("the last value has no number")?;
    let (step, step_unit, step_places) = number(step).ok_or("the step has no number")?;
    let units = [unit, last_unit, step_unit];
    let said: Vec<&str> = units.into_iter().filter(|unit| !unit.is_empty()).collect();
    if said.windows(2).any(|pair| pair[0] != pair[1]) {
        return Err("write first, last and step in the same unit");
    }
    let unit = said.first().map_or(String::new(), |unit| format!(" {unit}"));
    let step = if last < first { -step.abs() } else { step.abs() };
    if step == 0.0 {
        return Err("the step is nothing");
    }
    // A hair more, so that rounding does not lose the last value.
    let count = ((last - first) / step + 1e-9).floor() + 1.0;
    if count > MOST_VALUES as f64 {
        return Err("that is more than 200 values");
    }
    let places = places.max(step_places);
    let value = |i: usize| format!("{:.places$}{unit}", first + step * i as f64);
    Ok((0..count as usize).map(value).collect())
}

/// The number at the head of a text, the rest, and how many decimals it was typed with.
fn number(text: &str) -> Option<(f64, &str, usize)> {
    let end = text.find(|c: char| !(c.is_ascii_digit() || "+-.".contains(c)));
    let (head, rest) = text.split_at(end.unwrap_or(text.len()));
    let places = head.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let value: f64 = head.parse().ok()?;
    value.is_finite().then_some((value, rest.trim(), places))
}

#[cfg(test)]
mod tests {
    use super::values;

    fn read(text: &str) -> Vec<String> {
        values(text).unwrap().values
    }

    #[test]
    fn ranges_are_spelled_as_in_a_file() {
        assert_eq!(read("a=60 mm:70 mm:5 mm"), ["60 mm", "65 mm", "70 mm"]);
        assert_eq!(read("a=10:11:0.5"), ["10.0", "10.5", "11.0"]);
        assert_eq!(read("a=240:244:4 deg at 1.0 mm"), ["240 deg at 1.0 mm", "244 deg at 1.0 mm"]);
        assert_eq!(read("a=4 in:3 in:0.5 in"), ["4.0 in", "3.5 in", "3.0 in"]);
        assert_eq!(read("a=single plane, dual plane"), ["single plane", "dual plane"]);
    }

    #[test]
    fn what_is_no_range_is_refused_with_a_hint() {
        for text in
            ["a", "a=", "=1:2:1", "a=1:2", "a=x:2:1", "a=1:2:0", "a=1:9999:1", "a=1 mm:2 in:1 mm"]
        {
            let message = values(text).err().unwrap().to_string();
            assert!(message.contains("hint: path=from:to:step"), "{text}: {message}");
        }
    }
}
