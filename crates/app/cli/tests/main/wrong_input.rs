//! What goes wrong is told with a remedy and the right exit code.

use crate::program::{Folder, Ran, run, run_on, smallest};

#[track_caller]
fn fails(arguments: &[&str], code: i32, words: &[&str]) {
    told(&run(arguments), code, words);
}

#[track_caller]
fn told(ran: &Ran, code: i32, words: &[&str]) {
    assert_eq!(ran.code, code, "{}{}", ran.out, ran.err);
    for word in words {
        assert!(ran.err.contains(word), "{word} is not in:\n{}", ran.err);
    }
}

#[test]
fn a_file_that_is_not_there() {
    fails(&["check", "demo/114/b7"], 4, &["there is no file demo/114/b7", "did you mean"]);
    fails(&["show", "nowhere/b1.toml"], 4, &["there is no folder nowhere"]);
}

#[test]
fn a_folder_names_its_builds() {
    fails(&["predict", "demo/114"], 4, &["is a folder", "there is b1, b2, b3"]);
}

#[test]
fn a_file_that_is_no_text() {
    let folder = Folder::new("binary").with("a.toml", [0_u8, 159, 146, 150]);
    fails(&["check", &folder.path("a.toml")], 3, &["is not a text file"]);
    let wide: Vec<u8> = "\u{feff}format = 1\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let folder = Folder::new("utf-16").with("a.toml", wide);
    fails(&["check", &folder.path("a.toml")], 3, &["is saved as UTF-16", "hint: save it anew"]);
}

#[test]
fn a_verb_or_an_option_that_is_none() {
    fails(&["predct", "x"], 2, &["predict"]);
    fails(&["check", "demo/201/b1.toml", "--jsn"], 2, &["--json"]);
    fails(&["check", "demo/201/b1.toml", "--asser", "no-assumed"], 2, &["--assert"]);
    fails(&["check", "demo/201/b1.toml", "--assert", "no-assume"], 2, &["no-assumed"]);
}

#[test]
fn a_value_to_try_that_cannot_be() {
    let set = |text: &'static str| ["predict", "demo/201/b1.toml", "--set", text];
    fails(&set("exhaust.primary.lenth=800 mm"), 2, &["lenth", "length"]);
    fails(&set("exhaust.primary.length=800"), 2, &["has no unit"]);
    fails(&set("exhaust.primary.length=800 rpm"), 2, &["does not fit"]);
    fails(&set("bore"), 2, &["is no path and value"]);
}

#[test]
fn speeds_air_and_swept_values_that_cannot_be() {
    let engine = "demo/201/b1.toml";
    fails(&["predict", engine, "--speeds", "-5"], 2, &["-5 is not above zero"]);
    fails(
        &["predict", engine, "--speeds", "1e9"],
        2,
        &["1000000000 rpm is not between 191 and 23873 rpm"],
    );
    fails(&["predict", engine, "--at", "15 bar"], 2, &["it must lie in 30 to 120 kPa"]);
    fails(
        &["sweep", engine, "--vary", "bore=80:90:5"],
        2,
        &["has no unit", "hint: Write \"80 mm\""],
    );
    fails(&["sweep", engine, "--vary", "foo=8 mm,9 mm"], 2, &["\"foo\" is not a word"]);
}

#[test]
fn messages_fit_80_columns() {
    let ran = run(&["predict", "demo/201/b1.toml", "--speeds", "6000", "--trace", "plenum"]);
    assert!(ran.err.lines().all(|line| line.chars().count() <= 80), "{}", ran.err);
}

#[test]
fn units_and_words_get_the_nearest() {
    fails(&["units", "tourqe"], 4, &["did you mean torque?"]);
    fails(&["help", "centrelin"], 4, &["did you mean centreline?"]);
    fails(&["show", "demo/201/b1.toml", "--units", "hpp"], 2, &["--units \"hpp\""]);
    fails(&["show", "demo/201/b1.toml", "--only", "exhaust.primry"], 2, &["exhaust.primary"]);
}

#[test]
fn faults_come_all_at_once_with_line_and_caret() {
    let text = smallest().replace("\"86.0 mm\"", "86").replace("lift", "lifft");
    let ran = run_on(&text, &["check", "-"]);
    assert_eq!(ran.code, 3);
    assert!(ran.out.contains("standard input: has 4 faults"), "{}", ran.out);
    assert!(ran.out.contains("^^ needs a unit"), "{}", ran.out);
    let json = run_on(&text, &["show", "-", "--json"]);
    assert_eq!(json.code, 3);
    let object: serde_json::Value = serde_json::from_str(&json.err).unwrap();
    assert_eq!(object["faults"].as_array().map(Vec::len), Some(4));
    assert_eq!(object["exit_code"], 3);
}

#[test]
fn nothing_outside_the_shop_is_opened() {
    let folder = Folder::new("shop").with("outside.toml", "format = 1\nbore = \"1 in\"\n");
    let text = smallest().replace("format = 1", "format = 1\nbased_on = \"../outside\"");
    let folder = folder.with("shop/201/b1.toml", text).with("shop/shop.toml", "");
    let ran = run(&["check", &folder.path("shop/201/b1.toml")]);
    assert_eq!(ran.code, 3, "{}", ran.out);
    #[cfg(unix)]
    {
        let link = folder.path("shop/201/base.toml");
        std::os::unix::fs::symlink(folder.path("outside.toml"), link).unwrap();
        let text = smallest().replace("format = 1", "format = 1\nbased_on = \"base\"");
        let folder = folder.with("shop/201/b2.toml", text);
        let ran = run(&["check", &folder.path("shop/201/b2.toml")]);
        assert!(ran.out.contains("there is no base"), "{}", ran.out);
    }
}

#[test]
fn a_change_that_makes_a_fault_is_not_written() {
    let folder = Folder::new("edit").with("b1.toml", smallest());
    let file = folder.path("b1.toml");
    fails(&["edit", &file, "--set", "bore=87"], 3, &["nothing was written", "has no unit"]);
    let ran = run(&["edit", &file, "--set", "bore=87 mm", "--dry-run"]);
    assert_eq!((ran.code, std::fs::read_to_string(&file).unwrap()), (0, smallest()));
    let ran = run(&["edit", &file, "--set", "bore=87 mm"]);
    let wanted = smallest().replacen("\"86.0 mm\"", "\"87 mm\"", 1);
    assert_eq!((ran.code, std::fs::read_to_string(&file).unwrap()), (0, wanted));
    assert_eq!(folder.names(), ["b1.toml"]);
}
