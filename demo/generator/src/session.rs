//! The papers beside the logs: what the operator wrote down that day.

use std::fmt::Write as _;

use crate::air::Weather;
use crate::engine::Which;
use crate::engine_day::{COAST, Planned, STEPS};
use crate::{roller_day, spark_day};

impl Planned {
    /// Name of its build.
    pub fn build(&self) -> &'static str {
        match self.which {
            Which::First => "b6",
            Which::Second => "b7",
        }
    }

    /// What the operator would call the setting that tells the builds apart.
    fn trumpets(&self) -> &'static str {
        match self.which {
            Which::First => "90 mm",
            Which::Second => "70 mm",
        }
    }
}

/// Session 114/s6.
pub(crate) fn engine_day(pulls: &[Planned], weather: &Weather) -> String {
    let mut text = String::from(ENGINE_HEAD);
    text += &air(weather);
    for pull in pulls {
        text += &entry(pull.file, pull.number, pull.starts, pull.build());
        let mut more = |line: String| {
            text += &line;
            text.push('\n');
        };
        if pull.file == "p42-43.csv" {
            more(format!("part = {}", pull.part));
        }
        more(format!("settings = {{ trumpets = \"{}\" }}", pull.trumpets()));
        more(format!("block = {}", pull.block));
        if let Some(minutes) = pull.stood_min {
            more(format!("stood = \"{minutes} min\""));
        }
        if let Some(reason) = pull.set_aside {
            more(format!("set_aside = \"{reason}\""));
        }
        if !pull.note.is_empty() {
            more(format!("note = \"{}\"", pull.note));
        }
    }
    let after = "settings = { trumpets = \"90 mm\" }\nblock = 3\n";
    text += &entry("steps.csv", STEPS.0, STEPS.1, "b6");
    text += &format!("{after}set_aside = \"step test, 5 s at each speed: not in the plan\"\n");
    text += &entry("coast.csv", COAST.0, COAST.1, "b6");
    text += &format!(
        "{after}set_aside = \"coast-down, throttle shut, brake empty: not in the plan\"\n"
    );
    text
}

/// Session 114/s7.
pub(crate) fn spark_day() -> String {
    let mut text = String::from(SPARK_HEAD);
    text += &air(&spark_day::WEATHER);
    for pull in &spark_day::PULLS {
        text += &entry(pull.file, pull.number, pull.starts, "b7");
        text += &format!("settings = {{ spark = \"{} deg\" }}\n", pull.spark_deg);
        text += match pull.knocks_rpm {
            None => "knocked = false\n",
            Some(_) => "knocked = true\n",
        };
        if let Some((from, to)) = pull.knocks_rpm {
            text += &format!("knock_range = \"{from} to {to} rpm\"\n");
        }
    }
    text
}

/// Session 133/s1.
pub(crate) fn roller_day() -> String {
    let mut text = String::from(ROLLER_HEAD);
    text += &air(&roller_day::WEATHER);
    for pull in &roller_day::PULLS {
        text += &entry(pull.file, pull.number, pull.starts, "b1");
        text += "settings = { gear = \"4\" }\n";
    }
    text += &entry("coast.csv", 4, roller_day::COAST, "b1");
    text += "set_aside = \"coast-down, out of gear\"\n";
    text
}

fn air(weather: &Weather) -> String {
    let mut text = String::new();
    for reading in weather.0 {
        let (hour, minute) = (reading.minute / 60, reading.minute % 60);
        // Writing to a string cannot fail.
        let _ = write!(
            text,
            "\n[[air]]\ntime = \"{hour:02}:{minute:02}\"\npressure = \"{:.2} kPa\"\n\
             temperature = \"{:.1} degC\"\nhumidity = \"{:.0} %\"\n",
            reading.pressure_kpa, reading.temperature_degc, reading.humidity_percent
        );
    }
    text
}

fn entry(file: &str, number: u32, starts: f64, build: &str) -> String {
    let (minutes, seconds) = ((starts / 60.0) as u32, starts as u32 % 60);
    let mut time = format!("{:02}:{:02}", minutes / 60, minutes % 60);
    if seconds != 0 {
        time += &format!(":{seconds:02}");
    }
    format!(
        "\n[[pull]]\nfile = \"{file}\"\nnumber = {number}\ntime = \"{time}\"\nbuild = \"{build}\"\n"
    )
}

const ENGINE_HEAD: &str = "\
# Session 6 of engine 114: do 70 mm trumpets, with a degree more spark, beat 90 mm? Invented data,
# written by demo/generator.
format = 1
session = \"114/s6\"
date = 2026-05-14
engine = \"../b3.toml\"              # the short block is that of b3
dyno = \"../../dynos/cell-1.toml\"
operator = \"LA\"
correction = \"SAE J1349 JUN90\"
worth_having = \"0.5 %\"
range = \"4500 to 8000 rpm\"         # said before the first pull
change = \"bolt-on\"
plan = \"A3 B3 A3\"
fuel = \"99 RON E10\"
inertia_included = false           # the logs' torque lacks what accelerates engine and brake

[limits]
oil_pressure = \"2.5 bar\"
fuel_pressure = \"320 kPa\"

[[column]]                         # of 51.tsv
heading = \"n\"
channel = \"engine speed\"
unit = \"rev/s\"

[[column]]                         # of run49.txt
heading = \"Left A/F Ratio\"
channel = \"lambda of bank 1\"
unit = \"AFR\"

[[column]]
heading = \"Right A/F Ratio\"
channel = \"lambda of bank 2\"
unit = \"AFR\"
";

const SPARK_HEAD: &str = "\
# Session 7 of engine 114: how much spark does b7 want? The same spark at every speed through a pull,
# from retarded up, and the second one again at the end. Invented data, written by demo/generator.
format = 1
session = \"114/s7\"
date = 2026-05-21
engine = \"../b3.toml\"              # the short block is that of b3
dyno = \"../../dynos/cell-1.toml\"
operator = \"LA\"
correction = \"SAE J1349 JUN90\"
range = \"4500 to 8000 rpm\"
change = \"setting\"
fuel = \"99 RON E10\"
inertia_included = false           # the logs' torque lacks what accelerates engine and brake

[limits]
oil_pressure = \"2.5 bar\"
fuel_pressure = \"320 kPa\"
";

const ROLLER_HEAD: &str = "\
# Session 1 of engine 133: a blown four in its car, three pulls in fourth gear. Invented data,
# written by demo/generator.
format = 1
session = \"133/s1\"
date = 2026-06-03
engine = \"../engine.toml\"
dyno = \"../../dynos/roller.toml\"
operator = \"LA\"
correction = \"SAE J1349 JUN90\"
induction = \"blower\"
fuel = \"99 RON E10\"
";
