//! A comparison as a picture: both crowds, their middles, the difference with its answers.

use super::question::Asked;
use super::torque_of_a;
use crate::failure::Failure;
use crate::manner::Manner;
use crate::verbs::pulls::day_curve;
use shortblock_compare::{Comparison, Says as Said, sentences};
use shortblock_curve::{Curve, Measured};
use shortblock_sheets::{
    Axis, Chart, Compared, Crowd, DifferenceSeries, Part, Says, Slot, Theme, Unit, svg_chart,
};
use shortblock_units::Quantity;
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;

/// The chart as SVG.
pub fn picture(asked: &Asked, c: &Comparison, manner: &Manner) -> Result<String, Failure> {
    let unit = |of| Unit::of(manner.unit(of));
    let (a, b) = (&c.plan.a, &c.plan.b);
    let crowds = [(Slot::A, a), (Slot::B, b)].map(|(slot, build)| {
        Crowd::of(slot, build, curves(asked, build))
            .map_err(|error| Failure::NotWorkedOut(format!("{build} can't be drawn: {error}")))
    });
    let crowds: Vec<Crowd> = crowds.into_iter().collect::<Result<_, _>>()?;
    let compared =
        Compared {
            label: format!("{b} − {a}"), points: points(asked, c, manner), strip: strip(c)
        };
    let power = Axis::power(unit(Quantity::Power));
    let chart = Chart {
        title: format!("{b} beside {a}, {} and {} pulls", c.outcome.pulls.0, c.outcome.pulls.1),
        axes: vec![Axis::torque(unit(Quantity::Torque)), power.clone()],
        crowds,
        differences: vec![DifferenceSeries::compared(compared, power, Slot::B)],
        notes: vec![
            sentences(c).into_iter().next().unwrap_or_default(),
            format!(
                "{} Mean of 50 rpm steps. The band of the difference holds the whole \
                 curve at once, 97 times in 100, beside another pull here.",
                super::page::brought(asked)
            ),
        ],
        ..Chart::default()
    };
    Ok(svg_chart(&chart, Theme::Light))
}

/// Curves of the pulls of a build that are not set aside.
fn curves(asked: &Asked, build: &str) -> Vec<Curve<Measured>> {
    let of_build = asked.chosen.iter().filter(|(_, _, b)| b == build);
    of_build
        .filter_map(|(d, p, _)| {
            let day = &asked.days[*d];
            let pull = &day.pulls[*p];
            let aside = day.said(pull).is_some_and(|said| said.set_aside.is_some());
            if aside { None } else { day_curve(day, pull).map(|(curve, _)| curve) }
        })
        .collect()
}

/// Difference and ± as power over speed.
fn points(asked: &Asked, c: &Comparison, manner: &Manner) -> Vec<(f64, f64, f64)> {
    let unit = manner.unit(Quantity::Power);
    let band = &c.outcome.band;
    let base = torque_of_a(asked, c);
    let one = |g: usize| {
        let power = base[g] * band.speeds_rpm[g] * RPM;
        let delta = unit.from_si(band.delta[g].exp_m1() * power);
        (band.speeds_rpm[g], delta, unit.from_si(band.half_width[g] * power))
    };
    (0..band.speeds_rpm.len()).map(one).collect()
}

/// The answers; stretches too short to count say nothing.
fn strip(c: &Comparison) -> Vec<Part> {
    let stretches = c.outcome.band.stretches();
    let says = |s: &shortblock_compare::Stretch| match s.says {
        Said::More if s.counts() => Says::More,
        Said::Less if s.counts() => Says::Less,
        _ => Says::CantTell,
    };
    let mut parts: Vec<Part> = Vec::new();
    for (i, stretch) in stretches.iter().enumerate() {
        let (from, says) = (stretch.from_rpm, says(stretch));
        let to = stretches.get(i + 1).map_or(stretch.to_rpm, |next| next.from_rpm);
        match parts.last_mut() {
            Some(last) if last.says == says => last.to_rpm = to,
            _ => parts.push(Part { from_rpm: from, to_rpm: to, says }),
        }
    }
    parts
}
