//! Which standard has what to say of which engine.

use shortblock_weather::*;

fn air() -> Air {
    let humidity = Humidity::Relative { fraction: 0.4, sensor_temperature: 303.15 };
    Air::new(98_500.0, 303.15, humidity).unwrap()
}

fn asked(standard: Standard, subject: &Subject) -> Outcome {
    correction(standard, &air(), subject).unwrap()
}

fn remarks(standard: Standard, subject: &Subject) -> Vec<Remark> {
    match asked(standard, subject) {
        Outcome::Applies(correction) => correction.remarks,
        Outcome::DoesNotApply(why) => panic!("{why:?}"),
    }
}

const TURBO: Aspiration = Aspiration::Turbocharged(ChargeCooler::Air);
const SAE_AND_DIN: [Standard; 8] = [
    Standard::J1349Jun1990,
    Standard::J1349Jun1990Exact,
    Standard::J1349Aug2004,
    Standard::J1349Sep2011,
    Standard::J1995,
    Standard::J607,
    Standard::J816,
    Standard::Din70020,
];
const ISO: [Standard; 5] = [
    Standard::Iso1585,
    Standard::R85,
    Standard::Eec80Slash1269,
    Standard::JisD1001,
    Standard::Eu134Slash2014,
];

#[test]
fn formulas_of_free_breathing_engines_refuse_boosted_ones_and_show_what_they_would_say() {
    let efficiency = Friction::Efficiency(0.85);
    let natural = Subject::spark().with_friction(efficiency);
    let turbo = natural.with_aspiration(TURBO);
    let crank = natural.with_aspiration(Aspiration::MechanicallySupercharged);
    for standard in SAE_AND_DIN {
        let Outcome::Applies(free) = asked(standard, &natural) else { panic!("{standard:?}") };
        for boosted in [turbo, turbo.with_boost_held(), crank.with_boost_held()] {
            let Outcome::DoesNotApply(refused) = asked(standard, &boosted) else {
                panic!("{standard:?}")
            };
            assert_eq!(refused.as_if_natural, Some(free.factor));
            assert!(refused.why.contains("over-corrects"));
        }
        assert!(remarks(standard, &crank).contains(&Remark::BlowerAsNatural));
    }
}

#[test]
fn regulations_take_boost_with_a_warning_and_held_boost_with_factor_one() {
    let turbo = Subject::spark().with_aspiration(TURBO);
    for standard in ISO {
        assert!(remarks(standard, &turbo).contains(&Remark::OverCorrectsBoost));
        let Outcome::Applies(held) = asked(standard, &turbo.with_boost_held()) else {
            panic!("{standard:?}")
        };
        assert_eq!((held.factor, held.within_limits()), (Factor::OnBrake(1.0), true));
        assert!(held.remarks.contains(&Remark::FullyCompensated));
    }
}

#[test]
fn diesels_have_their_own_formula_or_none() {
    let fuelling = Fuelling { mg_per_cycle_litre: 90.0, pressure_ratio: 2.0 };
    let diesel = Subject::compression(TURBO, fuelling);
    for standard in [
        Standard::Iso1585,
        Standard::R85,
        Standard::Eec80Slash1269,
        Standard::JisD1001,
        Standard::Iso15550,
        Standard::J1349Jun1990,
    ] {
        assert!(remarks(standard, &diesel).contains(&Remark::ConsumptionByReciprocal));
        let unknown = Subject { fuelling: None, ..diesel };
        let missing = correction(standard, &air(), &unknown);
        assert_eq!(missing, Err(WeatherError::FuellingMissing { standard }));
    }
    for standard in [
        Standard::J1349Aug2004,
        Standard::J1349Sep2011,
        Standard::J1995,
        Standard::J607,
        Standard::J816,
        Standard::Din70020,
        Standard::Eu134Slash2014,
    ] {
        assert!(matches!(asked(standard, &diesel), Outcome::DoesNotApply(_)), "{standard:?}");
    }
    assert!(matches!(asked(Standard::Iso15550, &Subject::spark()), Outcome::DoesNotApply(_)));
}

#[test]
fn a_factor_on_indicated_power_asks_for_friction_and_undoes_with_it() {
    let missing = correction(Standard::J816, &air(), &Subject::spark()).unwrap_err();
    assert_eq!(
        missing.to_string(),
        "SAE J816/J245 type: its factor acts on indicated power; give the measured friction at this \
         speed, or a mechanical efficiency"
    );
    let measured = Subject::spark().with_friction(Friction::Measured);
    let Outcome::Applies(j1349) = asked(Standard::J1349Sep2011, &measured) else { panic!() };
    let observed = Observed(Torque(600.0));
    let missing = j1349.correct(observed, None);
    assert!(matches!(missing, Err(WeatherError::FrictionMissing { .. })));
    let friction = Some(Torque(70.0));
    let corrected = j1349.correct(observed, friction).unwrap();
    assert!((corrected.value().0 - (670.0 * j1349.factor.value() - 70.0)).abs() < 1e-12);
    assert!((j1349.undo(corrected, friction).unwrap().0.0 - 600.0).abs() < 1e-10);
}

#[test]
fn a_figure_is_taken_back_only_by_the_standard_it_was_corrected_to() {
    let Outcome::Applies(iso) = asked(Standard::Iso1585, &Subject::spark()) else { panic!() };
    let old = Corrected::stated(Power(250e3), Standard::J607);
    let said = iso.undo(old, None).unwrap_err().to_string();
    assert!(
        said.starts_with("figure corrected to SAE J607 type: cannot be taken back by"),
        "{said}"
    );
}

#[test]
fn limits_can_be_edited_and_nothing_stops_outside_them() {
    let strict = Limit {
        watched: Watched::InletTemperature,
        low: 290.0,
        high: 300.0,
        source: "the owner's",
    };
    let edited =
        correction_within(Standard::J1349Jun1990, &air(), &Subject::spark(), &[strict]).unwrap();
    let Outcome::Applies(edited) = edited else { panic!() };
    assert_eq!((edited.windows.len(), edited.windows[0].side), (1, Side::Above));
    let Outcome::Applies(shipped) = asked(Standard::J1349Jun1990, &Subject::spark()) else {
        panic!()
    };
    assert_eq!(shipped.factor, edited.factor);
}

#[test]
fn what_was_not_said_and_what_is_large_is_remarked() {
    let thin = Air::new(84_500.0, 293.15, Humidity::NotStated).unwrap();
    let said = |standard| match correction(standard, &thin, &Subject::spark()).unwrap() {
        Outcome::Applies(correction) => correction.remarks,
        Outcome::DoesNotApply(why) => panic!("{why:?}"),
    };
    let both = [Remark::HumidityNotStated, Remark::BeyondSevenPerCent];
    assert_eq!(said(Standard::Iso1585), both);
    assert_eq!(said(Standard::Din70020), [Remark::HumidityIgnored, Remark::BeyondSevenPerCent]);
    assert_eq!(said(Standard::AsObserved), []);
}

/// Test windows of the regulations. EU 134/2014 annex X appendix 2.2: 283.2 K < T < 318.2 K; UN R85:
/// 288 to 308 K (15 to 35 °C) with spark, 283 to 313 K (10 to 40 °C) with compression ignition, dry
/// pressure 80 to 110 kPa (R85 from memory).
#[test]
fn each_regulation_has_its_own_window() {
    let fuelling = Fuelling { mg_per_cycle_litre: 50.0, pressure_ratio: 1.0 };
    let diesel = Subject::compression(Aspiration::Natural, fuelling);
    for (standard, subject, low, high) in [
        (Standard::Eu134Slash2014, Subject::spark(), 283.2, 318.2),
        (Standard::R85, Subject::spark(), 288.15, 308.15),
        (Standard::R85, diesel, 283.15, 313.15),
    ] {
        let side = |watched: Watched, pressure: f64, kelvin: f64| {
            let dry = Air::new(pressure, kelvin, Humidity::VapourPressure(0.0)).unwrap();
            let Outcome::Applies(found) = correction(standard, &dry, &subject).unwrap() else {
                panic!("{standard:?}")
            };
            found.windows.iter().find(|w| w.limit.watched == watched).map(|w| w.side)
        };
        let heat = |kelvin| side(Watched::InletTemperature, 99e3, kelvin);
        assert_eq!(heat(low - 0.05), Some(Side::Below), "{standard:?}");
        assert_eq!(heat(low + 0.05), Some(Side::Inside), "{standard:?}");
        assert_eq!(heat(high - 0.05), Some(Side::Inside), "{standard:?}");
        assert_eq!(heat(high + 0.05), Some(Side::Above), "{standard:?}");
        if standard == Standard::R85 {
            let pressure = |pascal| side(Watched::DryPressure, pascal, 298.15);
            assert_eq!(pressure(79_900.0), Some(Side::Below));
            assert_eq!(pressure(80_100.0), Some(Side::Inside));
            assert_eq!(pressure(109_900.0), Some(Side::Inside));
            assert_eq!(pressure(110_100.0), Some(Side::Above));
        }
    }
}
