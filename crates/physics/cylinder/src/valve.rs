//! Flow area of the valves of one port over lift.
//!
//! Geometric area by Heywood 1988 eq. 6.7-6.9 (from memory): at low lift the frustum at the seat,
//! then that between seat and head, at last the port less the stem. Effective area from a
//! flow-bench table by the isentropic nozzle at the bench's test pressure, or generic coefficients
//! ([`crate::discharge`]).

use crate::CylinderError;
use crate::discharge::{self, Port};
use crate::monotone::Monotone;
use std::f64::consts::{FRAC_PI_4, PI};

/// Dimensions of a poppet valve, m and rad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoppetValve {
    /// Head diameter.
    pub head_diameter: f64,
    /// Seat width along the seat.
    pub seat_width: f64,
    /// Seat angle to the plane across the valve (45 degrees is usual).
    pub seat_angle: f64,
    /// Stem diameter.
    pub stem_diameter: f64,
}

impl PoppetValve {
    /// A valve of which only the head is known: seat width 4.5 % of it, 45 degrees, stem a fifth
    /// (common practice, no source).
    pub fn usual(head_diameter: f64) -> Self {
        Self {
            head_diameter,
            seat_width: 0.045 * head_diameter,
            seat_angle: PI / 4.0,
            stem_diameter: 0.2 * head_diameter,
        }
    }

    /// Curtain area `pi D L`, m^2.
    pub fn curtain_area(&self, lift: f64) -> f64 {
        PI * self.head_diameter * lift.max(0.0)
    }

    /// Least geometric area at `lift` (m), m^2: never more than the port less the stem.
    pub fn geometric_area(&self, lift: f64) -> f64 {
        let (d, w, beta) = (self.head_diameter, self.seat_width, self.seat_angle);
        let lift = lift.max(0.0);
        let port = d - 2.0 * w;
        let throat = FRAC_PI_4 * (port * port - self.stem_diameter.powi(2)).max(0.0);
        let (sin, cos) = beta.sin_cos();
        let area = if sin > 0.0 && lift * sin * cos <= w {
            PI * lift * cos * (port + 0.5 * lift * (2.0 * beta).sin())
        } else {
            PI * (d - w) * ((lift - w * beta.tan()).powi(2) + w * w).sqrt()
        };
        area.min(throat)
    }
}

/// One row of a flow-bench sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlowRow {
    /// Valve lift, m.
    pub lift: f64,
    /// Volume flow at the bench's inlet state, m^3/s.
    pub flow: f64,
}

/// State of a flow bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bench {
    /// Test pressure (depression), Pa.
    pub test_pressure: f64,
    /// Air upstream of the port: pressure, Pa.
    pub pressure: f64,
    /// Air upstream of the port: temperature, K.
    pub temperature: f64,
}

/// Ratio of specific heats of bench air.
const GAMMA_AIR: f64 = 1.4;
/// Gas constant of dry air, J/(kg K).
const R_AIR: f64 = 287.05;

/// Effective area over lift of one valve.
#[derive(Clone, Debug, PartialEq)]
pub enum FlowArea {
    /// From a flow bench.
    Bench(FlowTable),
    /// Generic coefficients on the curtain area.
    Generic {
        /// The valve.
        valve: PoppetValve,
        /// Which port.
        port: Port,
    },
}

/// Effective areas found on a flow bench; made by [`FlowTable::new`].
#[derive(Clone, Debug, PartialEq)]
pub struct FlowTable {
    table: Monotone,
}

/// An area and whether it was asked within its data.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Effective area, m^2.
    pub area: f64,
    /// False when the lift lies beyond the last row (the area is held there) or beyond the range
    /// of the generic coefficients.
    pub inside: bool,
}

impl FlowTable {
    /// Turns flow rows into effective areas. A row at zero lift is added when missing.
    ///
    /// # Errors
    /// [`CylinderError::Table`] when there is no row, lifts do not ascend or flows are not numbers;
    /// [`CylinderError::Geometry`] for a bench state that cannot be.
    pub fn new(rows: &[FlowRow], bench: Bench) -> Result<Self, CylinderError> {
        let Bench { test_pressure, pressure, temperature } = bench;
        let wrong = |what, value, need| Err(CylinderError::Geometry { what, value, need });
        if !(1e4..=1e6).contains(&pressure) {
            return wrong("bench pressure", pressure, "10 kPa to 1 MPa, absolute");
        }
        if !(1.0..0.9 * pressure).contains(&test_pressure) {
            return wrong("bench test pressure", test_pressure, "above 1 Pa, below the air's");
        }
        if !(200.0..=400.0).contains(&temperature) {
            return wrong("bench temperature", temperature, "200 to 400 K");
        }
        if rows.is_empty() {
            return Err(CylinderError::Table {
                table: "flow table",
                row: 0,
                what: "is missing",
                hint: "give at least one lift with its flow",
            });
        }
        let mut lifts = vec![0.0];
        let mut areas = vec![0.0];
        let per_flow = area_per_flow(bench);
        for (i, row) in rows.iter().enumerate() {
            let fault = |what, hint| {
                Err(CylinderError::Table { table: "flow table", row: i + 1, what, hint })
            };
            if !(0.0..=0.2).contains(&row.lift) || !(0.0..=10.0).contains(&row.flow) {
                return fault("is not a lift and a flow", "lift 0 to 0.2 m, flow 0 to 10 m3/s");
            }
            if row.lift == 0.0 {
                continue;
            }
            if row.lift <= lifts[lifts.len() - 1] {
                return fault("does not lift more than the row before", "sort the rows by lift");
            }
            lifts.push(row.lift);
            areas.push(row.flow * per_flow);
        }
        if lifts.len() < 2 {
            return Err(CylinderError::Table {
                table: "flow table",
                row: 1,
                what: "has no lift above zero",
                hint: "give at least one lift with its flow",
            });
        }
        Ok(Self { table: Monotone::new(lifts, areas) })
    }

    /// Largest lift of the table, m.
    pub fn last_lift(&self) -> f64 {
        self.table.last()
    }

    /// Effective area of one valve at `lift` (m); held beyond the last row.
    pub fn area(&self, lift: f64) -> Area {
        Area { area: self.table.at(lift), inside: lift <= self.table.last() }
    }
}

/// Effective area per volume flow on the bench, s/m.
fn area_per_flow(bench: Bench) -> f64 {
    let g = GAMMA_AIR;
    let ratio = 1.0 - bench.test_pressure / bench.pressure;
    let critical = (2.0 / (g + 1.0)).powf(g / (g - 1.0));
    let ratio = ratio.max(critical);
    let psi2 = 2.0 * g / (g - 1.0) * (ratio.powf(2.0 / g) - ratio.powf((g + 1.0) / g));
    // m = rho Q = A p/sqrt(R T) psi with rho = p/(R T)
    1.0 / ((R_AIR * bench.temperature).sqrt() * psi2.sqrt())
}

impl FlowArea {
    /// Effective area of one valve at `lift` (m).
    pub fn area(&self, lift: f64) -> Area {
        match self {
            FlowArea::Bench(table) => table.area(lift),
            FlowArea::Generic { valve, port } => {
                let (c, inside) = discharge::coefficient(*port, lift / valve.head_diameter);
                // Above the range the coefficient falls so that the product stays.
                Area { area: c * valve.curtain_area(lift), inside }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BENCH: Bench = Bench { test_pressure: 6974.0, pressure: 101_325.0, temperature: 293.15 };

    #[test]
    fn geometric_area_is_continuous_and_ends_at_the_port() {
        let v = PoppetValve { seat_angle: f64::to_radians(45.0), ..PoppetValve::usual(0.045) };
        let mut last = 0.0;
        for i in 0..2000 {
            let a = v.geometric_area(i as f64 * 1e-5);
            assert!(a >= last - 1e-12 && a - last < 3e-6, "{i}: {last} {a}");
            last = a;
        }
        let port = FRAC_PI_4 * ((0.045f64 * 0.91).powi(2) - 0.009f64.powi(2));
        assert!((last - port).abs() < 1e-12);
        assert_eq!(v.geometric_area(-1.0), 0.0);
    }

    /// Trade check row: 92 L/s at 28 inH2O through a 44 mm valve at 11 mm is a coefficient of
    /// 0.5574 on the curtain, incompressible, at 1.184 kg/m3. At 7 kPa compressibility is worth
    /// about 2 % (expansion factor 1 - 0.55 dp/p of a nozzle to open space, from memory).
    #[test]
    fn bench_flow_gives_the_checked_coefficient() {
        let dp = 28.0 * 249.089;
        let bench = Bench { test_pressure: dp, pressure: 101_325.0, temperature: 298.13 };
        let rows = [FlowRow { lift: 0.011, flow: 0.092 }];
        let table = FlowTable::new(&rows, bench).unwrap();
        let curtain = PI * 0.044 * 0.011;
        let found = table.area(0.011).area / curtain;
        let expansion = 1.0 - 0.55 * dp / 101_325.0;
        assert!((found / (0.5574387513 / expansion) - 1.0).abs() < 0.01, "{found}");
    }

    #[test]
    fn lifts_beyond_the_table_are_held_and_flagged() {
        let rows = [FlowRow { lift: 0.005, flow: 0.05 }, FlowRow { lift: 0.01, flow: 0.09 }];
        let t = FlowTable::new(&rows, BENCH).unwrap();
        assert!(t.area(0.01).inside && !t.area(0.0101).inside);
        assert_eq!(t.area(0.02).area, t.area(0.01).area);
        assert_eq!(t.area(0.0).area, 0.0);
    }

    #[test]
    fn rows_out_of_order_are_named() {
        let rows = [FlowRow { lift: 0.01, flow: 0.05 }, FlowRow { lift: 0.005, flow: 0.09 }];
        let e = FlowTable::new(&rows, BENCH).unwrap_err();
        assert_eq!(
            e.to_string(),
            "flow table: row 2 does not lift more than the row before\nhint: sort the rows by lift"
        );
    }
}
