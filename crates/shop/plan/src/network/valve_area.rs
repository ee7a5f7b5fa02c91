//! Effective area of the valves alone, from a flow sheet of port and valves together.
//!
//! The flow bench sees the port's friction and the change of speed along it, and so does the
//! simulated port: the valves get what is left. Steady adiabatic flow of air with the sheet's own
//! mass flow is followed along the port, total pressure falling by `dp0 = -p0 (gamma/2) M^2 4 f dx/D`
//! (Shapiro 1953 ch. 6, friction term, from memory); intake: from the mouth (rounded, no loss) to
//! the throat, where the valves take the rest to the bench's depression; exhaust: from the face,
//! which blows into the depression, back to the throat, whose static pressure the valves feel.
//! Range: air, below choking in the port.

use super::assembly::{FRICTION, fault, part};
use super::valves::Which;
use crate::PlanError;
use shortblock_cycle::Piece;
use shortblock_cylinder::valve::{Bench, FlowRow, FlowTable};
use shortblock_engine::build::FlowSheet;

/// Air of the bench: the engine file turns coefficients into flows at this state.
const PRESSURE: f64 = 101_325.0;
/// Its temperature, K.
const TEMPERATURE: f64 = 298.15;
/// Ratio of specific heats of air.
const GAMMA: f64 = 1.4;
/// Gas constant of dry air, J/(kg K).
const R: f64 = 287.05;
/// Slices of a piece of port.
const SLICES: usize = 8;
/// The valves must stay below this share of the throat.
const MOST_OF_THROAT: f64 = 0.98;

/// Effective area of the valves of one side over lift.
pub(super) struct ValveArea {
    /// Port and valves together.
    bench: FlowTable,
    /// Lift (m) and valves' area over that of port and valves.
    share: Vec<(f64, f64)>,
}

impl ValveArea {
    /// From a sheet and the simulated port, given from face to throat for the intake, from throat
    /// to face for the exhaust.
    ///
    /// # Errors
    /// A sheet that is none, or asks for more than its port or throat can pass.
    pub fn new(sheet: &FlowSheet, port: &[Piece], which: Which) -> Result<Self, PlanError> {
        let path = format!("{}.flow", which.word());
        let remedy = "check units, test pressure, and flow per valve or per cylinder";
        let state = Bench {
            test_pressure: sheet.test_pressure.si,
            pressure: PRESSURE,
            temperature: TEMPERATURE,
        };
        let rows: Vec<FlowRow> = (sheet.lift.iter().zip(&sheet.flow))
            .map(|(&lift, &flow)| FlowRow { lift, flow })
            .collect();
        let bench = FlowTable::new(&rows, state).map_err(|error| part(&path, &error, remedy))?;
        let too_much = |row: &FlowRow| {
            let what = format!(
                "the {} flow at {:.2} mm is more than port and throat can pass",
                which.word(),
                row.lift * 1e3
            );
            fault(&path, what, format!("{remedy}; or throat and port dimensions"))
        };
        let mut share = Vec::with_capacity(rows.len());
        for row in rows.iter().filter(|row| row.lift > 0.0 && row.flow > 0.0) {
            let area = valves_alone(row, port, which, state).ok_or_else(|| too_much(row))?;
            share.push((row.lift, area / bench.area(row.lift).area));
        }
        Ok(Self { bench, share })
    }

    /// Effective area of the valves at a lift, m².
    pub fn at(&self, lift: f64) -> f64 {
        if lift <= 0.0 {
            return 0.0;
        }
        let above = self.share.partition_point(|(l, _)| *l < lift);
        let share =
            match (above.checked_sub(1).and_then(|i| self.share.get(i)), self.share.get(above)) {
                (Some(a), Some(b)) => a.1 + (b.1 - a.1) * (lift - a.0) / (b.0 - a.0),
                (Some(only), None) | (None, Some(only)) => only.1,
                (None, None) => 1.0,
            };
        self.bench.area(lift).area * share
    }
}

/// Air flow (m³/s of bench air) at a pressure drop (Pa) as an effective area, m².
pub(super) fn rated_area(flow: f64, drop: f64, path: &str) -> Result<f64, PlanError> {
    area_of(flow, Bench { test_pressure: drop, pressure: PRESSURE, temperature: TEMPERATURE })
        .filter(|area| *area > 0.0)
        .ok_or_else(|| {
            let what = format!("{:.1} L/s at {:.2} kPa is no flow rating", flow * 1e3, drop * 1e-3);
            fault(path, what, "give a flow at a pressure drop, such as 700 cfm at 1.5 inHg")
        })
}

fn area_of(flow: f64, bench: Bench) -> Option<f64> {
    const LIFT: f64 = 0.01;
    let table = FlowTable::new(&[FlowRow { lift: LIFT, flow }], bench).ok()?;
    Some(table.area(LIFT).area)
}

/// `None` when the port chokes or takes all of the test pressure, or the valves beat the throat.
fn valves_alone(row: &FlowRow, port: &[Piece], which: Which, bench: Bench) -> Option<f64> {
    let mass = row.flow * bench.pressure / (R * bench.temperature);
    let down = bench.pressure - bench.test_pressure;
    let (area, throat) = match which {
        Which::Intake => {
            let throat = port.last()?.area_right;
            let mut total = bench.pressure;
            for piece in port {
                total -= loss(mass, total, piece, false)?;
            }
            let flow = mass * R * bench.temperature / total;
            let state = Bench { test_pressure: total - down, pressure: total, ..bench };
            (area_of(flow, state)?, throat)
        }
        Which::Exhaust => {
            let (throat, face) = (port.first()?.area_left, port.last()?.area_right);
            let k = flow_number(mass, down, face);
            let mach2 = ((1.0 + 2.0 * (GAMMA - 1.0) * k * k).sqrt() - 1.0) / (GAMMA - 1.0);
            let mut total = down * stagnation(mach2);
            for piece in port.iter().rev() {
                total += loss(mass, total, piece, true)?;
            }
            let seat = total / stagnation(mach_squared(mass, total, throat)?);
            let state = Bench { test_pressure: bench.pressure - seat, ..bench };
            (area_of(row.flow, state)?, throat)
        }
    };
    (area < MOST_OF_THROAT * throat).then_some(area)
}

/// Total pressure lost along a piece, Pa; `upstream` when it is walked against the flow.
fn loss(mass: f64, total: f64, piece: &Piece, upstream: bool) -> Option<f64> {
    let (a, b) = (piece.area_left.sqrt(), piece.area_right.sqrt());
    let mut now = total;
    for i in 0..SLICES {
        let along = (i as f64 + 0.5) / SLICES as f64;
        let side = a + (b - a) * if upstream { 1.0 - along } else { along };
        let diameter = side * (4.0 / std::f64::consts::PI).sqrt();
        let slice = 4.0 * FRICTION * piece.length / SLICES as f64 / diameter;
        let fall = 0.5 * GAMMA * mach_squared(mass, now, side * side)? * slice * now;
        now += if upstream { fall } else { -fall };
    }
    Some((now - total).abs())
}

/// `m sqrt(R T0 / gamma) / (A p)`.
fn flow_number(mass: f64, pressure: f64, area: f64) -> f64 {
    mass * (R * TEMPERATURE / GAMMA).sqrt() / (area * pressure)
}

/// Total over static pressure.
fn stagnation(mach2: f64) -> f64 {
    (1.0 + 0.5 * (GAMMA - 1.0) * mach2).powf(GAMMA / (GAMMA - 1.0))
}

/// Mach number squared of the subsonic flow at a total pressure, `None` when it would choke.
fn mach_squared(mass: f64, total: f64, area: f64) -> Option<f64> {
    // Largest flow number at total pressure, M = 1: (2/(g+1))^((g+1)/(2(g-1))).
    const CHOKED: f64 = 0.578_703_7;
    let k = flow_number(mass, total, area);
    if k.is_nan() || k >= 0.95 * CHOKED {
        return None;
    }
    // M = k (1 + 0.2 M^2)^3, contracting below the choked flow.
    let mut mach = k;
    for _ in 0..40 {
        let next = k * (1.0 + 0.5 * (GAMMA - 1.0) * mach * mach).powi(3);
        if (next - mach).abs() < 1e-10 {
            break;
        }
        mach = next;
    }
    Some(mach * mach)
}

#[cfg(test)]
mod tests {
    use super::super::demo::demo;
    use super::super::{assembly, port};
    use super::*;
    use shortblock_flow::{
        Duct, DuctGeometry, End, EndFlux, Gas, GasSet, Opening, Reservoir, Scratch, end_flux,
    };

    /// Area at `x` along pieces, linear in the diameter.
    fn area_at(pieces: &[Piece], mut x: f64) -> f64 {
        for piece in pieces {
            if x <= piece.length {
                let (a, b) = (piece.area_left.sqrt(), piece.area_right.sqrt());
                return (a + (b - a) * x / piece.length).powi(2);
            }
            x -= piece.length;
        }
        pieces.last().unwrap().area_right
    }

    /// Steady mass flow in kg/s of the simulated port between two rooms, the valves at one end.
    fn simulated(pieces: &[Piece], valves: f64, which: Which, drop: f64, cell: f64) -> f64 {
        let gases = GasSet::<f64, 0>::new(&Gas::constant_gamma(R, GAMMA), &[]);
        let length: f64 = pieces.iter().map(|p| p.length).sum();
        let cells = shortblock_flow::cell_count(length, cell);
        let mut geometry = DuctGeometry::from_area(length, cells, |x| area_at(pieces, x));
        geometry.friction_factor = FRICTION;
        let mut duct = Duct::new(&gases, &[geometry]).unwrap();
        let rooms =
            [PRESSURE, PRESSURE - drop].map(|p| Reservoir::new(&gases, p, TEMPERATURE, &[]));
        duct.fill(&gases, PRESSURE - drop, 0.0, TEMPERATURE, &[]);
        let whole = [End::Left, End::Right].map(|end| Opening::both_ways(duct.end_area(end)));
        let valve = Opening::both_ways(valves);
        let openings = match which {
            Which::Intake => [whole[0], valve],
            Which::Exhaust => [valve, whole[1]],
        };
        let still = EndFlux { mass: 0.0, p: 0.0, u: 0.0, energy: 0.0, scalars: [] };
        let (mut flux, mut scratch) = ([still; 2], Scratch::new(cells));
        for _ in 0..20_000 {
            let dt = 0.8 / duct.signal_rate();
            for (i, end) in [End::Left, End::Right].into_iter().enumerate() {
                let state = duct.end_state(&gases, end, dt);
                flux[i] = end_flux(&gases, &rooms[i], &state, &openings[i], flux[i].u);
            }
            duct.sweep(&gases, dt, &flux[0], &flux[1], &mut scratch);
        }
        assert!((flux[0].mass + flux[1].mass).abs() < 1e-6 * flux[0].mass, "not steady: {flux:?}");
        flux[0].mass
    }

    /// Wanted: what was measured, within 0.2 %; the flow sheets are those of two demo heads.
    #[test]
    fn the_simulated_port_and_valves_flow_what_the_sheet_says() {
        for entry in ["126/b1.toml", "114/b1.toml", "201/b1.toml"] {
            let build = demo(entry);
            for which in [Which::Intake, Which::Exhaust] {
                let (side, cell) = match which {
                    Which::Intake => (&build.intake, 0.025),
                    Which::Exhaust => (&build.exhaust, 0.050),
                };
                let pieces = port::pieces(side, which, 300.0);
                let area = ValveArea::new(&side.flow, &pieces, which).unwrap();
                for (&lift, &flow) in side.flow.lift.iter().zip(&side.flow.flow) {
                    let wanted = flow * PRESSURE / (R * TEMPERATURE);
                    let drop = side.flow.test_pressure.si;
                    let found = simulated(&pieces, area.at(lift), which, drop, cell);
                    let error = found / wanted - 1.0;
                    assert!(error.abs() < 2e-3, "{entry} {which:?} {lift} m: {error}");
                }
            }
        }
    }

    #[test]
    fn between_the_rows_the_sheet_is_met_as_well() {
        let build = demo("126/b1.toml");
        let side = &build.intake;
        let pieces = port::pieces(side, Which::Intake, 300.0);
        let area = ValveArea::new(&side.flow, &pieces, Which::Intake).unwrap();
        let state = Bench {
            test_pressure: side.flow.test_pressure.si,
            pressure: PRESSURE,
            temperature: TEMPERATURE,
        };
        for lift in [0.3 * 25.4e-3, 0.35 * 25.4e-3, 0.45 * 25.4e-3] {
            // The flow that the curve through the rows gives at this lift.
            let flow = area.bench.area(lift).area / area_of(1.0, state).unwrap();
            let wanted = flow * PRESSURE / (R * TEMPERATURE);
            let found =
                simulated(&pieces, area.at(lift), Which::Intake, state.test_pressure, 0.025);
            assert!((found / wanted - 1.0).abs() < 2e-3, "{lift}: {found} for {wanted}");
        }
    }

    #[test]
    fn a_sheet_beyond_its_port_is_told_so() {
        let mut build = demo("126/b1.toml");
        build.intake.port.face.si = assembly::circle(0.012).sqrt();
        let pieces = port::pieces(&build.intake, Which::Intake, 300.0);
        let error = ValveArea::new(&build.intake.flow, &pieces, Which::Intake).err().unwrap();
        assert!(error.to_string().starts_with("intake.flow: the intake flow at"), "{error}");
    }
}
