//! `edit`: one value in a file changed, comments and order kept, the file whole at any moment.

use crate::Done;
use crate::args::Edit;
use crate::failure::Failure;
use crate::files;
use crate::manner::{Form, Manner};
use crate::paths::used;
use crate::text::counted;
use crate::write;
use serde_json::json;
use shortblock_engine::{Faults, Loader, load};
use std::path::Path;

/// Changes the file and shows the lines that changed. A change that makes a fault is refused.
pub fn run(args: &Edit, manner: &Manner, shop: Option<&Path>) -> Result<Done, Failure> {
    if args.file == "-" {
        let hint = "hint: edit changes a file; a value is tried with predict --set";
        return Err(Failure::NotUnderstood(format!("standard input can't be edited\n{hint}")));
    }
    let entry = files::Entry::find(&args.file, shop)?;
    let old = entry.text().to_owned();
    let mut new = old.clone();
    for setting in &args.set {
        let (path, value) = files::setting(setting)?;
        new = shortblock_engine::edit(&new, &used(path), value)
            .map_err(|error| Failure::NotUnderstood(format!("--set {setting}: {error}")))?;
    }
    let (file, name) = (entry.file(), entry.name().to_owned());
    refuse_new_faults(entry, &name, &new)?;
    let changes = changed_lines(&old, &new);
    if !args.dry_run && new != old {
        write::whole(&file, &new)?;
    }
    let wrote = !args.dry_run && new != old;
    if manner.form == Form::Json {
        let lines = changes.iter().map(|change| {
            json!({ "line": change.line, "old": change.old,
            "new": change.new })
        });
        let lines: Vec<_> = lines.collect();
        let object = json!({ "format": "shortblock/edit/1", "file": name, "written": wrote,
            "changes": lines });
        return Ok(Done::well(crate::json::line(&object, manner)));
    }
    let mut text = String::new();
    for change in &changes {
        let old = change.old.iter().map(|old| format!("{:>5} - {old}\n", change.line));
        let new = change.new.iter().map(|new| format!("{:>5} + {new}\n", change.line));
        text.extend(old.chain(new));
    }
    let count = counted(changes.len(), "line");
    manner.say(&match (wrote, changes.is_empty()) {
        (true, _) => format!("{name}: {count} changed"),
        (false, true) => format!("{name}: nothing to change"),
        (false, false) => format!("{name}: {count} would change; nothing was written"),
    });
    Ok(Done::well(text))
}

/// A file may be mended step by step, so only faults that were not there before are refused.
fn refuse_new_faults(entry: files::Entry, name: &str, new: &str) -> Result<(), Failure> {
    let path = entry.path().to_owned();
    let mut shop = entry.into_shop();
    let before = faults_of(&path, &shop);
    shop.replace_entry(new);
    let Some(after) = faults_of(&path, &shop) else { return Ok(()) };
    let known = before.map_or(Vec::new(), |faults| faults.faults);
    let fresh = |fault: &shortblock_engine::Finding| {
        !known.iter().any(|old| old.what == fault.what && old.path == fault.path)
    };
    let faults: Vec<_> = after.faults.into_iter().filter(fresh).collect();
    if faults.is_empty() {
        return Ok(());
    }
    let faults = Faults { faults, sources: after.sources };
    let name = format!("nothing was written: with the change {name}");
    Err(Failure::Faults(name, Box::new(faults)))
}

fn faults_of(path: &str, shop: &dyn Loader) -> Option<Faults> {
    load(path, shop).build.err()
}

struct ChangedLine {
    line: usize,
    old: Option<String>,
    new: Option<String>,
}

/// The lines that differ between the first and the last difference.
fn changed_lines(old: &str, new: &str) -> Vec<ChangedLine> {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let same = |pair: &(&&str, &&str)| pair.0 == pair.1;
    let head = old.iter().zip(&new).take_while(same).count();
    let rest = old.len().min(new.len()) - head;
    let tail = old.iter().rev().zip(new.iter().rev()).take(rest).take_while(same).count();
    let (old, new) = (&old[head..old.len() - tail], &new[head..new.len() - tail]);
    let line = |lines: &[&str], i: usize| lines.get(i).map(|line| (*line).to_owned());
    (0..old.len().max(new.len()))
        .map(|i| ChangedLine { line: head + i + 1, old: line(old, i), new: line(new, i) })
        .filter(|change| change.old != change.new)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::changed_lines;

    #[test]
    fn only_what_changed_is_shown() {
        let changes = changed_lines("a\nb\nc\nd\n", "a\nB\nc\nD\n");
        let lines: Vec<usize> = changes.iter().map(|change| change.line).collect();
        assert_eq!(lines, [2, 4]);
        let added = changed_lines("a\nb\n", "a\nx\nb\n");
        assert_eq!((added.len(), added[0].line, added[0].old.is_none()), (1, 2, true));
        assert!(changed_lines("a\n", "a\n").is_empty());
    }
}
