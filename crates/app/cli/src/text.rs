//! Small things of setting text in 80 columns.

use shortblock_sheets::columns;

/// The widest line.
pub const COLUMNS: usize = 80;

/// `1 fault`, `3 faults`.
pub fn counted(count: usize, word: &str) -> String {
    format!("{count} {word}{}", if count == 1 { "" } else { "s" })
}

/// `text` broken at blanks into lines of at most [`COLUMNS`], each behind `indent` blanks. A word
/// longer than a line is cut: nothing runs over the edge.
pub fn wrapped(text: &str, indent: usize) -> String {
    let width = COLUMNS - indent;
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split_whitespace().flat_map(|word| pieces(word, width)) {
        match lines.last_mut() {
            Some(line) if line.is_empty() => line.push_str(&word),
            Some(line) if columns(line) + 1 + columns(&word) <= width => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines.iter().map(|line| format!("{}{line}\n", " ".repeat(indent))).collect()
}

fn pieces(word: &str, width: usize) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for letter in word.chars() {
        let last = pieces.last().map_or(0, |piece| columns(piece));
        if last + columns(letter.encode_utf8(&mut [0; 4])) > width {
            pieces.push(String::new());
        }
        if let Some(piece) = pieces.last_mut() {
            piece.push(letter);
        }
    }
    pieces
}

/// Every text once, in the order in which they come first.
pub fn first_of_each<'a>(texts: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let mut all: Vec<&str> = Vec::new();
    for text in texts {
        if !all.contains(&text) {
            all.push(text);
        }
    }
    all
}

/// `text` with its middle left out where it is longer than `most` characters (at least 5): names of
/// files differ at their ends.
pub fn shortened(text: &str, most: usize) -> String {
    let letters: Vec<char> = text.chars().collect();
    if letters.len() <= most {
        return text.to_owned();
    }
    let kept = most.saturating_sub(2);
    let (head, tail) = (kept / 2, kept - kept / 2);
    let ends = letters[..head].iter().chain(&['.', '.']).chain(&letters[letters.len() - tail..]);
    ends.collect()
}

/// `text` with blanks behind it up to `width` characters.
pub fn padded(text: &str, width: usize) -> String {
    format!("{text:<width$}")
}

/// Text from outside made harmless for a terminal: control characters become blanks.
pub fn harmless(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// Where a shipped figure is from, in words; empty for none.
pub fn source(short: &str) -> String {
    let bare =
        short.trim().trim_end_matches('.').trim_end_matches("f.m").trim_start_matches("f.m.");
    let named = bare.trim_matches([' ', ',', '.']);
    match short {
        "" => String::new(),
        "c.p." => "common practice, no source".to_owned(),
        "own" => "chosen here".to_owned(),
        other if other.contains("f.m.") => format!("{named}, from memory"),
        other => other.to_owned(),
    }
}

/// A cell of a CSV file.
pub fn csv_cell(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

/// A row of a CSV file.
pub fn csv_row<S: AsRef<str>>(cells: &[S]) -> String {
    let cells: Vec<String> = cells.iter().map(|cell| csv_cell(cell.as_ref())).collect();
    cells.join(",") + "\n"
}

/// `text` in ASCII: signs as words or look-alikes, letters beyond as `?`.
pub fn ascii(text: &str) -> String {
    if text.is_ascii() {
        return text.to_owned();
    }
    text.chars().map(|c| if c.is_ascii() { c.to_string() } else { spelled(c).to_owned() }).collect()
}

fn spelled(c: char) -> &'static str {
    match c {
        '±' => "+-",
        '·' => ".",
        '−' | '–' | '—' | '─' | '╌' => "-",
        '→' => "->",
        '│' | '┤' => "|",
        '…' => "...",
        '°' => "deg",
        '²' => "2",
        '³' => "3",
        'µ' => "u",
        'λ' => "lambda",
        '×' => "x",
        '≥' => ">=",
        '≤' => "<=",
        '“' | '”' => "\"",
        '‘' | '’' => "'",
        '\u{a0}' | '\u{202f}' => " ",
        'ä' => "ae",
        'ö' => "oe",
        'ü' => "ue",
        'ß' => "ss",
        'é' | 'è' | 'ê' => "e",
        _ => "?",
    }
}

/// A text with a capital first letter, as a sentence begins.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_runs_over_the_edge() {
        let long = format!("{} {}", "x".repeat(200), "word ".repeat(60));
        let text = wrapped(&long, 4);
        assert!(text.lines().all(|line| line.chars().count() <= COLUMNS), "{text}");
        assert!(text.replace(['\n', ' '], "").starts_with(&"x".repeat(200)));
        let wide = wrapped(&"回転数".repeat(30), 2);
        assert!(wide.lines().all(|line| columns(line) <= COLUMNS), "{wide}");
    }

    #[test]
    fn sources_are_spelled_out() {
        assert_eq!(source("c.p."), "common practice, no source");
        assert_eq!(source("f.m. Taylor, vol. 1"), "Taylor, vol. 1, from memory");
        assert_eq!(
            source("ISO 1585 reference air, 298 K, f.m."),
            "ISO 1585 reference air, 298 K, from memory"
        );
        assert_eq!(source("own"), "chosen here");
    }

    #[test]
    fn cells_of_csv_are_quoted_by_need() {
        assert_eq!(csv_row(&["a", "1,2", "say \"so\""]), "a,\"1,2\",\"say \"\"so\"\"\"\n");
    }

    #[test]
    fn plain_text_is_ascii_whatever_comes() {
        assert_eq!(ascii("338 ±9 N·m at 20 °C"), "338 +-9 N.m at 20 degC");
        assert!(ascii("◇ 漢 \u{1F600}").is_ascii());
    }
}
