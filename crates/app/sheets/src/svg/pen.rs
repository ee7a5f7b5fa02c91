//! Writes SVG elements, one a line.

use crate::chart::Slot;
use crate::look::{Palette, escape};
use std::fmt::Write;

/// A line of text to place.
pub(crate) struct Text<'a> {
    x: f64,
    y: f64,
    size: f64,
    text: &'a str,
    anchor: &'static str,
    bold: bool,
    quiet: bool,
}

impl<'a> Text<'a> {
    /// `text` starting at (`x`, `y`), the baseline.
    pub fn new(x: f64, y: f64, size: f64, text: &'a str) -> Self {
        Self { x, y, size, text, anchor: "start", bold: false, quiet: false }
    }

    pub fn bold(mut self) -> Self {
        self.bold = true;
        self
    }

    pub fn quiet(mut self) -> Self {
        self.quiet = true;
        self
    }

    /// `start`, `middle` or `end`.
    pub fn anchor(mut self, anchor: &'static str) -> Self {
        self.anchor = anchor;
        self
    }
}

/// How a line is drawn.
#[derive(Clone, Copy)]
pub(crate) struct Stroke<'a> {
    pub colour: &'a str,
    pub width: f64,
    /// SVG dash pattern, empty for solid.
    pub dash: &'a str,
    pub opacity: f64,
    pub round: bool,
}

impl<'a> Stroke<'a> {
    pub fn solid(colour: &'a str, width: f64) -> Self {
        Self { colour, width, dash: "", opacity: 1.0, round: false }
    }

    pub fn dashed(self, dash: &'a str) -> Self {
        Self { dash, ..self }
    }

    pub fn faded(self, opacity: f64) -> Self {
        Self { opacity, ..self }
    }

    fn attributes(&self) -> String {
        let mut out = format!("stroke=\"{}\" stroke-width=\"{}\"", self.colour, self.width);
        if !self.dash.is_empty() {
            let _ = write!(out, " stroke-dasharray=\"{}\"", self.dash);
        }
        if self.round {
            out.push_str(" stroke-linecap=\"round\"");
        }
        if self.opacity < 1.0 {
            let _ = write!(out, " opacity=\"{}\"", self.opacity);
        }
        out
    }
}

/// Collects elements in drawing order.
pub(crate) struct Pen {
    pub palette: &'static Palette,
    hatched: [bool; 4],
    body: String,
}

impl Pen {
    pub fn new(palette: &'static Palette) -> Self {
        Self { palette, hatched: [false; 4], body: String::new() }
    }

    pub fn text(&mut self, text: Text) {
        let fill = if text.quiet { self.palette.ink2 } else { self.palette.ink };
        let weight = if text.bold { " font-weight=\"700\"" } else { "" };
        let anchor = match text.anchor {
            "start" => String::new(),
            other => format!(" text-anchor=\"{other}\""),
        };
        let _ = writeln!(
            self.body,
            "<text x=\"{:.1}\" y=\"{:.1}\" font-size=\"{}\"{weight}{anchor} fill=\"{fill}\">{}</text>",
            text.x,
            text.y,
            text.size,
            escape(text.text),
        );
    }

    /// A path without filling.
    pub fn path(&mut self, d: &str, stroke: Stroke) {
        let _ = writeln!(
            self.body,
            "<path d=\"{d}\" fill=\"none\" stroke-linejoin=\"round\" {}/>",
            stroke.attributes()
        );
    }

    /// A filled path.
    pub fn shape(&mut self, d: &str, fill: &str, stroke: Option<Stroke>) {
        let stroke = stroke.map_or(String::new(), |s| format!(" {}", s.attributes()));
        let _ = writeln!(self.body, "<path d=\"{d}\" fill=\"{fill}\"{stroke}/>");
    }

    /// An area filled with a light tint: the ± of something measured.
    pub fn tint(&mut self, d: &str, slot: Slot) {
        let fill = self.palette.slot(slot);
        let _ = writeln!(self.body, "<path d=\"{d}\" fill=\"{fill}\" fill-opacity=\"0.22\"/>");
    }

    /// An area filled with the hatch of `slot`: the ± of something predicted.
    pub fn hatch(&mut self, d: &str, slot: Slot) {
        self.hatched[slot.index()] = true;
        let colour = self.palette.slot(slot);
        let _ = writeln!(
            self.body,
            "<path d=\"{d}\" fill=\"url(#{})\" stroke=\"{colour}\" stroke-width=\"0.8\" \
             stroke-opacity=\"0.6\"/>",
            hatch_name(slot, colour)
        );
    }

    /// Everything drawn, hatches first.
    pub fn finish(self) -> String {
        let mut defs = String::new();
        for slot in Slot::ALL.into_iter().filter(|slot| self.hatched[slot.index()]) {
            let colour = self.palette.slot(slot);
            // 30°, the other way for every second build: where two bands overlap
            // the hatches cross and both stay readable.
            let angle = [30, -30, 60, -60][slot.index()];
            let _ = writeln!(
                defs,
                "<defs><pattern id=\"{}\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\" \
                 patternTransform=\"rotate({angle})\"><path d=\"M0 2.5H5\" stroke=\"{colour}\" \
                 stroke-width=\"0.9\"/></pattern></defs>",
                hatch_name(slot, colour)
            );
        }
        defs + &self.body
    }
}

/// Name of the hatch, with the colour in it so that charts of both themes can
/// stand on one page.
fn hatch_name(slot: Slot, colour: &str) -> String {
    format!("hatch-{slot:?}-{}", &colour[1..])
}

/// `M… L…` through points, one decimal.
pub(crate) fn polyline(points: impl IntoIterator<Item = (f64, f64)>) -> String {
    let mut d = String::new();
    for (i, (x, y)) in points.into_iter().enumerate() {
        let _ = write!(d, "{}{x:.1} {y:.1}", if i == 0 { 'M' } else { 'L' });
    }
    d
}
