//! Factors against `correction_examples.csv`, `correction_grid.csv`, `correction_sensitivity.csv`,
//! `barometer_pitfall.csv` and `iso3046_examples.json`: worked out with mpmath at 50 digits, from the
//! same formulas. They prove the arithmetic; the formulas' own sources stand in each standard's file.

use crate::table::{Row, as_printed, rows};
use shortblock_gas::saturation::saturation_pressure;
use shortblock_weather::*;

fn air(pressure_kpa: f64, celsius: f64, vapour_kpa: f64) -> Air {
    let vapour = Humidity::VapourPressure(vapour_kpa * 1e3);
    Air::new(pressure_kpa * 1e3, celsius + 273.15, vapour).unwrap()
}

fn applied(standard: Standard, air: &Air, subject: &Subject) -> Correction {
    match correction(standard, air, subject).unwrap() {
        Outcome::Applies(correction) => correction,
        Outcome::DoesNotApply(why) => panic!("{why:?}"),
    }
}

fn factor(standard: Standard, air: &Air, subject: &Subject) -> f64 {
    applied(standard, air, subject).factor.value()
}

const TURBO: Aspiration = Aspiration::Turbocharged(ChargeCooler::Air);
const LIQUID: Aspiration = Aspiration::Turbocharged(ChargeCooler::Liquid);

fn measured() -> Subject {
    Subject::spark().with_friction(Friction::Measured)
}

/// A diesel whose fuel per cycle and litre of air as it is before the blower is `q`.
fn diesel(aspiration: Aspiration, q: f64) -> Subject {
    let fuelling = Fuelling { mg_per_cycle_litre: 2.0 * q, pressure_ratio: 2.0 };
    Subject::compression(aspiration, fuelling)
}

/// The subject and the standards that a name in the examples' table means.
fn meant(name: &str) -> (Vec<Standard>, Subject) {
    use Standard::*;
    let efficiency = |value| Subject::spark().with_friction(Friction::Efficiency(value));
    let family = vec![Iso1585, R85, Eec80Slash1269, JisD1001, Eu134Slash2014];
    if let Some((kind, q)) = name.split_once(" qc=") {
        let q: f64 = q.parse().unwrap();
        return match kind {
            "UN R85 CI NA" => {
                (vec![R85, Iso1585, JisD1001, J1349Jun1990], diesel(Aspiration::Natural, q))
            }
            "UN R85 CI turbo" => (vec![R85, Iso1585, Eec80Slash1269], diesel(TURBO, q)),
            "ISO 15550/R120 CI turbo air-air" => (vec![Iso15550], diesel(TURBO, q)),
            "ISO 15550/R120 CI turbo liquid-cooled" => (vec![Iso15550], diesel(LIQUID, q)),
            other => panic!("{other}"),
        };
    }
    match name {
        "SAE J1349 (JUN90 form) SI" => {
            (vec![J1349Jun1990, J1349Aug2004, J1349Sep2011, J1995], Subject::spark())
        }
        "SAE J1349 exact eta=0.85" => (vec![J1349Jun1990Exact], Subject::spark()),
        "SAE J1349 eta=0.80" => (vec![J1349Jun1990, J1349Sep2011], efficiency(0.8)),
        "J607-type 29.92 inHg 60F dry" => (vec![J607], Subject::spark()),
        "J816/J245-era (Heywood) 29.00 inHg dry 85F" => (vec![J816], measured()),
        "ISO 1585 / UN R85 / 80/1269/EEC / JIS D 1001-1993 SI" => (family, Subject::spark()),
        "DIN 70020 (total pressure)" => (vec![Din70020], Subject::spark()),
        other => panic!("{other}"),
    }
}

/// Forty figures are printed; a 64-bit number has sixteen.
#[test]
fn every_worked_example_is_reproduced() {
    let rows = rows(include_str!("../data/correction_examples.csv"));
    let mut checked = 0;
    for row in &rows {
        let air = air(row.number("p_total_kPa"), row.number("t_C"), row.number("pv_kPa"));
        let (standards, subject) = meant(row.text("standard"));
        for standard in standards {
            let found = applied(standard, &air, &subject);
            let wanted = row.number("factor");
            let off = (found.factor.value() / wanted - 1.0).abs();
            assert!(off < 4e-15, "{} {standard:?}: {off:e}", row.text("case"));
            same_verdict(row, standard, &found);
            checked += 1;
        }
    }
    assert_eq!((rows.len(), checked), (133, 294));
}

/// The table has a verdict where its formula's source states bounds of the factor.
fn same_verdict(row: &Row, standard: Standard, found: &Correction) {
    let stated = row.text("inside_limits");
    let window = found.windows.iter().find(|w| w.limit.watched == Watched::Factor);
    if let Some(window) = window.filter(|_| !stated.is_empty()) {
        assert_eq!(window.holds(), stated == "yes", "{} {standard:?}", row.text("case"));
    }
}

#[test]
fn the_grid_of_weather_is_reproduced_at_its_ten_figures() {
    // The grid's f_a is the whole factor where the exponent is 1: 0.036 q - 1.14 = 1.
    let unit = 2.14 / 0.036;
    let columns = [
        ("sae_j1349_si", Standard::J1349Jun1990, Subject::spark()),
        ("j607_type", Standard::J607, Subject::spark()),
        ("j816_heywood", Standard::J816, measured()),
        ("iso1585_si", Standard::Iso1585, Subject::spark()),
        ("fa_na", Standard::R85, diesel(Aspiration::MechanicallySupercharged, unit)),
        ("fa_turbo_r85", Standard::R85, diesel(LIQUID, unit)),
        ("fa_turbo_iso_air", Standard::Iso15550, diesel(TURBO, unit)),
        ("fa_turbo_iso_liquid", Standard::Iso15550, diesel(LIQUID, unit)),
        ("din70020", Standard::Din70020, Subject::spark()),
    ];
    for row in rows(include_str!("../data/correction_grid.csv")) {
        let (p, t) = (row.number("p_total_kPa"), row.number("t_C"));
        // As the table was made: without the enhancement of moist air.
        let vapour = row.number("rh_pct") / 100.0 * saturation_pressure(t + 273.15).unwrap() / 1e3;
        as_printed(vapour, row.text("pv_kPa"), "vapour pressure");
        let air = air(p, t, vapour);
        for (column, standard, subject) in &columns {
            let at = format!("{column} at {p} kPa, {t} degC, {} %", row.text("rh_pct"));
            as_printed(factor(*standard, &air, subject), row.text(column), &at);
        }
        let iso = applied(Standard::Iso1585, &air, &Subject::spark());
        let window = iso.windows.iter().find(|w| w.limit.watched == Watched::Factor).unwrap();
        assert_eq!(window.holds(), row.text("iso1585_si_inside_0.93_1.07") == "1");
    }
}

#[test]
fn sensitivities_are_reproduced_at_their_digits() {
    for row in rows(include_str!("../data/correction_sensitivity.csv")) {
        let (standard, subject) = match row.text("standard") {
            "SAE J1349 (0.85)" => (Standard::J1349Jun1990, Subject::spark()),
            "J607-type" => (Standard::J607, Subject::spark()),
            "ISO 1585/R85/80-1269 SI" => (Standard::R85, Subject::spark()),
            "DIN 70020" => (Standard::Din70020, Subject::spark()),
            "R85 CI NA fm=0.48 (qc=45)" => (Standard::R85, diesel(Aspiration::Natural, 45.0)),
            "R85 CI turbo fm=0.48 (qc=45)" => (Standard::R85, diesel(TURBO, 45.0)),
            other => panic!("{other}"),
        };
        let at = |p, t, vapour| factor(standard, &air(p, t, vapour), &subject);
        let base = at(100.0, 25.0, 1.0);
        let change = |moved: f64| 100.0 * (moved / base - 1.0);
        as_printed(base, row.text("factor"), "factor");
        as_printed(change(at(101.0, 25.0, 1.0)), row.text("pct_per_+1kPa"), "+1 kPa");
        as_printed(change(at(100.0, 35.0, 1.0)), row.text("pct_per_+10K"), "+10 K");
        let vapour = row.text("pct_per_+1kPa_vapour");
        as_printed(change(at(100.0, 25.0, 2.0)), vapour, "+1 kPa of vapour");
    }
}

#[test]
fn the_price_of_a_sea_level_barometer_is_reproduced() {
    for row in rows(include_str!("../data/barometer_pitfall.csv")) {
        let elevation = row.number("H_m");
        let station = station_from_sea_level(101_325.0, elevation).unwrap();
        as_printed(station / 100.0, row.text("station_hPa"), "station pressure");
        for (standard, name) in [(Standard::J1349Jun1990, "j1349"), (Standard::Iso1585, "iso1585")]
        {
            let of =
                |pascal: f64| factor(standard, &air(pascal / 1e3, 25.0, 1.0), &Subject::spark());
            let (right, wrong) = (of(station), of(101_325.0));
            as_printed(right, row.text(&format!("{name}_right")), "right");
            as_printed(wrong, row.text(&format!("{name}_wrong")), "wrong");
            let error = 100.0 * (wrong / right - 1.0);
            as_printed(error, row.text(&format!("{name}_err_pct")), "error");
        }
        // And it is asked about wherever it can be told.
        let says = barometer(101_325.0, Some(elevation)).unwrap().says;
        let asked = matches!(says, BarometerSays::LooksReducedToSeaLevel { .. });
        assert_eq!(asked, elevation > 150.0, "{elevation} m: {says:?}");
    }
}

#[test]
fn adjustments_to_a_site_are_reproduced() {
    let text = include_str!("../data/iso3046_examples.json");
    let examples: serde_json::Value = serde_json::from_str(text).unwrap();
    let number = |v: &serde_json::Value| v.as_str().unwrap().parse::<f64>().unwrap();
    let natural = &examples["NA_CI_air_excess_limited"];
    let vapour = number(&natural["phi_x"]) * number(&natural["psat_x_kPa"]);
    // The table takes the temperatures of saturation and of the formula as t + 273.15 and t + 273.
    let site = air(number(&natural["px_kPa"]), 35.0, vapour);
    let cooled = &examples["turbo_charge_cooled"];
    let coolant = Engine3046::CooledDiesel { coolant_temperature: number(&cooled["Tcx_K"]) + 0.15 };
    for (wanted, engine) in [(natural, Engine3046::NaturalDieselByAir), (cooled, coolant)] {
        let found = adjustment(engine, &site, number(&wanted["eta_m"])).unwrap();
        assert!((found.indicated / number(&wanted["k"]) - 1.0).abs() < 1e-14, "{found:?}");
        assert!((found.brake / number(&wanted["alpha"]) - 1.0).abs() < 1e-14, "{found:?}");
    }
}

/// The rule of the trade that both note: J607 is 4.00 % above J1349 at the latter's reference.
#[test]
fn the_older_standard_is_four_per_cent_above() {
    let reference = air(100.0, 25.0, 1.0);
    let ratio = factor(Standard::J607, &reference, &Subject::spark())
        / factor(Standard::J1349Jun1990, &reference, &Subject::spark());
    assert!((ratio - 1.0400).abs() < 5e-5 + 1e-9, "{ratio}");
}

#[test]
fn a_test_too_far_from_the_reference_is_not_valid() {
    let near = validity(&air(100.0, 25.0, 1.0), &Subject::spark());
    assert!(near.window.holds() && (near.factor - 1.0).abs() < 1e-12);
    assert_eq!(validity(&air(96.0, 25.0, 1.0), &Subject::spark()).window.side, Side::Above);
}
