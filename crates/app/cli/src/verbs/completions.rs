//! `completions`: what a shell needs to complete verbs, options and file names.

use crate::Done;
use crate::args::{Cli, Completions};
use clap::CommandFactory;

/// The completion script of a shell.
pub fn run(args: &Completions) -> Done {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "shortblock", &mut script);
    Done::well(String::from_utf8_lossy(&script).into_owned())
}
