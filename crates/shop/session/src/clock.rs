//! Times of day: seconds since midnight of the session's day, going on past 24:00.

/// The last hour of the next day that still counts as this session's.
const LAST_HOUR: u32 = 47;

/// Seconds since midnight from `09:20`, `9:20` or `09:20:30`; `None` for anything else.
pub fn seconds(text: &str) -> Option<f64> {
    let mut parts = text.trim().split(':');
    let (hour, minute) = (parts.next()?, parts.next()?);
    let second = parts.next().unwrap_or("0");
    if parts.next().is_some() {
        return None;
    }
    let whole = |part: &str, most: u32| {
        let digits = (1..=2).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
        digits.then(|| part.parse().ok()).flatten().filter(|n: &u32| *n <= most)
    };
    let (whole_second, rest) = second.split_once('.').unwrap_or((second, "0"));
    let fraction: f64 = format!("0.{rest}").parse().ok().filter(|f: &f64| f.is_finite())?;
    let (hour, minute) = (whole(hour, LAST_HOUR)?, whole(minute, 59)?);
    Some(f64::from(hour * 3600 + minute * 60 + whole(whole_second, 59)?) + fraction)
}

/// A time of day (s since midnight) as people write it: `09:20`.
#[must_use]
pub fn time_of_day(seconds: f64) -> String {
    let minutes = (seconds / 60.0).floor().max(0.0) as u64;
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_written_on_a_sheet() {
        let read = ["09:20", "9:20", "09:20:30", "24:10", "00:00:01.5"].map(seconds);
        let wanted = [33_600.0, 33_600.0, 33_630.0, 87_000.0, 1.5];
        assert_eq!(read, wanted.map(Some));
        for wrong in ["", "9", "9.20", "09:60", "48:00", "9:20:1:1", "+9:20", "09:20:-1", "9:2e1"] {
            assert_eq!(seconds(wrong), None, "{wrong}");
        }
        assert_eq!(time_of_day(33_630.0), "09:20");
        assert_eq!(time_of_day(87_000.0), "24:10");
    }
}
