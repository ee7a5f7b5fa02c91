//! The demo's afternoon on the roller through the program, asked whether it finds what was hidden.

use crate::program::{Folder, root, run};
use serde_json::Value;
use shortblock_demo::{PullTruth, Trap, truth};
use std::f64::consts::PI;

const DAY: &str = "demo/133/s1";
const SLIP: &str = "slip between engine and roller";

fn day(folder: &str) -> Value {
    let ran = run(&["pulls", folder, "--units", "kW", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("one object")
}

fn of<'a>(day: &'a Value, truth: &PullTruth) -> &'a Value {
    let name = format!("pull {}", truth.number);
    day["pulls"].as_array().unwrap().iter().find(|p| p["pull"] == name.as_str()).unwrap()
}

/// Corrected power at the wheels lies on the hidden curve moved by the pull's own offset, which acts on
/// torque before drag is taken: within 0.5 %, two standard deviations of the smooth noise of 0.25 %.
/// Slip begins at 5,500 rpm.
#[test]
fn power_at_the_wheels_is_the_hidden_one_with_and_without_engine_speed() {
    let (truth, day) = (truth(), day(DAY));
    for pull in &truth.roller.pulls {
        let found = of(&day, pull);
        let curve = &found["curve"];
        let factor = found["factor"].as_f64().unwrap();
        assert!(curve["power_is"].as_str().unwrap().starts_with("wheel, corrected to SAE J1349"));
        assert_eq!((&curve["torque"], &curve["kind"]), (&Value::Null, &"measured".into()));
        let values = |key: &str| curve[key]["values"].as_array().unwrap().clone();
        let (mut sum, mut count) = (0.0, 0);
        for (speed, power) in values("speed").iter().zip(&values("power")) {
            let (rpm, power) = (speed.as_f64().unwrap(), 1e3 * power.as_f64().unwrap());
            if !(3_200.0..=5_450.0).contains(&rpm) {
                continue;
            }
            let surface = rpm * PI / 30.0 / truth.roller.turns_per_metre;
            let drag = truth.drag(surface) * surface;
            let steady = truth.wheel_power(rpm).unwrap();
            let hidden = steady * (1.0 + pull.offset) + (pull.offset + 1.0 - factor) * drag;
            sum += power / hidden - 1.0;
            count += 1;
        }
        let mean = sum / f64::from(count);
        assert!(count > 40 && mean.abs() < 0.005, "pull {}: {mean}", pull.number);
    }
}

#[test]
fn the_planted_slip_is_watched_and_nothing_else() {
    let day = day(DAY);
    for pull in &truth().roller.pulls {
        let checks = of(&day, pull)["checks"].as_array().unwrap();
        let slip = checks.iter().find(|c| c["what"] == SLIP).unwrap();
        let wanted = match pull.trap {
            Some(Trap::WheelSlip) => "watch",
            Some(Trap::NoEngineSpeed) => "not seen",
            _ => "in order",
        };
        assert_eq!(slip["verdict"], wanted, "{slip}");
        let others = checks.iter().filter(|c| c["what"] != SLIP);
        let loud: Vec<&Value> =
            others.filter(|c| c["verdict"] == "watch" || c["verdict"] == "stop").collect();
        assert!(loud.is_empty(), "{loud:?}");
    }
}

#[test]
fn the_page_says_wheel_and_keeps_the_crank_apart() {
    let page = run(&["pulls", DAY]).out;
    for word in ["WHEEL hp", "crank, estimated:", "assumed", "±", "coast.csv", "blower", "r2.csv"]
    {
        assert!(page.contains(word), "{word} is not in:\n{page}");
    }
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    assert!(!page.contains("N·m"), "{page}");
    let csv = run(&["pulls", DAY, "--csv"]).out;
    let rows: Vec<&str> = csv.lines().skip(1).collect();
    assert!(rows.len() > 200 && rows.iter().all(|row| row.contains(",\"wheel, corrected to")));
    let day = day(DAY);
    let crank = &of(&day, &truth().roller.pulls[0])["crank_estimated"];
    assert_eq!(crank["kind"], "crank, estimated");
    assert!(crank["plus_minus"].as_f64().unwrap() > 0.02 * crank["value"].as_f64().unwrap());
}

/// What the engine gave at its crankshaft lies in the ± of each estimate, slipping pull aside: gears,
/// wheels and the engine's own inertia are assumed there, not read from the truth.
#[test]
fn the_crank_estimate_holds_the_hidden_engine() {
    let (truth, day) = (truth(), day(DAY));
    for pull in truth.roller.pulls.iter().filter(|p| p.trap != Some(Trap::WheelSlip)) {
        let crank = &of(&day, pull)["crank_estimated"];
        let number = |key: &str| crank[key].as_f64().unwrap();
        let hidden = truth.crank_power(number("at_rpm")) * (1.0 + pull.offset) / 1e3;
        assert!((number("value") - hidden).abs() < number("plus_minus"), "{hidden}: {crank}");
        assert!(number("plus_minus") < 0.08 * hidden, "{crank}");
    }
}

/// Torque at the wheels is compared as power at the wheels over engine speed; two copies of one build
/// under two names show no difference, and a pull in another gear is refused.
#[test]
fn a_day_on_the_roller_is_compared_and_corrected() {
    let renamed = |gear: &'static str| {
        move |text: String| {
            let text = without_coast(text).replacen("build = \"b1\"", "build = \"b0\"", 1);
            let at = text.rfind("gear = \"4\"").unwrap();
            text[..at].to_owned() + gear + &text[at + "gear = \"4\"".len()..]
        }
    };
    let folder = changed("two-builds", RECORD, &renamed("gear = \"4\""));
    let ran = run(&["compare", &folder.path(""), "--range", "3200:5400", "--json"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let page = run(&["compare", &folder.path(""), "--range", "3200:5400"]).out;
    assert!(page.contains("Torque at the wheels.") && !page.contains("Real"), "{page}");
    let folder = changed("two-gears", RECORD, &renamed("gear = \"3\""));
    let ran = run(&["compare", &folder.path("")]);
    assert!(ran.code != 0 && ran.err.contains("in gear 4 and pull 3 in gear 3"), "{}", ran.err);
    let corrected = run(&["correct", DAY, "--pull", "1"]).out;
    assert!(corrected.contains("as read, WHEEL hp  corrected, WHEEL hp"), "{corrected}");
    let csv = run(&["correct", DAY, "--csv", "--units", "kW"]).out;
    assert!(csv.starts_with("pull,standard,factor,speed rpm,observed wheel power kW,"), "{csv}");
}

/// A roller of 800 kg and 0.3 m whose brake holds 300 N·m, driven by 120 kW at the wheels:
/// `m v dv/dt = P - T v/r`, Newton's second law. The log has no engine speed; the session file states
/// the ratio.
#[test]
fn a_loaded_roller_with_an_arm_and_a_stated_ratio_finds_the_power() {
    let (power, mass, radius, brake, arm) = (120e3, 800.0, 0.3, 300.0, 0.5);
    let mut log = String::from("time s,roller speed km/h,brake load N\n");
    let (mut v, step) = (30.0_f64, 1e-3);
    for row in 0..=12_000 {
        if row % 50 == 0 {
            let time = f64::from(row) * step;
            log += &format!("{time:.3},{:.5},{:.2}\n", 3.6 * v, brake / arm);
        }
        v += step * (power / v - brake / radius) / mass;
    }
    let record = "format = 1\nname = \"r\"\nkind = \"roller\"\nabsorber = \"eddy current\"\n\
                  [roller]\nradius = \"0.3 m\"\nmass = \"800 kg\"\narm = \"0.5 m\"\n";
    let session = "format = 1\nsession = \"1/s1\"\ndyno = \"dyno.toml\"\n[[pull]]\n\
                   file = \"a.csv\"\nnumber = 1\nbuild = \"b1\"\nsettings = { ratio = \"4\" }\n";
    let folder = Folder::new("loaded")
        .with("dyno.toml", record)
        .with("session.toml", session)
        .with("a.csv", log);
    let page = run(&["pulls", &folder.path("")]).out;
    assert!(page.contains("torque is added."), "{page}");
    let day = day(&folder.path(""));
    let curve = &day["pulls"][0]["curve"];
    let values = |key: &str| curve[key]["values"].as_array().unwrap().clone();
    // 4 turns of the engine a turn of the roller: 30 m/s are 3,820 rpm of the engine.
    let first = values("speed")[0].as_f64().unwrap();
    assert!((first / (4.0 * 30.0 / radius * 30.0 / PI) - 1.0).abs() < 0.05, "{first}");
    let power: Vec<f64> = values("power").iter().map(|p| p.as_f64().unwrap()).collect();
    let inner = &power[4..power.len() - 4];
    assert!(inner.len() > 20 && inner.iter().all(|p| (p / 120.0 - 1.0).abs() < 0.005), "{power:?}");
    let bare = Folder::new("no-arm")
        .with("dyno.toml", record.replace("arm = \"0.5 m\"\n", ""))
        .with("session.toml", session)
        .with("a.csv", std::fs::read_to_string(folder.path("a.csv")).unwrap());
    let page = run(&["pulls", &bare.path("")]).out;
    assert!(page.contains("has no power at the wheels"), "{page}");
    assert!(
        page.split_whitespace().collect::<Vec<_>>().join(" ").contains("write arm under"),
        "{page}"
    );
}

/// The day with its record and session file changed.
fn changed(name: &str, record: &str, session: &dyn Fn(String) -> String) -> Folder {
    let read = |file: &str| std::fs::read_to_string(root().join(DAY).join(file)).unwrap();
    let text = read("session.toml").replace("../../dynos/roller.toml", "dyno.toml");
    let text = session(text.replace("engine = \"../engine.toml\"\n", ""));
    let folder = Folder::new(name).with("dyno.toml", record).with("session.toml", text);
    ["r1.csv", "r2.csv", "r3.csv"].into_iter().fold(folder, |f, log| f.with(log, read(log)))
}

fn without_coast(text: String) -> String {
    text[..text.find("[[pull]]\nfile = \"coast.csv\"").unwrap()].to_owned()
}

/// Stated inertias act as Newton's second law says: 100 kg more of wheels add what accelerates them and
/// what they held of the coast-down, through gears that take 5 %; 0.17 kg·m² more of engine adds its own
/// torque at the crankshaft. Unstated, the engine's is assumed by its 1.8 litres.
#[test]
fn wheels_and_engine_count_in_the_crank_estimate() {
    let truth = truth();
    let crank = |name: &str, stated: &str| -> (f64, f64, f64) {
        let head = |text: String| text.replace("format = 1\n", &format!("format = 1\n{stated}"));
        let record =
            RECORD.replace("[limits]\npower = \"100 kW\"\n", "").replace("loss = \"15 %\"\n", "");
        let coast = std::fs::read(root().join(DAY).join("coast.csv")).unwrap();
        let folder = changed(name, &record, &head).with("coast.csv", coast);
        let day = day(&folder.path(""));
        let pull = of(&day, &truth.roller.pulls[0]);
        let curve = &pull["curve"];
        let at = pull["crank_estimated"]["at_rpm"].as_f64().unwrap();
        let speeds = curve["speed"]["values"].as_array().unwrap();
        let near = |i: &usize| (speeds[*i].as_f64().unwrap() - at).abs();
        let place = (0..speeds.len()).min_by(|a, b| near(a).total_cmp(&near(b))).unwrap();
        let wheel = curve["power"]["values"][place].as_f64().unwrap();
        (pull["crank_estimated"]["value"].as_f64().unwrap(), wheel, at * PI / 30.0)
    };
    let (light, wheel, speed) =
        crank("light", "wheels_mass = \"28 kg\"\nengine_inertia = \"0.17 kg.m2\"\n");
    let (heavy, ..) = crank("heavy", "wheels_mass = \"128 kg\"\nengine_inertia = \"0.17 kg.m2\"\n");
    let surface = speed / truth.roller.turns_per_metre;
    let coast = truth.drag(surface) * surface / 1e3;
    let wanted = 100.0 * (wheel / 1240.0 + coast / 1268.0) / 0.95;
    // The power of one point beside the smoothed best, and drag prolonged beyond the coast-down.
    assert!((heavy - light - wanted).abs() < 0.05 * wanted, "{light} {heavy} {wanted}");
    let (idle, ..) = crank("idle", "wheels_mass = \"28 kg\"\nengine_inertia = \"0.34 kg.m2\"\n");
    let rate = wheel * 1e3 / (1240.0 * surface) * truth.roller.turns_per_metre;
    let wanted = 0.17 * speed * rate / 1e3;
    assert!((idle - light - wanted).abs() < 0.05 * wanted, "{light} {idle} {wanted}");
    let page = run(&["pulls", DAY]).out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(page.contains("inertia of the engine 0.18 ±0.09 kg·m² (assumed)"), "{page}");
}

const RECORD: &str = "format = 1\nname = \"r\"\nkind = \"roller\"\n[limits]\npower = \"100 kW\"\n\
                      [roller]\nmass = \"1240 kg\"\nloss = \"15 %\"\n";

#[test]
fn without_a_coast_down_the_stated_loss_counts_and_says_so() {
    let folder = changed("stated", RECORD, &without_coast);
    let page = run(&["pulls", &folder.path("")]).out;
    for word in ["losses of 15 % as stated", "(assumed)", "stop: highest power"] {
        assert!(page.contains(word), "{word} is not in:\n{page}");
    }
    let bare = RECORD.replace("loss = \"15 %\"\n", "");
    let folder = changed("bare", &bare, &without_coast);
    let page = run(&["pulls", &folder.path("")]).out;
    assert!(
        page.contains("nothing is said of the crank") && !page.contains("estimated:"),
        "{page}"
    );
    let none = bare.replace("mass = \"1240 kg\"", "");
    let folder = changed("none", &none, &without_coast);
    let page = run(&["pulls", &folder.path("")]).out;
    assert!(page.contains("no power at the wheels: write mass under [roller]"), "{page}");
}

#[test]
fn a_turbocharger_keeps_the_pull_as_read() {
    let turbo = |text: String| text.replace("\"blower\"", "\"turbo\"");
    let folder = changed("turbo", RECORD, &|text| turbo(without_coast(text)));
    let csv = run(&["pulls", &folder.path(""), "--csv"]).out;
    assert!(csv.contains("\"wheel, as read\""), "{csv}");
}
