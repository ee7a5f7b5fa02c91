//! Times of day and dates as logs print them.

use super::number;

/// Seconds of a day.
pub const DAY: f64 = 86_400.0;

/// A time as written: a running clock, a time of day, or a date with a time.
#[derive(Debug, Clone, PartialEq)]
pub struct Stamp {
    /// The day where there is one.
    pub date: Option<Date>,
    /// Seconds since midnight or since the clock began, s.
    pub seconds: f64,
    /// True for two parts without a fraction, which could be hours and minutes.
    pub doubtful: bool,
    /// Offset from universal time as ISO 8601 writes it, `Z` or `+01:00`; empty where none is.
    pub offset: String,
}

/// A day of the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Date {
    /// Days since 1970-01-01.
    pub day: i64,
    /// True where day and month could be the other way round.
    pub doubtful: bool,
}

/// Reads a cell as clock time `h:mm:ss`, `m:ss.f` with either decimal sign, `am` or `pm`, with or
/// without a date before it.
pub fn stamp(cell: &str) -> Option<Stamp> {
    let cell = cell.trim();
    if !cell.is_ascii() || !cell.contains(':') || cell.len() > 40 {
        return None;
    }
    match cell.split_once(['T', ' ']) {
        Some((first, rest)) if !first.contains(':') => {
            let mut stamp = clock(rest.trim())?;
            stamp.date = Some(date(first)?);
            Some(stamp)
        }
        _ => clock(cell),
    }
}

fn clock(text: &str) -> Option<Stamp> {
    let (text, offset) = split_offset(text)?;
    let (text, half_day) = split_half(text);
    let mut parts = text.split(':');
    let (first, second, third) = (parts.next()?, parts.next()?, parts.next());
    if parts.next().is_some() {
        return None;
    }
    let (hours, minutes, last) = match third {
        Some(last) => (whole(first, 4)?, whole(second, 2).filter(|m| *m < 60)?, last),
        None => (0, whole(first, 5)?, second),
    };
    let seconds = decimals(last).filter(|s| *s < 60.0 || hours == 23 && *s < 61.0)?;
    let hours = match half_day {
        Some(afternoon) if (1..=12).contains(&hours) => hours % 12 + 12 * i64::from(afternoon),
        Some(_) => return None,
        None => hours,
    };
    let doubtful = third.is_none() && last.bytes().all(|byte| byte.is_ascii_digit());
    let seconds = (hours * 3600 + minutes * 60) as f64 + seconds;
    Some(Stamp { date: None, seconds, doubtful, offset })
}

/// Splits `Z`, `+01:00`, `-0500` off the end.
fn split_offset(text: &str) -> Option<(&str, String)> {
    if let Some(clock) = text.strip_suffix(['Z', 'z']) {
        return Some((clock, "Z".to_string()));
    }
    let Some(at) = text.rfind(['+', '-']) else { return Some((text, String::new())) };
    let (clock, offset) = text.split_at_checked(at)?;
    let figures: String = offset.chars().filter(char::is_ascii_digit).collect();
    let hours = figures.get(..2)?;
    let minutes = figures.get(2..).filter(|m| !m.is_empty()).unwrap_or("00");
    (minutes.len() == 2)
        .then(|| (clock.trim_end(), format!("{}{hours}:{minutes}", offset.get(..1).unwrap_or("+"))))
}

/// Splits `am` or `pm` off the end; true for the afternoon.
fn split_half(text: &str) -> (&str, Option<bool>) {
    let Some((clock, half)) = text.len().checked_sub(2).and_then(|at| text.split_at_checked(at))
    else {
        return (text, None);
    };
    match half.to_ascii_lowercase().as_str() {
        "am" => (clock.trim_end(), Some(false)),
        "pm" => (clock.trim_end(), Some(true)),
        _ => (text, None),
    }
}

/// A number of one or two whole digits and any decimals.
fn decimals(text: &str) -> Option<f64> {
    let decimal = if text.contains(',') { b',' } else { b'.' };
    let whole = text.bytes().take_while(u8::is_ascii_digit).count();
    let (value, end) = number::scan(text.as_bytes(), 0, decimal)?;
    (end == text.len() && (1..=2).contains(&whole)).then_some(value)
}

fn whole(text: &str, longest: usize) -> Option<i64> {
    let fits = !text.is_empty() && text.len() <= longest;
    (fits && text.bytes().all(|byte| byte.is_ascii_digit())).then(|| text.parse().ok()).flatten()
}

/// Reads `2026-03-14`, `2026/3/14`, `14.03.2026`, `14.3.26`, `03/14/2026`. Where day and month could
/// be swapped, the day is taken first and the date is doubtful; with points it is not.
pub fn date(text: &str) -> Option<Date> {
    let text = text.trim();
    let sign = text.chars().find(|c| matches!(c, '-' | '/' | '.'))?;
    let mut parts = text.split(sign);
    let (first, second, third) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    if first.len() == 4 {
        return civil(whole(first, 4)?, whole(second, 2)?, whole(third, 2)?, false);
    }
    let year = match third.len() {
        4 => whole(third, 4)?,
        2 => 2000 + whole(third, 2)?,
        _ => return None,
    };
    let (first, second) = (whole(first, 2)?, whole(second, 2)?);
    if second > 12 {
        return civil(year, first, second, false);
    }
    civil(year, second, first, sign != '.' && first <= 12 && first != second)
}

/// Days since 1970-01-01 of a date of the Gregorian calendar, for years 1970 to 2100 (the count of
/// Fliegel and Van Flandern, from memory).
fn civil(year: i64, month: i64, day: i64, doubtful: bool) -> Option<Date> {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let longest = match month {
        2 => 28 + i64::from(leap),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    };
    let fits =
        (1970..=2100).contains(&year) && (1..=12).contains(&month) && (1..=longest).contains(&day);
    let a = (14 - month) / 12;
    let y = year + 4800 - a;
    let m = month + 12 * a - 3;
    let julian = day + (153 * m + 2) / 5 + 365 * y + y / 4 - y / 100 + y / 400 - 32045;
    fits.then_some(Date { day: julian - 2_440_588, doubtful })
}

/// Returns the date as ISO 8601 writes it (same source).
pub fn iso_date(day: i64) -> String {
    let a = day + 2_440_588 + 32044;
    let b = (4 * a + 3) / 146_097;
    let c = a - 146_097 * b / 4;
    let d = (4 * c + 3) / 1461;
    let e = c - 1461 * d / 4;
    let m = (5 * e + 2) / 153;
    let (year, month) = (100 * b + d - 4800 + m / 10, m + 3 - 12 * (m / 10));
    format!("{year:04}-{month:02}-{:02}", e - (153 * m + 2) / 5 + 1)
}

/// Returns date and time as ISO 8601 writes them, to the millisecond where there is a fraction.
pub fn iso(day: i64, seconds: f64, offset: &str) -> String {
    let thousandths = (seconds * 1000.0).round() as i64;
    let (day, left) =
        (day + thousandths.div_euclid(86_400_000), thousandths.rem_euclid(86_400_000));
    let (clock, fraction) = (left / 1000, left % 1000);
    let (hours, minutes, whole) = (clock / 3600, clock / 60 % 60, clock % 60);
    let fraction = if fraction == 0 { String::new() } else { format!(".{fraction:03}") };
    format!("{}T{hours:02}:{minutes:02}:{whole:02}{fraction}{offset}", iso_date(day))
}

/// Returns date and time that stand in a line of remarks, as ISO 8601; `None` where no full and
/// clear date does.
pub fn in_remark(line: &str) -> Option<String> {
    let words: Vec<&str> =
        line.split([' ', '\t', ';', ',', 'T', '"']).filter(|w| !w.is_empty()).collect();
    let at = words.iter().position(|word| date(word).is_some_and(|found| !found.doubtful))?;
    let day = date(words.get(at)?)?.day;
    let time = (at + 1..words.len()).find_map(|at| {
        let half =
            words.get(at + 1).filter(|w| matches!(w.to_ascii_lowercase().as_str(), "am" | "pm"));
        clock_of_day(&format!("{}{}", words[at], half.unwrap_or(&"")))
    });
    Some(match time {
        Some(stamp) => iso(day, stamp.seconds, &stamp.offset),
        None => iso_date(day),
    })
}

/// A time of day in which two parts are hours and minutes.
fn clock_of_day(word: &str) -> Option<Stamp> {
    if word.matches(':').count() != 1 {
        return clock(word);
    }
    let (clock_only, half) = word.split_at(word.find(char::is_alphabetic).unwrap_or(word.len()));
    clock(&format!("{clock_only}:00{half}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(cell: &str, seconds: f64) {
        assert_eq!(stamp(cell).map(|stamp| stamp.seconds), Some(seconds), "{cell}");
    }

    #[test]
    fn clocks_are_read_in_every_usual_form() {
        check("10:22:05.250", 37_325.25);
        check("10:22:05,250", 37_325.25);
        check("0:00:05", 5.0);
        check("22:05.250", 1325.25);
        check("10:22:05 PM", 80_525.0);
        check("12:00:01 am", 1.0);
        check("2026-03-14T10:22:05.250Z", 37_325.25);
        check("14.03.2026 10:22:05", 37_325.0);
        check("3/14/2026 10:22:05 AM", 37_325.0);
        check("2026-03-14T10:22:05+01:00", 37_325.0);
    }

    #[test]
    fn what_is_no_time_is_none() {
        for cell in ["10:61:00", "a:b:c", "1:2:3:4", "12", "10:22:75", "2026-13-01 10:00:00", "::"]
        {
            assert_eq!(stamp(cell), None, "{cell}");
        }
    }

    /// 14 March 2026 is 20 526 days after 1 January 1970 (`date -u -d 2026-03-14 +%s` / 86400).
    #[test]
    fn days_are_counted_as_the_calendar_does() {
        for text in ["2026-03-14", "14.03.2026", "14.3.26", "3/14/2026", "14/03/2026"] {
            assert_eq!(date(text), Some(Date { day: 20_526, doubtful: false }), "{text}");
        }
        assert_eq!(date("03/04/2026").map(|date| date.doubtful), Some(true));
        assert_eq!(date("2026-02-29"), None);
        for day in [0, 59, 60, 10_957, 20_526, 47_481] {
            assert_eq!(date(&iso_date(day)).map(|date| date.day), Some(day));
        }
        assert_eq!(iso(20_526, 37_325.25, "Z"), "2026-03-14T10:22:05.250Z");
    }

    #[test]
    fn a_date_is_found_in_a_remark() {
        assert_eq!(in_remark("Date: 2026-03-14 10:22").as_deref(), Some("2026-03-14T10:22:00"));
        assert_eq!(in_remark("Datum;14.03.2026").as_deref(), Some("2026-03-14"));
        let german = in_remark("Datum;14.03.2026;Beginn;09:50");
        assert_eq!(german.as_deref(), Some("2026-03-14T09:50:00"));
        let american = in_remark("\"3/14/2026, 1:59:45.00 PM\"");
        assert_eq!(american.as_deref(), Some("2026-03-14T13:59:45"));
        assert_eq!(in_remark("3/14/2026 1:05 PM").as_deref(), Some("2026-03-14T13:05:00"));
        assert_eq!(in_remark("Recorded 03/04/2026"), None);
    }
}
