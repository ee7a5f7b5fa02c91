//! What holds for any air and any number.

use proptest::prelude::*;
use shortblock_weather::*;

fn any_standard() -> impl Strategy<Value = Standard> {
    prop::sample::select(Standard::ALL.to_vec())
}

fn any_subject() -> impl Strategy<Value = Subject> {
    let aspiration = prop::sample::select(vec![
        Aspiration::Natural,
        Aspiration::MechanicallySupercharged,
        Aspiration::Turbocharged(ChargeCooler::None),
        Aspiration::Turbocharged(ChargeCooler::Air),
        Aspiration::Turbocharged(ChargeCooler::Liquid),
    ]);
    let friction = prop_oneof![
        Just(Friction::AsTheStandardAssumes),
        Just(Friction::Measured),
        (0.5..1.0).prop_map(Friction::Efficiency),
    ];
    (any::<bool>(), aspiration, any::<bool>(), friction, 20.0..200.0f64, 1.0..4.0f64).prop_map(
        |(spark, aspiration, boost_held, friction, mg_per_cycle_litre, pressure_ratio)| Subject {
            ignition: if spark { Ignition::Spark } else { Ignition::Compression },
            aspiration,
            boost_held,
            friction,
            fuelling: Some(Fuelling { mg_per_cycle_litre, pressure_ratio }),
        },
    )
}

fn air(pressure: f64, temperature: f64, vapour: f64) -> Air {
    Air::new(pressure, temperature, Humidity::VapourPressure(vapour)).unwrap()
}

fn factor(standard: Standard, air: &Air, subject: &Subject) -> Option<f64> {
    match correction(standard, air, subject).ok()? {
        Outcome::Applies(correction) => Some(correction.factor.value()),
        Outcome::DoesNotApply(_) => None,
    }
}

proptest! {
    #[test]
    fn factors_fall_with_pressure_and_rise_with_heat_and_vapour(
        standard in any_standard(), subject in any_subject(),
        pressure in 70e3..104e3f64, temperature in 283.0..313.0f64, vapour in 0.0..500.0f64,
    ) {
        let at = |p, t, e| factor(standard, &air(p, t, e), &subject);
        if let Some(base) = at(pressure, temperature, vapour) {
            let constant = standard == Standard::AsObserved || subject.boost_held;
            let (thick, hot, humid) = (
                at(pressure + 500.0, temperature, vapour).unwrap(),
                at(pressure, temperature + 2.0, vapour).unwrap(),
                at(pressure, temperature, vapour + 300.0).unwrap(),
            );
            if constant {
                prop_assert_eq!([thick, hot, humid], [base; 3]);
            } else {
                prop_assert!(thick < base && hot > base);
                prop_assert!(humid > base || (standard == Standard::Din70020 && humid == base));
            }
        }
    }

    #[test]
    fn undoing_a_correction_gives_back_what_was_observed(
        standard in any_standard(), subject in any_subject(), torque in -100.0..3000.0f64,
        friction in 5.0..300.0f64,
        pressure in 70e3..104e3f64, temperature in 283.0..313.0f64, vapour in 0.0..1000.0f64,
    ) {
        let air = air(pressure, temperature, vapour);
        if let Ok(Outcome::Applies(c)) = correction(standard, &air, &subject) {
            let friction = Some(Torque(friction));
            let corrected = c.correct(Observed(Torque(torque)), friction).unwrap();
            prop_assert_eq!(corrected.standard(), standard);
            let back = c.undo(corrected, friction).unwrap().0.0;
            prop_assert!((back - torque).abs() < 1e-9, "{} {}", torque, back);
        }
    }

    #[test]
    fn any_number_gives_an_answer_or_a_reason(
        standard in any_standard(), subject in any_subject(),
        a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>(),
    ) {
        let humidities = [
            Humidity::Relative { fraction: c, sensor_temperature: d },
            Humidity::DewPoint(c),
            Humidity::WetBulb { dry: c, wet: d },
            Humidity::VapourPressure(c),
            Humidity::NotStated,
        ];
        for humidity in humidities {
            let made = Air::new(a, b, humidity);
            prop_assert!(made.is_ok() || made.is_err_and(|e| !e.to_string().is_empty()));
            // A usable pressure and temperature let any humidity through to its own check.
            if let Ok(air) = Air::new(98e3, 300.0, humidity) {
                prop_assert!(air.dry_pressure() > 0.0 && air.density() > 0.0);
                let odd = Subject { friction: Friction::Efficiency(d), ..subject };
                for subject in [subject, odd] {
                    if let Some(value) = factor(standard, &air, &subject) {
                        prop_assert!(value.is_finite() && value > 0.0);
                    }
                }
                let _ = adjustment(Engine3046::NaturalSpark, &air, d);
                let _ = validity(&air, &subject);
            }
        }
        let _ = dew_point(a, b);
        let _ = guess_barometer_unit(a, Some(b));
        let _ = barometer(a, Some(b)).map(|found| found.to_string());
        let _ = station_from_sea_level(a, b);
    }
}
