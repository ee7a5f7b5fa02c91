//! The logs: benches of many places, and rollers.

use super::{
    AT_WHEELS, FACTOR, GEARING, HP, KILOPOND, Must, POUND_FOOT, PS, RPM, fahrenheit, figure, latin,
    table, torque, utf_16,
};

/// Every log: what it is like, what must come of it, its bytes.
pub fn logs() -> Vec<(&'static str, Must, Vec<u8>)> {
    let mut all = european();
    all.extend(overseas());
    all.extend(clocks_and_scales());
    all.extend(rollers());
    all.extend(super::traps::traps());
    all.extend(super::traps::odd());
    all
}

fn european() -> Vec<(&'static str, Must, Vec<u8>)> {
    vec![
        (
            "German: preamble, semicolons, decimal comma, units row, windows-1252",
            Must::Crank(0.05),
            latin(&table(
                ";",
                ",",
                &[
                    "Prüfstand 2;Motor 17",
                    "Datum;14.05.2026;Uhrzeit;10:22",
                    "Meßwerte unkorrigiert",
                    "",
                    "Zeit;Drehzahl;Drehmoment;Leistung;Öltemp.;Öldruck;Lambda",
                    "s;U/min;Nm;kW;°C;bar;-",
                ],
                |r| {
                    vec![
                        figure(r.t, 2),
                        figure(r.rpm, 0),
                        figure(r.torque, 1),
                        figure(r.watts() / 1e3, 2),
                        figure(r.degc(84.0, 0.3), 1),
                        figure(r.pick(4.2, 2.1, 0.0), 2),
                        figure(r.pick(0.88, 1.0, 1.3), 3),
                    ]
                },
            )),
        ),
        (
            "German: metre-kiloponds and PS, old bench",
            Must::Crank(0.005 * KILOPOND),
            latin(&table(";", ",", &["Zeit [s];n [U/min];Md [mkp];Pe [PS]"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.torque / KILOPOND, 2),
                    figure(r.watts() / PS, 1),
                ]
            })),
        ),
        (
            "German: thousands with points, power in kW and PS beside each other",
            Must::Crank(0.05),
            table(";", ",", &["Zeit s;Drehzahl 1/min;Moment Nm;Leistung kW;Leistung PS"], |r| {
                let n = r.rpm.round() as u32;
                let n =
                    if n > 999 { format!("{}~{:03}", n / 1000, n % 1000) } else { n.to_string() };
                vec![
                    figure(r.t, 2),
                    n,
                    figure(r.torque, 1),
                    figure(r.watts() / 1e3, 1),
                    figure(r.watts() / PS, 1),
                ]
            })
            .replace('~', ".")
            .into_bytes(),
        ),
        (
            "French: tabs, decimal comma, ch",
            Must::Crank(0.05),
            table(
                "\t",
                ",",
                &["Temps (s)\tRégime (tr/min)\tCouple (N.m)\tPuissance (ch)\tT° eau (°C)"],
                |r| {
                    vec![
                        figure(r.t, 2),
                        figure(r.rpm, 0),
                        figure(r.torque, 1),
                        figure(r.watts() / PS, 1),
                        figure(r.degc(80.0, 0.2), 1),
                    ]
                },
            )
            .into_bytes(),
        ),
        (
            "French: metre-decanewtons, clock with hundredths behind a comma",
            Must::Crank(0.05),
            table(
                ";",
                ",",
                &["Heure;Régime moteur;Couple;Pression huile", "hh:mm:ss;tr/min;m.daN;bar"],
                |r| {
                    let s = 37_325.0 + r.t;
                    let clock = format!(
                        "{:02}:{:02}:{:05.2}",
                        (s / 3600.0) as u32,
                        (s / 60.0) as u32 % 60,
                        s % 60.0
                    );
                    vec![
                        clock,
                        figure(r.rpm, 0),
                        figure(r.torque / 10.0, 2),
                        figure(r.pick(4.4, 2.2, 0.0), 2),
                    ]
                },
            )
            .into_bytes(),
        ),
        (
            "Italian: kgm and CV",
            Must::Crank(0.005 * KILOPOND),
            table(
                ";",
                ",",
                &["Tempo [s];Giri [giri/min];Coppia [kgm];Potenza [CV];Temp. acqua [°C]"],
                |r| {
                    vec![
                        figure(r.t, 2),
                        figure(r.rpm, 0),
                        figure(r.torque / KILOPOND, 2),
                        figure(r.watts() / PS, 1),
                        figure(r.degc(81.0, 0.2), 0),
                    ]
                },
            )
            .into_bytes(),
        ),
        (
            "Spanish: par, potencia, CV",
            Must::Crank(0.05),
            table(";", ",", &["Tiempo (s);Régimen (rpm);Par (Nm);Potencia (CV)"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.torque, 1),
                    figure(r.watts() / PS, 1),
                ]
            })
            .into_bytes(),
        ),
        (
            "Swedish: words nobody here knows, units that speak",
            Must::Crank(0.05),
            table(";", ",", &["Tid (s);Varvtal (r/min);Vridmoment (Nm);Effekt (kW)"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.torque, 1),
                    figure(r.watts() / 1e3, 2),
                ]
            })
            .into_bytes(),
        ),
    ]
}

fn overseas() -> Vec<(&'static str, Must, Vec<u8>)> {
    let japanese = |heads: &[&str]| {
        table(",", ".", heads, |r| {
            vec![
                figure(r.t, 2),
                figure(r.rpm, 0),
                figure(r.torque / KILOPOND, 2),
                figure(r.watts() / PS, 1),
            ]
        })
    };
    vec![
        (
            "Japanese: UTF-16, kgf·m and PS",
            Must::Crank(0.005 * KILOPOND),
            utf_16(&japanese(&["時間[s],回転数[rpm],トルク[kgf·m],出力[PS]"])),
        ),
        ("Japanese: Shift_JIS, units row", Must::Crank(0.005 * KILOPOND), {
            let text = japanese(&["時間,回転数,トルク,出力", "s,rpm,kgf.m,PS"]);
            encoding_rs::SHIFT_JIS.encode(&text).0.into_owned()
        }),
        (
            "Japanese: Shift_JIS, a remark, N・m and ℃ in the headings, all in words",
            Must::Crank(0.05),
            {
                let heads = [
                    "測定日時,2026/05/14",
                    "",
                    "時間[s],回転数[rpm],トルク[N・m],水温[℃],大気圧[hPa]",
                ];
                let text = table(",", ".", &heads, |r| {
                    vec![
                        figure(r.t, 2),
                        figure(r.rpm, 0),
                        figure(r.torque, 1),
                        figure(r.degc(80.0, 0.2), 1),
                        figure(991.2, 1),
                    ]
                });
                encoding_rs::SHIFT_JIS.encode(&text).0.into_owned()
            },
        ),
        (
            "British: no units but in the headings, bhp",
            Must::Crank(0.05 * POUND_FOOT),
            table(",", ".", &["\"Time\",\"RPM\",\"lbft\",\"bhp\",\"Water degF\",\"Oil P\""], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.torque / POUND_FOOT, 1),
                    figure(r.watts() / HP, 1),
                    figure(fahrenheit(r.degc(80.0, 0.2)), 0),
                    figure(r.pick(62.0, 30.0, 0.0), 0),
                ]
            })
            .into_bytes(),
        ),
        (
            "American: corrected torque and power with their factor",
            Must::Crank(0.05 * POUND_FOOT),
            table(",", ".", &["Time,Eng RPM,SAE Torque,SAE Power,CF,Baro,Air Temp"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(FACTOR * r.torque / POUND_FOOT, 1),
                    figure(FACTOR * r.watts() / HP, 1),
                    figure(FACTOR, 4),
                    figure(28.6, 2),
                    figure(88.0, 0),
                ]
            })
            .into_bytes(),
        ),
        (
            "American: observed torque beside corrected power",
            Must::Crank(0.05 * POUND_FOOT),
            table(",", ".", &["Time (s),RPM,Observed Torque (lb-ft),Corrected Power (hp)"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.torque / POUND_FOOT, 1),
                    figure(FACTOR * r.watts() / HP, 1),
                ]
            })
            .into_bytes(),
        ),
        (
            "American: Fahrenheit and psi without a word",
            Must::Crank(0.05 * POUND_FOOT),
            table(
                ",",
                ".",
                &["Time,RPM,Torque,Power,Water Temp,Oil Temp,Air Temp,Oil Press,Fuel Press"],
                |r| {
                    vec![
                        figure(r.t, 2),
                        figure(r.rpm, 0),
                        figure(r.torque / POUND_FOOT, 1),
                        figure(r.watts() / HP, 1),
                        figure(fahrenheit(r.degc(80.0, 0.2)), 0),
                        figure(fahrenheit(r.degc(90.0, 0.3)), 0),
                        figure(fahrenheit(24.0), 0),
                        figure(r.pick(62.0, 30.0, 0.0), 0),
                        figure(r.pick(45.0, 45.0, 0.0), 1),
                    ]
                },
            )
            .into_bytes(),
        ),
    ]
}

fn clocks_and_scales() -> Vec<(&'static str, Must, Vec<u8>)> {
    vec![
        ("date and time in one cell, to the second only", Must::Crank(0.05), {
            // Twenty rows share a second.
            table(",", ".", &["Timestamp,RPM,Torque (Nm)"], |r| {
                let s = 22.0 * 60.0 + 5.0 + r.t;
                vec![
                    format!("2026/05/14 10:{:02}:{:02}", (s / 60.0) as u32, s as u32 % 60),
                    figure(r.rpm, 0),
                    figure(r.torque, 1),
                ]
            })
            .into_bytes()
        }),
        (
            "minutes, seconds and thousandths",
            Must::Crank(0.05),
            table(",", ".", &["Time,RPM,Torque (Nm)"], |r| {
                vec![format!("00:{:06.3}", r.t), figure(r.rpm, 0), figure(r.torque, 1)]
            })
            .into_bytes(),
        ),
        (
            "milliseconds without a unit",
            Must::Crank(0.05),
            table("\t", ".", &["t\tn\tTorque Nm"], |r| {
                vec![figure(1e3 * r.t, 0), figure(r.rpm, 0), figure(r.torque, 1)]
            })
            .into_bytes(),
        ),
        (
            "speed in thousands",
            Must::Crank(0.05),
            table(",", ".", &["Time [s],RPM x1000,Torque [Nm]"], |r| {
                vec![figure(r.t, 2), figure(r.rpm / 1e3, 4), figure(r.torque, 1)]
            })
            .into_bytes(),
        ),
        (
            "turns a second and newton metres",
            Must::Crank(0.05),
            table(",", ".", &["time,engine speed,torque", "s,1/s,N.m"], |r| {
                vec![figure(r.t, 2), figure(r.rpm / 60.0, 3), figure(r.torque, 1)]
            })
            .into_bytes(),
        ),
        (
            "power alone",
            Must::Crank(0.2),
            table(";", ",", &["Zeit [s];Drehzahl [1/min];Leistung [kW]"], |r| {
                vec![figure(r.t, 2), figure(r.rpm, 1), figure(r.watts() / 1e3, 2)]
            })
            .into_bytes(),
        ),
        ("printed table from the top down, in blanks, without a time", Must::Crank(0.05), {
            let lines = (0..17).map(|i| {
                let n = 6700.0 - 250.0 * f64::from(i);
                format!("{n:>8.0} {:>9.1} {:>9.1}\n", torque(n), torque(n) * n * RPM / 1e3)
            });
            let head = "n [1/min]   M [Nm]    P [kW]\n".to_owned();
            (head + &lines.collect::<String>()).into_bytes()
        }),
        (
            "gauge pressures and a blown manifold",
            Must::Crank(0.05),
            table(",", ".", &["Time (s),RPM,Torque (Nm),MAP (psig),Oil (psig),Baro (mbar)"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.torque, 1),
                    figure(r.pick(9.5, -8.0, 0.0), 2),
                    figure(r.pick(61.0, 30.0, 0.0), 0),
                    figure(992.0, 0),
                ]
            })
            .into_bytes(),
        ),
    ]
}

fn rollers() -> Vec<(&'static str, Must, Vec<u8>)> {
    vec![
        (
            "roller with engine speed, power at the wheels",
            Must::Wheels(40.0),
            table(";", ",", &["Zeit s;Geschwindigkeit km/h;Drehzahl U/min;Radleistung PS"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm / GEARING, 2),
                    figure(r.rpm, 0),
                    figure((AT_WHEELS * r.watts() / PS).max(0.0), 1),
                ]
            })
            .into_bytes(),
        ),
        (
            "roller without engine speed",
            Must::Ask,
            table(";", ",", &["Zeit s;Geschwindigkeit km/h;Zugkraft N;Radleistung kW"], |r| {
                let v = (r.rpm / GEARING / 3.6).max(0.1);
                let power = (AT_WHEELS * r.watts()).max(0.0);
                vec![
                    figure(r.t, 2),
                    figure(3.6 * v, 2),
                    figure(power / v, 0),
                    figure(power / 1e3, 2),
                ]
            })
            .into_bytes(),
        ),
        (
            "roller that says hub power",
            Must::Wheels(40.0),
            table(",", ".", &["Time (s),Engine RPM,Speed (mph),Hub Power (hp)"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.rpm / GEARING / 1.609_344, 2),
                    figure((AT_WHEELS * r.watts() / HP).max(0.0), 1),
                ]
            })
            .into_bytes(),
        ),
    ]
}
