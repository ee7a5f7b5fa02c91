//! Figures of a curve with their ±: best torque and power, averages, goals.

use crate::ask::Ask;
use crate::band::{Band, Parts, sampled};
use crate::discrepancy;
use crate::error::PlanError;
use crate::normal::{K_95, below};
use crate::prediction::{Averages, Best, Figure, GoalCheck};
use shortblock_curve::{Curve, Predicted, Quantity};
use shortblock_engine::{Build, Wish};

/// Points of the search for the best within a range.
const SEARCH: usize = 200;

/// Best torque or power of the curve.
pub(crate) fn best(curve: &Curve<Predicted>, band: Option<&Band>, quantity: Quantity) -> Best {
    let peak = curve.peak(quantity);
    let peaks: Vec<(f64, f64)> = band
        .into_iter()
        .flat_map(|band| band.whole().filter_map(|(_, row)| band.curve(curve, row).ok()))
        .map(|curve| curve.peak(quantity))
        .map(|of| ((of.value / peak.value).ln(), of.speed - peak.speed))
        .filter(|(ratio, _)| ratio.is_finite())
        .collect();
    let (ratios, places): (Vec<f64>, Vec<f64>) = peaks.into_iter().unzip();
    let (_, place) =
        discrepancy::of_best(curve.speed(), curve.torque(), curve.column(quantity), &|_| true);
    let parts = band.map(|band| Parts {
        inputs: sampled(&ratios),
        model: discrepancy::of_peak(),
        mesh: mesh_at(curve, band, peak.speed),
        rating: band.rating,
    });
    Best {
        figure: figure(peak.value, parts),
        parts,
        speed: peak.speed,
        speed_plus_minus: band.map(|_| sampled(&places).hypot(place)),
        at_end: peak.at_end,
    }
}

/// Means over the range asked for, the goal's, or the whole curve; none where the curve does not
/// cover what was asked for.
///
/// # Errors
/// A range that was asked for and is none.
pub(crate) fn averages(
    build: &Build,
    ask: &Ask,
    curve: &Curve<Predicted>,
    band: Option<&Band>,
) -> Result<Option<Averages>, PlanError> {
    if let Some((low, high)) = ask.average
        && !(low > 0.0 && high > low && high.is_finite())
    {
        let what = "the range for the average is empty".to_owned();
        return Err(PlanError::Ask { what, hint: "give it as low and high engine speed".into() });
    }
    let (low, high) = average_range(build, ask, curve);
    let mean = |quantity: Quantity| {
        let centre = curve.average(quantity, low, high).ok()?.value;
        let parts = band.map(|band| Parts {
            inputs: band.of_inputs(0.0, |row| {
                let of = band.curve(curve, row).ok()?.average(quantity, low, high).ok()?.value;
                Some((of / centre).ln()).filter(|ratio| ratio.is_finite())
            }),
            model: discrepancy::of_mean(
                curve.speed(),
                curve.torque(),
                curve.column(quantity),
                (low, high),
            ),
            mesh: mesh_of_mean(curve, band, low, high),
            rating: band.rating,
        });
        Some(figure(centre, parts))
    };
    let both = mean(Quantity::Torque).zip(mean(Quantity::Power));
    Ok(both.map(|(torque, power)| Averages { low, high, torque, power }))
}

/// The range averages are taken over, rad/s.
pub(crate) fn average_range(build: &Build, ask: &Ask, curve: &Curve<Predicted>) -> (f64, f64) {
    let whole = (curve.lowest_speed(), curve.highest_speed());
    let goal = build.goal.range.filter(|(low, high)| curve.covers(*low) && curve.covers(*high));
    ask.average.or(goal).unwrap_or(whole)
}

/// Goals of the build that the curve's range of speeds can tell.
pub(crate) fn goals(
    build: &Build,
    curve: &Curve<Predicted>,
    band: Option<&Band>,
) -> Vec<GoalCheck> {
    let wishes = [(Quantity::Torque, &build.goal.torque), (Quantity::Power, &build.goal.power)];
    let wishes = wishes.into_iter().filter_map(|(quantity, wish)| Some((quantity, wish.as_ref()?)));
    wishes.filter_map(|(quantity, wish)| goal(quantity, wish, curve, band)).collect()
}

/// A goal is reached when the best within its range of speeds is at or above it.
fn goal(
    quantity: Quantity,
    wish: &Wish,
    curve: &Curve<Predicted>,
    band: Option<&Band>,
) -> Option<GoalCheck> {
    let low = wish.from.unwrap_or(0.0).max(curve.lowest_speed());
    let high = wish.to.unwrap_or(f64::INFINITY).min(curve.highest_speed());
    if low > high {
        return None;
    }
    let (speed, value) = best_within(curve, quantity, low, high);
    let model = model_within(curve, quantity, low, high, (speed, value));
    let parts = band.map(|band| Parts {
        inputs: band.of_inputs(0.0, |row| {
            let (_, of) = best_within(&band.curve(curve, row).ok()?, quantity, low, high);
            Some((of / value).ln()).filter(|ratio| ratio.is_finite())
        }),
        model,
        mesh: mesh_at(curve, band, speed),
        rating: band.rating,
    });
    let reached = figure(value, parts);
    let wanted = wish.value.si;
    let chance = reached.plus_minus.map(|plus_minus| chance_above(value - wanted, plus_minus));
    Some(GoalCheck { quantity, wanted, reached, speed, chance })
}

/// ± of the best between two speeds (rad/s), of which one point is known, from what the model has
/// wrong, as a share.
fn model_within(
    curve: &Curve<Predicted>,
    quantity: Quantity,
    low: f64,
    high: f64,
    best: (f64, f64),
) -> f64 {
    if low <= curve.lowest_speed() && high >= curve.highest_speed() {
        return discrepancy::of_peak();
    }
    let own = curve.speed().iter().copied().filter(|speed| *speed != best.0);
    let mut speeds: Vec<f64> = own.chain([best.0]).collect();
    speeds.sort_by(f64::total_cmp);
    let column = |of: Quantity| -> Vec<f64> {
        speeds.iter().map(|speed| curve.at(of, *speed).unwrap_or(0.0)).collect()
    };
    let (torque, values) = (column(Quantity::Torque), column(quantity));
    discrepancy::of_best(&speeds, &torque, &values, &|speed| (low..=high).contains(&speed)).0
}

/// Chance that something predicted so far above a mark lies above it; sure where it has no ±.
pub(crate) fn chance_above(by: f64, plus_minus: f64) -> f64 {
    if plus_minus > 0.0 {
        below(by * K_95 / plus_minus)
    } else if by >= 0.0 {
        1.0
    } else {
        0.0
    }
}

/// Speed and value of the best from `low` to `high`, both within the curve.
fn best_within(curve: &Curve<Predicted>, quantity: Quantity, low: f64, high: f64) -> (f64, f64) {
    let grid = (0..=SEARCH).map(|i| low + (high - low) * i as f64 / SEARCH as f64);
    let peak = curve.peak(quantity).speed;
    let all = grid.chain((low..=high).contains(&peak).then_some(peak));
    let values = all.filter_map(|speed| Some((speed, curve.at(quantity, speed)?)));
    values.fold((low, f64::NEG_INFINITY), |best, next| if next.1 > best.1 { next } else { best })
}

fn figure(value: f64, parts: Option<Parts>) -> Figure {
    Figure { value, plus_minus: parts.map(|parts| value.abs() * parts.together()) }
}

/// The mesh's ± (share) at a speed, straight between points.
fn mesh_at(curve: &Curve<Predicted>, band: &Band, speed: f64) -> f64 {
    let shares = curve.torque().iter().zip(&band.mesh_shift).map(|(t, m)| t.abs() * m.abs());
    let column: Vec<f64> = shares.collect();
    let with = curve.clone().with_torque_plus_minus(column).ok();
    let at = with.and_then(|curve| {
        Some(curve.plus_minus_at(Quantity::Torque, speed)? / curve.at(Quantity::Torque, speed)?)
    });
    at.map_or(0.0, f64::abs)
}

/// The mesh's ± (share) of a mean: its shifts with their signs.
fn mesh_of_mean(curve: &Curve<Predicted>, band: &Band, low: f64, high: f64) -> f64 {
    let mean =
        |curve: &Curve<Predicted>| Some(curve.average(Quantity::Torque, low, high).ok()?.value);
    let ratio =
        band.on_second_mesh(curve).ok().and_then(|other| Some(mean(&other)? / mean(curve)?));
    ratio.map_or(0.0, |ratio| (ratio - 1.0).abs())
}
