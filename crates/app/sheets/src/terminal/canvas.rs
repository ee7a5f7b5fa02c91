//! Dots in cells.

use super::scale::{Across, Up};
use super::{COLUMNS, ROWS, TerminalStyle};
use crate::chart::{Axis, Kind, Series};

/// Braille dots by column and row of a cell (Unicode block U+2800).
const DOTS: [[u8; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
/// Columns of dots drawn and left out, for a predicted curve of each slot.
const DASHES: [(usize, usize); 4] = [(5, 3), (2, 2), (9, 3), (1, 2)];

/// ASCII mark of a predicted curve of each slot.
const PREDICTED: [char; 4] = ['.', 'o', 'x', '='];

/// The character a curve is made of where only ASCII will do.
pub(crate) fn plain_mark(series: &Series) -> char {
    match series.kind() {
        Kind::Measured => '*',
        Kind::Predicted => PREDICTED[series.slot().index()],
    }
}

/// The inside of the chart.
pub(crate) struct Canvas {
    style: TerminalStyle,
    /// Braille: the dots of each cell. Plain: the character.
    cells: [[u8; COLUMNS]; ROWS],
}

impl Canvas {
    pub fn new(style: TerminalStyle) -> Self {
        Self { style, cells: [[0; COLUMNS]; ROWS] }
    }

    /// Dots a cell holds across and down.
    fn fineness(&self) -> (usize, usize) {
        match self.style {
            TerminalStyle::Braille => (2, 4),
            TerminalStyle::Plain => (1, 1),
        }
    }

    pub fn draw(&mut self, series: &Series, axis: &Axis, across: &Across, up: &Up) {
        let (wide, high) = self.fineness();
        let (on, off) = DASHES[series.slot().index()];
        let dashed = series.kind() == Kind::Predicted && self.style == TerminalStyle::Braille;
        let mut before: Option<i64> = None;
        let mut met = false;
        for x in 0..COLUMNS * wide {
            let rpm = across.rpm((x as f64 + 0.5) / wide as f64);
            let Some(value) = series.at(axis, rpm) else {
                before = None;
                continue;
            };
            let y = (up.down(value) * high as f64).floor() as i64;
            if !dashed || x % (on + off) < on {
                self.upright(series, x, before.unwrap_or(y), y);
            }
            before = Some(y);
            met = true;
        }
        // A curve too short to meet the middle of a column of dots shows its last point.
        if !met
            && let Some((rpm, value)) =
                series.points_rpm().last().and_then(|&n| Some((n, series.at(axis, n)?)))
        {
            let x = (across.right(rpm) * wide as f64).floor() as usize;
            let y = (up.down(value) * high as f64).floor() as i64;
            self.upright(series, x, y, y);
        }
    }

    /// Dots of one column from the height `from`, not itself unless it is `to`, to `to`.
    fn upright(&mut self, series: &Series, x: usize, from: i64, to: i64) {
        let (low, high) = match from.cmp(&to) {
            std::cmp::Ordering::Less => (from + 1, to),
            std::cmp::Ordering::Equal => (to, to),
            std::cmp::Ordering::Greater => (to, from - 1),
        };
        for y in low..=high {
            self.dot(series, x, y);
        }
    }

    fn dot(&mut self, series: &Series, x: usize, y: i64) {
        let (wide, high) = self.fineness();
        let Ok(y) = usize::try_from(y) else { return };
        let Some(cell) = self.cells.get_mut(y / high).and_then(|row| row.get_mut(x / wide)) else {
            return;
        };
        match self.style {
            TerminalStyle::Braille => *cell |= DOTS[x % wide][y % high],
            // Where both run, the measured one is shown.
            TerminalStyle::Plain if *cell == 0 || series.kind() == Kind::Measured => {
                *cell = plain_mark(series) as u8;
            }
            TerminalStyle::Plain => {}
        }
    }

    pub fn rows(&self) -> Vec<String> {
        let character = |cell: &u8| match (self.style, *cell) {
            (_, 0) => ' ',
            (TerminalStyle::Braille, dots) => {
                char::from_u32(0x2800 + u32::from(dots)).unwrap_or(' ')
            }
            (TerminalStyle::Plain, byte) => char::from(byte),
        };
        self.cells.iter().map(|row| row.iter().map(character).collect()).collect()
    }
}
