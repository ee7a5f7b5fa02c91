//! What is to be drawn: curves with their place in the legend, units, goals.

use crate::crowd::Crowd;
use shortblock_curve::{
    Curve, Difference, DifferenceKind, Measured, Mixed, Peak, Predicted, Quantity,
};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;

/// A unit to show a quantity in.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// How it is written: `hp`.
    pub symbol: String,
    /// One of it in N·m or W.
    pub si: f64,
}

impl Unit {
    /// The unit written `symbol` that is `si` N·m or W.
    #[must_use]
    pub fn new(symbol: impl Into<String>, si: f64) -> Self {
        Self { symbol: symbol.into(), si }
    }

    /// A unit of the units table as it is written on screen.
    #[must_use]
    pub fn of(unit: &shortblock_units::Unit) -> Self {
        Self { symbol: unit.pretty(), si: unit.span_to_si(1.0) }
    }
}

/// A quantity and the unit it is shown in.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// Torque or power.
    pub quantity: Quantity,
    /// Unit of the numbers.
    pub unit: Unit,
}

impl Axis {
    /// Torque in `unit`.
    #[must_use]
    pub fn torque(unit: Unit) -> Self {
        Self { quantity: Quantity::Torque, unit }
    }

    /// Power in `unit`.
    #[must_use]
    pub fn power(unit: Unit) -> Self {
        Self { quantity: Quantity::Power, unit }
    }

    /// `power` or `torque`.
    pub(crate) fn name(&self) -> &'static str {
        match self.quantity {
            Quantity::Torque => "torque",
            Quantity::Power => "power",
        }
    }
}

/// Which of the four line styles a build gets; colour says which build.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slot {
    /// First.
    A,
    /// Second.
    B,
    /// Third.
    C,
    /// Fourth.
    D,
}

impl Slot {
    /// All four, in order.
    pub const ALL: [Self; 4] = [Self::A, Self::B, Self::C, Self::D];

    pub(crate) fn index(self) -> usize {
        self as usize
    }
}

/// Where the numbers of a line come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Worked out by the model.
    Predicted,
    /// Read from instruments.
    Measured,
}

impl Kind {
    /// `predicted` or `measured`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Predicted => "predicted",
            Self::Measured => "measured",
        }
    }

    /// `◇` or `●`.
    pub(crate) fn mark(self) -> char {
        match self {
            Self::Predicted => '◇',
            Self::Measured => '●',
        }
    }
}

#[derive(Debug, Clone)]
enum Source {
    Predicted(Curve<Predicted>),
    Measured(Curve<Measured>),
}

/// A curve to draw.
#[derive(Debug, Clone)]
pub struct Series {
    slot: Slot,
    source: Source,
}

/// The one place where drawing forgets which kind a curve is of.
macro_rules! of_either {
    ($series:expr, $curve:ident => $value:expr) => {
        match &$series.source {
            Source::Predicted($curve) => $value,
            Source::Measured($curve) => $value,
        }
    };
}

impl Series {
    /// A predicted curve, drawn dashed and hatched.
    #[must_use]
    pub fn predicted(slot: Slot, curve: Curve<Predicted>) -> Self {
        Self { slot, source: Source::Predicted(curve) }
    }

    /// A measured curve, drawn solid.
    #[must_use]
    pub fn measured(slot: Slot, curve: Curve<Measured>) -> Self {
        Self { slot, source: Source::Measured(curve) }
    }

    /// Predicted or measured.
    #[must_use]
    pub fn kind(&self) -> Kind {
        match self.source {
            Source::Predicted(_) => Kind::Predicted,
            Source::Measured(_) => Kind::Measured,
        }
    }

    /// Label of the curve.
    #[must_use]
    pub fn label(&self) -> &str {
        of_either!(self, curve => curve.label())
    }

    pub(crate) fn slot(&self) -> Slot {
        self.slot
    }

    /// Engine speeds of the points, rpm.
    pub(crate) fn points_rpm(&self) -> Vec<f64> {
        of_either!(self, curve => curve.speed().iter().map(|w| w / RPM).collect())
    }

    /// Value in the unit of `axis` at `rpm`, if the curve reaches there.
    pub(crate) fn at(&self, axis: &Axis, rpm: f64) -> Option<f64> {
        let speed = self.speed_near(rpm);
        of_either!(self, curve => curve.at(axis.quantity, speed)).map(|v| v / axis.unit.si)
    }

    /// ± in the unit of `axis` at `rpm`, if known.
    pub(crate) fn plus_minus_at(&self, axis: &Axis, rpm: f64) -> Option<f64> {
        let speed = self.speed_near(rpm);
        of_either!(self, curve => curve.plus_minus_at(axis.quantity, speed))
            .map(|v| v / axis.unit.si)
    }

    /// Speed in rad/s, pulled on to an end of the curve when rounding put it just outside.
    fn speed_near(&self, rpm: f64) -> f64 {
        let speed = rpm * RPM;
        let (low, high) = of_either!(self, curve => (curve.lowest_speed(), curve.highest_speed()));
        let slack = 1e-9 * high;
        if speed < low && speed > low - slack {
            low
        } else if speed > high && speed < high + slack {
            high
        } else {
            speed
        }
    }

    /// Peak as (rpm, value, ±) in the unit of `axis`, by the way that suits the kind.
    pub(crate) fn peak(&self, axis: &Axis) -> (f64, f64, Option<f64>) {
        let peak: Peak = match &self.source {
            Source::Predicted(curve) => curve.peak(axis.quantity),
            Source::Measured(curve) => curve.smoothed_peak(axis.quantity),
        };
        let si = axis.unit.si;
        (peak.speed / RPM, peak.value / si, peak.plus_minus.map(|pm| pm / si))
    }
}

/// Many curves of one build with one value varied: thin for the first, thick for the last.
#[derive(Debug, Clone)]
pub struct Family {
    /// What is varied, with unit: `primary length, mm`.
    pub varied: String,
    /// Curves in order of the value; their labels are the values: `700`.
    pub members: Vec<Series>,
}

/// A goal, drawn as dots.
#[derive(Debug, Clone, PartialEq)]
pub struct Goal {
    /// Torque or power.
    pub quantity: Quantity,
    /// Value wanted, N·m or W.
    pub value: f64,
    /// From this speed, rad/s; `None`: from the lowest.
    pub from: Option<f64>,
    /// To this speed, rad/s, `from` again for one speed; `None`: to the highest.
    pub to: Option<f64>,
}

impl Goal {
    /// The one speed it is wanted at, rpm.
    pub(crate) fn rpm(&self) -> Option<f64> {
        self.from.filter(|from| self.to == Some(*from)).map(|w| w / RPM)
    }

    /// The range of speeds it is wanted in, rpm.
    pub(crate) fn range_rpm(&self) -> [Option<f64>; 2] {
        [self.from, self.to].map(|end| end.map(|w| w / RPM))
    }
}

/// A difference to draw in its own panel with a zero line.
#[derive(Debug, Clone)]
pub struct DifferenceSeries {
    pub(crate) label: String,
    pub(crate) measured: bool,
    pub(crate) slot: Slot,
    pub(crate) axis: Axis,
    /// (rpm, value, ±) in the unit of the axis.
    pub(crate) points: Vec<(f64, f64, Option<f64>)>,
    /// What can be said along the speeds, below the panel.
    pub(crate) strip: Vec<Part>,
}

/// What a comparison says of a stretch of speeds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Says {
    /// The second build makes less.
    Less,
    /// Zero is inside the band.
    CantTell,
    /// The second build makes more.
    More,
}

impl Says {
    /// The word that stands in the strip.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Less => "less",
            Self::CantTell => "can't tell",
            Self::More => "more",
        }
    }
}

/// A stretch of speeds with one answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// From this speed, rpm.
    pub from_rpm: f64,
    /// To this speed, rpm.
    pub to_rpm: f64,
    /// The answer.
    pub says: Says,
}

/// Measured differences of two builds from pulls back to back, for [`DifferenceSeries::compared`].
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// `b7 − b6`.
    pub label: String,
    /// Engine speed (rpm), difference, ± in the unit of the axis.
    pub points: Vec<(f64, f64, f64)>,
    /// Answers along the speeds.
    pub strip: Vec<Part>,
}

impl DifferenceSeries {
    /// The torque or power of `difference`, in the colour of `slot`. Drawn as
    /// measured only when both curves were.
    #[must_use]
    pub fn new<K: DifferenceKind>(difference: &Difference<K>, axis: Axis, slot: Slot) -> Self {
        let si = axis.unit.si;
        let points = difference
            .points()
            .iter()
            .map(|p| match axis.quantity {
                Quantity::Torque => (p.speed, p.torque, p.torque_plus_minus),
                Quantity::Power => (p.speed, p.power, p.power_plus_minus),
            })
            .map(|(speed, value, pm)| (speed / RPM, value / si, pm.map(|pm| pm / si)))
            .collect();
        let (of, less) = (difference.of(), difference.less());
        // Only a mixed difference needs the two words: the other two are of one kind.
        let label = match difference.kind_word() {
            word if word == Mixed::WORD => format!("{of} predicted − {less} measured"),
            word => format!("{of} − {less}, {word}"),
        };
        let measured = difference.kind_word() == Measured::WORD;
        Self { label, measured, slot, axis, points, strip: Vec::new() }
    }

    /// A difference from pulls back to back, drawn as measured, with its answers below.
    #[must_use]
    pub fn compared(compared: Compared, axis: Axis, slot: Slot) -> Self {
        let points = compared.points.into_iter().map(|(n, value, pm)| (n, value, Some(pm)));
        let (label, strip) = (compared.label, compared.strip);
        Self { label, measured: true, slot, axis, points: points.collect(), strip }
    }
}

/// A chart: panels from top to bottom over one axis of engine speed.
#[derive(Debug, Clone, Default)]
pub struct Chart {
    /// Heading.
    pub title: String,
    /// One panel for each.
    pub axes: Vec<Axis>,
    /// Curves, drawn in order.
    pub series: Vec<Series>,
    /// Many pulls of a build, drawn under the series.
    pub crowds: Vec<Crowd>,
    /// A sweep of one value.
    pub family: Option<Family>,
    /// Goals.
    pub goals: Vec<Goal>,
    /// Differences, each in a panel below the others.
    pub differences: Vec<DifferenceSeries>,
    /// What the reader must know: correction, smoothing, what was left out, what the ± holds.
    pub notes: Vec<String>,
}

impl Chart {
    /// Every curve, the family's first, then the middles of the crowds.
    pub(crate) fn all_series(&self) -> impl Iterator<Item = &Series> {
        self.family.iter().flat_map(|f| &f.members).chain(self.single())
    }

    /// Every curve that has a line style of its own.
    pub(crate) fn single(&self) -> impl Iterator<Item = &Series> {
        self.crowds.iter().map(|crowd| &crowd.middle).chain(&self.series)
    }
}
