//! Colours, type and text widths.

use crate::chart::Slot;

/// Light or dark ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Theme {
    /// Ink on a white surface; also for paper.
    #[default]
    Light,
    /// Light ink on a dark surface.
    Dark,
}

/// The resolved colours of one theme.
pub(crate) struct Palette {
    pub surface: &'static str,
    pub rule: &'static str,
    pub edge: &'static str,
    pub ink: &'static str,
    pub ink2: &'static str,
    pub slots: [&'static str; 4],
}

const LIGHT: Palette = Palette {
    surface: "#FFFFFF",
    rule: "#B9B4A6",
    edge: "#77736A",
    ink: "#191C1E",
    ink2: "#4B4F52",
    slots: ["#0B4F8A", "#8F3B00", "#2F86B8", "#9C7A00"],
};
const DARK: Palette = Palette {
    surface: "#171D1F",
    rule: "#465055",
    edge: "#8A969B",
    ink: "#F4F1E6",
    ink2: "#BAC2C4",
    slots: ["#7CC4FF", "#FFA860", "#4C90D6", "#BD8F2E"],
};

impl Theme {
    pub(crate) fn palette(self) -> &'static Palette {
        match self {
            Self::Light => &LIGHT,
            Self::Dark => &DARK,
        }
    }
}

impl Palette {
    pub(crate) fn slot(&self, slot: Slot) -> &'static str {
        self.slots[slot.index()]
    }
}

/// Font named in every picture; the reader's own sans serif where it is missing.
pub(crate) const FONT: &str = "B612, sans-serif";

/// Width of `text` at `size`, px, from the advance widths of B612 by classes
/// of letters; a little wide rather than narrow.
pub(crate) fn text_width(text: &str, size: f64) -> f64 {
    let em = |c: char| match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '·' | ' ' | 'I' => 0.35,
        'f' | 't' | 'r' | '(' | ')' | '-' => 0.45,
        'm' | 'w' | 'M' | 'W' => 0.95,
        'a'..='z' | '/' | '−' => 0.58,
        '0'..='9' => 0.65,
        _ => 0.75,
    };
    size * text.chars().map(em).sum::<f64>()
}

/// `text` broken into lines no wider than `width` px at `size`.
pub(crate) fn wrapped(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if text_width(&format!("{line} {word}"), size) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Characters no label may carry: control characters (XML 1.0, section 2.2,
/// allows few, a terminal obeys them) and those that turn the direction of
/// writing of all that follows.
pub(crate) fn is_unfit(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{FFFE}' | '\u{FFFF}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
}

/// `text` with everything XML would take for its own made harmless.
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if is_unfit(c) => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{DARK, LIGHT, Palette, escape, wrapped};

    /// Relative luminance and contrast ratio: WCAG 2.2, definitions.
    fn luminance(hex: &str) -> f64 {
        let part = |at: usize| {
            let c = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
            if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
    }

    fn contrast(one: &str, other: &str) -> f64 {
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn text_and_lines_stand_out_from_the_ground() {
        // WCAG 2.2, 1.4.3 (text 4.5) and 1.4.11 (graphics 3).
        let check = |p: &Palette| {
            assert!(contrast(p.ink, p.surface) >= 4.5 && contrast(p.ink2, p.surface) >= 4.5);
            for line in p.slots.iter().chain([&p.edge]) {
                assert!(contrast(line, p.surface) >= 3.0, "{line}");
            }
        };
        check(&LIGHT);
        check(&DARK);
        assert!((contrast("#000000", "#FFFFFF") - 21.0).abs() < 1e-9);
    }

    #[test]
    fn escaping_leaves_no_markup_and_no_control_characters() {
        assert_eq!(escape("<b a='1'>&\"\u{1}"), "&lt;b a=&#39;1&#39;&gt;&amp;&quot; ");
    }

    #[test]
    fn lines_break_between_words() {
        assert_eq!(wrapped("one two three", 10.0, 50.0), ["one two", "three"]);
        assert!(wrapped("  ", 10.0, 50.0).is_empty());
    }
}
