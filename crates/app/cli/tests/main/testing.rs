//! The demo's days on the dyno through the program, asked whether it finds what the generator hid.

use crate::program::{Folder, root, run};
use serde_json::Value;
use shortblock_demo::{PullTruth, Trap, truth};
use std::f64::consts::PI;

const DAY: &str = "demo/114/s6";

fn json(arguments: &[&str]) -> Value {
    let ran = run(&[arguments, &["--json"]].concat());
    assert!(ran.code == 0 || ran.code == 5, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("one object")
}

fn of<'a>(day: &'a Value, truth: &PullTruth) -> &'a Value {
    let pulls = day["pulls"].as_array().unwrap();
    let name = format!("pull {}", truth.number);
    pulls.iter().find(|p| p["pull"] == name.as_str()).unwrap_or_else(|| panic!("{name}"))
}

/// What a check said of a pull.
fn verdict<'a>(pull: &'a Value, what: &str) -> &'a str {
    let checks = pull["checks"].as_array().unwrap();
    checks.iter().find(|c| c["what"] == what).map_or("", |c| c["verdict"].as_str().unwrap())
}

/// The planned sweeps of the day: nine pulls in four formats.
fn planned() -> Vec<PullTruth> {
    let all = truth().pulls.into_iter();
    all.filter(|p| p.rate_rpm_s.is_some() && p.speeds_rpm.1 > 8_000.0).collect()
}

/// Corrected torque of every pull lies on the hidden curve moved by the pull's hidden offset: within
/// 0.5 % in the middle of the range, which is white noise of 0.25 % in means of a few readings and
/// smooth noise of 0.20 % (two standard deviations).
#[test]
fn every_format_gives_the_hidden_curve() {
    let truth = truth();
    let day = json(&["pulls", DAY, "--units", "N.m"]);
    let planned = planned();
    assert_eq!(planned.len(), 9);
    for pull in &planned {
        let curve = &of(&day, pull)["curve"];
        let speeds = curve["speed"]["values"].as_array().unwrap();
        let torques = curve["torque"]["values"].as_array().unwrap();
        let (mut sum, mut count) = (0.0, 0);
        for (speed, torque) in speeds.iter().zip(torques) {
            let (rpm, torque) = (speed.as_f64().unwrap(), torque.as_f64().unwrap());
            if !(4_500.0..=7_000.0).contains(&rpm) {
                continue;
            }
            let hidden = truth.torque(pull.build, rpm).unwrap() * (1.0 + pull.offset);
            sum += torque / hidden - 1.0;
            count += 1;
        }
        let mean = sum / f64::from(count);
        // The cold oil of one pull acts on torque beside its offset: 0.03 % a kelvin.
        let cold = if pull.trap == Some(Trap::ColdOil) { 0.012 } else { 0.0 };
        assert!(count > 45 && mean.abs() < 0.005 + cold, "pull {}: {mean}", pull.number);
    }
}

#[test]
fn every_trap_of_the_day_is_caught_and_no_other_pull_is_stopped() {
    let day = json(&["pulls", DAY]);
    for pull in planned() {
        let found = of(&day, &pull);
        let (what, word) = match pull.trap {
            Some(Trap::ColdOil) => ("oil temperature", "watch"),
            Some(Trap::FuelPressureSag) => ("fuel pressure over the pull", "stop"),
            Some(Trap::StuckOilPressure) => ("stuck readings", "watch"),
            Some(Trap::FastSweep) => ("sweep rate", "watch"),
            _ => {
                let checks = found["checks"].as_array().unwrap();
                let stop = checks.iter().find(|c| c["verdict"] == "stop");
                assert_eq!(stop, None, "pull {}", pull.number);
                continue;
            }
        };
        assert_eq!(verdict(found, what), word, "pull {}", pull.number);
    }
    // The step test opens its throttle in the log: a sensor that comes late is no lean engine.
    let steps = day["pulls"].as_array().unwrap().iter().find(|p| p["pull"] == "pull 53").unwrap();
    assert_eq!(verdict(steps, "mixture"), "in order");
}

/// The hidden mean difference lies in the printed interval, more is said where more is, and the
/// best pull of one build beside the first of the other is not what is told.
#[test]
fn the_comparison_finds_the_hidden_difference() {
    let c = json(&["compare", DAY]);
    assert_eq!(c["answer"]["verdict"], "real_gain");
    let average = &c["answer"]["average"];
    let number = |key: &str| average[key].as_f64().unwrap();
    let hidden = 100.0 * truth().mean_difference(4_500.0, 8_000.0).unwrap();
    assert!(number("low") < hidden && hidden < number("high"), "{average}, hidden {hidden}");
    let more: Vec<&Value> =
        c["stretches"].as_array().unwrap().iter().filter(|s| s["says"] == "more").collect();
    for stretch in more {
        let from = stretch["from_rpm"].as_f64().unwrap();
        assert!(truth().difference_hp(from).unwrap() > 0.0, "{stretch}");
    }
    // Best of b7 beside the first pull of b6, as one would by eye.
    let day = json(&["pulls", DAY]);
    let best = |number: u32| {
        let pull = PullTruth { number, ..planned()[0].clone() };
        let power = of(&day, &pull)["curve"]["power"]["values"].as_array().unwrap();
        power.iter().map(|p| p.as_f64().unwrap()).fold(0.0, f64::max)
    };
    let by_eye = 100.0 * ([47, 48, 49].map(best).into_iter().fold(0.0, f64::max) / best(44) - 1.0);
    assert!(by_eye > number("high"), "by eye {by_eye}, told up to {}", number("high"));
}

#[test]
fn a_comparison_is_a_sentence_a_picture_and_an_exit_code() {
    let folder = Folder::new("compare");
    let svg = folder.path("c.svg");
    let ran = run(&["compare", DAY, "--svg", &svg, "--assert", "gain"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.starts_with("Real gain"), "{}", ran.out);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80), "{}", ran.out);
    let picture = std::fs::read_to_string(&svg).unwrap();
    assert!(picture.contains("can&#39;t tell") && picture.contains("b7 − b6"));
    assert_eq!(run(&["compare", DAY, "--assert", "loss"]).code, 1);
    let csv = run(&["compare", DAY, "--csv"]).out;
    assert!(csv.starts_with("speed rpm,difference %,difference ± %,"));
    assert_eq!(csv.lines().count(), 72, "a head and 4500 to 8000 rpm every 50");
}

#[test]
fn a_folder_without_a_session_file_is_enough() {
    let ran = run(&["read", "demo/loose"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("sweep"), "{}", ran.out);
    let ran = run(&["compare", "demo/loose", "--order", "ABA"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("fewer than three pulls a side"), "{}", ran.out);
    let wrong = [
        (vec!["compare", "demo/loose"], 2, "--order ABBA"),
        (vec!["compare", "demo/loose", "--order", "ABBA"], 2, "has 4 pulls, and there are 3"),
        (vec!["compare", DAY, "--a", "b9"], 4, "there is b6, b7"),
        (vec!["compare", DAY, DAY], 2, "hold the same data"),
        (vec!["compare", DAY, "--range", "8000:4500"], 2, "--range 4500:8000"),
        (vec!["check-pull", DAY, "--pull", "99"], 4, "there is pull 42"),
        (vec!["read", "demo/nowhere"], 4, "there is no file or folder"),
        (vec!["read", "demo/loose/run-1.csv", "--column", "RPM=torqe"], 2, "did you mean torque?"),
        (vec!["correct", "demo/loose", "--standard", "j1350"], 2, "j1349-jun1990"),
        (vec!["correct", "demo/loose", "--air", "98.9 kPa"], 2, "pressure and temperature"),
    ];
    for (arguments, code, words) in wrong {
        let ran = run(&arguments);
        assert_eq!(ran.code, code, "{arguments:?}: {}", ran.err);
        let flat = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(words), "{arguments:?}: {}", ran.err);
    }
}

/// What was confirmed of a heading row holds for the next log that has it, and not for one whose
/// units differ.
#[test]
fn a_confirmed_layout_is_remembered_for_its_headings_and_units() {
    let rows: String = (0..400)
        .map(|i| format!("{:.2},{},{:.1}\n", f64::from(i) * 0.05, 3000 + 10 * i, 210.0))
        .collect();
    let folder = Folder::new("layouts")
        .with("one.csv", format!("t,n,TQ\ns,rpm,\n{rows}"))
        .with("two.csv", format!("t,n,TQ\ns,rpm,\n{}", rows.replace("210.0", "211.5")))
        .with("other.csv", format!("t,n,TQ\ns,rpm,Nm\n{rows}"));
    let read = |name: &str, more: &[&str]| {
        let ran = run(&[&["read", &folder.path(name), "--json"], more].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        serde_json::from_str::<Value>(&ran.out).unwrap()["files"][0].clone()
    };
    assert_eq!(read("two.csv", &[])["doubts"].as_array().unwrap().len(), 1);
    read("one.csv", &["--column", "TQ=torque, lb.ft", "--confirm"]);
    assert!(folder.names().contains(&"layouts.toml".to_owned()));
    let two = read("two.csv", &[]);
    assert_eq!(two["doubts"], serde_json::json!([]));
    assert_eq!(two["columns"][2]["read_in"], "lb.ft");
    assert_eq!(read("other.csv", &[])["columns"][2]["read_in"], "N.m");
}

/// SAE J1349 as its public copy prints it: CF = 1.180 (99/p_d) sqrt((t + 273)/298) - 0.180.
#[test]
fn the_factor_is_that_of_the_formula_on_the_page() {
    let c = json(&["correct", DAY]);
    for pull in c["pulls"].as_array().unwrap() {
        let number = |key: &str| pull[key].as_f64().unwrap();
        let dry = number("pressure_kpa") - number("vapour_pressure_kpa");
        let factor =
            1.180 * (99.0 / dry) * ((number("temperature_degc") + 273.0) / 298.0).sqrt() - 0.180;
        assert!((factor - number("factor")).abs() < 2e-6, "{pull}");
        let at = |key: &str| {
            let values = pull["curve"][key]["values"].as_array().unwrap();
            values[values.len() / 2].as_f64().unwrap()
        };
        let ratio = at("corrected") / at("observed");
        assert!((ratio - number("factor")).abs() < 2e-6, "{ratio}");
    }
}

/// Mean effective pressure, consumption and filling by their definitions (Heywood 1988, sec. 2.7 to
/// 2.10, from memory) from what `correct` says of torque and air and from the channels themselves.
#[test]
fn a_pull_over_speed_has_what_its_channels_allow() {
    let page = json(&["pulls", DAY, "--pull", "47", "--units", "N.m, kW, kg/h"]);
    let corrected = json(&["correct", DAY, "--pull", "47", "--units", "N.m"]);
    let (page, corrected) = (&page["pulls"][0]["over_speed"], &corrected["pulls"][0]);
    let list = |json: &Value| -> Vec<f64> {
        json.as_array().unwrap().iter().map(|v| v.as_f64().unwrap_or(f64::NAN)).collect()
    };
    let figure = |name: &str| list(&page["figures"][name]["values"]);
    let channel = |name: &str| {
        let all = page["channels"].as_array().unwrap();
        let found = all.iter().find(|c| c["channel"] == name).unwrap();
        assert!(found["count"].as_array().unwrap().iter().all(|n| n.as_u64().unwrap() > 0));
        assert!(found["scatter"].as_array().unwrap().iter().any(Value::is_number));
        list(&found["mean"])
    };
    let speed = list(&page["speed"]["values"]);
    let torque = list(&corrected["curve"]["observed"]["values"]);
    let number = |key: &str| corrected[key].as_f64().unwrap();
    // Moist air as an ideal gas of 287.05 and 461.5 J/(kg K); the standard one is within 0.1 %.
    let kelvin = number("temperature_degc") + 273.15;
    let vapour = 1e3 * number("vapour_pressure_kpa");
    let dry = 1e3 * number("pressure_kpa") - vapour;
    let density = dry / (287.05 * kelvin) + vapour / (461.5 * kelvin);
    // Bores and stroke as measured in demo/114/b1.toml.
    let bores = [86.021, 86.018, 86.022, 86.025, 86.019, 86.020_f64];
    let displacement = bores.iter().map(|bore| PI / 4.0 * bore * bore * 83.20e-9).sum::<f64>();
    let (fuel, air) = (channel("fuel flow"), channel("air flow"));
    let mut seen = 0;
    for i in 0..speed.len() {
        let n = speed[i] / 60.0;
        let (bmep, bsfc) = (4.0 * PI * torque[i] / displacement / 1e3, fuel[i] * 1e3);
        let power = 2.0 * PI * n * torque[i] / 1e3;
        let filling = 100.0 * air[i] / 3600.0 / (density * displacement * n / 2.0);
        let near = |name: &str, wanted: f64, share: f64| {
            let found = figure(name)[i];
            assert!(
                (found / wanted - 1.0).abs() < share,
                "{name} at {}: {found} {wanted}",
                speed[i]
            );
        };
        if torque[i].is_finite() {
            near("BMEP", bmep, 1e-4);
            near("BSFC", bsfc / power, 1e-4);
            near("filling", filling, 1e-3);
            seen += 1;
        }
    }
    assert!(seen > 80);
    let page = run(&["pulls", DAY, "--pull", "47"]).out;
    assert!(page.contains("BMEP, kPa") && page.contains("density altitude"), "{page}");
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
}

/// What lies beside the logs of a session and is named nowhere is said, not passed over.
#[test]
fn logs_and_pulls_that_the_session_file_does_not_name_are_said() {
    let read = |name: &str| std::fs::read(root().join(DAY).join(name)).unwrap();
    let session =
        "format = 1\nsession = \"1/s1\"\n[[pull]]\nfile = \"p42-43.csv\"\nbuild = \"b1\"\n";
    let folder = Folder::new("unnamed")
        .with("session.toml", session)
        .with("p42-43.csv", read("p42-43.csv"))
        .with("p44.csv", read("p44.csv"));
    let page = run(&["pulls", &folder.path("")]).out;
    for text in ["p42-43.csv holds 2 pulls", "p44.csv stands in no [[pull]]"] {
        assert!(page.contains(text), "{page}");
    }
    assert!(!run(&["pulls", DAY]).out.contains("session file"));
}

/// A copy of the demo's day with engine and dyno: the folder, the shop, the day, the dyno's record.
fn shop_with_the_day(name: &str) -> (Folder, String, String, String) {
    let folder = Folder::new(name);
    for from in ["demo/114", "demo/114/s6", "demo/dynos"] {
        for entry in std::fs::read_dir(root().join(from)).unwrap() {
            let entry = entry.unwrap();
            if entry.path().is_file() {
                let to = folder.0.join(from).join(entry.file_name());
                std::fs::create_dir_all(to.parent().unwrap()).unwrap();
                std::fs::copy(entry.path(), to).unwrap();
            }
        }
    }
    let (shop, day) = (folder.path("demo"), folder.path(DAY));
    let record = folder.path("demo/dynos/cell-1.toml");
    (folder, shop, day, record)
}

/// A kept comparison is worked out with the scatter of its day, whatever the dyno's record learns later.
#[test]
fn a_kept_comparison_has_the_same_answer_when_the_record_has_grown() {
    let (folder, shop, day, record) = shop_with_the_day("kept");
    let kept = folder.path("demo/kept.toml");
    let ask = |more: &[&str]| {
        let ran = run(&[&["compare", &day, "--shop", &shop], more].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.out
    };
    let first = ask(&["--keep", &kept]);
    // Three quiet sessions of the same dyno.
    let mut text = std::fs::read_to_string(&record).unwrap();
    for session in 1..=3 {
        text += &format!(
            "\n[[history]]\nsession = \"114/s{session}\"\nmode = \"sweep\"\nsweep_rate = \"300 rpm/s\"\n\
             torque_from = \"250 N.m\"\ndof = 6\nfrom_rpm = 3000\nvariances = [4e-6, 4e-6]\n"
        );
    }
    std::fs::write(&record, text).unwrap();
    assert_ne!(ask(&[]), first, "the record has grown");
    assert_eq!(ask(&["--kept", &kept]), first);
    let nothing = run(&["compare", &day, "--shop", &shop, "--kept", "none.toml"]);
    assert_eq!(nothing.code, 4, "{}", nothing.err);
}

/// What a day showed goes into the dyno's record, whose other text stays as it is; for the same day
/// it is not counted twice.
#[test]
fn a_day_is_remembered_once() {
    let (_folder, shop, day, record) = shop_with_the_day("remember");
    let before = std::fs::read_to_string(&record).unwrap();
    let first = run(&["compare", &day, "--shop", &shop, "--remember"]);
    assert_eq!(first.code, 0, "{}", first.err);
    let after = std::fs::read_to_string(&record).unwrap();
    assert!(after.starts_with(before.trim_end()), "what stood there stays");
    assert!(after.contains("[[history]]") && after.contains("114/s6"));
    let ran = run(&["plan-test", "--record", &record, "--shop", &shop]);
    assert!(ran.out.contains("of cell 1, 1 session at 300 rpm/s"), "{}{}", ran.out, ran.err);
    let again = run(&["compare", &day, "--shop", &shop, "--remember"]);
    assert_eq!(again.out, first.out, "its own scatter is not its history");
    assert_eq!(std::fs::read_to_string(&record).unwrap(), after);
}

/// `check` reads `session.toml` by the words of a day, named alone or by its folder, and tells its
/// faults with their lines.
#[test]
fn check_knows_a_day_on_the_dyno() {
    for name in [DAY.to_owned(), format!("{DAY}/session.toml")] {
        let ran = run(&["check", &name]);
        assert!(ran.code == 0 && !ran.out.contains("fault"), "{}{}", ran.out, ran.err);
    }
    let text = "format = 1\nworth_having = \"1 bananas\"\n";
    let folder = Folder::new("check-a-day").with("session.toml", text);
    let ran = run(&["check", &folder.path("")]);
    assert_eq!(ran.code, 3, "{}{}", ran.out, ran.err);
    assert!(ran.out.contains("line 2: \"bananas\" is not a unit"), "{}", ran.out);
}

/// A dyno's own record is known by what stands in it, whatever it is called.
#[test]
fn check_knows_the_record_of_a_dyno() {
    for name in ["demo/dynos/roller.toml", "demo/dynos/cell-1.toml"] {
        let ran = run(&["check", name]);
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        assert_eq!(ran.out, format!("{name}: dyno's own record, in order\n"));
    }
    let text = "format = 1\nname = \"cell\"\nkind = \"rollers\"\nelevation = \"180\"\n";
    let folder = Folder::new("check-a-dyno").with("cell.toml", text);
    let ran = run(&["check", &folder.path("cell.toml")]);
    assert_eq!(ran.code, 3, "{}{}", ran.out, ran.err);
    assert!(ran.out.contains("dyno's own record, has 2 faults"), "{}", ran.out);
    assert!(
        ran.out.contains("line 3") && ran.out.contains("did you mean \"roller\"?"),
        "{}",
        ran.out
    );
}

/// What `read` offers as an answer is understood when it is given back, and ends the question.
#[test]
fn an_offered_answer_ends_the_question() {
    let row = |i: i32| format!("{:.2};{};{};88\n", f64::from(i) * 0.02, 2500 + 7 * i, 190 - i / 20);
    let rows: String = (0..600).map(row).collect();
    let text = format!("Zeit s;U/min;Nm;Temp. acqua\n{rows}");
    let folder = Folder::new("offered-answer").with("log.csv", text);
    let log = &folder.path("log.csv");
    let asked = run(&["read", log]).out.split_whitespace().collect::<Vec<_>>().join(" ");
    let answer = asked.split_once("--column \"").and_then(|(_, rest)| rest.split_once('"'));
    let answer = answer.expect("a question with an answer").0;
    let told = run(&["read", log, "--column", answer]);
    assert!(told.code == 0 && !told.out.contains('?'), "{answer}: {}{}", told.out, told.err);
}

/// A sweep whose torque the file corrected by 1.032 without saying so: 250 rpm/s, 100 N·m at the lower
/// end and `gain` more than that of the first.
fn filed(gain: f64) -> String {
    let mut log = String::from("Time s,RPM,Corrected torque Nm\n");
    for row in 0..400 {
        let time = f64::from(row) * 0.05;
        let rpm = 2500.0 + 250.0 * (time - 2.0).max(0.0);
        let torque = 150.0 * (1.0 - ((rpm - 5000.0) / 6000.0).powi(2));
        log += &format!("{time:.2},{rpm:.1},{:.2}\n", 1.032 * gain * torque);
    }
    log
}

/// Torque that a file corrected is not corrected again, is taken back by a factor that somebody knows,
/// and is compared with its like only.
#[test]
fn torque_that_the_file_corrected_is_never_corrected_twice() {
    let logs = |name: &str| {
        let folder = Folder::new(name).with("a.csv", filed(1.0)).with("b.csv", filed(1.03));
        folder.with("c.csv", filed(1.031)).with("d.csv", filed(1.001))
    };
    let folder = logs("filed");
    let air = ["--air", "98.9 kPa, 18 degC, 52 %"];
    let page = run(&[&["pulls", &folder.path("")][..], &air].concat()).out;
    assert!(page.contains("Torque and power as read, not corrected."), "{page}");
    assert!(page.contains("154.8") && page.contains("corrected_by"), "{page}");
    let page = run(&["compare", &folder.path(""), "--order", "ABBA"]).out;
    assert!(page.contains("+3.0 %") && page.contains("not corrected for the weather"), "{page}");
    let read = filed(1.0).replace("Corrected torque", "Torque");
    let mixed = folder.with("a.csv", read.clone()).with("d.csv", read.replace("2500.0", "2500.1"));
    let ran = run(&["compare", &mixed.path(""), "--order", "ABBA"]);
    assert!(ran.code != 0 && !ran.err.contains("wheel"), "{}", ran.err);
    let session = "format = 1\nsession = \"1/s1\"\n[[pull]]\nfile = \"a.csv\"\nbuild = \"b1\"\n\
                   corrected_by = 1.032\n";
    let known = logs("known").with("session.toml", session);
    let page = run(&[&["correct", &known.path("")][..], &air].concat()).out;
    assert!(page.contains("5,000         150.0           150.0"), "{page}");
}

/// A limit that was chosen for this program is not called common practice, nor is the pull before.
#[test]
fn a_limit_says_where_it_comes_from() {
    let page = run(&["check-pull", "demo/loose", "--all"]).out;
    let after = |what: &str| {
        let at = page.rfind(what).unwrap_or_else(|| panic!("{what}: {page}"));
        page[at..].lines().nth(1).unwrap().to_owned()
    };
    assert!(after("time alignment").ends_with("(chosen here)"), "{page}");
    assert!(after("sweep rate").ends_with("(the pull before)"), "{page}");
}
