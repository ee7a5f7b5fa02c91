//! Limits of what moves and of the rules: engine speed, piston speed, displacement, compression.

use super::{LimitCheck, Verdict, at_most, largest, shipped, whose};
use shortblock_cycle::Point;
use shortblock_engine::Build;
use shortblock_units::Quantity;

pub(super) fn checks(build: &Build, points: &[Point]) -> Vec<LimitCheck> {
    [engine_speed(build, points), piston_speed(build, points), displacement(build)]
        .into_iter()
        .flatten()
        .chain(compression(build))
        .collect()
}

fn engine_speed(build: &Build, points: &[Point]) -> Option<LimitCheck> {
    let limit = build.limits.engine_speed.as_ref()?;
    let (speed, value) = largest(points, |point| point.speed)?;
    let beyond = value > limit.si * (1.0 + 1e-9);
    Some(LimitCheck {
        name: "engine speed",
        verdict: if beyond { Verdict::Stop } else { Verdict::InOrder },
        value,
        limit: (None, Some(limit.si)),
        quantity: Quantity::EngineSpeed,
        speed: Some(speed),
        reason: "The curve must end where the engine may go no faster.".into(),
        whose: whose(limit),
    })
}

fn piston_speed(build: &Build, points: &[Point]) -> Option<LimitCheck> {
    let (speed, value) = largest(points, |point| point.mean_piston_speed)?;
    let limit = &build.limits.mean_piston_speed;
    Some(LimitCheck {
        name: "mean piston speed",
        verdict: at_most(value, limit.si),
        value,
        limit: (None, Some(limit.si)),
        quantity: Quantity::Speed,
        speed: Some(speed),
        reason: "Forces in rods and pistons rise with its square.".into(),
        whose: whose(limit),
    })
}

fn displacement(build: &Build) -> Option<LimitCheck> {
    let limit = build.item("goal.displacement")?.value()?;
    let value = build.bottom_end.displacement;
    let plus_minus = build.bottom_end.swept.plus_minus * build.layout.cylinders as f64;
    let verdict = if value > limit.si {
        Verdict::Stop
    } else if value + plus_minus > limit.si {
        Verdict::Watch
    } else {
        Verdict::InOrder
    };
    Some(LimitCheck {
        name: "displacement",
        verdict,
        value,
        limit: (None, Some(limit.si)),
        quantity: Quantity::Volume,
        speed: None,
        reason: "The class allows no more.".into(),
        whose: whose(limit),
    })
}

/// Range of compression ratios that are asked no question; as in the shipped ranges of the file.
fn compression(build: &Build) -> Option<LimitCheck> {
    let standing = shortblock_engine::defaults::default_of("chamber.compression_ratio")?;
    let (low, high) = standing.doubt?;
    let range = build.chamber.compression_ratio.range();
    let value = if range.end > high { range.end } else { range.start };
    let inside = range.start >= low && range.end <= high;
    Some(LimitCheck {
        name: "compression ratio",
        verdict: if inside { Verdict::InOrder } else { Verdict::Watch },
        value,
        limit: (Some(low), Some(high)),
        quantity: Quantity::Ratio,
        speed: None,
        reason: "Outside this range few engines run; volumes may be off.".into(),
        whose: shipped(&standing.source),
    })
}

#[cfg(test)]
mod tests {
    use crate::limits::tests::check;
    use crate::limits::{Verdict, Whose};
    use crate::tests_support::{four, plain_point};

    #[test]
    fn piston_speed_is_twice_stroke_times_speed() {
        // 86 mm at 7000 rpm: 2 x 0.086 x 116.667 = 20.07 m/s.
        let build = four();
        let point = plain_point(&build, 7000.0 * std::f64::consts::PI / 30.0);
        let found = check(&build, point, "mean piston speed").unwrap();
        assert!((found.value - 20.07).abs() < 0.005);
        assert_eq!(found.verdict, Verdict::InOrder);
        assert!(matches!(found.whose, Whose::Shipped(_)));
    }

    #[test]
    fn a_limit_of_the_file_is_the_files() {
        let build = four().with("limits.mean_piston_speed", "20.5 m/s").unwrap();
        let point = plain_point(&build, 733.0);
        let found = check(&build, point, "mean piston speed").unwrap();
        assert_eq!((found.verdict, found.whose), (Verdict::Watch, Whose::File));
    }

    #[test]
    fn displacement_counts_against_the_class() {
        // 4 x pi/4 x 8.6² x 8.6 = 1998.2 cc.
        let verdict = |limit: &str| {
            let build = four().with("goal.displacement", limit).unwrap();
            let point = plain_point(&build, 500.0);
            check(&build, point, "displacement").unwrap().verdict
        };
        assert_eq!(verdict("2500 cc"), Verdict::InOrder);
        assert_eq!(verdict("2000 cc"), Verdict::Watch);
        assert_eq!(verdict("1998 cc"), Verdict::Stop);
    }
}
