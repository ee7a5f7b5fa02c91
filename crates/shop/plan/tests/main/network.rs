//! Networks of the demo engines against arithmetic by hand, of 1 to 16 cylinders, and of random
//! legal values.

use proptest::prelude::*;
use shortblock_cycle::{CylinderSpec, Network, Node, Side};
use shortblock_engine::{Build, Loader, Memory, load};
use shortblock_plan::{Design, PlanError, network};
use std::f64::consts::PI;

/// The demo shop; tests may read files, the crate may not.
struct Demo;

impl Loader for Demo {
    fn text(&self, path: &str) -> Option<String> {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../../demo");
        std::fs::read_to_string(format!("{folder}/{path}")).ok()
    }

    fn names(&self, _: &str) -> Vec<String> {
        Vec::new()
    }
}

pub fn demo(entry: &str) -> Build {
    match load(entry, &Demo).build {
        Ok(build) => *build,
        Err(faults) => panic!("{}", faults.render()),
    }
}

pub fn typed(text: &str) -> Build {
    match load("a.toml", &Memory::default().with("a.toml", text)).build {
        Ok(build) => *build,
        Err(faults) => panic!("{text}\n{}", faults.render()),
    }
}

fn close(found: f64, wanted: f64, tolerance: f64, what: &str) {
    assert!((found - wanted).abs() <= tolerance, "{what}: {found} is not {wanted}");
}

fn displacement(network: &Network) -> f64 {
    network.cylinders.iter().map(|c| c.mechanism.displacement()).sum()
}

fn phases(network: &Network) -> Vec<f64> {
    network.cylinders.iter().map(|c| c.phase.to_degrees().round()).collect()
}

/// Length from the valves to the far end of the duct at them, m.
fn to_valve(network: &Network, cylinder: usize, side: Side) -> f64 {
    let at = |node: Node| node == Node::Valve(cylinder, side);
    let duct = network.ducts.iter().find(|d| at(d.left.node) || at(d.right.node)).unwrap();
    duct.length()
}

/// Effective area of the intake valves, degrees after gas-exchange dead centre.
fn intake_at(cylinder: &CylinderSpec, degrees: f64) -> f64 {
    let areas = &cylinder.intake.effective_area;
    let x = (degrees + 360.0).rem_euclid(720.0) / 720.0 * areas.len() as f64;
    let (i, part) = (x as usize, x.fract());
    areas[i] + part * (areas[(i + 1) % areas.len()] - areas[i])
}

/// Opening and closing of a symmetrical cam pass the same area; arithmetic of cam timing
/// (geometry): opens = duration/2 - centreline before top, closes = duration/2 + centreline - 180.
fn events(cylinder: &CylinderSpec, opens_btdc: f64, closes_abdc: f64) -> f64 {
    let (a, b) = (intake_at(cylinder, -opens_btdc), intake_at(cylinder, 180.0 + closes_abdc));
    close(b / a, 1.0, 5e-3, "area at closing over area at opening");
    let middle = 0.5 * (180.0 + closes_abdc - opens_btdc);
    let top = cylinder.intake.effective_area.iter().copied().fold(0.0, f64::max);
    close(intake_at(cylinder, middle), top, 1e-3 * top, "area at the centreline");
    a
}

#[test]
fn the_v8_has_the_numbers_worked_out_by_hand() {
    let design = network(&demo("126/b1.toml")).unwrap();
    let n = &design.network;
    let inch: f64 = 0.0254;
    let bores = [4.0305, 4.0300, 4.0305, 4.0310, 4.0300, 4.0305, 4.0305, 4.0300];
    let by_hand: f64 = bores.iter().map(|b| PI / 4.0 * b * b * 3.25).sum::<f64>() * inch.powi(3);
    close(displacement(n), by_hand, 1e-9, "displacement");
    // Cylinder 1: 679.50 cc over 62.5 + 5.0 + gasket 8.870 + deck 2.509 cc.
    close(n.cylinders[0].mechanism.compression_ratio(), 9.6146, 2e-3, "compression ratio");
    // 1-8-4-3-6-5-7-2, 90 degrees apart.
    assert_eq!(phases(n), [0.0, 630.0, 270.0, 180.0, 450.0, 360.0, 540.0, 90.0]);
    // 5.1 in of port, 6.2 in of runner, 0.8217 of the radius of 1.95 in².
    let length = (5.1 + 6.2 + 0.8217 * (1.95 / PI).sqrt()) * inch;
    close(to_valve(n, 0, Side::Intake), length, 1e-5, "intake length");
    // 33 in of primary, 2.9 in of port.
    close(to_valve(n, 0, Side::Exhaust), 35.9 * inch, 1e-9, "exhaust length");
    // 222 degrees at 0.050 in of lifter on 106: 5 before top, 37 after bottom. There 0.080 in of
    // valve pass about 0.8 of the 66 cfm at 0.1 in. Area = flow over sqrt(2 dp / rho) = 108.5 m/s
    // at 28 inH2O, over the expansion factor 1 - 0.55 dp/p (from memory) = 0.962; the port's share
    // is below 1 %, the sheet's curve between rows another.
    let area = events(&n.cylinders[0], 5.0, 37.0);
    let by_hand = 0.8 * 66.0 * 4.719_474e-4 / 108.5 / 0.962;
    close(area, by_hand, 0.02 * by_hand, "area at 0.080 in");
    // 700 cfm at 1.5 inHg: Q / sqrt(2 dp / rho), for both halves together.
    let carburettor: f64 =
        n.openings.iter().filter(|o| o.name == "carburettor").map(|o| o.effective_area).sum();
    let incompressible = 700.0 * 4.719_474e-4 / (2.0_f64 * 5079.6 / 1.184).sqrt();
    close(carburettor, incompressible, 0.03 * incompressible, "carburettor");
    // SAE J1349 (from memory): 100 kPa with 1 kPa of vapour, 25 °C.
    close(n.ambient_pressure, 1e5, 1.0, "pressure");
    close(n.air.h2o, 0.01, 2e-4, "water in the air");
}

#[test]
fn the_straight_six_has_the_numbers_worked_out_by_hand() {
    let advance = "{ columns = [\"speed rpm\", \"advance deg\"], rows = [[5000, 28], [6500, 30]] }";
    let build = demo("114/b1.toml").with("spark.advance", advance).unwrap();
    let design = network(&build).unwrap();
    let n = &design.network;
    // Cylinder 1: 483.53 cc over 40.6 - 2.1 + gasket 6.213 + deck 0.116 cc.
    close(n.cylinders[0].mechanism.compression_ratio(), 11.786, 3e-3, "compression ratio");
    close(displacement(n), 6.0 * 483.5e-6, 1e-6, "displacement");
    assert_eq!(phases(n), [0.0, 480.0, 240.0, 600.0, 120.0, 360.0]);
    // Port 92, runner 118, trumpet 90 mm, 0.6133 of the mouth's 36 mm.
    close(to_valve(n, 0, Side::Intake), 0.300 + 0.6133 * 0.036, 1e-6, "intake length");
    // 232 degrees at 1.0 mm on 107: 9 before top, 43 after bottom.
    events(&n.cylinders[0], 9.0, 43.0);
    let demand = design.demand(6000.0 * PI / 30.0);
    close(demand.lambda, 0.88, 1e-9, "lambda");
    let shortblock_cylinder::closed::SparkDemand::Fixed(spark) = demand.spark else {
        panic!("{demand:?}")
    };
    // Between 28 degrees at 5000 and 30 at 6500 rpm.
    close(-spark.to_degrees(), 28.0 + 2.0 * 1000.0 / 1500.0, 1e-9, "spark");
}

#[test]
fn the_road_four_has_the_numbers_worked_out_by_hand() {
    let design = network(&demo("201/b1.toml")).unwrap();
    let n = &design.network;
    close(displacement(n), PI * 0.086f64.powi(3), 1e-12, "displacement");
    close(n.cylinders[3].mechanism.compression_ratio(), 10.5, 1e-12, "compression ratio");
    assert_eq!(phases(n), [0.0, 540.0, 180.0, 360.0]);
    // Assumed: port 1.15 bores, runner 300 mm; its end 1.05 x 0.77 circles of two 34 mm valves.
    let end = 1.05 * 0.77 * 0.034 * 2.0f64.sqrt();
    let length = 1.15 * 0.086 + 0.3 + 0.8217 * 0.5 * end;
    close(to_valve(n, 0, Side::Intake), length, 2e-4, "intake length");
    // 240 degrees at 1.0 mm on 108: 12 before top, 48 after bottom.
    events(&n.cylinders[0], 12.0, 48.0);
}

#[test]
fn one_to_sixteen_cylinders_make_a_network() {
    for cylinders in 1..=16 {
        let text = format!(
            "format = 1\ncylinders = {cylinders}\nbore = \"86 mm\"\nstroke = \"86 mm\"\ncompression_ratio = 10\n"
        );
        let design = network(&typed(&text)).unwrap();
        let n = &design.network;
        assert_eq!(n.cylinders.len(), cylinders);
        sound(n);
        let mut phases = phases(n);
        phases.sort_by(f64::total_cmp);
        let step = 720.0 / cylinders as f64;
        for (i, phase) in phases.iter().enumerate() {
            close(*phase, i as f64 * step, 0.5, "even firing");
        }
    }
}

#[test]
fn every_way_of_joining_pipes_makes_a_network() {
    let four =
        "format = 1\ncylinders = 4\nbore = \"86 mm\"\nstroke = \"86 mm\"\ncompression_ratio = 10\n";
    let eight = "format = 1\nbore = \"100 mm\"\nstroke = \"86 mm\"\ncompression_ratio = 10\n[layout]\ncylinders = 8\narrangement = \"V\"\n";
    let volumes = |text: &str| {
        let design = network(&typed(text)).unwrap();
        sound(&design.network);
        design.network.volumes.iter().filter(|v| v.hot).count()
    };
    for (kind, hot) in [("separate", 0), ("4-1", 1), ("4-2-1", 3), ("log", 1)] {
        assert_eq!(volumes(&format!("{four}[exhaust]\nkind = \"{kind}\"\n")), hot, "{kind}");
    }
    assert_eq!(
        volumes(&format!("{eight}[exhaust]\ntail = {{ length = \"2 m\", count = 1 }}\n")),
        3
    );
    for (kind, hot) in [("balance pipe", 4), ("X", 3)] {
        let text = format!("{eight}[exhaust]\ncrossover = {{ kind = \"{kind}\" }}\n");
        assert_eq!(volumes(&text), hot, "{kind}");
    }
    // Open collectors of no length blow from their join.
    let stub = "[exhaust]\ncollector = { length = \"0 mm\" }\n[tested_as]\nexhaust = \"open collectors\"\naccessories = [\"water pump\"]\ncorrection = \"as read\"\n";
    assert_eq!(volumes(&format!("{four}{stub}")), 1);
}

#[test]
fn a_stated_back_pressure_is_there_at_its_flow() {
    let text = "format = 1\ncylinders = 4\nbore = \"86 mm\"\nstroke = \"86 mm\"\ncompression_ratio = 10\n[exhaust]\ntail = { length = \"1 m\", bore = \"55 mm\" }\nsilencer = { back_pressure = \"30 kPa at 0.10 kg/s\" }\n";
    let build = typed(text);
    let n = network(&build).unwrap().network;
    let tail = n.ducts.last().unwrap();
    // By hand: exhaust 1.078 x air through 23.76 cm² of 950 K gas; the friction 4 f L / D of
    // collector and tail, one head lost where the tail opens into the silencer (Borda-Carnot), and
    // the opening out of it.
    let flow = 0.1078;
    let density = build.state.air_pressure.si / (289.0 * 950.0);
    let head = |area: f64| 0.5 * (flow / area).powi(2) / density;
    let friction: f64 = (tail.pieces.iter())
        .map(|p| 4.0 * 0.006 * p.length / (4.0 * p.area_left / PI).sqrt() * head(p.area_left))
        .sum();
    let enlargement = head(PI / 4.0 * 0.055f64.powi(2));
    let out = n.openings.iter().find(|o| o.name == "silencer").unwrap();
    close(friction + enlargement + head(out.effective_area), 30e3, 30.0, "back pressure");
}

/// What the test says was fitted is there, at the flow of an inlet Mach index of 0.53.
#[test]
fn an_engine_tested_as_sold_breathes_through_cleaner_and_silencers() {
    let tested = |exhaust: &str, cleaner: &str| {
        format!(
            "format = 1\ncylinders = 4\nbore = \"86 mm\"\nstroke = \"86 mm\"\ncompression_ratio = 10\n[intake]\nvalves = {{ per_cylinder = 1, diameter = \"43 mm\" }}\n[tested_as]\nexhaust = \"{exhaust}\"\nair_cleaner = \"{cleaner}\"\naccessories = [\"water pump\"]\ncorrection = \"as read\"\n"
        )
    };
    let sold = typed(&tested("manifold and silencers as sold", "as sold"));
    let cleaner = sold.intake_system.air_cleaner.as_ref().unwrap();
    // By hand: Sp = 0.53 x 0.35 x 345 x (43/86)^2 = 16.0 m/s, 5581 rpm; 0.9 x 1.17 x 1.998 L x
    // 5581 / 120.
    close(cleaner.at.si, 0.09786, 1e-4, "rated air flow");
    close(cleaner.drop.si, 2500.0, 0.0, "cleaner");
    close(sold.exhaust_system.back_pressure.as_ref().unwrap().drop.si, 15e3, 0.0, "silencers");
    assert!(network(&sold).unwrap().network.volumes.iter().any(|v| v.name == "silencer"));
    for (exhaust, cleaner) in [("open collectors", "none"), ("tail pipe and one silencer", "")] {
        let bare = typed(&tested(exhaust, cleaner));
        assert!(bare.intake_system.air_cleaner.is_none(), "{exhaust}");
        assert!(bare.exhaust_system.back_pressure.is_none(), "{exhaust}");
    }
    let known = tested("silencers as sold", "none") + "[exhaust.silencer]\nloss = 4\n";
    let known = typed(&known);
    assert!(known.exhaust_system.back_pressure.is_none());
    close(known.exhaust_system.silencer_loss.si, 4.0, 0.0, "a stated loss stands");
}

#[test]
fn too_short_and_too_small_is_said_with_its_path() {
    let text = "format = 1\ncylinders = 1\nbore = \"86 mm\"\nstroke = \"86 mm\"\ncompression_ratio = 10\n[intake]\nport = { length = \"10 mm\" }\nrunner = { length = \"5 mm\", trumpet_length = \"0 mm\" }\n";
    let error = network(&typed(text)).unwrap_err();
    assert!(error.to_string().contains("intake runner 1 is"), "{error}");
    let PlanError::Part { path, hint, .. } = error else { panic!("{error}") };
    assert_eq!(path, "intake.runner.length");
    assert_eq!(hint, "give at least 60 mm");
    let small = demo("126/b1.toml").with("intake.plenum.volume", "0.02 L").unwrap();
    let error = network(&small).unwrap_err().to_string();
    assert!(error.starts_with("intake.plenum.volume: the plenum half 1 of 0.02 L"), "{error}");
}

#[test]
fn alcohols_are_not_held_back_by_knock() {
    let text = "format = 1\ncylinders = 4\nbore = \"86 mm\"\nstroke = \"86 mm\"\ncompression_ratio = 13\n[fuel]\nkind = \"methanol\"\n";
    let design = network(&typed(text)).unwrap();
    assert_eq!(design.network.combustion.octane_number, None);
    let spark = design.demand(400.0).spark;
    assert_eq!(spark, shortblock_cylinder::closed::SparkDemand::BestTorque);
    assert!(design.notes.iter().any(|note| note.contains("octane")), "{:?}", design.notes);
}

/// Every number is one, every size above zero, every node there.
fn sound(n: &Network) {
    let node = |node: Node| match node {
        Node::Volume(i) => assert!(i < n.volumes.len()),
        Node::Valve(c, _) => assert!(c < n.cylinders.len()),
        _ => {}
    };
    let above = |x: f64, what: &str| assert!(x.is_finite() && x > 0.0, "{what}: {x}");
    for duct in &n.ducts {
        for end in [duct.left, duct.right] {
            node(end.node);
            above(end.opening, &duct.name);
            assert!(end.opening <= 1.0 && end.entry_loss >= 0.0 && end.entry_loss.is_finite());
        }
        for piece in &duct.pieces {
            above(piece.length, &duct.name);
            above(piece.area_left, &duct.name);
            above(piece.area_right, &duct.name);
            above(piece.wall_temperature, &duct.name);
        }
    }
    for volume in &n.volumes {
        above(volume.volume, &volume.name);
    }
    for opening in &n.openings {
        node(opening.from);
        node(opening.to);
        above(opening.effective_area, &opening.name);
    }
    for cylinder in &n.cylinders {
        for flow in [&cylinder.intake, &cylinder.exhaust] {
            assert!(flow.effective_area.iter().all(|a| a.is_finite() && *a >= 0.0));
            assert!(flow.effective_area.iter().any(|a| *a > 0.0));
        }
    }
    above(n.combustion.crevice.volume + 1e-12, "crevice");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..Default::default() })]

    /// Any values that the engine file accepts give a sound network or a reason.
    #[test]
    fn random_legal_values_give_a_network_or_a_reason(
        which in 0usize..3,
        moves in prop::collection::vec((any::<prop::sample::Index>(), -1.0f64..1.0), 1..6),
    ) {
        let entry = ["126/b1.toml", "114/b1.toml", "201/b1.toml"][which];
        let build = demo(entry);
        let known: Vec<(String, f64)> =
            build.parameters().map(|(path, value)| (path.to_owned(), value.si)).collect();
        let mut moved = build;
        for (index, power) in moves {
            let (path, si) = index.get(&known);
            // Up to five times as much or as little; values that are not accepted stay.
            if let Ok(next) = moved.with_si(path, si * 5f64.powf(power)) {
                moved = next;
            }
        }
        match network(&moved) {
            Ok(Design { network, .. }) => sound(&network),
            Err(error) => prop_assert!(error.to_string().contains("hint"), "{error}"),
        }
    }
}
