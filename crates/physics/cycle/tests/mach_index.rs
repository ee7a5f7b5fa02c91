//! Filling against the inlet Mach index with stubs so short that the valves alone limit it.

use crate::points_of;
use crate::single::{Stubs, single};
use shortblock_cycle::*;
use shortblock_cylinder::closed::SparkDemand;
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_gas::DuctGas;
use std::f64::consts::PI;

const DEG: f64 = PI / 180.0;
/// First and last angle with an open valve, degrees after firing dead centre.
const OPEN: (f64, f64) = (130.0, 595.0);

/// Smooth lift, effective area proportional to it; angles in degrees.
fn lobe(opens: f64, closes: f64, area: f64) -> ValveFlow {
    let at = |degree: f64| match (degree - opens) / (closes - opens) {
        x if (0.0..=1.0).contains(&x) => area * (PI * x).sin().powi(2),
        _ => 0.0,
    };
    ValveFlow { effective_area: (0..7200).map(|i| at(i as f64 * 0.1)).collect() }
}

/// A slow-burning cylinder of 0.61 litres without overlap, as the variable-compression engine of
/// the published curve had little.
fn engine() -> Network {
    single(Stubs {
        mechanism: SliderCrank::new(0.0826, 0.1143, 0.254, 0.0, 5.7).unwrap(),
        length: 0.05,
        area: [3e-3; 2],
        intake: lobe(355.0, OPEN.1, 6e-4),
        exhaust: lobe(OPEN.0, 365.0, 6e-4),
    })
}

/// Engine speed in rad/s at an inlet Mach index.
fn speed_at(network: &Network, index: f64) -> f64 {
    let one = &network.cylinders[0];
    let air = DuctGas::air(&network.air).sound_speed(network.ambient_temperature);
    let piston = index * air * one.intake.mean_open_area() / one.mechanism.bore_area();
    piston * PI / one.mechanism.stroke()
}

fn demands(network: &Network, indices: &[f64]) -> Vec<Demand> {
    let spark = SparkDemand::Fixed(-25.0 * DEG);
    let demand = |&z: &f64| Demand::of(speed_at(network, z), 1.0, spark);
    indices.iter().map(demand).collect()
}
/// Air and burned gas (kg) and sensible energy (J) in the cylinder.
type Gas = [f64; 3];

/// What stands outside a valve: parcels of mass (kg), burned share and temperature (K) that were
/// blown out, the last one in front, before the gas of the room.
struct Outside {
    parcels: Vec<(f64, f64, f64)>,
    room: (f64, f64),
}

impl Outside {
    fn front(&self) -> (f64, f64) {
        self.parcels.last().map_or(self.room, |&(_, share, t)| (share, t))
    }

    /// Takes back `mass` or, when negative, is given it at a burned share and temperature.
    fn take(&mut self, mut mass: f64, share: f64, t: f64) {
        if mass < 0.0 {
            return self.parcels.push((-mass, share, t));
        }
        while let Some(parcel) = self.parcels.last_mut() {
            if parcel.0 > mass {
                parcel.0 -= mass;
                return;
            }
            mass -= parcel.0;
            self.parcels.pop();
        }
    }
}

/// The same gas exchange without the length of the stubs, by the equations of a stirred volume
/// between two rooms at the pressure of the air, in Runge-Kutta steps of the fourth order. What is
/// blown out of the valves waits there unmixed to be drawn back.
struct Stirred<'a> {
    network: &'a Network,
    gases: [DuctGas; 2],
    speed: f64,
}

/// Rates per degree: the gas, and what comes in through each side (kg), air through the intake (kg).
type Rates = [f64; 6];

impl Stirred<'_> {
    fn new<'a>(network: &'a Network, demand: &Demand) -> Stirred<'a> {
        let burned = DuctGas::burned(&network.fuel, 1.0 / demand.lambda, &network.air).unwrap();
        let gases = [DuctGas::air(&network.air).sensible(), burned.sensible()];
        Stirred { network, gases, speed: demand.speed }
    }

    fn mix(&self, air: f64, burned: f64) -> DuctGas {
        let share = burned / (air + burned);
        DuctGas::mix(&[(1.0 - share, &self.gases[0]), (share, &self.gases[1])])
    }

    /// Pressure, temperature and properties properties at a crank angle in degrees.
    fn state(&self, degree: f64, [air, burned, energy]: Gas) -> (f64, f64, DuctGas) {
        let gas = self.mix(air, burned);
        let u = energy / (air + burned);
        let mut t = u / gas.cv(600.0);
        for _ in 0..8 {
            t -= (gas.u(t) - u) / gas.cv(t);
        }
        let volume = self.network.cylinders[0].mechanism.volume(degree * DEG);
        ((air + burned) * gas.r * t / volume, t, gas)
    }

    /// Isentropic flow per area (Heywood 1988 eq. C.8 and C.9, from memory), kg/(s m²).
    fn nozzle(p0: f64, t0: f64, p: f64, gas: &DuctGas) -> f64 {
        let (g, r) = (gas.gamma(t0), gas.r);
        let x = (p / p0).max((2.0 / (g + 1.0)).powf(g / (g - 1.0)));
        let head = 2.0 * g / (g - 1.0) * (x.powf(2.0 / g) - x.powf((g + 1.0) / g));
        p0 / (r * t0).sqrt() * head.max(0.0).sqrt()
    }

    fn rates(&self, degree: f64, gas: Gas, outside: &[Outside; 2]) -> Rates {
        let (p, t, mixture) = self.state(degree, gas);
        let (room, share) = (self.network.ambient_pressure, gas[1] / (gas[0] + gas[1]));
        let one = &self.network.cylinders[0];
        let second = DEG / self.speed;
        let growth = one.mechanism.volume_slope(degree * DEG) * DEG;
        let mut rate = [0.0, 0.0, -p * growth, 0.0, 0.0, 0.0];
        for (side, valves) in [&one.intake, &one.exhaust].into_iter().enumerate() {
            let area = area_at(valves, degree) * second;
            let (flow, share, enthalpy) = if p > room {
                let enthalpy = mixture.u(t) + mixture.r * t;
                (-area * Self::nozzle(p, t, room, &mixture), share, enthalpy)
            } else {
                let (share, t) = outside[side].front();
                let from = self.mix(1.0 - share, share);
                (area * Self::nozzle(room, t, p, &from), share, from.u(t) + from.r * t)
            };
            rate[0] += flow * (1.0 - share);
            rate[1] += flow * share;
            rate[2] += flow * enthalpy;
            rate[3 + side] = flow;
            rate[5] += if side == 0 { flow * (1.0 - share) } else { 0.0 };
        }
        rate
    }

    /// Net air drawn in (kg) in each of `cycles`, from burned gas at `p` and `t` at an angle in
    /// degrees.
    fn air(&self, from: f64, p: f64, t: f64, cycles: usize) -> f64 {
        let volume = self.network.cylinders[0].mechanism.volume(from * DEG);
        let mass = p * volume / (self.gases[1].r * t);
        let rooms = [(0.0, self.network.ambient_temperature), (1.0, t)];
        let mut outside = rooms.map(|room| Outside { parcels: Vec::new(), room });
        let steps = ((OPEN.1 - from) / 0.05).ceil();
        let h = (OPEN.1 - from) / steps;
        let mut sum = 0.0;
        for _ in 0..cycles {
            sum = 0.0;
            let mut gas = [0.0, mass, mass * self.gases[1].u(t)];
            for k in 0..steps as usize {
                let x = from + k as f64 * h;
                let rates = |x, gas| self.rates(x, gas, &outside);
                let after = |rate: &Rates, h: f64| [0, 1, 2].map(|i| gas[i] + h * rate[i]);
                let a = rates(x, gas);
                let b = rates(x + 0.5 * h, after(&a, 0.5 * h));
                let c = rates(x + 0.5 * h, after(&b, 0.5 * h));
                let d = rates(x + h, after(&c, h));
                let mean: Rates =
                    std::array::from_fn(|i| (a[i] + 2.0 * b[i] + 2.0 * c[i] + d[i]) / 6.0);
                let (_, now, _) = self.state(x, gas);
                let share = gas[1] / (gas[0] + gas[1]);
                for side in 0..2 {
                    outside[side].take(h * mean[3 + side], share, now);
                }
                sum += h * mean[5];
                gas = after(&mean, h);
            }
        }
        sum
    }
}

/// Effective area at an angle in degrees, linear between the samples.
fn area_at(valves: &ValveFlow, degree: f64) -> f64 {
    let n = valves.effective_area.len();
    let x = degree / 720.0 * n as f64;
    let (i, part) = (x as usize, x.fract());
    valves.effective_area[i % n] * (1.0 - part) + valves.effective_area[(i + 1) % n] * part
}

/// Filling at inlet Mach indices: of the network, and of the stirred volume that starts from the
/// network's gas at exhaust opening.
fn filling(indices: &[f64]) -> Vec<(f64, f64)> {
    let network = engine();
    let mesh = Mesh::of(&network, CellLength::FINE.times(0.4));
    let settings = Settings { tolerance: 1e-4, ..Settings::usual() };
    let full = network.air.density(network.ambient_pressure, network.ambient_temperature)
        * network.cylinders[0].mechanism.displacement();
    let demands = demands(&network, indices);
    let points = points_of(&network, &mesh, &demands, &settings);
    let stations = [Station::Cylinder(0), Station::Valve(0, Side::Exhaust)];
    let both = demands.iter().zip(points).map(|(demand, point)| {
        let job = Job { network: &network, mesh: &mesh, demand };
        let trace = trace(&job, &stations, &settings, &Unwatched).unwrap();
        let column = |i: usize| &trace.columns[i].values;
        let k = column(5).iter().position(|&area| area > 0.0).unwrap();
        let stirred = Stirred::new(&network, demand);
        let air = stirred.air(trace.angle[k] / DEG, column(0)[k], column(1)[k], 3);
        (point.volumetric_efficiency, air / full)
    });
    both.collect()
}

/// The network with short stubs and the stirred volume without agree within the project's bound on
/// the error of its cells, 0.5 %, as long as the flow is not choked for long. (At an index of 1,
/// where hot gas is blown far into the stub, they come together with the cells: 1.2 % apart on the
/// usual ones, 0.1 % on cells of 5 mm.)
#[test]
fn short_stubs_fill_as_a_stirred_volume_without_pipes() {
    for ((network, stirred), z) in filling(&[0.2, 0.5, 0.8]).into_iter().zip([0.2, 0.5, 0.8]) {
        assert!((network / stirred - 1.0).abs() < 0.005, "{z}: {network} {stirred}");
    }
}

/// Taylor, The Internal Combustion Engine in Theory and Practice vol. 1 ch. 6 (after Livengood and
/// Stanitz, NACA TN 915; from memory): near a plateau of 0.8 to 0.9 up to an index of 0.5, falling
/// ever faster beyond 0.6, to about 0.6 at 1.
#[test]
fn filling_falls_with_the_inlet_mach_index_as_published() {
    let index = [0.2, 0.4, 0.5, 0.6, 0.8, 1.0];
    let ve: Vec<f64> = filling(&index).into_iter().map(|(network, _)| network).collect();
    assert!(ve[..3].iter().all(|ve| (0.78..0.92).contains(ve)), "{ve:?}");
    assert!(ve[2] / ve[0] > 0.92, "{ve:?}");
    let fall = |i: usize| (ve[i] - ve[i + 1]) / (index[i + 1] - index[i]);
    assert!(fall(3) > 1.5 * fall(1) && fall(4) > 1.5 * fall(3), "{ve:?}");
    assert!((0.52..0.68).contains(&ve[5]), "{ve:?}");
}
