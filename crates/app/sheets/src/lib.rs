//! Charts and papers: curves drawn for the screen, the page and the terminal.
//!
//! One grammar everywhere. Measured: solid line, filled marks, plain tint for
//! the ±. Predicted: long dashes, open diamonds, hatch for the ±. Goals are
//! dots. Colour says which build and never carries a meaning alone. Torque
//! stands over power on one axis of engine speed; two number scales never
//! share a panel.
//!
//! Everything here is text in, text out: the same curves give the same bytes.

#![deny(missing_docs)]

mod chart;
mod crowd;
mod look;
mod number;
mod read_aloud;
mod svg;
mod table;
mod terminal;
mod ticks;

pub use chart::{
    Axis, Chart, Compared, DifferenceSeries, Family, Goal, Kind, Part, Says, Series, Slot, Unit,
};
pub use crowd::Crowd;
pub use look::Theme;
pub use number::{plain_number, quantity_text};
pub use svg::svg_chart;
pub use table::{Table, columns, plus_minus_column};
pub use terminal::{TerminalStyle, terminal_chart};
