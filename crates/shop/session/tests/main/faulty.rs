//! Planted mistakes, each with the whole text that a person reads.

use crate::reading::{AT, DYNO, SESSION, shop};
use shortblock_document::render;
use shortblock_session::load_session;

fn said(session: &str, dyno: &str) -> String {
    let loaded = load_session(AT, &shop(session, dyno));
    let faults = loaded.read.err().map(|f| f.render()).unwrap_or_default();
    let doubts: Vec<_> = loaded.doubts.iter().map(|d| d.finding.clone()).collect();
    faults + &render(&doubts, &loaded.sources)
}

/// The day with `good` written as `bad` says `wanted`.
fn check(good: &str, bad: &str, wanted: &str) {
    assert!(SESSION.contains(good), "{good}");
    assert_eq!(said(&SESSION.replacen(good, bad, 1), DYNO), wanted);
}

/// The same with the dyno's record.
fn check_dyno(good: &str, bad: &str, wanted: &str) {
    assert!(DYNO.contains(good), "{good}");
    assert_eq!(said(SESSION, &DYNO.replacen(good, bad, 1)), wanted);
}

#[test]
fn a_standard_has_its_edition() {
    check(
        "correction = \"SAE J1349 JUN90\"",
        "correction = \"SAE J1349\"",
        concat!(
            "1  line 7: \"SAE J1349\" is not a correction standard known here\n",
            "     7 │ correction = \"SAE J1349\"\n",
            "       │              ^^^^^^^^^^^ which edition?\n",
            "   Write one of \"SAE J1349 JUN90\", \"SAE J1349 JUN90, unrounded\", \"SAE J1349\n",
            "   AUG2004\", \"SAE J1349 SEP2011\".\n",
        ),
    );
    check(
        "correction = \"SAE J1349 JUN90\"",
        "correction = \"SAE J1394 JUN90\"",
        concat!(
            "1  line 7: \"SAE J1394 JUN90\" is not a correction standard known here\n",
            "     7 │ correction = \"SAE J1394 JUN90\"\n",
            "       │              ^^^^^^^^^^^^^^^^^ did you mean \"SAE J1349 JUN90\"?\n",
        ),
    );
}

#[test]
fn no_pull_and_no_log_stands_twice() {
    check(
        "number = 45",
        "number = 44",
        concat!(
            "1  line 37: pull 44 stands here twice\n",
            "    37 │ number = 44\n",
            "       │          ^^\n",
            "   Give each pull its own number; numbers are never used again.\n",
        ),
    );
    check(
        "file = \"p45.csv\"",
        "file = \"p44.csv\"",
        concat!(
            "1  line 36: p44.csv is named by two pulls, and not which part\n",
            "    36 │ file = \"p44.csv\"\n",
            "       │        ^^^^^^^^^\n",
            "   Name another log, or say  part = 1, part = 2  in each of them.\n",
        ),
    );
    check(
        "part = 2",
        "part = 1",
        concat!(
            "1  line 57: part 1 of later/both.csv is named by two pulls\n",
            "    57 │ part = 1\n",
            "       │        ^\n",
            "   Name another log, or say  part = 1, part = 2  in each of them.\n",
        ),
    );
}

#[test]
fn times_rise() {
    check(
        "time = \"09:31\"",
        "time = \"09:13\"",
        concat!(
            "1  line 38: pull time 09:13 is not after the one before, 09:20\n",
            "    38 │ time = \"09:13\"\n",
            "       │        ^^^^^^^\n",
            "   Put the pulls in the order they were made; after midnight write \"24:10\".\n",
        ),
    );
    check(
        "time = \"09:20\"",
        "time = 9.20",
        concat!(
            "1  line 30: pull time is a time of day, not 9.2\n",
            "    30 │ time = 9.20\n",
            "       │        ^^^^\n",
            "   Write \"09:20\"; after midnight \"24:10\".\n",
        ),
    );
}

#[test]
fn plan_and_builds_agree() {
    check(
        "plan       = \"A2 B2\"",
        "plan = \"A1 B3\"",
        concat!(
            "1  line 46: the plan ABBB has B at place 2; this pull was made with b6, which is\n",
            "   A\n",
            "    46 │ build = \"b6\"\n",
            "       │         ^^^^\n",
            "   Put the tag right, set aside what was in vain, or write the plan as it was.\n",
        ),
    );
    check(
        "plan       = \"A2 B2\"",
        "plan = \"ABC\"",
        concat!(
            "1  line 11: \"ABC\" is not an order of pulls\n",
            "    11 │ plan = \"ABC\"\n",
            "       │        ^^^^^\n",
            "   Write pulls as A and B with counts, such as \"A3 B3 A3\", up to 64.\n",
        ),
    );
    check(
        "number = 47",
        "number = 47\nblock = 0",
        concat!(
            "1  line 52: parts changed from b6 to b7, but block is still 0\n",
            "    52 │ block = 0\n",
            "       │         ^\n",
            "   Count one more whenever parts come off and go on.\n",
        ),
    );
}

#[test]
fn air_is_read_within_half_an_hour() {
    check(
        "time = 09:45",
        "time = 11:45",
        concat!(
            "1  line 45: the air nearest to pull 46 at 09:36 was read at 09:05, 31 min away;\n",
            "   so on to pull 48\n",
            "    45 │ time = \"09:36\"\n",
            "       │        ^^^^^^^\n",
            "   Read it within 30 min of each pull; write it as [[air]].\n",
        ),
    );
}

#[test]
fn a_misspelt_word_finds_its_neighbour() {
    check(
        "pressure = \"98.9 kPa\"",
        "presure = \"98.9 kPa\"",
        concat!(
            "1  line 17: \"presure\" is not a word for this place\n",
            "    17 │ presure = \"98.9 kPa\"\n",
            "       │ ^^^^^^^ did you mean pressure?\n",
            "   [[air]] knows: time, pressure, sea_level, temperature, humidity,\n",
            "   sensor_temperature, dew_point, wet_bulb.\n",
        ),
    );
    check(
        "operator   = \"LA\"",
        "heading = \"LA\"",
        concat!(
            "1  line 6: \"heading\" is not a word for this place\n",
            "     6 │ heading = \"LA\"\n",
            "       │ ^^^^^^^ it belongs to [[column]]\n",
            "   The session file knows: session, date, engine, dyno, operator, correction,\n",
            "   worth_having, range, change, plan, induction, fuel, sweep_rate,\n",
            "   inertia_included, engine_inertia, wheels_mass, limits, air, pull, column.\n",
        ),
    );
    check(
        "spark = \"28 deg\"",
        "sprak = \"28 dge\"",
        concat!(
            "1  line 32: the setting sprak is kept under that name\n",
            "    32 │ settings = { sprak = \"28 dge\", fuel = \"99 RON E10\", coolant = \"85 \n",
            "       │              ^^^^^ did you mean spark?\n",
            "\n",
            "2  line 32: \"28 dge\" is kept as words, not as a value\n",
            "    32 │ ettings = { sprak = \"28 dge\", fuel = \"99 RON E10\", coolant = \"85 d\n",
            "       │                     ^^^^^^^^ did you mean deg?\n",
        ),
    );
    check(
        "change     = \"bolt-on\"",
        "change = \"bolton gear\"",
        concat!(
            "1  line 10: \"bolton gear\" is not known as change\n",
            "    10 │ change = \"bolton gear\"\n",
            "       │          ^^^^^^^^^^^^^\n",
            "   Write one of \"setting\", \"bolt-on\", \"opened\", \"strapped again\".\n",
        ),
    );
}

#[test]
fn air_that_cannot_be_is_refused() {
    check(
        "pressure = \"98.9 kPa\"",
        "pressure = \"98.9 Nm\"",
        concat!(
            "1  line 17: air pressure is given as a torque, which does not fit\n",
            "    17 │ pressure = \"98.9 Nm\"\n",
            "       │            ^^^^^^^^^ wanted: kPa, psi, bar, mbar, hPa\n",
        ),
    );
    check(
        "pressure = \"98.9 kPa\"",
        "pressure = \"9.89 kPa\"",
        concat!(
            "1  line 17: station pressure: 9.89 kPa is not between 50 and 115 kPa\n",
            "    17 │ pressure = \"9.89 kPa\"\n",
            "       │            ^^^^^^^^^^\n",
            "   Check the number and its unit.\n",
        ),
    );
    check(
        "humidity = \"52 %\"",
        "humidity = \"152 %\"",
        concat!(
            "1  line 19: relative humidity: 152 % is not between 0 and 100 %\n",
            "    19 │ humidity = \"152 %\"\n",
            "       │            ^^^^^^^\n",
            "   Give 0 to 100 %; a sensor that reads more wants calibrating.\n",
        ),
    );
    check(
        "humidity = \"52 %\"",
        "wet_bulb = \"22 degC\"",
        concat!(
            "1  line 19: wet bulb: 22.0 degC is above the dry bulb, 18.5 degC\n",
            "    19 │ wet_bulb = \"22 degC\"\n",
            "       │            ^^^^^^^^^\n",
            "   Are they swapped?\n",
        ),
    );
    check(
        "humidity = \"52 %\"",
        "humidity = \"52 %\"\ndew_point = \"9 degC\"",
        concat!(
            "1  line 20: humidity and dew point say the same thing twice\n",
            "    20 │ dew_point = \"9 degC\"\n",
            "       │             ^^^^^^^^\n",
            "   Leave the one that was read.\n",
        ),
    );
}

#[test]
fn a_barometer_of_sea_level_is_asked_about() {
    check(
        "pressure = \"98.9 kPa\"",
        "pressure = \"101.3 kPa\"",
        concat!(
            "1  line 17: 101.3 kPa is a pressure of sea level; at this elevation 99.2 kPa is\n",
            "   usual. Station or reduced to sea level? If reduced, the station pressure is\n",
            "   99.2 kPa, and power would be corrected 2.1 % too low\n",
            "    17 │ pressure = \"101.3 kPa\"\n",
            "       │            ^^^^^^^^^^^\n",
            "   If so, write it as sea_level.\n",
        ),
    );
    check_dyno(
        "elevation = \"180 m\"\n",
        "",
        concat!(
            "1  line 23: a pressure of sea level says nothing of this shop: its elevation is\n",
            "   not known\n",
            "    23 │ sea_level = \"1011 hPa\"\n",
            "       │             ^^^^^^^^^^\n",
            "   Write  elevation = \"180 m\"  in the dyno's own record, and name it with dyno.\n",
            "1  line 17: 98.9 kPa can be the station's or reduced to sea level; give the\n",
            "   elevation of the dyno once (each 100 m between them is 1.2 % of power)\n",
            "    17 │ pressure = \"98.9 kPa\"\n",
            "       │            ^^^^^^^^^^\n",
            "   Write  elevation = \"180 m\"  in the dyno's own record, and name it with dyno.\n",
        ),
    );
}

#[test]
fn ways_stay_in_the_folder_and_lead_somewhere() {
    check(
        "file = \"p44.csv\"",
        "file = \"../p44.csv\"",
        concat!(
            "1  line 28: \"../p44.csv\" leads out of the folder of this file\n",
            "    28 │ file = \"../p44.csv\"\n",
            "       │        ^^^^^^^^^^^^\n",
            "   Put the log beside this file, or this file beside the logs.\n",
        ),
    );
    check(
        "file = \"p44.csv\"",
        "file = \"C:\\\\logs\\\\p44.csv\"",
        concat!(
            "1  line 28: \"C:\\logs\\p44.csv\" is not a way from the folder of this file\n",
            "    28 │ file = \"C:\\\\logs\\\\p44.csv\"\n",
            "       │        ^^^^^^^^^^^^^^^^^^^\n",
            "   Write it from this folder and with /, such as \"p44.csv\" or \"logs/p44.csv\".\n",
        ),
    );
    check(
        "file = \"p44.csv\"",
        "file = \"p43.csv\"",
        concat!(
            "1  line 28: the log p43.csv is not in its folder\n",
            "    28 │ file = \"p43.csv\"\n",
            "       │        ^^^^^^^^^ did you mean p44.csv?\n",
        ),
    );
    check(
        "../dynos/cell-1.toml",
        "../dynos/cell-2.toml",
        concat!(
            "1  line 5: there is no file ../dynos/cell-2.toml\n",
            "     5 │ dyno       = \"../../../dynos/cell-2.toml\"\n",
            "       │              ^^^^^^^^^^^^^^^^^^^^^^^^^^^^ did you mean cell-1.toml?\n",
            "   The way counts from the folder of the file that names it.\n",
        ),
    );
}

#[test]
fn columns_are_channels_with_their_units() {
    check(
        "channel = \"torque\"\nunit = \"lb.ft\"",
        "channel = \"torqe\"",
        concat!(
            "1  line 67: \"torqe\" is not a channel\n",
            "    67 │ channel = \"torqe\"\n",
            "       │           ^^^^^^^ did you mean \"torque\"?\n",
        ),
    );
    check(
        "unit = \"lb.ft\"",
        "unit = \"kPa\"",
        concat!(
            "1  line 68: \"kPa\" is a unit of an absolute pressure, and torque is a torque\n",
            "    68 │ unit = \"kPa\"\n",
            "       │        ^^^^^\n",
            "   Write one of: N.m, lb.ft, lb.in, kgf.m, kN.m.\n",
        ),
    );
}

#[test]
fn what_is_needed_is_asked_for() {
    check(
        "file = \"p44.csv\"\n",
        "",
        concat!(
            "1  line 27: [[pull]] has no file\n",
            "    27 │ [[pull]]\n",
            "       │ ^^^^^^^^\n",
            "   file is needed: the log, in this folder or below it.\n",
        ),
    );
    check(
        "set_aside = \"misfire heard\"\n",
        "",
        concat!(
            "1  line 61: set aside without a reason\n",
            "    61 │ set_aside_after = true\n",
            "       │                   ^^^^\n",
            "   Write  set_aside = \"fuel pressure fell\"  beside it.\n",
        ),
    );
}

#[test]
fn values_have_their_units() {
    check(
        "spark = \"28 deg\"",
        "spark = \"28 mm\"",
        concat!(
            "1  line 32: spark is given as a length, which does not fit\n",
            "    32 │ ettings = { spark = \"28 mm\", fuel = \"99 RON E10\", coolant = \"85 de\n",
            "       │                     ^^^^^^^ wanted: deg, rad\n",
        ),
    );
    check(
        "range      = \"4500 to 8000 rpm\"",
        "range = \"4500:8000\"",
        concat!(
            "1  line 9: \"4500:8000\" is not a range of speed\n",
            "     9 │ range = \"4500:8000\"\n",
            "       │         ^^^^^^^^^^^\n",
            "   Write \"4500 to 8000 rpm\".\n",
        ),
    );
    check(
        "date       = 2026-05-14",
        "date = \"14 May\"",
        concat!(
            "1  line 3: date is a date, not 14 May\n",
            "     3 │ date = \"14 May\"\n",
            "       │        ^^^^^^^^\n",
            "   Write 2026-03-28, without quotes.\n",
        ),
    );
    check(
        "worth_having = \"0.5 %\"",
        "worth_having = \"0 %\"",
        concat!(
            "1  line 8: worth having of 0 % can't be: it is above 0\n",
            "     8 │ worth_having = \"0 %\"\n",
            "       │                ^^^^^\n",
            "   Write the smallest difference you would act on, such as \"0.5 %\".\n",
        ),
    );
}

#[test]
fn the_dyno_is_checked_as_well() {
    check_dyno(
        "kind      = \"engine\"",
        "kind = \"rollers\"",
        concat!(
            "1  ../dynos/cell-1.toml line 4: \"rollers\" is not known as kind\n",
            "     4 │ kind = \"rollers\"\n",
            "       │        ^^^^^^^^^ did you mean \"roller\"?\n",
            "   Write one of \"engine\", \"roller\".\n",
        ),
    );
    check_dyno(
        "kind      = \"engine\"",
        "kind = \"engine\"\nroller = { radius = \"0 m\", loss = \"80 %\" }",
        concat!(
            "1  ../dynos/cell-1.toml line 5: an engine dyno has no roller\n",
            "     5 │ roller = { radius = \"0 m\", loss = \"80 %\" }\n",
            "       │          ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^\n",
            "   Write  kind = \"roller\", or take [roller] out.\n",
            "\n",
            "2  ../dynos/cell-1.toml line 5: radius of 0 m can't be: it is above 0\n",
            "     5 │ roller = { radius = \"0 m\", loss = \"80 %\" }\n",
            "       │                     ^^^^^\n",
            "   Check the figure, or leave it out.\n",
            "\n",
            "3  ../dynos/cell-1.toml line 5: a loss lies in 0 to 50 %\n",
            "     5 │ roller = { radius = \"0 m\", loss = \"80 %\" }\n",
            "       │                                   ^^^^^^\n",
            "   Write what driveline and tyre take, such as \"12 %\".\n",
        ),
    );
    check_dyno(
        "inertia   = \"0.31 kg.m2\"",
        "inertia = 0.31",
        concat!(
            "1  ../dynos/cell-1.toml line 7: inertia has no unit\n",
            "     7 │ inertia = 0.31\n",
            "       │           ^^^^ needs a unit\n",
            "   Write \"0.31 kg.m2\" or the like, in quotes.\n",
        ),
    );
}

#[test]
fn history_is_checked_as_well() {
    check_dyno(
        "sweep_rate = \"300 rpm/s\"\ntorque",
        "torque",
        concat!(
            "1  ../dynos/cell-1.toml line 24: [[history]] of a sweep has no sweep_rate\n",
            "    24 │ [[history]]\n",
            "       │ ^^^^^^^^^^^\n",
            "   Write \"300 rpm/s\".\n",
        ),
    );
    check_dyno(
        "sweep_rate = \"300 rpm/s\"\ntorque",
        "sweep_rate = \"300.5 rpm/s\"\ntorque",
        concat!(
            "1  ../dynos/cell-1.toml line 27: sweep rate is a whole number of rpm/s, not\n",
            "   300.5 rpm/s\n",
            "    27 │ sweep_rate = \"300.5 rpm/s\"\n",
            "       │              ^^^^^^^^^^^^^\n",
            "   Scatter is grouped by it; write the nearest whole one.\n",
        ),
    );
    check_dyno(
        "dof = 8\n",
        "",
        concat!(
            "1  ../dynos/cell-1.toml line 24: [[history]] has no dof\n",
            "    24 │ [[history]]\n",
            "       │ ^^^^^^^^^^^\n",
            "   dof, from_rpm and variances belong together.\n",
        ),
    );
    check_dyno(
        "9.0e-6",
        "-9.0e-6",
        concat!(
            "1  ../dynos/cell-1.toml line 31: a variance, its degrees of freedom or its speed\n",
            "   is below 0\n",
            "    31 │ variances = [-9.0e-6, \"none\", 1.21e-5]\n",
            "       │             ^^^^^^^^^^^^^^^^^^^^^^^^^^\n",
            "   Check the figures, or take this [[history]] out.\n",
        ),
    );
}

#[test]
fn all_faults_come_at_once() {
    let day = SESSION.replace("98.9 kPa", "98.9").replace("number = 45", "number = 44");
    let day = day.replace("\"torque\"", "\"torqe\"");
    let loaded = load_session(AT, &shop(&day, &DYNO.replace("0.31 kg.m2", "0.31")));
    let faults = loaded.read.unwrap_err().faults;
    let paths: Vec<&str> = faults.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(paths, ["air.pressure", "pull.number", "column.channel", "inertia"]);
}

#[test]
fn a_doubt_is_silenced_by_a_reason() {
    let bad = "pressure = \"101.3 kPa\"\ndoubt_ok = \"a rare high\"";
    let day = SESSION.replacen("pressure = \"98.9 kPa\"", bad, 1);
    let loaded = load_session(AT, &shop(&day, DYNO));
    assert!(loaded.read.is_ok());
    assert_eq!(loaded.doubts[0].silenced.as_deref(), Some("a rare high"));
}

#[test]
fn speeds_of_a_knock_that_nobody_heard_are_refused() {
    check(
        "number = 45",
        "number = 45\nknocked = false\nknock_range = \"4000 to 5300 rpm\"",
        concat!(
            "1  line 39: no knock was heard, and yet at these speeds\n",
            "    39 │ knock_range = \"4000 to 5300 rpm\"\n",
            "       │               ^^^^^^^^^^^^^^^^^^\n",
            "   Write  knocked = true, or take the line out.\n",
        ),
    );
}

#[test]
fn a_correction_factor_is_a_ratio_near_one() {
    check(
        "number = 45",
        "number = 45\ncorrected_by = 103",
        concat!(
            "1  line 38: a correction factor of 103 can't be\n",
            "    38 │ corrected_by = 103\n",
            "       │                ^^^\n",
            "   It lies near 1: write 1.03, not 3 or 103.\n",
        ),
    );
}
