//! Traps, and exports as they come after a spreadsheet, a printer or a bad idea went over them.

use super::{FACTOR, HP, Must, POUND_FOOT, RPM, Row, figure, table};

pub fn traps() -> Vec<(&'static str, Must, Vec<u8>)> {
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

pub fn odd() -> Vec<(&'static str, Must, Vec<u8>)> {
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
