//! `physics` and `shop` do no input or output, read no clock, start no threads and log nothing;
//! nobody unwraps outside tests; nobody re-exports another crate; nothing is left unfinished.

use crate::rust_text::{lines_with, shipped_code, std_modules};
use crate::tree::Tree;

/// Modules of the standard library that reach outside the program.
const OUTSIDE: [&str; 7] = ["fs", "net", "time", "thread", "env", "process", "io"];

/// Words that print, log, stop the program or read what was not passed in.
const IMPURE_WORDS: [&str; 8] = [
    "println!",
    "eprintln!",
    "print!",
    "eprint!",
    "panic!",
    "thread_rng(",
    "from_entropy(",
    "now(",
];

/// Words that no shipped code holds. Written in pieces so that this file does not hold them.
const UNFINISHED: [&str; 3] =
    [concat!("to", "do!("), concat!("unimpl", "emented!("), concat!("db", "g!(")];

/// Words that no Rust file holds, comments and tests included.
const NOWHERE: [&str; 3] = [concat!("TO", "DO"), concat!("FIX", "ME"), concat!("#[ign", "ore")];

/// Faults in the program text of all crates.
pub fn faults(tree: &Tree) -> Vec<String> {
    let mut faults = Vec::new();
    for (path, text) in tree.sources(&["physics", "shop"]) {
        let code = shipped_code(text);
        for (line, module) in std_modules(&code) {
            if OUTSIDE.contains(&module.as_str()) {
                faults.push(format!("{path}:{line}: std::{module} below app; pass it in"));
            }
        }
        for word in IMPURE_WORDS {
            for line in lines_with(&code, word) {
                faults.push(format!("{path}:{line}: {word} below app; return it or pass it in"));
            }
        }
        if path.ends_with("/src/lib.rs") && !text.contains("#![deny(missing_docs)]") {
            faults.push(format!("{path}: lacks #![deny(missing_docs)]"));
        }
    }
    for (path, text) in tree.sources(&["physics", "shop", "app"]) {
        let code = shipped_code(text);
        for (word, remedy) in [
            (".unwrap()", "say with expect why it cannot fail, or return an error"),
            (".expect(\"\")", "say why it cannot fail"),
            ("pub use shortblock_", "name the crate it comes from where it is used"),
        ] {
            for line in lines_with(&code, word) {
                faults.push(format!("{path}:{line}: {word}; {remedy}"));
            }
        }
        for word in UNFINISHED {
            for line in lines_with(&code, word) {
                faults.push(format!("{path}:{line}: {word}; finish it or take it out"));
            }
        }
    }
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
    fn documentation_must_be_asked_for_below_app() {
        assert_eq!(faults_of("crates/shop/plan/src/lib.rs", "").len(), 1);
        assert_eq!(faults_of("crates/app/sheets/src/lib.rs", "").len(), 0);
    }
}
