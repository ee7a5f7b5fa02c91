//! Area of a spherical flame in the chamber, tabulated over burned volume and piston position.
//!
//! The chamber is convex and the plug lies on its roof, so along every direction from the plug
//! there is one distance to a wall. A sphere of radius `r` then has the free area
//! `A(r) = r^2 sum(w_i [r < d_i])` and the volume `V(r) = sum(w_i min(r, d_i)^3)/3`, with `w_i`
//! the solid angles of evenly spread directions. Exact geometry (the idea of Poulos & Heywood
//! 1983, from memory). The one empirical number is the thickness of the flame brush over which the
//! front is spread: it decides how abruptly a front ends that meets the bore all round at once.

use crate::CylinderError;
use crate::mechanism::SliderCrank;
use shortblock_lanes::Lane;
use std::f64::consts::PI;

/// Shape of the chamber above the piston crown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChamberShape {
    /// Flat disc across the bore (also for bathtub and wedge chambers, with the plug aside).
    Disc,
    /// Two planes meeting in a ridge along the crankshaft; they hold this share of the clearance
    /// volume (0 to 0.95), the rest is a disc under them.
    PentRoof {
        /// Share of the clearance volume under the roof.
        roof_share: f64,
    },
    /// One inclined plane, deep on the plug's side of the bore and running out on the other (wedge
    /// and inclined bathtub chambers); this share of the clearance volume (0 to 0.95) lies under it.
    Wedge {
        /// Share of the clearance volume under the plane.
        roof_share: f64,
    },
}

/// The roof over the disc, in bores.
#[derive(Clone, Copy)]
enum Roof {
    /// Ridge height.
    Ridge(f64),
    /// Depth on the plug's side.
    Plane(f64),
}

/// Flame area over burned volume fraction and gas volume, for one chamber and plug.
#[derive(Clone, Debug, PartialEq)]
pub struct FlameTable {
    /// Mean heights `V/A_bore` of the rows over the bore, each as many times that before.
    heights: [f64; ROWS],
    /// Logarithm of the volume of the first row (m^3), and one over its growth to the next.
    ln_volume: f64,
    per_ln_volume: f64,
    /// Area over bore squared; rows by height, columns as [`Half`] says.
    area: Vec<[Half; 2]>,
    /// One over the height steps between rows.
    per_step: [f64; ROWS - 1],
    bore: f64,
    /// One over bore area times bore.
    per_volume: f64,
}

/// Half of a row, even in `t`, the cube root of the volume fraction of the smaller part: of the flame
/// up to half the volume, and there the area is over `t^2`, as a small flame is part of a sphere; of
/// the rest beyond. The last gas is a sliver along the far wall whose area falls as the cube root of
/// its volume: almost a straight line in `t`, where columns even in the flame's own size would cut
/// the area of the last tenth to a half.
type Half = [f64; COLUMNS];

/// Columns of each half.
const COLUMNS: usize = 25;
/// Cube root of one half: where the halves meet.
const MEETING: f64 = 0.793_700_525_984_099_7;
/// Columns per unit of `t`.
const PER_COLUMN: f64 = (COLUMNS - 1) as f64 / MEETING;
/// Rows of the table.
const ROWS: usize = 12;
/// Thickness of the turbulent flame brush over which the sphere's front is spread, m. Source: Heywood
/// 1988 section 9.3 (from memory, low confidence: a developed front is 6 to 10 mm thick).
const BRUSH: f64 = 8e-3;
/// Largest half thickness of the brush over the flame radius: a young flame is not yet wrinkled.
const YOUNG_BRUSH: f64 = 0.15;
/// Radii across the brush that are averaged.
const ACROSS: usize = 4;
/// Two plugs nearer than this to the axis, in bores, are one; own.
const LEAST_APART: f64 = 0.05;
/// Directions traced from the plug.
const DIRECTIONS: usize = 3000;

impl FlameTable {
    /// Tabulates the flame area for the chamber `shape` with the spark plug `plug_offset` m from
    /// the bore axis (along the ridge of a pent roof, towards the deep side of a wedge), up to a quarter of the stroke below dead
    /// centre and beyond.
    ///
    /// # Errors
    /// [`CylinderError::Geometry`] when the plug lies outside the bore or the roof share is not
    /// between 0 and 0.95.
    pub fn new(
        mechanism: &SliderCrank,
        shape: ChamberShape,
        plug_offset: f64,
    ) -> Result<Self, CylinderError> {
        Self::by_plugs(mechanism, shape, plug_offset, false)
    }

    /// The same with a second plug opposite the first, fired with it: each flame has half of the
    /// chamber, up to the plane in which they meet. A wedge is taken as a flat disc, with the plugs
    /// across its slope. Plugs nearer than a twentieth of the bore to the axis are one.
    ///
    /// # Errors
    /// As for [`new`](Self::new).
    pub fn twin(
        mechanism: &SliderCrank,
        shape: ChamberShape,
        plug_offset: f64,
    ) -> Result<Self, CylinderError> {
        let shape = match shape {
            ChamberShape::Wedge { .. } => ChamberShape::Disc,
            other => other,
        };
        let apart = plug_offset.abs() > LEAST_APART * mechanism.bore();
        Self::by_plugs(mechanism, shape, plug_offset.abs(), apart)
    }

    fn by_plugs(
        mechanism: &SliderCrank,
        shape: ChamberShape,
        plug_offset: f64,
        twin: bool,
    ) -> Result<Self, CylinderError> {
        let radius = 0.5 * mechanism.bore();
        if !plug_offset.is_finite() || plug_offset.abs() >= radius {
            return Err(CylinderError::Geometry {
                what: "plug offset",
                value: plug_offset,
                need: "less than half the bore",
            });
        }
        let roof_share = match shape {
            ChamberShape::Disc => 0.0,
            ChamberShape::PentRoof { roof_share } | ChamberShape::Wedge { roof_share } => {
                roof_share
            }
        };
        if !(0.0..=0.95).contains(&roof_share) {
            return Err(CylinderError::Geometry {
                what: "roof share of the clearance volume",
                value: roof_share,
                need: "between 0 and 0.95",
            });
        }
        let bore = mechanism.bore();
        let clearance = mechanism.clearance_volume() / mechanism.bore_area() / bore;
        let top = 1.0 + mechanism.travel() / bore;
        // In units of the bore: a pent roof holds ridge (pi - 4/3)/4, a wedge half its depth times
        // the bore area.
        let roof = match shape {
            ChamberShape::Wedge { .. } => Roof::Plane(2.0 * roof_share * clearance),
            _ => Roof::Ridge(roof_share * clearance * PI / (PI - 4.0 / 3.0)),
        };
        let heights: [f64; ROWS] = std::array::from_fn(|i| {
            clearance * (top / clearance).powf(i as f64 / (ROWS - 1) as f64)
        });
        let directions = directions();
        let mut area = Vec::with_capacity(ROWS);
        for &height in &heights {
            let gap = height - roof_share * clearance;
            let plug = plug_offset / bore;
            let meeting = |[dx, ..]: [f64; 3]| match twin && dx < 0.0 {
                true => -plug / dx,
                false => f64::INFINITY,
            };
            let reach: Vec<f64> =
                directions.iter().map(|d| reach(*d, plug, roof, gap).min(meeting(*d))).collect();
            let halves = row(reach, BRUSH / bore);
            area.push(if twin { halves.map(|half| half.map(|a| 2.0 * a)) } else { halves });
        }
        let per_step = std::array::from_fn(|i| 1.0 / (heights[i + 1] - heights[i]));
        let per_volume = 1.0 / (mechanism.bore_area() * bore);
        let ln_volume = (clearance / per_volume).ln();
        let per_ln_volume = (ROWS - 1) as f64 / (top / clearance).ln();
        Ok(Self { heights, ln_volume, per_ln_volume, area, per_step, bore, per_volume })
    }

    /// Returns the free flame areas, m^2, in several chambers, one a lane, when the flame encloses
    /// the share `fraction` (0 to 1) of the gas volume `volume` (m^3).
    #[inline(always)]
    pub fn area<V: Lane>(chambers: &[&FlameTable], fraction: V, volume: V) -> V {
        let part = fraction.min(V::splat(1.0) - fraction).clamp(V::splat(1e-12), V::splat(0.5));
        let t = part.powf(1.0 / 3.0);
        let column = t * V::splat(PER_COLUMN);
        let ln_volume = volume.ln();
        let mut corners = [V::splat(0.0); 4];
        let (mut a, mut b, mut scale) = (V::splat(0.0), V::splat(0.0), V::splat(0.0));
        for (lane, chamber) in chambers.iter().enumerate() {
            let late = fraction.get(lane) > 0.5;
            let (i, above) = chamber.row(volume.get(lane), ln_volume.get(lane));
            let x = column.get(lane);
            let j = (x as u32 as usize).min(COLUMNS - 2);
            a.set(lane, above);
            b.set(lane, x - j as f64);
            scale.set(lane, if late { chamber.bore } else { chamber.bore * t.get(lane) });
            for (k, corner) in corners.iter_mut().enumerate() {
                corner.set(lane, chamber.area[i + k / 2][usize::from(late)][j + k % 2]);
            }
        }
        let at = |k: usize| b.mul_add(corners[k + 1] - corners[k], corners[k]);
        let (low, high) = (at(0), at(2));
        a.mul_add(high - low, low) * (scale * scale)
    }

    /// The row below the gas volume, and how far above it, in rows (at most 1).
    #[inline(always)]
    fn row(&self, volume: f64, ln_volume: f64) -> (usize, f64) {
        let height = (volume * self.per_volume).max(self.heights[0]);
        let i = ((ln_volume - self.ln_volume) * self.per_ln_volume) as u32 as usize;
        let i = i.min(ROWS - 2);
        (i, ((height - self.heights[i]) * self.per_step[i]).min(1.0))
    }
}

/// Evenly spread unit vectors on the sphere (golden-angle spiral); `z` points to the piston.
fn directions() -> Vec<[f64; 3]> {
    let golden = PI * (3.0 - 5f64.sqrt());
    (0..DIRECTIONS)
        .map(|i| {
            let z = 1.0 - (2.0 * i as f64 + 1.0) / DIRECTIONS as f64;
            let s = (1.0 - z * z).sqrt();
            let (sin, cos) = (golden * i as f64).sin_cos();
            [s * cos, s * sin, z]
        })
        .collect()
}

/// Distance from the plug to a wall along a direction, in bores; 0 into the roof.
fn reach([dx, dy, dz]: [f64; 3], plug: f64, roof: Roof, gap: f64) -> f64 {
    // The plug sits on the roof `height` above the disc; the flat piston is the plane z = gap. A ray
    // that falls below the roof at once never comes back under it, as the roof has no hollow.
    let (height, slope) = match roof {
        // z = -ridge (1 - |y|/0.5), plug on the ridge.
        Roof::Ridge(ridge) => (ridge, 2.0 * ridge * dy.abs()),
        // z = -depth (x + 0.5).
        Roof::Plane(depth) => (depth * (plug + 0.5), -depth * dx),
    };
    if dz < slope {
        return 0.0;
    }
    let piston = if dz > 0.0 { (gap + height) / dz } else { f64::INFINITY };
    // Bore: (plug + t dx)^2 + (t dy)^2 = 1/4.
    let (a, b, c) = (dx * dx + dy * dy, plug * dx, plug * plug - 0.25);
    let bore = if a > 1e-12 { (-b + (b * b - a * c).sqrt()) / a } else { f64::INFINITY };
    piston.min(bore)
}

/// Volume of the sphere of radius `r` inside the chamber, for any `r`: distances to the walls in
/// ascending order with the running sum of their cubes.
struct Chamber {
    reach: Vec<f64>,
    cubes: Vec<f64>,
}

impl Chamber {
    fn new(mut reach: Vec<f64>) -> Self {
        reach.sort_by(f64::total_cmp);
        let mut sum = 0.0;
        let mut cubes = vec![0.0];
        for d in &reach {
            sum += d.powi(3);
            cubes.push(sum);
        }
        Self { reach, cubes }
    }

    fn volume(&self, r: f64) -> f64 {
        let met = self.reach.partition_point(|d| *d < r);
        let free = (self.reach.len() - met) as f64;
        (self.cubes[met] + free * r.powi(3)) * (4.0 * PI / 3.0) / self.reach.len() as f64
    }
}

/// One row of the table, with the thickness of the flame brush in bores.
///
/// The front is a brush, not a surface, so it reaches a wall over a while: the volume enclosed is the
/// mean over the radii across the brush, the area is its slope over the mean radius.
fn row(reach: Vec<f64>, brush: f64) -> [Half; 2] {
    let chamber = Chamber::new(reach);
    let far = chamber.reach[chamber.reach.len() - 1];
    let whole = chamber.volume(far);
    let volume = |r: f64| {
        let half = (0.5 * brush).min(YOUNG_BRUSH * r);
        let across = (0..ACROSS).map(|i| (2 * i + 1) as f64 / ACROSS as f64 - 1.0);
        across.map(|q| chamber.volume(r + q * half)).sum::<f64>() / ACROSS as f64
    };
    // Twelve halvings leave an interval so short that the chord across it is exact to 1e-7.
    let radius = |fraction: f64| {
        let wanted = fraction * whole;
        let (mut low, mut high) = ((0.0, 0.0), (far + brush, whole));
        for _ in 0..12 {
            let mid = 0.5 * (low.0 + high.0);
            let v = volume(mid);
            if v < wanted { low = (mid, v) } else { high = (mid, v) }
        }
        low.0 + (high.0 - low.0) * (wanted - low.1) / (high.1 - low.1)
    };
    // Area as the slope of volume over up to half a column on either side: smooth where counting
    // the directions still free would be a staircase.
    let slope = |t: f64, fraction: fn(f64) -> f64| {
        let half = (0.5 / PER_COLUMN).min(0.15 * t);
        let (r0, r1) = (radius(fraction(t - half)), radius(fraction(t + half)));
        (volume(r1) - volume(r0)) / (r1 - r0)
    };
    let (mut early, mut late) = ([0.0; COLUMNS], [0.0; COLUMNS]);
    for j in 1..COLUMNS {
        let t = j as f64 / PER_COLUMN;
        early[j] = slope(t, |t| t.powi(3)) / (t * t);
        late[j] = slope(t, |t| 1.0 - t.powi(3));
    }
    early[0] = early[1];
    late[COLUMNS - 1] = early[COLUMNS - 1] * MEETING * MEETING;
    [early, late]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(t: &FlameTable, fraction: f64, volume: f64) -> f64 {
        FlameTable::area(&[t], fraction, volume)
    }

    fn table(shape: ChamberShape, offset: f64) -> (SliderCrank, FlameTable) {
        let c = SliderCrank::new(0.086, 0.086, 0.143, 0.0, 11.0).unwrap();
        let t = FlameTable::new(&c, shape, offset).unwrap();
        (c, t)
    }

    /// A small flame at a central plug in a flat roof is a half sphere: A = (18 pi)^(1/3) V^(2/3).
    #[test]
    fn a_small_flame_is_a_half_sphere() {
        let (c, t) = table(ChamberShape::Disc, 0.0);
        let v = c.volume(0.5);
        for x in [1e-4, 1e-3, 5e-3] {
            let half = (18.0 * PI).cbrt() * (x * v).powf(2.0 / 3.0);
            let found = area(&t, x, v);
            assert!((found / half - 1.0).abs() < 0.03, "{x}: {found} {half}");
        }
    }

    /// By geometry: two small flames have the cube root of two times the area of one of their volume,
    /// two free cylinders in a flat disc the square root of two times.
    #[test]
    fn two_plugs_have_two_flames_that_meet() {
        let (c, one) = table(ChamberShape::Disc, 0.0215);
        let two = FlameTable::twin(&c, ChamberShape::Disc, 0.0215).unwrap();
        let v = c.volume(0.0);
        let ratio = |x: f64| area(&two, x, v) / area(&one, x, v);
        assert!((ratio(1e-3) / 2f64.cbrt() - 1.0).abs() < 0.03, "{}", ratio(1e-3));
        assert!((ratio(0.15) / 2f64.sqrt() - 1.0).abs() < 0.1, "{}", ratio(0.15));
        let alone = FlameTable::twin(&c, ChamberShape::Disc, 0.002).unwrap();
        let central = FlameTable::new(&c, ChamberShape::Disc, 0.002).unwrap();
        assert_eq!(alone, central);
    }

    /// When the central flame has met the piston it is nearly a cylinder: A = 2 pi r h.
    #[test]
    fn a_grown_flame_in_a_flat_disc_is_a_cylinder() {
        let (c, t) = table(ChamberShape::Disc, 0.0);
        let v = c.volume(0.0);
        let h = v / c.bore_area();
        let r = 0.5f64.sqrt() * 0.043;
        let cylinder = 2.0 * PI * r * h;
        assert!((area(&t, 0.5, v) / cylinder - 1.0).abs() < 0.05);
    }

    /// In a flat disc with the plug aside the last gas is a sliver between two arcs: its area seen
    /// along the bore and the length of the flame's arc follow from two circles (plane geometry).
    #[test]
    fn the_last_gas_is_a_sliver_between_two_arcs() {
        let offset = 0.02;
        let (c, t) = table(ChamberShape::Disc, offset);
        let v = c.volume(0.0);
        let (height, bore_radius) = (v / c.bore_area(), 0.043);
        for width in [0.005, 0.007, 0.009] {
            // Wider than half the brush; the sphere is taken as a cylinder of its radius.
            let r = bore_radius + offset - width;
            let d = offset;
            let flame_half = ((d * d + r * r - bore_radius * bore_radius) / (2.0 * d * r)).acos();
            let bore_half =
                ((bore_radius * bore_radius + d * d - r * r) / (2.0 * d * bore_radius)).acos();
            // Circles overlap: the union's rest of the bore disc is disc less lens.
            let lens = r * r * (flame_half - 0.5 * (2.0 * flame_half).sin())
                + bore_radius * bore_radius * (bore_half - 0.5 * (2.0 * bore_half).sin());
            let fraction = lens / c.bore_area();
            let arc = 2.0 * r * flame_half * height;
            let found = area(&t, fraction, v);
            assert!((found / arc - 1.0).abs() < 0.1, "{width}: {fraction} {found} {arc}");
        }
    }

    #[test]
    fn a_side_plug_has_less_flame_area_half_way() {
        let (c, central) = table(ChamberShape::Disc, 0.0);
        let (_, side) = table(ChamberShape::Disc, 0.03);
        let v = c.volume(0.1);
        assert!(area(&side, 0.4, v) < area(&central, 0.4, v));
    }

    #[test]
    fn volume_of_roof_and_disc_is_the_gas_volume() {
        let bore_area = PI / 4.0;
        let weight = 4.0 * PI / DIRECTIONS as f64;
        let held = |plug, roof, gap| {
            let cubes =
                directions().iter().map(|d| reach(*d, plug, roof, gap).powi(3)).sum::<f64>();
            cubes * weight / 3.0
        };
        for (height, gap) in [(0.0, 0.1), (0.15, 0.02), (0.2, 0.5)] {
            let exact = gap * bore_area + height * (PI - 4.0 / 3.0) / 4.0;
            assert!((held(0.0, Roof::Ridge(height), gap) / exact - 1.0).abs() < 0.03);
            let exact = (gap + 0.5 * height) * bore_area;
            assert!((held(0.25, Roof::Plane(height), gap) / exact - 1.0).abs() < 0.03);
        }
    }
}
