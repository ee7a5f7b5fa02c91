//! Smooth curves through equally spaced knots.

/// Values at `from`, `from + step` and so on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Curve<'a> {
    pub from: f64,
    pub step: f64,
    pub values: &'a [f64],
}

/// The curve at `x`: a cubic between the two knots beside it whose slopes are those between their
/// neighbours (Catmull and Rom 1974, from memory). Past an end the value of the end.
pub(crate) fn smooth(curve: &Curve, x: f64) -> f64 {
    let last = curve.values.len() - 1;
    let place = ((x - curve.from) / curve.step).max(0.0).min(last as f64);
    let i = (place as usize).min(last.saturating_sub(1));
    let t = place - i as f64;
    let at = |k: usize| curve.values[k.min(last)];
    let (a, b, c, d) = (at(i.saturating_sub(1)), at(i), at(i + 1), at(i + 2));
    let (rise, fall) = (0.5 * (c - a), 0.5 * (d - b));
    let bend = c - b;
    b + t * (rise + t * (3.0 * bend - 2.0 * rise - fall + t * (rise + fall - 2.0 * bend)))
}

/// A straight line through points in rising order; past an end the value of the end.
pub(crate) fn line(points: &[(f64, f64)], x: f64) -> f64 {
    let after = points.partition_point(|point| point.0 <= x);
    match (after.checked_sub(1).map(|i| points[i]), points.get(after)) {
        (Some((x0, y0)), Some((x1, y1))) => y0 + (y1 - y0) * (x - x0) / (x1 - x0),
        (Some((_, y)), None) => y,
        (None, first) => first.map_or(0.0, |point| point.1),
    }
}

/// From 0 to 1 without a corner while `x` goes from 0 to 1.
pub(crate) fn ease(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn knots_are_met_and_straight_lines_stay_straight() {
        let values = [1.0, 3.0, 5.0, 7.0, 6.0];
        let curve = Curve { from: 10.0, step: 2.0, values: &values };
        assert_eq!([8.0, 10.0, 12.0, 18.0, 30.0].map(|x| smooth(&curve, x)), [1., 1., 3., 6., 6.]);
        assert_eq!(smooth(&curve, 13.0), 4.0);
        let points = [(1.0, 2.0), (3.0, 6.0)];
        assert_eq!([0.0, 1.0, 2.0, 5.0].map(|x| line(&points, x)), [2.0, 2.0, 4.0, 6.0]);
    }
}
