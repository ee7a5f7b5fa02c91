//! Checks of the repository itself: `cargo run -p xtask -- check`.
//!
//! Each check takes the tree (and what cargo says of the packages) as data and gives back one
//! sentence per fault, so that its own tests can plant faults. `docs/architecture.md` says which
//! invariant each one holds.

mod cargo;
mod checks;
mod rust_text;
mod tree;

use std::process::ExitCode;
use tree::Tree;

const USAGE: &str = "usage: cargo run -p xtask -- COMMAND
  check        every check below; fails on the first command with faults
  invariants   floors, purity, kernels, documents and places
  licences     licences of everything that is linked
  sources      every value taken from memory, by file; never fails";

fn main() -> ExitCode {
    let command = std::env::args().nth(1).unwrap_or_default();
    let outcome = match command.as_str() {
        "check" => invariants().and_then(|a| Ok(a + licences()?)),
        "invariants" => invariants(),
        "licences" => licences(),
        "sources" => sources(),
        _ => Err(USAGE.to_string()),
    };
    match outcome {
        Ok(0) => ExitCode::SUCCESS,
        Ok(faults) => {
            eprintln!("{faults} faults");
            ExitCode::FAILURE
        }
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
}

fn invariants() -> Result<usize, String> {
    let tree = Tree::read(&cargo::root()?)?;
    let packages = cargo::members()?;
    for line in checks::sizes::long_files(&tree) {
        println!("note: {line}");
    }
    Ok(report("floors", &checks::floors::faults(&packages))
        + report("purity", &checks::purity::faults(&tree))
        + report("kernels", &checks::kernels::faults(&tree))
        + report("closures", &checks::closures::faults(&tree))
        + report("architecture", &checks::architecture::faults(&tree, &packages))
        + report("places", &checks::places::faults(&tree))
        + report("readme", &checks::readme::faults(&tree)))
}

fn licences() -> Result<usize, String> {
    let allowed = checks::licences::allowed(&Tree::read(&cargo::root()?)?)?;
    Ok(report("licences", &checks::licences::faults(&cargo::linked()?, &allowed)))
}

fn sources() -> Result<usize, String> {
    let tree = Tree::read(&cargo::root()?)?;
    let places = checks::sources::from_memory(&tree);
    for (path, lines) in &places {
        let lines: Vec<String> = lines.iter().map(usize::to_string).collect();
        println!("{path}: {}", lines.join(", "));
    }
    let count: usize = places.values().map(Vec::len).sum();
    println!("{count} places in {} files are from memory", places.len());
    Ok(0)
}

/// Prints the faults of one check and returns how many there are.
fn report(name: &str, faults: &[String]) -> usize {
    println!("{name}: {}", if faults.is_empty() { "in order" } else { "faults" });
    for fault in faults {
        println!("  {fault}");
    }
    faults.len()
}
