//! Humidity, density and the standard atmosphere against tables.

use crate::table::{as_printed, half_unit, rows};
use shortblock_gas::atmosphere;
use shortblock_gas::saturation::saturation_pressure;
use shortblock_weather::*;

/// `saturation_pressure.csv`, 50 digits. The IAPWS row of -10 °C is an extrapolation, here as there.
#[test]
fn saturation_is_reproduced_at_its_twelve_figures() {
    for row in rows(include_str!("../data/saturation_pressure.csv")) {
        let kelvin = row.number("t_C") + 273.15;
        let iapws = saturation_pressure(kelvin).unwrap() / 100.0;
        as_printed(iapws, row.text("iapws_hPa"), "IAPWS");
        let wmo = saturation_pressure_wmo(kelvin) / 100.0;
        as_printed(wmo, row.text("wmo_magnus_hPa"), "WMO");
        // From 0 to 50 °C any two of the seven formulas agree within 0.31 %, as rounded.
        if kelvin > 273.0 {
            assert!((wmo / iapws - 1.0).abs() < 3.15e-3);
        }
    }
}

/// `psychrometer.csv`: WMO guide worked out at 50 digits; last column another library's, of the ASHRAE
/// formulation, whose wet bulb is not quite the same: 0.53 %RH at most, as rounded.
#[test]
fn the_psychrometer_is_reproduced_and_agrees_with_another_formulation() {
    for row in rows(include_str!("../data/psychrometer.csv")) {
        let (dry, wet) = (row.number("t_C") + 273.15, row.number("tw_C") + 273.15);
        let pressure = row.number("p_hPa") * 100.0;
        let vapour = Humidity::WetBulb { dry, wet }.vapour_pressure(pressure).unwrap();
        as_printed(vapour / 100.0, row.text("e_hPa"), "e");
        let saturated = enhancement(pressure) * saturation_pressure_wmo(dry);
        let by_wmo = 100.0 * vapour / saturated;
        as_printed(by_wmo, row.text("rh_pct_wmo"), "RH");
        assert!((by_wmo - row.number("rh_pct_psychrolib")).abs() < 0.535, "{by_wmo}");
        // The air's own humidity is of the same vapour, over saturation by IAPWS.
        let air = Air::new(pressure, dry, Humidity::WetBulb { dry, wet }).unwrap();
        let relative = 100.0 * air.relative_humidity().unwrap();
        assert!((relative / by_wmo - 1.0).abs() < 3.15e-3, "{relative} {by_wmo}");
        // The dew point goes by IAPWS here, by the WMO formula there: 0.31 % of vapour is 0.05 K,
        // a little more over supercooled water.
        let dew = air.dew_point().unwrap() - 273.15;
        assert!((dew - row.number("dewpoint_C")).abs() < 0.06, "{dew}");
    }
}

/// `moist_air_density.csv`: CIPM-2007 at 50 digits and CoolProp 8.0.0 (ASHRAE RP-1485).
#[test]
fn density_is_reproduced_and_agrees_with_an_independent_library() {
    for row in rows(include_str!("../data/moist_air_density.csv")) {
        let (pressure, kelvin) = (row.number("p_Pa"), row.number("t_C") + 273.15);
        let vapour = row.number("xv") * pressure;
        let density = cipm_density(pressure, kelvin, vapour);
        // The vapour's share is printed to ten figures, and 0.38 of it is missing in the density.
        let input = 0.38 * density * half_unit(row.text("xv"));
        let printed = row.text("rho_cipm2007_kg_m3");
        let off = (density - row.number("rho_cipm2007_kg_m3")).abs();
        assert!(off < half_unit(printed) + input, "CIPM-2007: {density} for {printed}");
        assert!((density / row.number("rho_coolprop") - 1.0).abs() < 4.1e-5);
        let two = two_gas_density(pressure, kelvin, vapour);
        as_printed(two, row.text("rho_ideal"), "two gases");
        assert!((two / density - 1.0).abs() < 5.2e-4);
    }
}

#[test]
fn the_standard_atmosphere_is_reproduced_at_its_ten_figures() {
    for row in rows(include_str!("../data/isa_table.csv")) {
        let height = row.number("geopotential_m");
        let found = atmosphere::pressure_at(height).unwrap();
        // Heights are printed to ten figures too, which is 1e-9 of the pressure at most.
        let off = found / 100.0 / row.number("p_hPa") - 1.0;
        assert!(off.abs() < 1e-9, "{height} m: {off:e}");
        let back = atmosphere::elevation_of_density(row.number("rho_kg_m3"));
        // Ten figures of density are 1e-5 m of height.
        assert!((back - height).abs() < 2e-5, "{height} m: {back}");
        if !row.text("pub_p_hPa").is_empty() {
            // US Standard Atmosphere 1976, table, from memory: within one unit of its last digit.
            assert!((found / 100.0 - row.number("pub_p_hPa")).abs() < 0.01);
        }
    }
}

#[test]
fn density_altitude_is_that_of_moist_air() {
    for row in rows(include_str!("../data/density_altitude.csv")) {
        let found = atmosphere::elevation_of_density(row.number("rho_cipm"));
        // The density is printed to ten figures: 1e-5 m of height.
        assert!((found - row.number("density_altitude_m")).abs() < 1e-5, "{found}");
        let (pressure, kelvin) = (row.number("p_Pa_station"), row.number("t_C") + 273.15);
        let fraction = row.number("h");
        let humidity = Humidity::Relative { fraction, sensor_temperature: kelvin };
        let air = Air::new(pressure, kelvin, humidity).unwrap();
        // Vapour by IAPWS and Buck's enhancement here, by CIPM's there: 0.1 % of the vapour, which is
        // 4e-5 of the density and 0.4 m at most.
        let off = air.density_altitude() - row.number("density_altitude_m");
        assert!(off.abs() < 0.4, "{off}");
        let off = air.pressure_altitude() - row.number("pressure_altitude_m");
        assert!(off.abs() < 1e-5, "{off}");
    }
}
