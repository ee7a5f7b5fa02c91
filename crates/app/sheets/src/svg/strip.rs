//! The strip below a difference: less, can't tell, more, along the speeds.

use super::panel::Panel;
use super::pen::{Pen, Stroke, Text};
use crate::chart::{DifferenceSeries, Says, Slot};
use crate::look::text_width;

const HEIGHT: f64 = 18.0;
const GAP: f64 = 6.0;
const SIZE: f64 = 12.5;

/// Draws the strip below the panel; returns the y below it.
pub(crate) fn draw(pen: &mut Pen, difference: &DifferenceSeries, panel: &Panel) -> f64 {
    if difference.strip.is_empty() {
        return panel.bottom;
    }
    let top = panel.bottom + GAP;
    for part in &difference.strip {
        let (left, right) = (panel.frame.x.px(part.from_rpm), panel.frame.x.px(part.to_rpm));
        let d = format!("M{left:.1} {top:.1}H{right:.1}V{:.1}H{left:.1}Z", top + HEIGHT);
        match part.says {
            Says::Less => pen.tint(&d, Slot::A),
            Says::More => pen.tint(&d, Slot::B),
            Says::CantTell => {}
        }
        pen.path(&d, Stroke::solid(pen.palette.edge, 1.0));
        let word = part.says.word();
        if text_width(word, SIZE) + 6.0 < right - left {
            let middle = 0.5 * (left + right);
            pen.text(Text::new(middle, top + 13.5, SIZE, word).anchor("middle"));
        }
    }
    top + HEIGHT
}
