//! Readings of the weather station, as the session file gives them.

use shortblock_document::{Finding, Place};
use shortblock_weather::{
    Air, BarometerSays, Humidity, WeatherError, barometer, station_from_sea_level,
};

use crate::entry::Entry;
use crate::form::Form;

/// Air at a time of day.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// When it was read, s since midnight; `None` for one that holds all day.
    pub time: Option<f64>,
    /// The air.
    pub air: Air,
    /// Whether the barometer was given reduced to sea level.
    pub from_sea_level: bool,
    /// Where it stands.
    pub place: Place,
}

/// Words for humidity, of which one may stand.
const HUMIDITIES: [&str; 3] = ["humidity", "dew_point", "wet_bulb"];

/// Every reading that can be used; the others are noted as faults.
pub fn all(form: &mut Form, session: &Entry, elevation: Option<f64>) -> Vec<Reading> {
    let entries = session.tables("air");
    let mut asked = false;
    let readings: Vec<Reading> =
        entries.iter().filter_map(|entry| one(form, entry, elevation, &mut asked)).collect();
    if entries.len() > 1 {
        for entry in entries.iter().filter(|entry| !entry.says("time")) {
            let what = "one of several readings of the air has no time";
            form.wrong(&entry.place, "air.time", what, "Write  time = \"09:05\".");
        }
    }
    readings
}

fn one(
    form: &mut Form,
    entry: &Entry,
    elevation: Option<f64>,
    asked: &mut bool,
) -> Option<Reading> {
    let humidity = humidity(form, entry);
    let pressure = pressure(form, entry, elevation, asked)?;
    let temperature = entry.si("temperature")?;
    match Air::new(pressure, temperature, humidity?) {
        Ok(air) => {
            let from_sea_level = entry.says("sea_level");
            Some(Reading {
                time: entry.time("time"),
                air,
                from_sea_level,
                place: entry.place.clone(),
            })
        }
        Err(error) => {
            refuse(form, entry, &error);
            None
        }
    }
}

/// The humidity as typed; `None` when it was said and can't be used.
fn humidity(form: &mut Form, entry: &Entry) -> Option<Humidity> {
    let said: Vec<&str> = HUMIDITIES.into_iter().filter(|word| entry.says(word)).collect();
    if let [first, .., last] = said.as_slice() {
        let what = format!("{first} and {last} say the same thing twice");
        let remedy = "Leave the one that was read.";
        form.wrong(entry.place_of(last), &format!("air.{last}"), what.replace('_', " "), remedy);
        return None;
    }
    let Some(word) = said.first() else { return Some(Humidity::NotStated) };
    let si = entry.si(word)?;
    let sensor = entry.si("sensor_temperature").or_else(|| entry.si("temperature"));
    Some(match *word {
        "humidity" => Humidity::Relative { fraction: si, sensor_temperature: sensor? },
        "dew_point" => Humidity::DewPoint(si),
        _ => Humidity::WetBulb { dry: sensor?, wet: si },
    })
}

/// Station pressure, Pa.
fn pressure(
    form: &mut Form,
    entry: &Entry,
    elevation: Option<f64>,
    asked: &mut bool,
) -> Option<f64> {
    match (entry.says("pressure"), entry.says("sea_level")) {
        (true, true) => {
            let what = "pressure and sea level are two readings of one barometer";
            let remedy = "Leave pressure: it is the shop's own.";
            form.wrong(entry.place_of("sea_level"), "air.sea_level", what, remedy);
            None
        }
        (false, false) => {
            let remedy = "Write  pressure = \"98.9 kPa\", or sea_level for a reading of a report.";
            form.wrong(&entry.place, "air.pressure", "[[air]] has no pressure", remedy);
            None
        }
        (true, false) => {
            let reading = entry.si("pressure")?;
            ask(form, entry, reading, elevation, asked);
            Some(reading)
        }
        (false, true) => from_sea_level(form, entry, elevation),
    }
}

fn from_sea_level(form: &mut Form, entry: &Entry, elevation: Option<f64>) -> Option<f64> {
    let reading = entry.si("sea_level")?;
    let Some(elevation) = elevation else {
        let what = "a pressure of sea level says nothing of this shop: its elevation is not known";
        let remedy =
            "Write  elevation = \"180 m\"  in the dyno's own record, and name it with dyno.";
        form.wrong(entry.place_of("sea_level"), "air.sea_level", what, remedy);
        return None;
    };
    match station_from_sea_level(reading, elevation) {
        Ok(station) => Some(station),
        Err(error) => {
            refuse(form, entry, &error);
            None
        }
    }
}

/// Asks about a barometer that looks reduced to sea level, or as no barometer at all.
fn ask(form: &mut Form, entry: &Entry, reading: f64, elevation: Option<f64>, asked: &mut bool) {
    // What a barometer can't read is refused with the air.
    let Ok(held) = barometer(reading, elevation) else { return };
    let remedy = match held.says {
        BarometerSays::Station => return,
        BarometerSays::LooksReducedToSeaLevel { .. } => "If so, write it as sea_level.",
        BarometerSays::Neither => "",
        // Once is enough.
        BarometerSays::CannotTell if *asked => return,
        BarometerSays::CannotTell => {
            *asked = true;
            "Write  elevation = \"180 m\"  in the dyno's own record, and name it with dyno."
        }
    };
    let doubt = Finding::new(held.to_string()).at(entry.place_of("pressure")).about("air.pressure");
    form.doubt(entry, doubt.remedy(remedy));
}

/// Air that can't be, at the word it is about.
fn refuse(form: &mut Form, entry: &Entry, error: &WeatherError) {
    let about = match error {
        WeatherError::OutOfRange { what, .. } => what,
        WeatherError::WetAboveDry { .. } | WeatherError::WetTooDry { .. } => "wet bulb",
        _ => "humidity",
    };
    let word = match about {
        "station pressure" if entry.says("sea_level") => "sea_level",
        "station pressure" | "elevation" => "pressure",
        "inlet air temperature" => "temperature",
        "temperature at humidity sensor" => "sensor_temperature",
        "dew point" => "dew_point",
        "wet bulb" => "wet_bulb",
        _ => "humidity",
    };
    let said = error.to_string();
    let (what, remedy) = said.split_once("; ").unwrap_or((&said, ""));
    let remedy = if remedy.is_empty() { String::new() } else { sentence(remedy) };
    form.wrong(entry.place_of(word), &format!("air.{word}"), what, &remedy);
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().map_or_else(String::new, |c| c.to_uppercase().collect());
    let end = if text.ends_with(['?', '.']) { "" } else { "." };
    format!("{first}{}{end}", letters.as_str())
}
