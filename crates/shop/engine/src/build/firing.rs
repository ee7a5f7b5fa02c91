//! Firing order and crank to firing angles. Angles in degrees, cylinder numbers from 1.

use super::layout::Arrangement;

/// Why crank and firing order do not go together.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FiringError {
    /// The number of pins fits neither the cylinders nor the pairs.
    #[error(
        "{pins} crank pins for {cylinders} cylinders: one per cylinder, or one per pair in a V"
    )]
    Pins {
        /// Pins given.
        pins: usize,
        /// Cylinders.
        cylinders: usize,
    },
    /// No reading of the angles lets the cylinders fire in this order.
    #[error("with these crank pins the cylinders can't fire in this order")]
    Order,
}

/// The commonest firing order of a layout (TRADE 5.4: common practice, no source). Numbering is
/// by bank pairs, front to back.
#[must_use]
pub fn usual_order(cylinders: usize, arrangement: Arrangement) -> Vec<usize> {
    let order: &[usize] = match (cylinders, arrangement) {
        (3, _) => &[1, 2, 3],
        (4, Arrangement::Flat) => &[1, 3, 2, 4],
        (4, _) => &[1, 3, 4, 2],
        (5, _) => &[1, 2, 4, 5, 3],
        (6, Arrangement::Inline) => &[1, 5, 3, 6, 2, 4],
        (6, Arrangement::Flat) => &[1, 6, 2, 4, 3, 5],
        (8, Arrangement::Inline) => &[1, 6, 2, 5, 8, 3, 7, 4],
        (8, Arrangement::V) => &[1, 8, 4, 3, 6, 5, 7, 2],
        (10, _) => &[1, 10, 9, 4, 3, 6, 5, 8, 7, 2],
        (12, _) => &[1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10],
        _ => &[],
    };
    if order.is_empty() { (1..=cylinders).collect() } else { order.to_vec() }
}

/// Evenly spaced firing in an order; by cylinder, degrees.
#[must_use]
pub fn even(order: &[usize]) -> Vec<f64> {
    let step = 720.0 / order.len().max(1) as f64;
    let mut out = vec![0.0; order.len()];
    for (place, cylinder) in order.iter().enumerate() {
        if let Some(angle) = out.get_mut(cylinder.wrapping_sub(1)) {
            *angle = place as f64 * step;
        }
    }
    out
}

/// Whether the crank of one row that fires at these angles (by cylinder, degrees) has two mirrored
/// halves, as cranks of an even number of pins have so that their couples cancel (balance of a row
/// of cranks, any textbook of the theory of machines). True for an odd number, which has no halves.
#[must_use]
pub fn crank_is_mirrored(firing: &[f64]) -> bool {
    // 0 where two pins point the same way; rounding may leave a hair to either side of a turn.
    let apart = |(front, rear): (&f64, &f64)| (front - rear + 180.0).rem_euclid(360.0) - 180.0;
    let same = |turn: f64| turn.abs() < 1e-6;
    firing.len() % 2 == 1 || firing.iter().zip(firing.iter().rev()).map(apart).all(same)
}

/// Firing angles from the crank: `pins` are pin angles from the front, one per cylinder, or one
/// per pair (first of each bank, second of each bank, ...); `between` is the bank angle, `offset`
/// the split of a pin. Which way round crank, banks and split are counted is not asked: of the
/// readings the one that fires most evenly in the given order is taken.
///
/// # Errors
/// When the number of pins does not fit or no reading allows the order.
pub fn from_crank(
    order: &[usize],
    banks: &[Vec<usize>],
    pins: &[f64],
    between: f64,
    offset: f64,
) -> Result<Vec<f64>, FiringError> {
    let cylinders = order.len();
    let paired = banks.len() == 2 && pins.len() * 2 == cylinders;
    if pins.len() != cylinders && !paired {
        return Err(FiringError::Pins { pins: pins.len(), cylinders });
    }
    let signs = [1.0, -1.0];
    let readings = signs.iter().flat_map(|turn| {
        [between + offset, between - offset, -between + offset, -between - offset]
            .map(|apart| (*turn, apart))
    });
    let found = readings.filter_map(|(turn, apart)| {
        in_order(order, &dead_centres(banks, pins, paired, cylinders, turn, apart))
    });
    let best = found.min_by(|a, b| unevenness(order, a).total_cmp(&unevenness(order, b)));
    best.ok_or(FiringError::Order)
}

/// Crank angle of each cylinder's top dead centre, 0 to 360, by cylinder: `turn` is the sense in
/// which pins are counted, `apart` how much later the second bank is.
fn dead_centres(
    banks: &[Vec<usize>],
    pins: &[f64],
    paired: bool,
    cylinders: usize,
    turn: f64,
    apart: f64,
) -> Vec<f64> {
    let mut out = vec![0.0; cylinders];
    for (bank, members) in banks.iter().enumerate() {
        for (place, cylinder) in members.iter().enumerate() {
            let pin = if paired { place } else { cylinder.wrapping_sub(1) };
            let angle = pins.get(pin).copied().unwrap_or(0.0);
            if let Some(slot) = out.get_mut(cylinder.wrapping_sub(1)) {
                *slot = (turn * angle + bank as f64 * apart).rem_euclid(360.0);
            }
        }
    }
    out
}

/// Firing angles that follow the order, the first at 0; the most even choice of turn for each.
fn in_order(order: &[usize], dead_centres: &[f64]) -> Option<Vec<f64>> {
    let at = |cylinder: usize| dead_centres.get(cylinder.wrapping_sub(1)).copied();
    let first = at(*order.first()?)?;
    let step = 720.0 / order.len() as f64;
    let mut out = vec![0.0; order.len()];
    let mut last = 0.0;
    for (place, cylinder) in order.iter().enumerate().skip(1) {
        let base = (at(*cylinder)? - first).rem_euclid(360.0);
        // Rounding may leave a hair under a full turn.
        let base = if base > 360.0 - 1e-6 { 0.0 } else { base };
        let wanted = place as f64 * step;
        let choices = [base, base + 360.0].into_iter().filter(|a| *a >= last - 1e-6);
        let chosen = choices.min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()))?;
        *out.get_mut(cylinder.wrapping_sub(1))? = chosen;
        last = chosen;
    }
    Some(out)
}

/// Sum of squares of the intervals between firings, deg².
fn unevenness(order: &[usize], angles: &[f64]) -> f64 {
    let mut fired: Vec<f64> = order.iter().filter_map(|c| angles.get(c - 1).copied()).collect();
    fired.push(720.0);
    fired.windows(2).map(|pair| (pair[1] - pair[0]).powi(2)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn usual_orders_in_a_row_have_a_mirrored_crank_and_a_shuffled_one_has_not() {
        // Orders of common practice, no source.
        for order in [&[1, 2, 4, 3][..], &[1, 4, 2, 6, 3, 5], &[1, 2, 4, 5, 3]] {
            assert!(crank_is_mirrored(&even(order)), "{order:?}");
        }
        for cylinders in [4, 6, 8] {
            let order = usual_order(cylinders, Arrangement::Inline);
            assert!(crank_is_mirrored(&even(&order)), "{order:?}");
        }
        for order in [&[1, 2, 3, 4][..], &[1, 3, 2, 4], &[1, 5, 3, 2, 6, 4]] {
            assert!(!crank_is_mirrored(&even(order)), "{order:?}");
        }
    }

    #[test]
    fn a_two_plane_v8_fires_every_90_degrees() {
        let banks = [vec![1, 3, 5, 7], vec![2, 4, 6, 8]];
        let order = [1, 8, 4, 3, 6, 5, 7, 2];
        let angles = from_crank(&order, &banks, &[0.0, 90.0, 270.0, 180.0], 90.0, 0.0).unwrap();
        assert_eq!(angles, even(&order));
    }

    #[test]
    fn a_45_degree_twin_on_one_pin_fires_at_315_and_405() {
        let angles = from_crank(&[1, 2], &[vec![1], vec![2]], &[0.0], 45.0, 0.0).unwrap();
        assert!(angles == [0.0, 315.0] || angles == [0.0, 405.0], "{angles:?}");
    }

    #[test]
    fn a_90_degree_v6_on_shared_pins_fires_unevenly_and_a_30_degree_split_mends_it() {
        let banks = [vec![1, 3, 5], vec![2, 4, 6]];
        let order = [1, 6, 5, 4, 3, 2];
        let intervals = |angles: &[f64]| {
            let mut fired: Vec<f64> = angles.to_vec();
            fired.sort_by(f64::total_cmp);
            fired.push(720.0);
            fired.windows(2).map(|p| (p[1] - p[0]).round()).collect::<Vec<_>>()
        };
        let shared = from_crank(&order, &banks, &[0.0, 120.0, 240.0], 90.0, 0.0).unwrap();
        let mut uneven = intervals(&shared);
        uneven.sort_by(f64::total_cmp);
        assert_eq!(uneven, [90.0, 90.0, 90.0, 150.0, 150.0, 150.0]);
        let split = from_crank(&order, &banks, &[0.0, 120.0, 240.0], 90.0, 30.0).unwrap();
        assert_eq!(intervals(&split), [120.0; 6]);
    }

    #[test]
    fn an_order_the_crank_can_not_do_is_refused() {
        let pins = [0.0, 180.0, 180.0, 0.0];
        assert!(from_crank(&[1, 3, 4, 2], &[vec![1, 2, 3, 4]], &pins, 0.0, 0.0).is_ok());
        assert_eq!(
            from_crank(&[1, 4, 3, 2], &[vec![1, 2, 3, 4]], &[0.0, 90.0, 180.0], 0.0, 0.0),
            Err(FiringError::Pins { pins: 3, cylinders: 4 })
        );
    }
}
