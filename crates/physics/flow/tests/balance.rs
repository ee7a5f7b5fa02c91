//! What must hold to rounding: conservation, rest, mirrors, lanes; and f32 beside f64.

use crate::support::{end_flux, end_state, sweep};
use shortblock_flow::{
    Duct, DuctGeometry, End, EndFlux, Flow, Gas, GasSet, Opening, Reservoir, Scratch, Volume,
    orifice, wall_flux,
};
use shortblock_lanes::{Lane, Lanes};

/// Air, burned gas of iso-octane at phi 1 and iso-octane vapour: quintics of
/// `data/duct_gas_polynomials.csv` without their formation part.
fn gases<V: Lane>() -> GasSet<V, 2> {
    let row = |name: &str| {
        let table = include_str!("data/duct_gas_polynomials.csv");
        let line = table.lines().find(|l| l.starts_with(&format!("{name},"))).unwrap();
        let v: Vec<f64> = line.split(',').skip(1).map(|f| f.parse().unwrap()).collect();
        Gas { r: v[0], e: [v[3], v[4], v[5], v[6], v[7]] }
    };
    GasSet::new(&row("air"), &[row("burned_phi_1.0"), row("vapour_isooctane")])
}

fn taper(x: f64) -> f64 {
    1.2e-3 * (1.0 + 0.8 * x)
}

#[test]
fn temperature_comes_back_from_energy() {
    let gases = gases::<f64>();
    for y in [[0.0, 0.0], [1.0, 0.0], [0.1, 0.06], [0.5, 0.0]] {
        let m = gases.mix(&y);
        for k in 0..40 {
            // The vapour's table ends at 1000 K.
            let t = 250.0 + if y[1] > 0.0 { 18.0 } else { 40.0 } * k as f64;
            let (back, gamma, inverse_cp) = m.temperature(m.energy(t));
            assert!((back / t - 1.0).abs() < 1e-4, "{y:?} {t} {back}");
            // PHYSICS: sound speed within 0.1 %.
            assert!(((gamma / m.gamma(t)).sqrt() - 1.0).abs() < 1e-3, "{y:?} {t} {gamma}");
            assert!((inverse_cp * (m.cv(t) + m.r) - 1.0).abs() < 5e-3, "{y:?} {t}");
            let exact = m.temperature(m.energy_for(t)).0;
            assert!((exact / t - 1.0).abs() < 1e-14, "{t} {exact}");
        }
    }
}

#[test]
fn still_gas_in_a_tapered_pipe_of_uneven_temperature_stays_still() {
    let gases = gases::<f64>();
    let n = 20;
    let area = |x: f64| if x > 0.5001 { 2.0 * taper(x) } else { taper(x) };
    let mut duct = Duct::new(&gases, &[DuctGeometry::from_area(1.0, n, area)]).unwrap();
    for i in 0..n {
        let t = 300.0 + 40.0 * i as f64 + 17.0 * (i as f64).sin();
        duct.set_cell(&gases, i, 1e5, 0.0, t, &[0.03 * i as f64, 0.0]);
    }
    let mut scratch = Scratch::new(n);
    let air = Reservoir::new(&gases, 1e5, 300.0, &[0.0; 2]);
    let open = Opening::both_ways(1e-3);
    let dt = 1e-5;
    let mut u = 0.0;
    for _ in 0..2000 {
        let left = wall_flux(&end_state(&mut duct, &gases, End::Left, dt));
        let right = end_flux(&gases, &air, &end_state(&mut duct, &gases, End::Right, dt), &open, u);
        u = right.u;
        sweep(&mut duct, &gases, dt, &left, &right, &mut scratch);
    }
    for i in 0..n {
        let q = duct.cell(i);
        // 1e-9 m/s is 1e-12 of the sound speed after 2000 steps.
        assert!(q.u.abs() < 1e-9 && (q.p - 1e5).abs() < 1e-5, "{i} {q:?}");
    }
}

/// Two volumes, a duct between them, an orifice beside it; one volume's wall moves to and fro.
#[test]
fn a_closed_network_keeps_mass_energy_and_gases_to_rounding() {
    let gases = gases::<f64>();
    let n = 12;
    let mut geometry = DuctGeometry::from_area(0.4, n, taper);
    geometry.friction_factor = 0.006;
    let mut duct = Duct::new(&gases, &[geometry]).unwrap();
    duct.fill(&gases, 1e5, 0.0, 320.0, &[0.1, 0.0]);
    let mut a = Volume::new(&gases, 1e-3, 3e5, 1100.0, &[0.9, 0.0]);
    let mut b = Volume::new(&gases, 2e-3, 1e5, 300.0, &[0.0, 0.06]);
    let mut scratch = Scratch::new(n);
    let throat = Opening { inflow_area: 4e-4, outflow_area: 3e-4, entry_loss: 0.3 };
    let wide = Opening::both_ways(1.0);
    let totals = |a: &Volume<f64, 2>, b: &Volume<f64, 2>, duct: &Duct<f64, 2>| {
        let t = duct.totals();
        [
            t.mass + a.mass + b.mass,
            t.energy + a.energy + b.energy,
            t.scalars[0] + a.scalars[0] + b.scalars[0],
            t.scalars[1] + a.scalars[1] + b.scalars[1],
        ]
    };
    let start = totals(&a, &b, &duct);
    let dt = 1e-5;
    let mut u = [0.0; 2];
    let mut work = 0.0;
    for step in 0..4000 {
        let after = 1e-3 * (1.0 + 0.3 * ((step + 1) as f64 * 0.01).sin());
        let ra = a.reservoir_at_half(&gases, dt, 0.5 * (a.volume + after));
        let rb = b.reservoir_at_half(&gases, dt, b.volume);
        let l = end_flux(&gases, &ra, &end_state(&mut duct, &gases, End::Left, dt), &throat, u[0]);
        let r = end_flux(&gases, &rb, &end_state(&mut duct, &gases, End::Right, dt), &wide, u[1]);
        u = [l.u, r.u];
        let across = orifice(&ra, &rb, 2e-6);
        sweep(&mut duct, &gases, dt, &l, &r, &mut scratch);
        work += ra.p * (after - a.volume);
        a.apply(&(-l.flow() - across), dt, ra.p, after);
        b.apply(&(across - r.flow()), dt, rb.p, b.volume);
    }
    let end = totals(&a, &b, &duct);
    assert!((end[1] + work - start[1]).abs() < 1e-12 * start[1], "{start:?} {end:?}");
    for k in [0, 2, 3] {
        assert!((end[k] - start[k]).abs() < 1e-12 * start[k], "{start:?} {end:?}");
    }
    let events = duct.events();
    assert_eq!(events.half_step_floors + events.energy_floors + a.floors + b.floors, 0.0);
}

/// A pipe with a valve at one end and air at the other, `steps` steps, in lane type `V`; lane l
/// has the settings of `setting(l)`.
fn pipe_run<V: Lane>(
    setting: impl Fn(usize) -> f64,
    mirrored: bool,
    steps: usize,
) -> (Duct<V, 2>, EndFlux<V, 2>) {
    let gases = gases::<V>();
    let n = 10;
    let geometry: Vec<DuctGeometry> = (0..V::WIDTH)
        .map(|l| {
            let s = setting(l);
            let length = 0.3 + 0.1 * s;
            let area = |x: f64| taper(if mirrored { length - x } else { x } * (1.0 + s));
            let mut g = DuctGeometry::from_area(length, n, area);
            if mirrored {
                // The same numbers in the other order, not the same to rounding.
                let unmirrored = DuctGeometry::from_area(length, n, |x| taper(x * (1.0 + s)));
                g.face_areas = unmirrored.face_areas.into_iter().rev().collect();
            }
            g.friction_factor = 0.006;
            g.heat_factor = 1.0;
            g.wall_temperature = 500.0;
            g
        })
        .collect();
    let mut duct = Duct::new(&gases, &geometry).unwrap();
    let zero = V::splat(0.0);
    duct.fill(&gases, V::splat(1e5), zero, V::splat(320.0), &[V::splat(0.2), V::splat(0.01)]);
    let vessel = |l: usize| 1e5 * (1.0 + 1.5 * setting(l));
    let inside =
        Reservoir::new(&gases, V::from_fn(vessel), V::splat(900.0), &[V::splat(1.0), zero]);
    let air = Reservoir::new(&gases, V::splat(1e5), V::splat(300.0), &[zero; 2]);
    let wide = Opening::both_ways(V::splat(1.0));
    let mut scratch = Scratch::new(n);
    let dt = V::from_fn(|l| 1.5e-5 * (1.0 + 0.1 * setting(l)));
    let (near, far) = if mirrored { (End::Right, End::Left) } else { (End::Left, End::Right) };
    let mut flux = [wall_flux(&end_state(&mut duct, &gases, near, dt)); 2];
    flux[0].u = zero;
    for step in 0..steps {
        let lift = (0.01 * step as f64).sin().max(0.0);
        let valve = Opening::both_ways(V::splat(5e-4 * lift));
        let [a, b] = [near, far].map(|end| end_state(&mut duct, &gases, end, dt));
        flux = [
            end_flux(&gases, &inside, &a, &valve, flux[0].u),
            end_flux(&gases, &air, &b, &wide, flux[1].u),
        ];
        let (l, r) = if mirrored { (flux[1], flux[0]) } else { (flux[0], flux[1]) };
        sweep(&mut duct, &gases, dt, &l, &r, &mut scratch);
        if step % 4 == 3 {
            duct.exchange_heat(&gases, dt * V::splat(4.0));
        }
    }
    (duct, flux[0])
}

#[test]
fn a_mirrored_pipe_gives_the_mirrored_result_to_the_bit() {
    let (plain, _) = pipe_run::<Lanes<f64, 4, true>>(|l| 0.2 * l as f64, false, 900);
    let (mirror, _) = pipe_run::<Lanes<f64, 4, true>>(|l| 0.2 * l as f64, true, 900);
    let n = plain.cell_count();
    for i in 0..n {
        let (a, b) = (plain.cell(i), mirror.cell(n - 1 - i));
        assert_eq!((a.p, a.u, a.t, a.y), (b.p, -b.u, b.t, b.y), "cell {i}");
    }
}

/// The baseline register and the scalar, neither with fused products, agree to the bit.
#[test]
fn a_lane_depends_neither_on_its_neighbours_nor_on_padding() {
    type Two = Lanes<f64, 2, false>;
    let setting = |l: usize| [0.1, 0.7][l % 2];
    let (two, _) = pipe_run::<Two>(setting, false, 600);
    let (turned, _) = pipe_run::<Two>(|l| setting(l + 1), false, 600);
    let (padded, _) = pipe_run::<Two>(|_| setting(1), false, 600);
    let (single, _) = pipe_run::<f64>(|_| setting(1), false, 600);
    for i in 0..two.cell_count() {
        for l in 0..2 {
            assert_eq!(two.cell(i).p.get(1 - l), turned.cell(i).p.get(l));
        }
        let bits = two.cell(i).t.get(1).to_bits();
        assert_eq!(bits, padded.cell(i).t.get(0).to_bits());
        assert_eq!(bits, padded.cell(i).t.get(1).to_bits());
        assert_eq!(bits, single.cell(i).t.to_bits());
    }
}

#[test]
fn levels_with_and_without_fused_products_agree() {
    let setting = |l: usize| 0.2 * l as f64;
    let (plain, _) = pipe_run::<Lanes<f64, 2, false>>(setting, false, 900);
    let (fused, _) = pipe_run::<Lanes<f64, 4, true>>(setting, false, 900);
    for i in 0..plain.cell_count() {
        for l in 0..2 {
            let ratio = plain.cell(i).p.get(l) / fused.cell(i).p.get(l);
            assert!((ratio - 1.0).abs() < 1e-6, "{i} {l} {ratio}");
        }
    }
}

#[test]
fn single_precision_follows_double_precision() {
    let setting = |l: usize| 0.2 * l as f64;
    let (double, flow) = pipe_run::<Lanes<f64, 4, true>>(setting, false, 900);
    let (single, flow_single) = pipe_run::<Lanes<f32, 4, false>>(setting, false, 900);
    for l in 0..4 {
        for i in 0..double.cell_count() {
            let ratio = single.cell(i).p.get(l) / double.cell(i).p.get(l);
            // 900 steps of 6e-8 each, at random.
            assert!((ratio - 1.0).abs() < 1e-4, "{i} {l} {ratio}");
        }
        assert!((flow_single.mass.get(l) - flow.mass.get(l)).abs() < 1e-4 * 0.1, "{l}");
    }
}

#[test]
fn a_contact_of_two_gases_drifts_with_little_noise() {
    let gases = gases::<f64>();
    let n = 100;
    let mut duct = Duct::new(&gases, &[DuctGeometry::from_area(1.0, n, |_| 1.0)]).unwrap();
    let (p, u) = (1.2e5, 50.0);
    let side = |i: usize| if i < n / 2 { (1100.0, [1.0, 0.0]) } else { (310.0, [0.0, 0.05]) };
    for i in 0..n {
        let (t, y) = side(i);
        duct.set_cell(&gases, i, p, u, t, &y);
    }
    let end = |i: usize, direction: f64| {
        let q = *duct.cell(i);
        let mass = direction * u / q.v;
        let h = gases.mix(&q.y).enthalpy(q.t) + 0.5 * u * u;
        let scalars = [mass * q.y[0], mass * q.y[1]];
        EndFlux { mass, p, u: direction * u, energy: mass * h, scalars }
    };
    let (left, right) = (end(0, 1.0), end(n - 1, -1.0));
    let mut scratch = Scratch::new(n);
    let mut time = 0.0;
    let mut worst = 0.0_f64;
    while time < 0.004 {
        let dt = 0.8 / duct.signal_rate();
        sweep(&mut duct, &gases, dt, &left, &right, &mut scratch);
        time += dt;
        worst = (5..n - 5).map(|i| (duct.cell(i).p / p - 1.0).abs()).fold(worst, f64::max);
    }
    // Conservative schemes ring at contacts of two gases (Abgrall 1996, from memory): ours by
    // 0.8 % of the pressure at a temperature ratio of 3.5.
    assert!(worst < 0.01, "{worst}");
    for i in 0..n {
        let y = duct.cell(i).y;
        assert!(
            (-1e-12..=1.0 + 1e-12).contains(&(y[0])) && (-1e-12..=0.0501).contains(&y[1]),
            "{y:?}"
        );
    }
}

#[test]
fn flow_through_an_end_carries_the_upstream_gas() {
    let (duct, _) = pipe_run::<f64>(|_| 0.8, false, 100);
    // The vessel's burned gas has entered through the valve; what left went to the air.
    assert!(duct.cell(0).y[0] > 0.9, "{:?}", duct.cell(0));
    let gases = gases::<f64>();
    let mut duct = Duct::new(&gases, &[DuctGeometry::pipe(0.3, 0.04, 6)]).unwrap();
    duct.fill(&gases, 2e5, 0.0, 700.0, &[0.7, 0.02]);
    let state = end_state(&mut duct, &gases, End::Right, 1e-6);
    let air = Reservoir::new(&gases, 1e5, 300.0, &[0.0; 2]);
    for throat in [1e-12, 1e-4, 1.0] {
        let out = end_flux(&gases, &air, &state, &Opening::both_ways(throat), 0.0);
        assert!(out.mass < 0.0);
        assert!((out.scalars[0] / out.mass - 0.7).abs() < 1e-12);
        let h = gases.mix(&state.y).enthalpy(700.0);
        // Through a small throat the gas keeps its total enthalpy; the wave that a wide opening
        // sends into the duct takes some of it.
        let ratio = out.energy / out.mass / h;
        assert!((if throat < 1e-3 { 0.98 } else { 0.8 }..=1.0 + 1e-9).contains(&ratio), "{ratio}");
    }
    let closed = end_flux(&gases, &air, &state, &Opening::both_ways(0.0), 30.0);
    let wall = wall_flux(&state);
    assert_eq!((closed.mass, closed.u, closed.energy), (0.0, 0.0, 0.0));
    assert_eq!(closed.p, wall.p);
    assert_eq!(closed.flow(), Flow { mass: 0.0, energy: 0.0, scalars: [0.0; 2] });
}

#[test]
fn wall_heat_warms_the_gas_towards_the_wall_and_never_past_it() {
    let gases = gases::<f64>();
    let mut geometry = DuctGeometry::pipe(0.3, 0.04, 6);
    geometry.heat_factor = 1.0;
    geometry.wall_temperature = 700.0;
    let mut duct = Duct::new(&gases, &[geometry]).unwrap();
    duct.fill(&gases, 1e5, 60.0, 320.0, &[0.0; 2]);
    let before = duct.totals().energy;
    let heat = duct.exchange_heat(&gases, 1e-4);
    let gained = duct.totals().energy - before;
    assert!((gained - heat.power * 1e-4).abs() < 1e-9 * before);
    assert!(heat.power > 0.0);
    for _ in 0..100 {
        duct.exchange_heat(&gases, 10.0);
    }
    for i in 0..6 {
        assert!((duct.cell(i).t - 700.0).abs() < 0.1, "{:?}", duct.cell(i));
    }
}
