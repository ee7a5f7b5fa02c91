//! The `shortblock` program: verbs, options and exit codes around the shop's crates.
//!
//! A verb gives its whole result as one text, so that a command that fails or is stopped has
//! printed nothing. Results go to standard output, talk and progress to standard error.

mod air;
mod args;
mod asking;
mod claim;
mod curves;
mod difference;
mod failure;
mod figures;
mod files;
mod json;
mod logs;
mod manner;
mod names;
mod paths;
mod progress;
mod text;
mod threads;
mod verbs;
mod words;
mod write;

use args::{Cli, Verb};
use clap::Parser;
use failure::Failure;
use manner::{Form, Manner};
use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

/// What a verb hands back: the text for standard output and the exit code.
pub struct Done {
    /// The result.
    pub text: String,
    /// 0, or 1 when the answer is no, or 3 or 5 when the result says so itself.
    pub code: u8,
}

impl Done {
    /// A result with exit code 0.
    pub fn well(text: String) -> Self {
        Self { text, code: 0 }
    }
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    let manner = match Manner::of(&cli.manner) {
        Ok(manner) => manner,
        Err(failure) => {
            eprintln!("{failure}");
            return ExitCode::from(failure.code());
        }
    };
    let done = run(cli.verb, &manner, cli.manner.shop.as_deref());
    match done.and_then(|done| print(&done, &manner)) {
        Ok(code) => ExitCode::from(code),
        Err(failure) => {
            complain(&failure, &manner);
            ExitCode::from(failure.code())
        }
    }
}

fn run(verb: Verb, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    match verb {
        Verb::Check(args) => verbs::check::run(&args, manner, shop),
        Verb::Show(args) => verbs::show::run(&args, manner, shop),
        Verb::Diff(args) => verbs::diff::run(&args, manner, shop),
        Verb::Edit(args) => verbs::edit::run(&args, manner, shop),
        Verb::Predict(args) => verbs::predict::run(&args, manner, shop),
        Verb::Sweep(args) => verbs::sweep::run(&args, manner, shop),
        Verb::Moves(args) => verbs::moves::run(&args, manner, shop),
        Verb::Read(args) => verbs::read::run(&args, manner, shop),
        Verb::Pulls(args) => verbs::pulls::run(&args, manner, shop),
        Verb::CheckPull(args) => verbs::check_pull::run(&args, manner, shop),
        Verb::Correct(args) => verbs::correct::run(&args, manner, shop),
        Verb::Compare(args) => verbs::compare::run(&args, manner, shop),
        Verb::Loop(args) => verbs::loops::run(&args, manner, shop),
        Verb::PlanTest(args) => verbs::plan_test::run(&args, manner, shop),
        Verb::Schema(args) => verbs::schema::run(&args, manner),
        Verb::Units(args) => verbs::units::run(&args, manner),
        Verb::Completions(args) => Ok(verbs::completions::run(&args)),
        Verb::Help(args) => verbs::help::run(&args, manner),
    }
}

fn print(done: &Done, manner: &Manner) -> Result<u8, Failure> {
    let text = if manner.form == Form::Json { done.text.clone() } else { manner.text(&done.text) };
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(done.code),
        // The reader has seen enough, as `head` does.
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(done.code),
        Err(error) => Err(files::disk("standard output", &error)),
    }
}

/// A line as it is while it fits (what points into a file keeps its columns), else broken.
fn within_screen(line: &str, manner: &Manner) -> String {
    match line.chars().count() {
        0..=80 => manner.text(&format!("{line}\n")),
        _ => manner.wrapped(line, 0),
    }
}

fn complain(failure: &Failure, manner: &Manner) {
    let text = match manner.form {
        Form::Json => json::line(&failure.json(), manner),
        _ => failure.to_string().lines().map(|line| within_screen(line, manner)).collect(),
    };
    // Nobody is left to tell when standard error is closed.
    let _ = std::io::stderr().write_all(text.as_bytes());
}
