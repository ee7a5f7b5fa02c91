//! Anything at all may stand in a file: faults come back, never a panic, and soon. The long run is
//! `examples/fuzz.rs`.

use proptest::prelude::*;
use shortblock_engine::edit;

use crate::demo::demo;
use crate::faulty::SOUND;
use crate::survive::{survive, survive_change};

proptest! {
    #[test]
    fn arbitrary_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        survive(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn damaged_files_are_survived(
        at in 0.0..1.0f64, cut in 0usize..40, put in "[-0-9a-z\"'\\[\\]{}=.,± \n]{0,12}",
    ) {
        let chars: Vec<char> = SOUND.chars().collect();
        let from = (at * chars.len() as f64) as usize;
        let to = (from + cut).min(chars.len());
        let text: String = chars[..from].iter().copied().chain(put.chars()).chain(chars[to..].iter().copied()).collect();
        survive(&text);
    }

    #[test]
    fn any_number_in_any_place_is_survived(line in 0usize..31, number in prop_oneof![
        any::<f64>().prop_map(|x| format!("{x:e}")), "-?[0-9]{1,12}(\\.[0-9]{1,4})?",
    ]) {
        let mut lines: Vec<String> = SOUND.lines().map(str::to_owned).collect();
        if let Some(text) = lines.get_mut(line) {
            let digits = |c: char| c.is_ascii_digit() || c == '.';
            if let Some(from) = text.rfind(digits) {
                let start = text[..from].rfind(|c| !digits(c)).map_or(0, |i| i + 1);
                text.replace_range(start..=from, &number);
            }
        }
        survive(&lines.join("\n"));
    }

    #[test]
    fn any_text_typed_as_a_what_if_is_survived(text in ".{0,40}", path in "[a-z_.]{0,30}") {
        let build = demo("201/b1.toml");
        for path in ["exhaust.primary.length", "layout.firing_order", "intake.cam.duration", &path] {
            survive_change(SOUND, &build, path, &text);
        }
    }

    #[test]
    fn an_edit_changes_one_line_and_reads_back(mm in 1u32..2000) {
        let new = edit(SOUND, "exhaust.primary.length", &format!("{mm} mm")).unwrap();
        let changed = SOUND.lines().zip(new.lines()).filter(|(a, b)| a != b).count();
        prop_assert!(changed <= 1 && SOUND.lines().count() == new.lines().count());
        let wanted = format!("length = \"{mm} mm\"");
        prop_assert!(new.contains(&wanted));
    }

    #[test]
    fn edits_of_any_text_are_survived(text in ".{0,200}", new in ".{0,20}") {
        let _ = edit(&text, "exhaust.primary.length", &new);
        let _ = edit(SOUND, "intake.flow", &new);
        let _ = edit(SOUND, "intake.runner.diameter.start", &new);
        let _ = edit(SOUND, "bottom_end.bore", &new);
    }
}

#[test]
fn hostile_shapes_are_faults() {
    for text in [
        "[".repeat(300_000),
        "a.".repeat(200_000) + "b = 1",
        "x = ".to_owned() + &"{ a = ".repeat(5_000),
        format!("format = 1\ncylinders = 4\nfiring_order = [{}]", "1, ".repeat(100_000)),
        "a = 1\n".repeat(100_000),
        "\u{feff}format = 1".to_owned(),
        "format = 1\ncylinders = 999999999999".to_owned(),
        "x".repeat(2 << 20),
    ] {
        survive(&text);
    }
}
