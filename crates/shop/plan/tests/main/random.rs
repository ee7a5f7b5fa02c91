//! Engine files of every kind that can be written down, drawn by chance: layouts of 1 to 16
//! cylinders, ways in and out, fuels, cams, from usual to odd.

use crate::chance::Chance;

/// The engine file of this seed. Its values are each in their range; together they may still make
/// no engine.
pub fn random(seed: u64) -> String {
    let mut c = Chance::new(seed);
    // A third of the engines are odd: sizes up to twice or half the usual.
    let odd = if c.yes(0.33) { 2.0 } else { 1.15 };
    let bore = 84.0 * factor(&mut c, odd);
    let stroke = bore * factor(&mut c, odd.sqrt());
    let mut text = format!("format = 1\nnumber = \"{seed}\"\nbore = \"{bore:.2} mm\"\n");
    text += &format!("stroke = \"{stroke:.2} mm\"\n");
    let cylinders = layout(&mut c, &mut text);
    if c.yes(0.8) {
        text += &format!("[chamber]\ncompression_ratio = {:.2}\n", c.between(6.5, 15.0));
        maybe(&mut c, &mut text, "shape", &["pent roof", "wedge", "bathtub", "hemispherical"]);
    }
    let intake_valve = valves(&mut c, &mut text, bore, odd);
    intake(&mut c, &mut text, cylinders, intake_valve, odd);
    exhaust(&mut c, &mut text, cylinders, intake_valve, odd);
    running(&mut c, &mut text);
    text
}

/// Up to so many times as much or as little.
fn factor(c: &mut Chance, most: f64) -> f64 {
    most.powf(c.between(-1.0, 1.0))
}

fn maybe(c: &mut Chance, text: &mut String, word: &str, of: &[&str]) {
    if c.yes(0.5) {
        *text += &format!("{word} = \"{}\"\n", c.one(of));
    }
}

/// How the cylinders stand; how many there are.
fn layout(c: &mut Chance, text: &mut String) -> usize {
    let cylinders = 1 + (15.999 * c.between(0.0, 1.0)) as usize;
    *text += &format!("[layout]\ncylinders = {cylinders}\n");
    if cylinders.is_multiple_of(2) {
        let kind = c.one(&["inline", "V", "flat"]);
        *text += &format!("arrangement = \"{kind}\"\n");
        if kind == "V" && c.yes(0.5) {
            *text += &format!("bank_angle = \"{:.0} deg\"\n", c.between(15.0, 180.0));
        }
        if kind == "V" && c.yes(0.3) {
            *text += &format!("crank_pin_offset = \"{:.0} deg\"\n", c.between(-60.0, 60.0));
        }
    }
    if c.yes(0.15) {
        let mut angles: Vec<String> = Vec::new();
        for _ in 0..cylinders {
            angles.push(format!("{:.0}", c.between(0.0, 719.0)));
        }
        *text += &format!("firing_angles = \"{} deg\"\n", angles.join(", "));
    }
    cylinders
}

/// Valves, cams and flow of both sides; the diameter of one intake valve.
fn valves(c: &mut Chance, text: &mut String, bore: f64, odd: f64) -> f64 {
    let train = c.one(&["bucket", "finger", "rocker", "pushrod and rocker"]);
    *text += &format!("[valve_train]\nkind = \"{train}\"\n");
    maybe(c, text, "lifter", &["hydraulic", "solid"]);
    let count = c.one(&[1usize, 2, 2, 3]);
    let share = [0.48, 0.39, 0.32][count - 1];
    let intake = bore * share * factor(c, odd.powf(0.2));
    let out = if count == 1 { 1 } else { c.one(&[1usize, 2, 2]) };
    let exhaust = 0.85 * intake * (count as f64 / out as f64).sqrt() * factor(c, odd.powf(0.2));
    side(c, text, "intake", (count, intake), odd);
    side(c, text, "exhaust", (out, exhaust), odd);
    intake
}

fn side(c: &mut Chance, text: &mut String, name: &str, valve: (usize, f64), odd: f64) {
    let (count, diameter) = valve;
    *text += &format!("[{name}]\n");
    *text += &format!("valves = {{ per_cylinder = {count}, diameter = \"{diameter:.2} mm\" }}\n");
    if c.yes(0.3) {
        *text += &format!("flow_coefficient = {:.3}\n", c.between(0.36, 0.66));
    } else if c.yes(0.4) {
        let per_lift =
            0.55 * std::f64::consts::PI * diameter * 108.0 * 1e-6 * factor(c, odd.sqrt());
        let rows: Vec<String> = [2.0, 5.0, 8.0, 11.0]
            .iter()
            .map(|lift| format!("[{lift}, {:.3}]", 1e3 * per_lift * lift * (1.3 - 0.03 * lift)))
            .collect();
        *text += &format!(
            "flow = {{ test_pressure = \"28 inH2O\", per = \"valve\", columns = [\"lift mm\", \
             \"flow L/s\"], rows = [{}] }}\n",
            rows.join(", ")
        );
    }
    let lift = 0.26 * diameter * factor(c, odd.sqrt());
    let long = c.between(190.0, 290.0);
    let ways = [
        format!(
            "duration = \"{long:.0} deg at 1.0 mm\", centreline = \"{:.0} deg\"",
            c.between(95.0, 125.0)
        ),
        format!(
            "duration = \"{long:.0} deg at 0.050 in\", centreline = \"{:.0} deg\"",
            c.between(95.0, 125.0)
        ),
        format!(
            "duration = \"{:.0} deg at seat\", centreline = \"{:.0} deg\"",
            long + 40.0,
            c.between(95.0, 125.0)
        ),
        match name {
            "intake" => format!(
                "opens = \"{:.0} deg BTDC at seat\", closes = \"{:.0} deg ABDC at seat\"",
                c.between(-10.0, 60.0),
                c.between(30.0, 90.0)
            ),
            _ => format!(
                "opens = \"{:.0} deg BBDC at seat\", closes = \"{:.0} deg ATDC at seat\"",
                c.between(30.0, 95.0),
                c.between(-10.0, 60.0)
            ),
        },
    ];
    let way = if c.yes(0.15) { String::new() } else { c.one(&[0usize, 0, 1, 2, 3]).to_string() };
    let timing = way.parse::<usize>().map_or(String::new(), |i| format!(", {}", ways[i]));
    *text += &format!("cam = {{ lift = \"{lift:.2} mm\"{timing} }}\n");
}

fn intake(c: &mut Chance, text: &mut String, cylinders: usize, valve: f64, odd: f64) {
    let d = |c: &mut Chance, share: f64| share * valve * factor(c, odd.sqrt());
    let kind = c.one(&["throttles", "single", "divided", "carburettor", "carburettors", "unsaid"]);
    match kind {
        "throttles" => {
            *text += &format!(
                "[intake.throttle]\none_per_cylinder = true\ndiameter = \"{:.1} mm\"\n",
                d(c, 1.15)
            );
        }
        "single" | "divided" => {
            if kind == "single" || cylinders > 1 {
                *text += &format!("[intake.plenum]\nkind = \"{kind}\"\n");
                *text += &format!("volume = \"{:.2} L\"\n", 2.5 * factor(c, odd * odd));
            }
            *text += &format!(
                "[intake.throttle]\ndiameter = \"{:.1} mm\"\ncount = {}\n",
                d(c, 1.5),
                c.one(&[1, 2, 4])
            );
        }
        "carburettor" => {
            *text += &format!(
                "[intake.carburettor]\nbarrels = {}\nrating = \"{:.0} cfm at {}\"\n",
                c.one(&[1, 2, 4]),
                450.0 * factor(c, odd),
                c.one(&["1.5 inHg", "3.0 inHg"])
            );
        }
        "carburettors" => {
            let barrel = d(c, 1.15);
            *text += &format!(
                "[intake.carburettor]\none_per_cylinder = true\nbarrel = \"{barrel:.1} mm\"\nchoke = \"{:.1} mm\"\n",
                0.82 * barrel
            );
        }
        _ => {}
    }
    if c.yes(0.6) {
        *text += &format!("[intake.runner]\nlength = \"{:.0} mm\"\n", 260.0 * factor(c, odd * odd));
        if c.yes(0.5) {
            *text += &format!("trumpet_length = \"{:.0} mm\"\n", c.between(0.0, 120.0));
        }
    }
    if c.yes(0.2) {
        *text += &format!("[intake.restrictor]\ndiameter = \"{:.1} mm\"\n", d(c, 1.0).max(15.0));
    }
    if c.yes(0.3) {
        *text += &format!("[intake.air_box]\nvolume = \"{:.1} L\"\n", 8.0 * factor(c, odd));
        *text += &format!(
            "[intake.duct]\nlength = \"{:.0} mm\"\ndiameter = \"{:.1} mm\"\n",
            c.between(50.0, 900.0),
            d(c, 2.0)
        );
    }
    if c.yes(0.2) {
        *text += "[intake.air_cleaner]\nkind = \"paper\"\nloss = \"1.5 kPa at 400 kg/h\"\n";
    }
}

fn exhaust(c: &mut Chance, text: &mut String, cylinders: usize, valve: f64, odd: f64) {
    let d = |c: &mut Chance, share: f64| share * valve * factor(c, odd.sqrt());
    let ways = ["separate", "4-1", "4-2-1", "3-1", "2-1", "log"];
    let fits = |way: &str| match way {
        "4-1" | "4-2-1" => cylinders.is_multiple_of(4),
        "3-1" => cylinders.is_multiple_of(3),
        "2-1" => cylinders.is_multiple_of(2),
        _ => true,
    };
    let way = c.one(&ways);
    if c.yes(0.8) && fits(way) {
        *text = text.replacen("[exhaust]\n", &format!("[exhaust]\nkind = \"{way}\"\n"), 1);
    }
    if c.yes(0.6) {
        *text += &format!(
            "[exhaust.primary]\nlength = \"{:.0} mm\"\nbore = \"{:.1} mm\"\n",
            550.0 * factor(c, odd * odd),
            d(c, 1.25)
        );
    } else if c.yes(0.3) {
        let bore = d(c, 1.25);
        *text += &format!(
            "[exhaust.primary]\nsteps = {{ columns = [\"length mm\", \"bore mm\"], rows = \
             [[150, {bore:.1}], [450, {:.1}], [700, {:.1}]] }}\n",
            1.05 * bore,
            1.10 * bore
        );
    }
    if c.yes(0.3) {
        *text += &format!("[exhaust.collector]\nlength = \"{:.0} mm\"\n", c.between(0.0, 900.0));
    }
    if c.yes(0.25) && cylinders.is_multiple_of(2) && cylinders > 2 {
        *text += &format!("[exhaust.crossover]\nkind = \"{}\"\n", c.one(&["balance pipe", "X"]));
    }
    if c.yes(0.5) {
        *text += &format!("[exhaust.tail]\nlength = \"{:.0} mm\"\n", c.between(0.0, 4000.0));
    }
    match c.one(&["loss", "pressure", "unsaid", "none"]) {
        "loss" => *text += &format!("[exhaust.silencer]\nloss = {:.2}\n", c.between(0.0, 12.0)),
        "pressure" => {
            *text += &format!(
                "[exhaust.silencer]\nback_pressure = \"{:.0} kPa at 0.15 kg/s\"\n",
                c.between(1.0, 60.0)
            );
        }
        "none" => *text += "[exhaust.silencer]\nloss = \"not applicable\"\n",
        _ => {}
    }
}

fn running(c: &mut Chance, text: &mut String) {
    let fuels = [
        "petrol",
        "e5",
        "e10",
        "e85",
        "methanol",
        "ethanol",
        "m85",
        "isooctane",
        "n-heptane",
        "toluene",
        "nitromethane",
        "leaded race petrol",
        "oxygenated race petrol",
        "high-oxygen race petrol",
    ];
    if c.yes(0.6) {
        *text += &format!("[fuel]\nkind = \"{}\"\n", c.one(&fuels));
        if c.yes(0.5) {
            *text += &format!("lambda = {:.2}\n", c.between(0.6, 1.15));
        }
        if c.yes(0.2) {
            *text += &format!("blend = {{ ethanol = \"{:.0} %\" }}\n", c.between(1.0, 60.0));
        }
    }
    let plans = ["best torque", "best torque, knock limited"];
    match c.one(&["plan", "angle", "unsaid"]) {
        "plan" => *text += &format!("[spark]\nadvance = \"{}\"\n", c.one(&plans)),
        "angle" => *text += &format!("[spark]\nadvance = \"{:.0} deg\"\n", c.between(0.0, 50.0)),
        _ => {}
    }
    if c.yes(0.4) {
        *text += &format!(
            "[air]\ntemperature = \"{:.0} degC\"\npressure = \"{:.1} kPa\"\nhumidity = \"{:.0} %\"\n",
            c.between(-20.0, 50.0),
            c.between(65.0, 105.0),
            c.between(0.0, 100.0)
        );
    }
}
