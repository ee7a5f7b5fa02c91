//! The ways in which the demo's logs are written: the shop's own, and three from elsewhere. All of
//! them are invented from plain words of the trade.

use crate::engine::{HP, RPM};
use crate::run::Sample;
use crate::table::{Column, Manner, PLAIN, bracketed, column};

/// What a log says of itself.
pub(crate) struct Label {
    pub engine: &'static str,
    pub number: u32,
    /// Year, month, day.
    pub date: (u32, u32, u32),
    /// Time of day of the first row, s.
    pub starts: f64,
}

const LBF_FT: f64 = 1.355_817_948_331_400_4;
const PSI: f64 = 6_894.757_293_168_36;
const INHG: f64 = 3_386.388_640_341;
const LB: f64 = 0.453_592_37;

/// The shop's own: a remark, headings with units in brackets, rows.
pub(crate) fn own(label: &Label, samples: &[Sample]) -> Vec<u8> {
    let (year, month, day) = label.date;
    let (hour, minute, _) = clock(label.starts);
    let columns = own_columns();
    let head = format!(
        "# engine {}, pull {}, {year}-{month:02}-{day:02} {hour:02}:{minute:02}, as read\n",
        label.engine, label.number
    );
    (head + &PLAIN.line(&bracketed(&columns)) + &PLAIN.rows(&columns, samples)).into_bytes()
}

fn own_columns() -> Vec<Column<Sample>> {
    let mut columns = vec![
        column("time", "s", 2, |s: &Sample| s.time),
        column("engine speed", "rpm", 0, |s: &Sample| s.speed_rpm),
        column("torque", "N.m", 1, |s: &Sample| s.torque),
        column("throttle", "%", 1, |s: &Sample| 100.0 * s.throttle),
        column("manifold pressure", "kPa", 2, |s: &Sample| s.manifold / 1000.0),
        column("lambda 1", "", 3, |s: &Sample| s.lambda[0]),
        column("lambda 2", "", 3, |s: &Sample| s.lambda[1]),
        column("fuel flow", "kg/h", 2, |s: &Sample| 3600.0 * s.fuel),
        column("air flow", "kg/h", 1, |s: &Sample| 3600.0 * s.air),
        column("fuel pressure", "kPa", 1, |s: &Sample| s.fuel_pressure / 1000.0),
        column("oil pressure", "kPa", 1, |s: &Sample| s.oil_pressure / 1000.0),
        column("oil temperature", "degC", 1, |s: &Sample| s.oil_degc),
        column("coolant temperature", "degC", 1, |s: &Sample| s.coolant_degc),
        column("inlet air temperature", "degC", 1, |s: &Sample| s.weather.temperature_degc),
        column("barometer", "kPa", 2, |s: &Sample| s.weather.pressure_kpa),
        column("humidity", "%", 0, |s: &Sample| s.weather.humidity_percent),
        column("spark advance", "deg", 1, |s: &Sample| s.spark_deg),
    ];
    columns.extend(exhausts("EGT ", "degC", |t| t));
    columns
}

/// From a German bench: preamble, a row of units, decimal commas, semicolons, in windows-1252.
pub(crate) fn german(label: &Label, samples: &[Sample]) -> Vec<u8> {
    let manner = Manner { delimiter: ";", decimal: ",", line_end: "\r\n" };
    let mut columns = vec![
        column("Zeit", "s", 2, |s: &Sample| s.time),
        column("Drehzahl", "1/min", 0, |s: &Sample| s.speed_rpm),
        column("Drehmoment", "Nm", 1, |s: &Sample| s.torque),
        column("Drosselklappe", "%", 1, |s: &Sample| 100.0 * s.throttle),
        column("Saugrohrdruck", "mbar", 0, |s: &Sample| s.manifold / 100.0),
        column("Lambda links", "-", 3, |s: &Sample| s.lambda[0]),
        column("Lambda rechts", "-", 3, |s: &Sample| s.lambda[1]),
        column("Kraftstoff Durchfluss", "kg/h", 2, |s: &Sample| 3600.0 * s.fuel),
        column("Kraftstoffdruck", "bar", 2, |s: &Sample| s.fuel_pressure / 1.0e5),
        column("Öldruck", "bar", 2, |s: &Sample| s.oil_pressure / 1.0e5),
        column("Öltemperatur", "°C", 1, |s: &Sample| s.oil_degc),
        column("Kühlmittel", "°C", 1, |s: &Sample| s.coolant_degc),
        column("Ansaugluft", "°C", 1, |s: &Sample| s.weather.temperature_degc),
        column("Luftdruck", "mbar", 1, |s: &Sample| 10.0 * s.weather.pressure_kpa),
        column("Feuchte", "%", 0, |s: &Sample| s.weather.humidity_percent),
        column("Zündwinkel", "°KW", 1, |s: &Sample| s.spark_deg),
    ];
    columns.extend(exhausts("Abgas ", "°C", |t| t));
    let (year, month, day) = label.date;
    let (hour, minute, _) = clock(label.starts);
    let preamble = [
        format!("Prüfstand;1;Motor;{};Lauf;{}", label.engine, label.number),
        format!("Datum;{day:02}.{month:02}.{year};Beginn;{hour:02}:{minute:02}"),
        "Werte wie gemessen, nicht korrigiert".to_owned(),
        String::new(),
    ];
    let headings: Vec<String> = columns.iter().map(|c| c.heading.clone()).collect();
    let units: Vec<String> = columns.iter().map(|c| c.unit.to_owned()).collect();
    let text = preamble.join(manner.line_end)
        + manner.line_end
        + &manner.line(&headings)
        + &manner.line(&units)
        + &manner.rows(&columns, samples);
    latin(&text)
}

/// From an American bench: quoted preamble, two lines of headings, hardly a unit, a 12-hour clock.
pub(crate) fn american(label: &Label, samples: &[Sample]) -> Vec<u8> {
    let mut columns = vec![
        column("Engine", "RPM", 0, |s: &Sample| s.speed_rpm),
        column("Engine", "Torque", 1, |s: &Sample| s.torque / LBF_FT),
        column("Engine", "Power", 1, |s: &Sample| s.torque * s.speed_rpm * RPM / HP),
        column("Throttle", "Pos", 1, |s: &Sample| 100.0 * s.throttle),
        column("Manifold", "Press", 2, |s: &Sample| s.manifold / INHG),
        column("Left", "A/F Ratio", 2, |s: &Sample| 14.1 * s.lambda[0]),
        column("Right", "A/F Ratio", 2, |s: &Sample| 14.1 * s.lambda[1]),
        column("Fuel", "Flow (lb/hr)", 1, |s: &Sample| 3600.0 * s.fuel / LB),
        column("Fuel", "Press", 1, |s: &Sample| s.fuel_pressure / PSI),
        column("Oil", "Press", 1, |s: &Sample| s.oil_pressure / PSI),
        column("Oil", "Temp", 1, |s: &Sample| fahrenheit(s.oil_degc)),
        column("Water", "Temp", 1, |s: &Sample| fahrenheit(s.coolant_degc)),
        column("Air", "Temp", 1, |s: &Sample| fahrenheit(s.weather.temperature_degc)),
        column("Baro", "", 2, |s: &Sample| 1000.0 * s.weather.pressure_kpa / INHG),
        column("Humidity", "", 0, |s: &Sample| s.weather.humidity_percent),
        column("Spark", "Adv", 1, |s: &Sample| s.spark_deg),
    ];
    columns.extend(exhausts("Exh ", "Temp", fahrenheit));
    // The second line of the headings stands where others have units.
    let above: Vec<String> =
        ["Clock".to_owned()].into_iter().chain(columns.iter().map(|c| c.heading.clone())).collect();
    let below: Vec<String> =
        [String::new()].into_iter().chain(columns.iter().map(|c| c.unit.to_owned())).collect();
    let manner = Manner { line_end: "\r\n", ..PLAIN };
    let (year, month, day) = label.date;
    let mut text = format!(
        "\"Engine {}, pull {}\"\r\n\"{month}/{day}/{year}, {}\"\r\n\
         \"As read, not corrected. Fuel: 99 RON, 10% ethanol\"\r\n\r\n",
        label.engine,
        label.number,
        twelve_hours(label.starts)
    );
    text += &manner.line(&above);
    text += &manner.line(&below);
    for sample in samples {
        let rows = manner.rows(&columns, std::slice::from_ref(sample));
        text += &twelve_hours(label.starts + sample.time);
        text += ",";
        text += &rows;
    }
    text.into_bytes()
}

/// Terse: tabs, short names, milliseconds, turns a second, bar.
pub(crate) fn terse(samples: &[Sample]) -> Vec<u8> {
    let mut columns = vec![
        column("t", "ms", 0, |s: &Sample| 1000.0 * s.time),
        column("n", "1/s", 2, |s: &Sample| s.speed_rpm / 60.0),
        column("tq", "Nm", 1, |s: &Sample| s.torque),
        column("thr", "", 3, |s: &Sample| s.throttle),
        column("map", "bar", 4, |s: &Sample| s.manifold / 1.0e5),
        column("lam1", "", 3, |s: &Sample| s.lambda[0]),
        column("lam2", "", 3, |s: &Sample| s.lambda[1]),
        column("mfuel", "g/s", 3, |s: &Sample| 1000.0 * s.fuel),
        column("pfuel", "bar", 3, |s: &Sample| s.fuel_pressure / 1.0e5),
        column("poil", "bar", 3, |s: &Sample| s.oil_pressure / 1.0e5),
        column("toil", "C", 1, |s: &Sample| s.oil_degc),
        column("twater", "C", 1, |s: &Sample| s.coolant_degc),
        column("tair", "C", 1, |s: &Sample| s.weather.temperature_degc),
        column("baro", "bar", 4, |s: &Sample| s.weather.pressure_kpa / 100.0),
        column("rh", "", 2, |s: &Sample| s.weather.humidity_percent / 100.0),
        column("adv", "deg", 1, |s: &Sample| s.spark_deg),
    ];
    columns.extend(exhausts("egt", "C", |t| t));
    let manner = Manner { delimiter: "\t", ..PLAIN };
    let headings: Vec<String> = columns
        .iter()
        .map(|c| match c.unit {
            "" => c.heading.clone(),
            unit => format!("{}[{unit}]", c.heading),
        })
        .collect();
    (manner.line(&headings) + &manner.rows(&columns, samples)).into_bytes()
}

/// A column for each cylinder's exhaust; `as_shown` takes °C to the unit.
fn exhausts(
    heading: &'static str,
    unit: &'static str,
    as_shown: fn(f64) -> f64,
) -> impl Iterator<Item = Column<Sample>> {
    (0..6).map(move |i| {
        let of = move |s: &Sample| as_shown(s.exhaust_degc[i]);
        column(format!("{heading}{}", i + 1), unit, 0, of)
    })
}

fn fahrenheit(celsius: f64) -> f64 {
    1.8 * celsius + 32.0
}

/// Hours, minutes and hundredths of a second of a time of day.
fn clock(second: f64) -> (u32, u32, u32) {
    let hundredths = (second * 100.0 + 0.5) as u32;
    (hundredths / 360_000, hundredths / 6000 % 60, hundredths % 6000)
}

/// Such as `12:59:48.05 PM`.
fn twelve_hours(second: f64) -> String {
    let (hour, minute, hundredths) = clock(second);
    let half = if hour < 12 { "AM" } else { "PM" };
    let shown = (hour + 11) % 12 + 1;
    format!("{shown}:{minute:02}:{:02}.{:02} {half}", hundredths / 100, hundredths % 100)
}

/// Text in windows-1252, of which the words above need the part that is Latin-1.
fn latin(text: &str) -> Vec<u8> {
    text.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noon_and_one_o_clock_are_in_the_afternoon() {
        let at = |hour: f64, second: f64| twelve_hours(hour * 3600.0 + second);
        assert_eq!(at(0.0, 5.0), "12:00:05.00 AM");
        assert_eq!(at(11.0, 59.95), "11:00:59.95 AM");
        assert_eq!(at(12.0, 3599.95), "12:59:59.95 PM");
        assert_eq!(at(13.0, 0.05), "1:00:00.05 PM");
    }
}
