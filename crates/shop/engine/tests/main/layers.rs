//! Files laid over each other: parts, builds on builds, provenance, what is taken out.

use shortblock_engine::{Build, Memory, diff, load};
use shortblock_units::Origin;

use crate::demo::demo;

const ENGINE: &str =
    "format = 1\nnumber = \"9\"\ncylinders = 4\nbore = \"86 mm\"\nstroke = \"80 mm\"\n";

fn shop() -> Memory {
    Memory::default()
        .with("9/engine.toml", ENGINE)
        .with("shelf/cams/A.toml", "format = 1\npart = \"cam\"\nlift = \"9 mm\"\nduration = \"240 deg at 1 mm of valve\"\nasymmetry = \"2 deg\"\n")
        .with("shelf/cams/B.toml", "format = 1\npart = \"cam\"\nlift = \"10 mm\"\nduration = \"250 deg at 1 mm of valve\"\n")
        .with("9/b1.toml", "format = 1\nvalues_from = \"measured\"\n[intake.cam]\nuse = \"cams/A\"\ncentreline = \"108 deg\"\n[exhaust.silencer]\nloss = 3\n[exhaust.primary]\nlength = { value = \"700 mm\", from = \"maker\", note = \"drawing\" }\n")
        .with("9/b2.toml", "format = 1\nbased_on = \"b1\"\nwithout = [\"exhaust.silencer\"]\n[intake.cam]\nuse = \"cams/B\"\n[exhaust.primary]\nlength = \"750 mm\"\n")
}

fn build(entry: &str) -> Box<Build> {
    match load(entry, &shop()).build {
        Ok(build) => build,
        Err(faults) => panic!("{}", faults.render()),
    }
}

#[test]
fn later_files_win_key_by_key() {
    let b2 = build("9/b2.toml");
    assert_eq!(b2.exhaust_system.primary_length.text, "750 mm");
    assert_eq!(b2.intake.cam.centreline.text, "108 deg");
    assert_eq!(b2.bottom_end.bore.text, "86 mm");
}

#[test]
fn another_part_takes_everything_of_the_old_one_with_it() {
    let (b1, b2) = (build("9/b1.toml"), build("9/b2.toml"));
    assert_eq!(b1.intake.cam.asymmetry.text, "2 deg");
    assert!(b2.intake.cam.asymmetry.is_assumed());
    assert_eq!(b2.intake.cam.lift.text, "10 mm");
}

#[test]
fn what_is_taken_out_is_assumed_again() {
    assert_eq!(build("9/b1.toml").exhaust_system.silencer_loss.origin, Origin::Measured);
    assert!(build("9/b2.toml").exhaust_system.silencer_loss.is_assumed());
}

#[test]
fn every_value_knows_where_it_is_from_and_where_it_stands() {
    let b1 = build("9/b1.toml");
    let length = &b1.exhaust_system.primary_length;
    assert_eq!((length.origin, length.remarks.note.as_str()), (Origin::Maker, "drawing"));
    let spot = length.spot.as_ref().unwrap();
    assert_eq!((spot.file.as_str(), spot.line), ("9/b1.toml", 9));
    let lift = b1.intake.cam.lift.spot.as_ref().unwrap();
    assert_eq!((lift.file.as_str(), lift.line), ("shelf/cams/A.toml", 3));
    assert_eq!(b1.intake.cam.centreline.origin, Origin::Measured);
    assert_eq!(b1.intake.cam.lift.origin, Origin::Given);
}

#[test]
fn of_two_origins_the_better_counts_and_the_other_stays_visible() {
    let text = format!(
        "{ENGINE}[intake]\nvalves = {{ diameter = {{ maker = \"34.0 mm\", measured = \"33.9 mm\" }} }}\n"
    );
    let build = load("t.toml", &Memory::default().with("t.toml", &text)).build.unwrap();
    let diameter = &build.intake.valves.diameter;
    assert_eq!((diameter.text.as_str(), diameter.origin), ("33.9 mm", Origin::Measured));
    assert_eq!(diameter.others, [(Origin::Maker, "34.0 mm".to_owned())]);
}

#[test]
fn not_measured_is_kept_and_said() {
    let b1 = demo("114/b1.toml");
    let item = b1.item("exhaust.silencer.loss").unwrap();
    assert_eq!(item.origin, Origin::Assumed);
    assert!(item.why.contains("not measured"), "{}", item.why);
    assert!(b1.assumed().any(|(path, _)| path == "exhaust.silencer.loss"));
}

#[test]
fn fifty_builds_on_each_other_are_enough() {
    let chain = |length: usize| {
        let first = Memory::default().with("c0.toml", ENGINE);
        (1..=length).fold(first, |shop, i| {
            shop.with(&format!("c{i}.toml"), &format!("format = 1\nbased_on = \"c{}\"\n", i - 1))
        })
    };
    assert!(load("c49.toml", &chain(49)).build.is_ok());
    let faults = load("c60.toml", &chain(60)).build.unwrap_err();
    assert!(faults.render().contains("more than 50 files"), "{}", faults.render());
}

#[test]
fn the_second_demo_build_differs_by_its_cams_and_the_third_by_its_primaries() {
    let (b1, b2, b3) = (demo("114/b1.toml"), demo("114/b2.toml"), demo("114/b3.toml"));
    let change = diff(&b1, &b2);
    let parts: Vec<&str> = change.parts.iter().map(|p| p.part.as_str()).collect();
    assert_eq!(parts, ["exhaust.cam", "intake.cam"]);
    let names = change.parts[1].swapped.clone().unwrap();
    assert_eq!(names, ("cams/I-14".to_owned(), "cams/I-18".to_owned()));
    assert!(change.measured_again.is_empty());

    let change = diff(&b2, &b3);
    assert_eq!(change.parts.len(), 1);
    assert_eq!(change.parts[0].part, "exhaust.primary");
    assert_eq!(change.parts[0].changes.len(), 2);
    let again: Vec<&str> = change.measured_again.iter().map(|c| c.path.as_str()).collect();
    assert_eq!(again, ["chamber.volume"]);
    assert_eq!(diff(&b3, &b3), shortblock_engine::Diff::default());
}
