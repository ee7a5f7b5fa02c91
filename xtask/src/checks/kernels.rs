//! Kernels that run in lanes use the lanes' own functions: the library's are calls that differ from
//! machine to machine, and one number at a time.
//!
//! Text does not tell `x.exp()` on lanes from the library's on a number. So a file of kernels may
//! write it in what is generic over `Lane` alone, the rest of the library's functions nowhere, and
//! what is worked out once stands in a list with its reason.

use crate::rust_text::shipped_code;
use crate::tree::Tree;

/// Beginnings of the paths that hold kernels.
const KERNELS: [&str; 10] = [
    "crates/physics/flow/src/",
    "crates/physics/cycle/src/",
    "crates/physics/cylinder/src/closed/",
    "crates/physics/cylinder/src/blow_by.rs",
    "crates/physics/cylinder/src/entrainment.rs",
    "crates/physics/cylinder/src/flame.rs",
    "crates/physics/cylinder/src/knock.rs",
    "crates/physics/cylinder/src/turbulence.rs",
    "crates/physics/cylinder/src/wiebe.rs",
    "crates/physics/cylinder/src/woschni.rs",
];

/// Files that may use the library all the same outside of what is generic over lanes, and why.
const ALLOWED: [(&str, &str); 8] = [
    ("crates/physics/cycle/src/build.rs", "put together once a point"),
    ("crates/physics/cycle/src/mesh.rs", "cells are counted once"),
    ("crates/physics/cycle/src/table.rs", "tabulated once"),
    ("crates/physics/cylinder/src/closed/model.rs", "prepared once a closed part"),
    ("crates/physics/cylinder/src/closed/search.rs", "once a run"),
    ("crates/physics/cylinder/src/flame.rs", "tabulated once"),
    ("crates/physics/cylinder/src/knock.rs", "once a closed part, by octane number"),
    ("crates/physics/cylinder/src/woschni.rs", "once a closed part, by bore"),
];

/// Functions that lanes have too.
const OF_LANES: [&str; 3] = [".exp(", ".ln(", ".powf("];
/// Functions that only the library has.
const OF_LIBRARY: [&str; 14] = [
    ".powi(",
    ".sin(",
    ".cos(",
    ".sin_cos(",
    ".tan(",
    ".asin(",
    ".acos(",
    ".atan(",
    ".atan2(",
    ".cbrt(",
    ".exp_m1(",
    ".ln_1p(",
    ".log10(",
    ".hypot(",
];

/// Faults in the kernels.
pub fn faults(tree: &Tree) -> Vec<String> {
    let mut faults = Vec::new();
    for (path, text) in tree.sources(&["physics"]) {
        if !KERNELS.iter().any(|start| path.starts_with(start)) {
            continue;
        }
        let allowed = ALLOWED.iter().any(|(file, _)| path == *file);
        let code = shipped_code(text);
        let lines: Vec<&str> = code.lines().collect();
        for (n, line) in lines.iter().enumerate() {
            let in_lanes = in_lanes(&lines[..=n]);
            let library = OF_LIBRARY.iter().filter(|_| in_lanes || !allowed);
            let of_lanes = OF_LANES.iter().filter(|_| !in_lanes && !allowed);
            for word in library.chain(of_lanes).filter(|word| line.contains(**word)) {
                faults.push(format!(
                    "{path}:{}: {word}) of the library in a kernel; use the lanes' own, or list \
                     the file with a reason when it is worked out once",
                    n + 1
                ));
            }
        }
    }
    faults
}

/// Whether the last of these lines stands in a function or an `impl` that is generic over lanes.
fn in_lanes(lines: &[&str]) -> bool {
    let starts = |line: &str, word: &str| {
        line.split_whitespace().any(|w| w == word || w.starts_with(&format!("{word}<")))
    };
    let head = |word: &str, indented: bool| {
        let at = lines.iter().rposition(|line| {
            starts(line, word) && (indented || !line.starts_with(char::is_whitespace))
        });
        at.map(|at| (at, lines[at..].iter().take_while(|l| !l.trim().is_empty()).take(12))).map(
            |(at, head)| {
                let mut text = String::new();
                for line in head {
                    text.push_str(line);
                    if line.contains('{') {
                        break;
                    }
                }
                (at, text)
            },
        )
    };
    let generic = |text: &str| text.contains(": Lane") || text.contains(": Dispatch");
    let function = head("fn", true);
    let method = function.as_ref().is_some_and(|(at, _)| lines[*at].starts_with(' '));
    function.is_some_and(|(_, text)| generic(&text))
        || method && head("impl", false).is_some_and(|(_, text)| generic(&text))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(path: &str, text: &str) -> usize {
        faults(&Tree::planted(&[(path, text)])).len()
    }

    const KERNEL: &str = "crates/physics/flow/src/a.rs";

    #[test]
    fn library_functions_in_a_kernel_are_faults() {
        assert_eq!(count(KERNEL, "fn f(x: f64) -> f64 {\n    x.exp()\n}\n"), 1);
        assert_eq!(count(KERNEL, "fn f<V: Lane>(x: V, y: f64) -> V {\n    x * y.sin()\n}\n"), 1);
        let method =
            "impl<V: Lane> A<V> {\n    fn f(&self) -> f64 {\n        self.y.cbrt()\n    }\n}\n";
        assert_eq!(count(KERNEL, method), 1);
        let after =
            "fn g<V: Lane>(x: V) -> V {\n    x.ln()\n}\n\nfn f(x: f64) -> f64 {\n    x.ln()\n}\n";
        assert_eq!(count(KERNEL, after), 1);
    }

    #[test]
    fn functions_of_lanes_and_what_is_no_kernel_are_in_order() {
        assert_eq!(count(KERNEL, "fn f<V: Lane>(x: V) -> V {\n    x.ln().exp()\n}\n"), 0);
        let method =
            "impl<V: Lane> A<V> {\n    fn f(&self) -> V {\n        self.y.exp()\n    }\n}\n";
        assert_eq!(count(KERNEL, method), 0);
        let body = "fn f(x: f64) -> f64 {\n    x.sin()\n}\n";
        assert_eq!(count("crates/physics/gas/src/a.rs", body), 0);
        assert_eq!(count(ALLOWED[0].0, body), 0);
        let test =
            "#[cfg(test)]\nmod tests {\n    fn f(x: f64) -> f64 {\n        x.sin()\n    }\n}\n";
        assert_eq!(count(KERNEL, test), 0);
    }
}
