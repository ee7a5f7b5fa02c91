//! `help WORD`: a word of the trade, of the engine file, or a verb.

use crate::Done;
use crate::args::{Cli, Help};
use crate::failure::Failure;
use crate::json;
use crate::manner::{Form, Manner};
use crate::words::{WORDS, Word};
use clap::CommandFactory;
use serde_json::json;
use shortblock_document::nearest;
use shortblock_engine::defaults::{self, Standing};
use shortblock_engine::schema;

/// The page of a word; without one, the program's own.
pub fn run(args: &Help, manner: &Manner) -> Result<Done, Failure> {
    let asked = args.word.join(" ");
    let page = if asked.is_empty() { Some(program(manner)) } else { page(&asked, manner) };
    let page = page.ok_or_else(|| {
        let near = nearest(&asked, all_words());
        let hint = near.map_or(
            "shortblock help lists the verbs, schema --docs the words".to_owned(),
            |near| format!("did you mean {near}?"),
        );
        Failure::NotFound(format!("there is no page for \"{asked}\"\nhint: {hint}"))
    })?;
    if manner.form == Form::Json {
        let object = json!({ "format": "shortblock/help/1", "word": asked, "text": page });
        return Ok(Done::well(json::line(&object, manner)));
    }
    Ok(Done::well(page))
}

fn program(manner: &Manner) -> String {
    let words: Vec<&str> = WORDS.iter().map(|word| word.word).collect();
    format!(
        "{}\n\nWords with a page (shortblock help WORD), beside those of the engine file:\n{}",
        Cli::command().render_help(),
        manner.wrapped(&words.join(", "), 2)
    )
}

/// What is known about a word: its meaning in the trade and its places in the engine file.
fn page(asked: &str, manner: &Manner) -> Option<String> {
    let plain = plain(asked);
    if let Some(verb) = verb(&plain) {
        return Some(verb);
    }
    let trade = WORDS.iter().find(|word| is_called(word, &plain));
    let tables = at_tables(&plain);
    if trade.is_none() && tables.is_empty() {
        return None;
    }
    let mut blocks: Vec<String> = Vec::new();
    if let Some(word) = trade {
        blocks.push(trade_page(word, manner));
    }
    blocks.extend(tables.iter().map(|path| file_page(path, manner)));
    Some(blocks.join("\n"))
}

fn verb(plain: &str) -> Option<String> {
    let mut command = Cli::command();
    // Builds the usage line with the program's name in it.
    command.build();
    let verb = command.find_subcommand_mut(plain)?;
    Some(verb.render_help().to_string())
}

fn is_called(word: &Word, asked: &str) -> bool {
    plain(word.word) == asked || word.others.iter().any(|other| plain(other) == asked)
}

/// Lower case; `-` and `_` are as good as a blank.
fn plain(text: &str) -> String {
    text.trim().to_lowercase().replace(['-', '_'], " ")
}

/// Paths of the engine file's words and tables that are called so.
fn at_tables(asked: &str) -> Vec<&'static str> {
    let called = |path: &str, aliases: &[&str]| {
        plain(path) == asked
            || plain(schema::last(path)) == asked
            || aliases.iter().any(|alias| plain(alias) == asked)
    };
    let words = schema::words().iter();
    let mut paths: Vec<&str> =
        words.filter(|w| called(&w.path, w.field.aliases)).map(|w| w.path.as_str()).collect();
    if paths.is_empty() {
        let short = schema::SHORT.iter().find(|(short, _)| plain(short) == asked);
        paths.extend(short.map(|(_, long)| *long));
    }
    if paths.is_empty() {
        let below = schema::words().iter().filter(|w| {
            schema::parent(&w.path).split('.').any(|part| plain(part) == asked)
                || plain(schema::parent(&w.path)) == asked
        });
        paths.extend(below.map(|w| w.path.as_str()));
    }
    paths
}

fn all_words() -> impl Iterator<Item = &'static str> {
    let file = schema::words().iter().flat_map(|w| {
        let last = schema::last(&w.path);
        [w.path.as_str(), last].into_iter().chain(w.field.aliases.iter().copied())
    });
    let trade = WORDS.iter().flat_map(|w| std::iter::once(w.word).chain(w.others.iter().copied()));
    let verbs = ["check", "show", "diff", "edit", "predict", "moves", "schema", "units"];
    trade.chain(file).chain(verbs)
}

fn trade_page(word: &Word, manner: &Manner) -> String {
    let mut out = manner.strong(word.word);
    let others: Vec<&str> = word.others.to_vec();
    if !others.is_empty() {
        out += &format!(" (also: {})", others.join(", "));
    }
    let mut out = manner.wrapped(&out, 0);
    for paragraph in word.text.split('\n') {
        out += &manner.wrapped(paragraph, 2);
    }
    out
}

fn file_page(path: &str, manner: &Manner) -> String {
    let Some(word) = schema::word(path) else { return String::new() };
    let mut out = format!("{}  in the engine file\n", manner.strong(path));
    out += &manner.wrapped(word.field.help, 2);
    if word.field.each {
        out += "  One value per cylinder may be given with each.\n";
    }
    if !word.field.aliases.is_empty() {
        out += &manner.wrapped(&format!("Also written {}.", word.field.aliases.join(", ")), 2);
    }
    defaults::default_of(path).map_or(out.clone(), |standing| out + &left_out(standing, manner))
}

/// What happens when it is left out, and when it looks odd.
fn left_out(standing: &Standing, manner: &Manner) -> String {
    let mut out = String::new();
    if let Some((value, spread)) = &standing.assume {
        let spread = Some(spread).filter(|s| !s.is_empty() && *s != "0" && !s.starts_with("0 "));
        let spread = spread.map_or(String::new(), |spread| format!(" ±{spread}"));
        let text = format!("Left out it is assumed as {value}{spread}: {}.", standing.why);
        out += &manner.wrapped(&text, 2);
    }
    if let Some((low, high)) = &standing.doubt_text {
        out += &manner.wrapped(&format!("A doubt outside {low} to {high}."), 2);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::args::Manner as Options;

    fn manner() -> Manner {
        let options = Options {
            json: false,
            csv: false,
            units: None,
            plain: false,
            quiet: false,
            shop: None,
        };
        Manner::of(&options).unwrap()
    }

    #[test]
    fn every_word_of_the_engine_file_has_a_page() {
        for word in schema::words() {
            assert!(page(&word.path, &manner()).is_some(), "{}", word.path);
            assert!(page(schema::last(&word.path), &manner()).is_some(), "{}", word.path);
        }
    }

    #[test]
    fn every_word_of_the_trade_has_one_page_and_no_two_share_a_name() {
        let mut seen = std::collections::BTreeSet::new();
        for word in WORDS {
            for name in std::iter::once(&word.word).chain(word.others) {
                assert!(seen.insert(plain(name)), "{name} is explained twice");
                assert!(page(name, &manner()).is_some(), "{name}");
            }
            assert!(word.text.ends_with('.'), "{}", word.word);
        }
    }

    #[test]
    fn another_way_of_writing_finds_the_same_page() {
        for asked in ["knock-margin", "Knock Margin", "knock_margin"] {
            assert!(page(asked, &manner()).unwrap().contains("Degrees of spark"), "{asked}");
        }
        assert!(page("lobe-centre", &manner()).unwrap().contains("intake.cam.centreline"));
    }
}
