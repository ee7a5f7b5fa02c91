//! Everything the engine file must be able to say, said once. All data invented.

use shortblock_engine::build::{Arrangement, ExhaustKind, RatingKind, SparkPlan, TrainKind};
use shortblock_engine::{Build, Memory, load};
use shortblock_units::Quantity;

#[track_caller]
fn build(text: &str) -> Box<Build> {
    let text = format!("format = 1\nbore = \"86 mm\"\nstroke = \"80 mm\"\n{text}");
    let loaded = load("t.toml", &Memory::default().with("t.toml", &text));
    let build = match loaded.build {
        Ok(build) => build,
        Err(faults) => panic!("{}", faults.render()),
    };
    assert!(build.doubts.is_empty(), "{:#?}", build.doubts);
    build
}

#[test]
fn one_to_sixteen_cylinders_in_every_arrangement() {
    for cylinders in 1..=16 {
        for arrangement in ["inline", "V", "flat"] {
            if arrangement != "inline" && cylinders % 2 == 1 {
                continue;
            }
            let build =
                build(&format!("cylinders = {cylinders}\narrangement = \"{arrangement}\"\n"));
            let mut order = build.layout.firing_order.clone();
            order.sort_unstable();
            assert_eq!(order, (1..=cylinders).collect::<Vec<_>>());
            assert_eq!(build.layout.firing_angle_deg.len(), cylinders);
        }
    }
    assert_eq!(build("cylinders = 1\n").layout.arrangement, Arrangement::Single);
}

/// What a builder writes first: the arrangement as the layout, and the other word for intake.
#[test]
fn a_word_may_stand_for_the_layout_and_inlet_for_intake() {
    let short = build("cylinders = 8\nlayout = \"V\"\n[inlet.valves]\ndiameter = \"34 mm\"\n");
    assert_eq!((short.layout.cylinders, short.layout.arrangement), (8, Arrangement::V));
    assert!((short.intake.valves.diameter.si - 0.034).abs() < 1e-12);
}

#[test]
fn uneven_firing_from_bank_angle_and_pins() {
    let twin = build("cylinders = 2\narrangement = \"V\"\nbank_angle = \"45 deg\"\n");
    let second = twin.layout.firing_angle_deg[1];
    assert!((second - 315.0).abs() < 1e-6 || (second - 405.0).abs() < 1e-6, "{second}");
    let stated = build("cylinders = 2\n[layout]\nfiring_angles = \"0, 270 deg\"\n");
    assert!((stated.layout.firing_angle_deg[1] - 270.0).abs() < 1e-9);
}

#[test]
fn five_valves_finger_followers_and_throttles_of_their_own() {
    let build = build(
        "cylinders = 4\n[valve_train]\nkind = \"finger\"\n\
         [intake]\nvalves = { per_cylinder = 3, diameter = \"27 mm\" }\n\
         [intake.throttle]\nkind = \"slide\"\ndiameter = \"45 mm\"\none_per_cylinder = true\nfrom_valve = \"160 mm\"\n\
         [intake.runner]\nlength = \"150 mm\"\narea = { start = \"11 cm2\", end = \"15.9 cm2\" }\ntrumpet_length = \"40 mm\"\n\
         [intake.restrictor]\ndiameter = \"32 mm\"\n\
         [intake]\n".trim_end_matches("[intake]\n"),
    );
    assert_eq!((build.intake.valves.count, build.exhaust.valves.count), (3, 2));
    assert_eq!(build.valve_train.kind, TrainKind::Finger);
    let intake = &build.intake_system;
    assert!(intake.plenum.is_none() && intake.trumpet.is_some() && intake.restrictor.is_some());
    let throttle = intake.throttle.as_ref().unwrap();
    assert!(throttle.one_per_cylinder && throttle.count == 4);
    // 11 cm2 is a circle of 37.42 mm: sqrt(4 A / pi).
    assert!((intake.runner_start.si - 37.4242e-3).abs() < 1e-6, "{}", intake.runner_start.si);
}

#[test]
fn plenum_air_box_duct_and_air_cleaner() {
    let build = build(
        "cylinders = 6\n[intake]\nplenum = { kind = \"single\", volume = \"5 L\" }\n\
         throttle = { diameter = \"70 mm\", count = 2 }\nair_box = { volume = \"9 L\" }\n\
         duct = { length = \"400 mm\", diameter = \"80 mm\" }\n\
         air_cleaner = { kind = \"paper\", loss = \"1.2 kPa at 500 kg/h\" }\n",
    );
    let intake = &build.intake_system;
    assert_eq!(intake.plenum.as_ref().unwrap().feeds, [vec![1, 2, 3, 4, 5, 6]]);
    assert!(intake.air_box.is_some() && intake.duct.is_some());
    let cleaner = intake.air_cleaner.as_ref().unwrap();
    assert_eq!((cleaner.drop.si, cleaner.at.quantity), (1200.0, Quantity::MassFlow));
}

#[test]
fn carburettors_by_rating_and_by_bore() {
    let v8 = build(
        "cylinders = 8\narrangement = \"V\"\n[intake]\nvalves = { per_cylinder = 1, diameter = \"45 mm\" }\n\
         carburettor = { barrels = 2, rating = \"500 cfm at 3.0 inHg\" }\nplenum = \"divided\"\n",
    );
    let halves = &v8.intake_system.plenum.as_ref().unwrap().feeds;
    assert_eq!(*halves, [vec![1, 4, 6, 7], vec![8, 3, 5, 2]]);
    let (flow, drop) = v8.intake_system.carburettor.as_ref().unwrap().rating.clone().unwrap();
    assert!((flow.si - 500.0 * 0.3048f64.powi(3) / 60.0).abs() < 1e-9);
    assert!((drop.si - 10159.2).abs() < 1.0, "{}", drop.si);
    assert_eq!(v8.fuel.delivery, "carburettor");
    let four = build(
        "cylinders = 4\n[intake]\nvalves = { per_cylinder = 1, diameter = \"40 mm\" }\n\
         carburettor = { one_per_cylinder = true, barrel = \"40 mm\", choke = \"33 mm\" }\n",
    );
    let carburettor = four.intake_system.carburettor.as_ref().unwrap();
    assert_eq!(carburettor.count, 4);
    assert_eq!(carburettor.venturi.as_ref().unwrap().si, 0.033);
    assert!(four.intake_system.plenum.is_none() && four.intake_system.throttle.is_none());
}

#[test]
fn every_kind_of_exhaust() {
    let of = |cylinders: usize, text: &str| {
        build(&format!("cylinders = {cylinders}\n{text}")).exhaust_system
    };
    assert_eq!(of(1, "").kind, ExhaustKind::Separate);
    assert_eq!(of(4, "").kind, ExhaustKind::Merged);
    let long = of(4, "[exhaust.secondary]\nlength = \"500 mm\"\n");
    assert_eq!(long.kind, ExhaustKind::FourTwoOne);
    assert_eq!(long.secondary.unwrap().join, [vec![1, 4], vec![3, 2]]);
    let six = of(6, "");
    assert_eq!(six.collector.unwrap().join, [vec![1, 2, 3], vec![4, 5, 6]]);
    let log = of(4, "[exhaust]\nkind = \"log\"\nlog = { bore = \"48 mm\" }\n");
    assert_eq!(log.log.unwrap().0.si, 0.048);
    let stepped = of(
        4,
        "[exhaust.primary]\nsteps = { columns = [\"length mm\", \"bore mm\"], rows = [[200, 40], [500, 42], [800, 45]] }\n",
    );
    let steps: Vec<(f64, f64)> =
        stepped.primary_steps.iter().map(|(l, b)| ((l * 1e3).round(), (b * 1e3).round())).collect();
    assert_eq!(steps, [(200.0, 40.0), (300.0, 42.0), (300.0, 45.0)]);
    let crossed = of(6, "[exhaust]\ncrossover = { kind = \"balance pipe\", bore = \"50 mm\" }\n");
    assert!(crossed.crossover.is_some());
    let rated = of(4, "[exhaust.silencer]\nback_pressure = \"35 kPa at 225 hp\"\n");
    assert_eq!(rated.back_pressure.unwrap().at.quantity, Quantity::Power);
    assert_eq!(rated.silencer_loss.si, 0.0);
    let bare = of(
        4,
        "[exhaust]\nsilencer = { loss = \"not applicable\" }\ntail = { length = \"not applicable\" }\n",
    );
    assert!(bare.tail.is_none() && bare.silencer_loss.si == 0.0);
}

#[test]
fn fuels_blends_mixture_and_spark() {
    let alcohol = build(
        "cylinders = 4\n[fuel]\nname = \"methanol\"\nlambda = 0.75\n[spark]\nadvance = \"32 deg\"\n",
    );
    assert_eq!(alcohol.fuel.kind, "methanol");
    assert!(alcohol.fuel.ron.si > 100.0);
    assert!(matches!(alcohol.spark.plan, SparkPlan::Fixed(_)));
    let mixed = build(
        "cylinders = 4\n[fuel]\nkind = \"methanol\"\nblend = { nitromethane = \"20 %\" }\n\
         [spark]\nadvance = \"best torque, knock limited, margin 3 deg\"\n",
    );
    assert_eq!(mixed.fuel.blend[0].0, "nitromethane");
    assert!((mixed.spark.knock_margin.degrees() - 3.0).abs() < 1e-9);
    let pump = build("cylinders = 4\n[fuel.octane]\nAKI = 91\n");
    assert_eq!((pump.fuel.ron.si, pump.fuel.mon.si), (96.0, 86.0));
    let asked = build("cylinders = 4\n[spark]\nadvance = \"best torque\"\n");
    assert_eq!(asked.spark.plan, SparkPlan::BestTorque { knock_limited: false });
}

/// A spark that the program chooses keeps the limit that the file sets, unless the file asks for another.
#[test]
fn the_margin_of_a_sought_spark_is_the_limit_of_the_file() {
    let margin = |more: &str| build(&format!("cylinders = 4\n{more}")).spark.knock_margin.degrees();
    let limit = "[limits]\nknock_margin = \"3 deg\"\n";
    assert!((margin("") - 2.0).abs() < 1e-9);
    assert!((margin(limit) - 3.0).abs() < 1e-9);
    assert!((margin(&format!("{limit}[spark]\nknock_margin = \"1 deg\"\n")) - 1.0).abs() < 1e-9);
}

#[test]
fn ratings_with_how_they_were_tested() {
    let build = build(
        "cylinders = 4\n[tested_as]\naccessories = [\"water pump\", \"alternator\"]\nexhaust = \"full road system\"\n\
         correction = \"SAE J1349\"\ntolerance = \"1 %\"\n\
         [[rating]]\npower = \"126 hp\"\nspeed = \"6500 rpm\"\n\
         [[rating]]\ntorque = \"100 lb.ft\"\nspeed = \"2000 rpm\"\nkind = \"at least\"\n\
         [rating_curve]\ncolumns = [\"speed rpm\", \"torque lb.ft\", \"ve %\"]\nrows = [[2000, 101, 80], [3000, 110, 85]]\n",
    );
    assert_eq!(build.ratings.len(), 2);
    let machines: Vec<&str> = build.tested_as.accessories.iter().map(|a| a.word()).collect();
    assert_eq!(machines, ["water pump", "alternator"]);
    assert_eq!(build.ratings[0].value.quantity, Quantity::Power);
    assert_eq!(build.ratings[1].kind, RatingKind::AtLeast);
    let curve = build.rating_curve.as_ref().unwrap();
    let middle = curve.at("torque", 2500.0 * std::f64::consts::PI / 30.0).unwrap();
    assert!((middle - 105.5 * 1.355_817_948).abs() < 1e-6, "{middle}");
}

#[test]
fn a_flow_known_at_full_lift_only_is_filled_in_below() {
    let build = build(
        "cylinders = 8\n[intake]\nvalves = { per_cylinder = 1, diameter = \"50 mm\" }\n\
         flow = { test_pressure = \"28 inH2O\", columns = [\"lift mm\", \"flow cfm\"], rows = [[14, 320]] }\n",
    );
    let sheet = &build.intake.flow;
    assert_eq!(sheet.assumed_below, Some(0.014));
    assert!(sheet.lift.len() >= 6 && sheet.lift.windows(2).all(|p| p[0] < p[1]));
    assert!(sheet.flow.windows(2).all(|p| p[0] < p[1]), "{:?}", sheet.flow);
    let peak = 320.0 * 0.3048f64.powi(3) / 60.0;
    assert!(sheet.flow.iter().any(|q| (q - peak).abs() < 1e-12));
}

#[test]
fn a_chamber_measured_with_its_gasket_needs_no_gasket() {
    let build = build(
        "cylinders = 1\n[chamber]\nvolume = \"62.4 cc\"\ngasket = { thickness = \"not applicable\" }\n\
         [bottom_end]\ndeck = \"0 mm\"\n",
    );
    let swept = std::f64::consts::FRAC_PI_4 * 0.086 * 0.086 * 0.080;
    assert!((build.chamber.compression_ratio.si - (swept / 62.4e-6 + 1.0)).abs() < 1e-9);
}

#[test]
fn a_word_broken_off_finds_the_whole_one_and_an_odd_v_is_asked_about() {
    let head = "format = 1\nbore = \"86 mm\"\nstroke = \"80 mm\"\n";
    let loaded =
        |text: &str| load("t.toml", &Memory::default().with("t.toml", &format!("{head}{text}")));
    let faults = loaded("cylinders = 4\ncompression = 10\n").build.unwrap_err().render();
    assert!(faults.contains("did you mean compression_ratio?"), "{faults}");
    let odd = loaded("cylinders = 5\nlayout = \"V\"\n").build.unwrap();
    assert!(odd.doubts.iter().any(|d| d.finding.path == "layout.cylinders"), "{:?}", odd.doubts);
}
