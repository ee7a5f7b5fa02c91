//! The logs: benches of many places, rollers, and traps.

use super::{
    AT_WHEELS, FACTOR, GEARING, HP, KILOPOND, Must, POUND_FOOT, PS, RPM, Row, fahrenheit, figure,
    latin, table, torque, utf_16,
};

/// Every log: what it is like, what must come of it, its bytes.
pub fn logs() -> Vec<(&'static str, Must, Vec<u8>)> {
    let mut all = european();
    all.extend(overseas());
    all.extend(clocks_and_scales());
    all.extend(rollers());
    all.extend(traps());
    all.extend(odd());
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

fn traps() -> Vec<(&'static str, Must, Vec<u8>)> {
    vec![
        (
            "headed Nm, and in truth lbf.ft",
            Must::Ask,
            table(",", ".", &["Time (s),RPM,Torque (Nm),Power (hp)"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.torque / POUND_FOOT, 1),
                    figure(r.watts() / HP, 1),
                ]
            })
            .into_bytes(),
        ),
        (
            "torque without a unit and without power",
            Must::Ask,
            table(",", ".", &["Time (s),RPM,Torque"], |r| {
                vec![figure(r.t, 2), figure(r.rpm, 0), figure(r.torque / POUND_FOOT, 1)]
            })
            .into_bytes(),
        ),
        (
            "air-fuel ratio of ethanol",
            Must::Ask,
            table(",", ".", &["Time (s),RPM,Torque (Nm),AFR"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.torque, 1),
                    figure(9.0 * r.pick(0.88, 1.0, 1.3), 2),
                ]
            })
            .into_bytes(),
        ),
        (
            "torque with the sign of the brake",
            Must::Ask,
            table(",", ".", &["Time (s),RPM,Torque (Nm)"], |r| {
                vec![figure(r.t, 2), figure(r.rpm, 0), figure(-r.torque, 1)]
            })
            .into_bytes(),
        ),
        (
            "torque and power exchanged",
            Must::Ask,
            table(",", ".", &["Time (s),RPM,Torque (Nm),Power (kW)"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.watts() / 1e3, 1),
                    figure(r.torque, 1),
                ]
            })
            .into_bytes(),
        ),
        (
            "corrected, as the preamble says, without a factor",
            Must::Ask,
            table(
                ",",
                ".",
                &["Results corrected to SAE J1349", "", "Time (s),RPM,Torque (Nm),Power (kW)"],
                |r| {
                    vec![
                        figure(r.t, 2),
                        figure(r.rpm, 0),
                        figure(FACTOR * r.torque, 1),
                        figure(FACTOR * r.watts() / 1e3, 2),
                    ]
                },
            )
            .into_bytes(),
        ),
        (
            "a torque in tenths of a newton metre, as its heading says",
            Must::Ask,
            table(",", ".", &["Time (s),RPM,Torque x10 (Nm)"], |r| {
                vec![figure(r.t, 2), figure(r.rpm, 0), figure(10.0 * r.torque, 0)]
            })
            .into_bytes(),
        ),
    ]
}

/// As exports come after a spreadsheet, a printer or a bad idea went over them.
fn odd() -> Vec<(&'static str, Must, Vec<u8>)> {
    let plain = |head: &[&str], cells: fn(&Row) -> Vec<String>| table(",", ".", head, cells);
    let usual = |r: &Row| vec![figure(r.t, 2), figure(r.rpm, 0), figure(r.torque, 1)];
    vec![
        (
            "comma as delimiter and as decimal sign",
            Must::Ask,
            table(",", ",", &["Zeit,Drehzahl,Drehmoment Nm"], |r| {
                vec![figure(r.t, 2), figure(r.rpm, 1), figure(r.torque, 1)]
            })
            .into_bytes(),
        ),
        (
            "decimal commas in quotes between commas",
            Must::Crank(0.05),
            table(",", ",", &["\"Zeit s\",\"Drehzahl U/min\",\"Drehmoment Nm\""], |r| {
                [figure(r.t, 2), figure(r.rpm, 1), figure(r.torque, 1)]
                    .map(|cell| format!("\"{}\"", cell.replace('.', "~")))
                    .to_vec()
            })
            .replace('~', ",")
            .into_bytes(),
        ),
        ("headings again every fifty rows", Must::Crank(0.05), {
            let text = plain(&["Time (s),RPM,Torque (Nm)"], usual);
            let mut lines = text.lines();
            let head = lines.next().unwrap_or_default();
            let rows: Vec<&str> = lines.collect();
            let pages = rows.chunks(50).map(|page| format!("{head}\r\n{}\r\n", page.join("\r\n")));
            pages.collect::<String>().into_bytes()
        }),
        ("newest row first", Must::Ask, {
            let text = plain(&["Time (s),RPM,Torque (Nm)"], usual);
            let mut lines: Vec<&str> = text.lines().collect();
            lines[1..].reverse();
            lines.join("\n").into_bytes()
        }),
        (
            "UTF-16, big end first, without a mark",
            Must::Crank(0.05),
            plain(&["Time (s),RPM,Torque (Nm)"], usual)
                .encode_utf16()
                .flat_map(u16::to_be_bytes)
                .collect(),
        ),
        (
            "power in watts",
            Must::Crank(0.05),
            plain(&["Time (s),RPM,Torque (Nm),Power (W)"], |r| {
                vec![figure(r.t, 2), figure(r.rpm, 0), figure(r.torque, 1), figure(r.watts(), 0)]
            })
            .into_bytes(),
        ),
        (
            "radians a second",
            Must::Crank(0.05),
            plain(&["t [s],omega [rad/s],M [N m]"], |r| {
                vec![figure(r.t, 2), figure(r.rpm * RPM, 2), figure(r.torque, 1)]
            })
            .into_bytes(),
        ),
        (
            "ft/lbs, as people write it",
            Must::Crank(0.05 * POUND_FOOT),
            plain(&["Time,RPM,Torque (ft/lbs),HP"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(r.torque / POUND_FOOT, 1),
                    figure(r.watts() / HP, 1),
                ]
            })
            .into_bytes(),
        ),
        (
            "footer with the greatest values, delimiters at the end of every line",
            Must::Crank(0.05),
            (table(";", ",", &["Zeit (s);Drehzahl (1/min);Drehmoment (Nm);"], |r| {
                vec![figure(r.t, 2), figure(r.rpm, 0), figure(r.torque, 1), String::new()]
            }) + "\r\nMax;6690;214,9;\r\nMittel;3810;151,2;\r\n")
                .into_bytes(),
        ),
        (
            "missing cells as dashes and 9999",
            Must::Crank(0.05),
            plain(&["Time (s),RPM,Torque (Nm),Oil Temp (C)"], |r| {
                let row = (r.t * 20.0).round() as u32;
                let torque = if row % 37 == 5 { "-".to_owned() } else { figure(r.torque, 1) };
                let oil = if row % 41 == 7 { "9999".to_owned() } else { figure(91.0, 0) };
                vec![figure(r.t, 2), figure(r.rpm, 0), torque, oil]
            })
            .into_bytes(),
        ),
        ("one row a second", Must::Crank(0.05), {
            let text = plain(&["Time (s),RPM,Torque (Nm)"], usual);
            let lines = text.lines().enumerate();
            let kept = lines.filter(|(i, _)| *i == 0 || (i - 1) % 20 == 0);
            kept.map(|(_, line)| format!("{line}\n")).collect::<String>().into_bytes()
        }),
        (
            "speed to the nearest 10 rpm",
            // A row lies up to 5 rpm beside its speed; torque slopes by 0.03 N.m a rpm at most.
            Must::Crank(0.2),
            plain(&["Time (s),RPM,Torque (Nm)"], |r| {
                vec![figure(r.t, 2), figure((r.rpm / 10.0).round() * 10.0, 0), figure(r.torque, 1)]
            })
            .into_bytes(),
        ),
        (
            "corrected torque alone, without a factor",
            Must::Corrected(0.05),
            plain(&["Time (s),RPM,Corr. Torque (Nm),Corr. Power (kW)"], |r| {
                vec![
                    figure(r.t, 2),
                    figure(r.rpm, 0),
                    figure(FACTOR * r.torque, 1),
                    figure(FACTOR * r.watts() / 1e3, 2),
                ]
            })
            .into_bytes(),
        ),
        (
            "Nm in the heading and lbf.ft in the row of units",
            Must::Ask,
            plain(&["Time,RPM,Torque Nm", "s,1/min,lbft"], usual).into_bytes(),
        ),
        (
            "bars and units in angle brackets",
            Must::Crank(0.05),
            table("|", ".", &["Time <s>|Speed <1/min>|Torque <Nm>|Power <kW>"], |r| {
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
