//! A chart as SVG: text stays text, colours are resolved, the same chart gives the same bytes.

mod crowd;
mod curves;
mod goals;
mod labels;
mod legend;
mod marks;
mod panel;
mod pen;
mod strip;

use crate::chart::Chart;
use crate::look::{FONT, Theme, escape, wrapped};
use crate::read_aloud::sentence;
use panel::{Frame, Panel};
use pen::{Pen, Text};

const WIDTH: f64 = 760.0;
const LEFT: f64 = 62.0;
const EDGE: f64 = 16.0;
const TITLE_SIZE: f64 = 16.0;
const NOTE_SIZE: f64 = 12.5;
const NOTE_LINE: f64 = 18.0;

/// `chart` as a whole SVG document, in the colours of `theme`.
///
/// The heading and a sentence with every peak are in `<title>` and `<desc>`
/// for reading aloud. Nothing in the chart's texts can become markup.
#[must_use]
pub fn svg_chart(chart: &Chart, theme: Theme) -> String {
    let mut pen = Pen::new(theme.palette());
    let mut at = heading(&mut pen, &chart.title);
    at = legend::draw(&mut pen, chart, at);
    let frame = Frame::of(chart, LEFT, WIDTH - EDGE - labels::margin(chart));
    let mut bottom = at;
    for axis in &chart.axes {
        let panel = Panel::of_axis(chart, axis, &frame, bottom);
        panel.grid(&mut pen);
        crowd::draw(&mut pen, &chart.crowds, axis, &panel);
        curves::draw(&mut pen, chart, axis, &panel);
        goals::draw(&mut pen, chart, axis, &panel);
        labels::draw(&mut pen, chart, axis, &panel);
        bottom = panel.bottom;
    }
    for difference in &chart.differences {
        let panel = Panel::of_difference(difference, &frame, bottom);
        panel.grid(&mut pen);
        curves::draw_difference(&mut pen, difference, &panel);
        bottom = strip::draw(&mut pen, difference, &panel);
    }
    bottom = frame.speed_labels(&mut pen, bottom);
    let height = notes(&mut pen, &chart.notes, bottom) + EDGE;
    document(chart, theme, height, &pen.finish())
}

fn heading(pen: &mut Pen, title: &str) -> f64 {
    let mut at = 12.0;
    for line in wrapped(title, TITLE_SIZE, WIDTH - 2.0 * EDGE) {
        at += 20.0;
        pen.text(Text::new(EDGE, at, TITLE_SIZE, &line).bold());
    }
    at + 6.0
}

fn notes(pen: &mut Pen, notes: &[String], from: f64) -> f64 {
    let mut at = from + 6.0;
    for note in notes {
        for line in wrapped(note, NOTE_SIZE, WIDTH - 2.0 * EDGE) {
            at += NOTE_LINE;
            pen.text(Text::new(EDGE, at, NOTE_SIZE, &line).quiet());
        }
    }
    at
}

fn document(chart: &Chart, theme: Theme, height: f64, body: &str) -> String {
    let height = height.ceil();
    let surface = theme.palette().surface;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" \
         width=\"{WIDTH}\" height=\"{height}\" role=\"img\" aria-labelledby=\"t d\" \
         font-family=\"{FONT}\">\n<title id=\"t\">{}</title>\n<desc id=\"d\">{}</desc>\n\
         <rect width=\"{WIDTH}\" height=\"{height}\" fill=\"{surface}\"/>\n{body}</svg>\n",
        escape(&chart.title),
        escape(&sentence(chart)),
    )
}
