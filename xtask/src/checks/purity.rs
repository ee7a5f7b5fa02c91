//! `physics` and `shop` do no input or output, read no clock, start no threads and log nothing;
//! nobody unwraps outside tests or re-exports another crate; the instruction level is picked in one
//! place; nothing is left unfinished.

use crate::rust_text::{lines_with, shipped_code, std_modules};
use crate::tree::Tree;

/// Modules of the standard library that reach outside the program.
const OUTSIDE: [&str; 7] = ["fs", "net", "time", "thread", "env", "process", "io"];

/// Words that no shipped code on some floors holds. Some are written in pieces so that this file
/// does not hold them.
struct Rule {
    floors: &'static [&'static str],
    words: &'static [&'static str],
    remedy: &'static str,
    /// Beginnings of the paths that may hold them all the same.
    except: &'static [&'static str],
}

/// Names that a crate hands on because its own functions ask for them; the caller needs no other
/// crate to call it.
const HANDED_ON: [(&str, &str); 2] = [
    ("crates/physics/cycle/src/lib.rs", "pub use shortblock_lanes::Level;"),
    (
        "crates/shop/engine/src/lib.rs",
        "pub use shortblock_document::{Doubt, Faults, Finding, Loader, Memory, Sources, render};",
    ),
];

const RULES: [Rule; 5] = [
    Rule {
        floors: &["physics", "shop"],
        words: &["println!", "eprintln!", "print!", "eprint!", "panic!"],
        remedy: "below app, return it",
        except: &[],
    },
    Rule {
        floors: &["physics", "shop"],
        words: &["thread_rng(", "from_entropy(", "now("],
        remedy: "below app, pass it in",
        except: &[],
    },
    Rule {
        floors: &["physics", "shop", "app"],
        words: &[".unwrap()", ".expect(\"\")"],
        remedy: "return an error, or say with expect why it cannot fail",
        except: &[],
    },
    Rule {
        floors: &["physics", "shop", "app"],
        words: &[concat!("to", "do!("), concat!("unimpl", "emented!("), concat!("db", "g!(")],
        remedy: "finish it or take it out",
        except: &[],
    },
    Rule {
        floors: &["physics", "shop", "app"],
        words: &["unsafe", "target_feature", "is_x86_feature_detected"],
        remedy: "registers belong to physics/lanes; the level is picked once, in physics/cycle",
        except: &[
            "crates/physics/lanes/src/lanes.rs",
            "crates/physics/lanes/src/level.rs",
            "crates/physics/lanes/src/wide.rs",
            "crates/physics/cycle/src/",
        ],
    },
];

/// Words that no Rust file holds, comments and tests included.
const NOWHERE: [&str; 3] = [concat!("TO", "DO"), concat!("FIX", "ME"), concat!("#[ign", "ore")];

/// Faults in the program text of all crates.
pub fn faults(tree: &Tree) -> Vec<String> {
    [
        reaching_outside(tree),
        undocumented(tree),
        broken_rules(tree),
        handed_on(tree),
        unfinished(tree),
    ]
    .concat()
}

fn reaching_outside(tree: &Tree) -> Vec<String> {
    let mut faults = Vec::new();
    for (path, text) in tree.sources(&["physics", "shop"]) {
        for (line, module) in std_modules(&shipped_code(text)) {
            if OUTSIDE.contains(&module.as_str()) {
                faults.push(format!("{path}:{line}: std::{module} below app; pass it in"));
            }
        }
    }
    faults
}

fn undocumented(tree: &Tree) -> Vec<String> {
    tree.sources(&["physics", "shop"])
        .filter(|(path, _)| path.ends_with("/src/lib.rs"))
        .filter(|(_, text)| !text.contains("#![deny(missing_docs)]"))
        .map(|(path, _)| format!("{path}: lacks #![deny(missing_docs)]"))
        .collect()
}

fn broken_rules(tree: &Tree) -> Vec<String> {
    let mut faults = Vec::new();
    for rule in &RULES {
        for (path, text) in tree.sources(rule.floors) {
            if rule.except.iter().any(|start| path.starts_with(start)) {
                continue;
            }
            let code = shipped_code(text);
            for word in rule.words {
                for line in lines_with(&code, word) {
                    faults.push(format!("{path}:{line}: {word}; {}", rule.remedy));
                }
            }
        }
    }
    faults
}

fn handed_on(tree: &Tree) -> Vec<String> {
    let mut faults = Vec::new();
    for (path, text) in tree.sources(&["physics", "shop", "app"]) {
        let code = shipped_code(text);
        for line in lines_with(&code, "pub use shortblock_") {
            let words = code.lines().nth(line - 1).unwrap_or_default().trim();
            if !HANDED_ON.contains(&(path, words)) {
                faults.push(format!(
                    "{path}:{line}: {words}; name the crate it comes from where it is used"
                ));
            }
        }
    }
    faults
}

fn unfinished(tree: &Tree) -> Vec<String> {
    let mut faults = Vec::new();
    for (path, text) in tree.files().filter(|(path, _)| path.ends_with(".rs")) {
        for word in NOWHERE {
            for line in lines_with(text, word) {
                faults.push(format!("{path}:{line}: {word}; finish it or take it out"));
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "#![deny(missing_docs)]\n";

    fn faults_of(path: &str, text: &str) -> Vec<String> {
        faults(&Tree::planted(&[(path, text)]))
    }

    fn planted(body: &str) -> Vec<String> {
        faults_of("crates/physics/gas/src/lib.rs", &format!("{HEAD}{body}"))
    }

    #[test]
    fn pure_code_is_in_order() {
        assert_eq!(planted("use std::fmt;\nfn now_at(x: f64) -> f64 { x }\n"), [""; 0]);
    }

    #[test]
    fn every_way_out_is_found_with_its_line() {
        for body in [
            "use std::fs;",
            "use std::{fmt, thread};",
            "fn f() { std::env::var(\"X\"); }",
            "fn f() { println!(\"x\"); }",
            "fn f() { panic!(\"x\"); }",
            "fn f() { Instant::now(); }",
            "fn f() { x.unwrap(); }",
            "fn f() { x.expect(\"\"); }",
            "pub use shortblock_units::Unit;",
            "fn f() { unsafe { g() } }",
            concat!("fn f() { to", "do!() }"),
            concat!("// TO", "DO later"),
            concat!("#[cfg(test)] mod t { #[ign", "ore] fn f() {} }"),
        ] {
            let found = planted(body);
            assert_eq!(found.len(), 1, "{body}: {found:?}");
            assert!(found[0].starts_with("crates/physics/gas/src/lib.rs:2: "), "{found:?}");
        }
    }

    #[test]
    fn tests_examples_and_text_may_do_what_they_like() {
        assert_eq!(
            planted("#[cfg(test)]\nmod t { fn f() { std::fs::read(a).unwrap(); } }"),
            [""; 0]
        );
        assert_eq!(planted("//! std::fs\nconst X: &str = \"std::net\";"), [""; 0]);
        let body = "fn main() { println!(\"x\"); std::env::args(); }";
        assert_eq!(faults_of("crates/physics/gas/examples/a.rs", body), [""; 0]);
        assert_eq!(faults_of("crates/app/cli/src/main.rs", body), [""; 0]);
    }

    #[test]
    fn registers_and_levels_have_their_places() {
        let body = "fn f() { unsafe { g() } }";
        for path in ["cycle/src/level.rs", "lanes/src/level.rs", "lanes/src/wide.rs"] {
            assert_eq!(faults_of(&format!("crates/physics/{path}"), body), [""; 0]);
        }
        for path in ["lanes/src/real.rs", "flow/src/wide.rs", "gas/src/level.rs"] {
            assert_eq!(faults_of(&format!("crates/physics/{path}"), body).len(), 1, "{path}");
        }
    }

    #[test]
    fn only_listed_names_are_handed_on() {
        let path = "crates/physics/cycle/src/lib.rs";
        let hands_on = |what: &str| faults_of(path, &format!("{HEAD}pub use {what};\n"));
        assert_eq!(hands_on("shortblock_lanes::Level"), [""; 0]);
        for more in ["shortblock_lanes::{Lane, Level}", "shortblock_lanes::*", "shortblock_gas"] {
            assert_eq!(hands_on(more).len(), 1, "{more}");
        }
        let elsewhere = "pub use shortblock_lanes::Level;";
        assert_eq!(faults_of("crates/physics/gas/src/a.rs", elsewhere).len(), 1);
    }

    #[test]
    fn documentation_must_be_asked_for_below_app() {
        assert_eq!(faults_of("crates/shop/plan/src/lib.rs", "").len(), 1);
        assert_eq!(faults_of("crates/app/sheets/src/lib.rs", "").len(), 0);
    }
}
