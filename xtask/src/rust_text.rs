//! Rust program text without what a search for words should not see: comments, the inside of
//! string literals, tests. Line numbers stay as they are.

/// The text with comments and the inside of literals turned into blanks.
pub fn code(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut out: Vec<char> = chars.clone();
    let mut i = 0;
    while i < chars.len() {
        let end = match chars[i] {
            '/' if chars.get(i + 1) == Some(&'/') => end_of_line(&chars, i),
            '/' if chars.get(i + 1) == Some(&'*') => end_of_block_comment(&chars, i),
            '"' => end_of_string(&chars, i, None),
            'r' if !follows_word(&chars, i) => match raw_hashes(&chars, i + 1) {
                Some(hashes) => end_of_string(&chars, i + 1 + hashes, Some(hashes)),
                None => i + 1,
            },
            '\'' => end_of_char(&chars, i),
            _ => i + 1,
        };
        if end > i + 1 {
            // The quotes stay, so that an empty literal can be told from a full one.
            let keep = if matches!(chars[i], '/') { 0 } else { 1 };
            for c in &mut out[i + keep..end - keep] {
                if *c != '\n' {
                    *c = ' ';
                }
            }
        }
        i = end;
    }
    out.into_iter().collect()
}

/// [`code`] without items marked `#[cfg(test)]` or `#[test]`.
pub fn shipped_code(text: &str) -> String {
    let mut out: Vec<char> = code(text).chars().collect();
    for mark in ["#[cfg(test)]", "#[test]"] {
        let mark: Vec<char> = mark.chars().collect();
        let mut i = 0;
        while i + mark.len() <= out.len() {
            if out[i..i + mark.len()] == mark[..] {
                let end = end_of_item(&out, i);
                for c in &mut out[i..end] {
                    if *c != '\n' {
                        *c = ' ';
                    }
                }
            }
            i += 1;
        }
    }
    out.into_iter().collect()
}

/// Names of the modules in files of their own that are declared right below `#[cfg(test)]`.
pub fn test_modules(text: &str) -> Vec<&str> {
    let lines = text.lines().zip(text.lines().skip(1));
    let below = lines.filter(|(mark, _)| mark.trim() == "#[cfg(test)]").map(|(_, line)| line);
    below
        .filter_map(|line| line.trim().strip_suffix(';')?.rsplit_once("mod "))
        .filter(|(start, _)| start.is_empty() || start.starts_with("pub"))
        .map(|(_, name)| name)
        .collect()
}

/// Line numbers, from 1, where `word` stands and is not part of a longer word; a `word` that ends
/// with an underscore is the beginning of one.
pub fn lines_with(code: &str, word: &str) -> Vec<usize> {
    let letter = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
    let whole = |start: usize| {
        let (before, after) = (&code[..start], &code[start + word.len()..]);
        let joined_before = letter(word.chars().next()) && letter(before.chars().next_back());
        let open = word.ends_with('_');
        let joined_after =
            !open && letter(word.chars().next_back()) && letter(after.chars().next());
        !joined_before && !joined_after
    };
    let places = code.match_indices(word).map(|(start, _)| start).filter(|start| whole(*start));
    places.map(|start| line_of(code, start)).collect()
}

/// Modules of the standard library that are named, with line: `std::fs::read`, `std::{fs, io}`.
pub fn std_modules(code: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (start, root) in code.match_indices("std::") {
        if code[..start].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let rest = code[start + root.len()..].trim_start();
        let names: Vec<&str> = match rest.strip_prefix('{') {
            Some(group) => first_level(group),
            None => vec![rest],
        };
        for name in names {
            let word: String = name
                .trim_start()
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect();
            found.push((line_of(code, start), word));
        }
    }
    found
}

/// The lines of the module's own documentation, without `//!`.
pub fn module_docs(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter_map(|line| line.strip_prefix("//!")).map(str::trim)
}

fn line_of(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}

/// The entries of a use group, split at its own commas only.
fn first_level(group: &str) -> Vec<&str> {
    let (mut depth, mut start, mut entries) = (0, 0, Vec::new());
    for (i, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => {
                entries.push(&group[start..i]);
                return entries;
            }
            '}' => depth -= 1,
            ',' if depth == 0 => {
                entries.push(&group[start..i]);
                start = i + 1;
            }
            _ => {}
        }
    }
    entries
}

fn follows_word(chars: &[char], i: usize) -> bool {
    // `br"..."` is a literal too; any other word before the r makes it part of that word.
    let before = |back: usize| i.checked_sub(back).map(|j| chars[j]);
    let word = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
    if before(1) == Some('b') { word(before(2)) } else { word(before(1)) }
}

fn raw_hashes(chars: &[char], start: usize) -> Option<usize> {
    let hashes = chars[start..].iter().take_while(|c| **c == '#').count();
    (chars.get(start + hashes) == Some(&'"')).then_some(hashes)
}

fn end_of_line(chars: &[char], start: usize) -> usize {
    chars[start..].iter().position(|c| *c == '\n').map_or(chars.len(), |n| start + n)
}

fn end_of_block_comment(chars: &[char], start: usize) -> usize {
    let (mut depth, mut i) = (0, start);
    while i + 1 < chars.len() {
        match (chars[i], chars[i + 1]) {
            ('/', '*') => (depth, i) = (depth + 1, i + 2),
            ('*', '/') => (depth, i) = (depth - 1, i + 2),
            _ => i += 1,
        }
        if depth == 0 {
            return i;
        }
    }
    chars.len()
}

/// `quote` is the place of the opening quote; a raw string has a number of hashes and no escapes.
fn end_of_string(chars: &[char], quote: usize, raw: Option<usize>) -> usize {
    let hashes = raw.unwrap_or(0);
    let mut i = quote + 1;
    while i < chars.len() {
        match chars[i] {
            '\\' if raw.is_none() => i += 1,
            '"' if chars[i + 1..].iter().take(hashes).filter(|c| **c == '#').count() == hashes => {
                return i + 1 + hashes;
            }
            _ => {}
        }
        i += 1;
    }
    chars.len()
}

/// A quote opens a character literal or a lifetime; a lifetime ends at once.
fn end_of_char(chars: &[char], start: usize) -> usize {
    match (chars.get(start + 1), chars.get(start + 2)) {
        (Some('\\'), _) => {
            let close = chars[start + 3..].iter().position(|c| *c == '\'');
            close.map_or(chars.len(), |n| start + 4 + n)
        }
        (Some(_), Some('\'')) => start + 3,
        _ => start + 1,
    }
}

/// The place after the item that starts at `start`: its closing brace, or a semicolon outside
/// brackets when that comes first.
fn end_of_item(code: &[char], start: usize) -> usize {
    let mut depth = 0;
    for (i, c) in code.iter().enumerate().skip(start) {
        match c {
            '{' | '(' | '[' => depth += 1,
            ')' | ']' => depth -= 1,
            '}' => {
                depth -= 1;
                if depth == 0 {
                    return i + 1;
                }
            }
            ';' if depth == 0 => return i + 1,
            _ => {}
        }
    }
    code.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_and_literals_are_blank() {
        let text = "let a = \"std::fs\"; // std::net\n/* x /* y */ std::env */ let b = 'x';\n";
        let code = code(text);
        assert!(!code.contains("std::"), "{code}");
        assert_eq!(code.len(), text.len());
        assert!(code.contains("let b = ' ';"));
    }

    #[test]
    fn raw_strings_and_lifetimes_are_told_apart() {
        let code = code("fn f<'a>(x: &'a str) { g(r#\"a \" b\"#, '\\'', br\"q\"); h() }");
        assert!(code.contains("<'a>") && code.contains("h()"), "{code}");
        assert!(!code.contains('q'), "{code}");
        assert!(super::code("g(r\"\\\"); h()").contains("h()"));
    }

    #[test]
    fn an_escaped_quote_does_not_end_a_string() {
        assert!(code(r#"p("a\"b"); q()"#).contains("q()"));
    }

    #[test]
    fn tests_are_cut_and_the_rest_stays() {
        let text = "fn a() {}\n#[cfg(test)]\nmod tests {\n fn b() { x.unwrap() }\n}\nfn c() {}\n\
                    #[test]\nfn d() { y.unwrap() }\n#[cfg(test)]\nmod far;\nfn e() {}\n";
        let code = shipped_code(text);
        assert!(!code.contains("unwrap"), "{code}");
        assert!(code.contains("fn c()") && code.contains("fn e()"), "{code}");
        assert_eq!(code.lines().count(), text.lines().count());
    }

    #[test]
    fn modules_of_a_group_are_found() {
        let found =
            std_modules("use std::{\n  fmt,\n  fs::{self, File},\n};\nstd::net::X; mystd::y");
        let names: Vec<&str> = found.iter().map(|(_, n)| n.as_str()).collect();
        assert_eq!(names, ["fmt", "fs", "", "net"]);
    }

    #[test]
    fn a_longer_word_is_another_word() {
        assert_eq!(lines_with("eprintln!()\n println!()", "println!"), [2]);
        assert_eq!(lines_with("x.unwrap()", ".unwrap()"), [1]);
        assert_eq!(lines_with("unsafe_code\nunsafe", "unsafe"), [2]);
    }
}
