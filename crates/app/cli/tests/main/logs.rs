//! Logs as people have them: what is asked, refused and named, in words that say what to do.

use crate::program::{Folder, Ran, run};

/// A sweep from 2500 to 6500 rpm at a rate (rpm/s), with a torque of its own (N·m), 20 rows a second;
/// with the air where it is asked for.
fn sweep(rate: f64, torque: f64, air: bool) -> String {
    let mut text = "time,engine speed,torque".to_owned();
    text += if air { ",barometer,inlet air temperature,humidity" } else { "" };
    text += "\ns,rpm,N.m";
    text += if air { ",kPa,degC,%\n" } else { "\n" };
    for row in 0..(4_000.0 * 20.0 / rate) as u32 {
        let t = f64::from(row) / 20.0;
        let rpm = 2_500.0 + rate * t;
        let torque = torque - 20.0 * ((rpm - 4_500.0) / 2_000.0).powi(2) + 0.1 * f64::from(row % 3);
        text += &format!("{t:.2},{rpm:.1},{torque:.1}");
        text += if air { ",98.9,21.5,45\n" } else { "\n" };
    }
    text
}

/// Standard error or output as one line of words.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn fits(ran: &Ran) {
    for line in ran.out.lines().chain(ran.err.lines()) {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn unequal_rates_are_named_with_what_is_missing() {
    let day = |session: &str| {
        let mut folder = Folder::new("rates");
        for (name, rate) in [(1, 300.0), (2, 300.4), (3, 601.7), (4, 300.0)] {
            let log = sweep(rate, 210.0 + f64::from(name), true);
            folder = folder.with(&format!("s/p{name}.csv"), log);
        }
        folder = folder.with("s/dyno.toml", "format = 1\nname = \"cell\"\nkind = \"engine\"\n");
        if session.is_empty() {
            return folder;
        }
        let pulls: String = (1..5)
            .map(|n| {
                let build = if n % 2 == 1 { "b1" } else { "b2" };
                format!("[[pull]]\nfile = \"p{n}.csv\"\nnumber = {n}\nbuild = \"{build}\"\n")
            })
            .collect();
        folder.with("s/session.toml", format!("format = 1\n{session}\n{pulls}"))
    };
    let folder = day("dyno = \"dyno.toml\"");
    let ran = run(&["compare", &folder.path("s")]);
    assert_eq!(ran.code, 5, "{}{}", ran.out, ran.err);
    let said = flat(&ran.err);
    for words in [
        "'pull 3' at 602 rpm/s, 'pull 1', 'pull 2', 'pull 4' at 300 rpm/s",
        "engine_inertia = \"0.25 kg.m2\" in session.toml",
        "inertia_included = false there",
        "inertia = \"0.08 kg.m2\" in the dyno's record",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    fits(&ran);
    drop(folder);
    let folder = day("");
    let ran = run(&["compare", &folder.path("s"), "--order", "ABAB"]);
    assert!(flat(&ran.err).contains("session.toml beside the logs"), "{}", ran.err);
}

#[test]
fn a_pull_without_weather_is_named_and_the_page_says_as_read() {
    let mut folder = Folder::new("no-air");
    for n in 1..6 {
        let torque = 210.0 + f64::from(n % 2) + 0.1 * f64::from(n);
        folder = folder.with(&format!("p{n}.csv"), sweep(300.0, torque, n != 4));
    }
    let ran = run(&["compare", &folder.path(""), "--order", "ABABA"]);
    let said = flat(&ran.out);
    assert!(said.contains("because of pull p4.csv: no air"), "{said}");
    assert!(said.contains("Give it its air, or set it aside"), "{said}");
    assert!(said.contains("As read, not corrected.") && !said.contains("Corrected to"), "{said}");
    let said = flat(&run(&["pulls", &folder.path("")]).out);
    assert!(
        said.contains("4 of 5 corrected") && said.contains("Not corrected: p4.csv: no air"),
        "{said}"
    );

    // One that is set aside before anything was seen keeps nobody from being corrected.
    let pulls: String = (1..6)
        .map(|n| {
            let build = if n % 2 == 1 { "b1" } else { "b2" };
            let aside = if n == 4 { "set_aside = \"weather station was off\"\n" } else { "" };
            format!("[[pull]]\nfile = \"p{n}.csv\"\nnumber = {n}\nbuild = \"{build}\"\n{aside}")
        })
        .collect();
    let folder = folder.with("session.toml", format!("format = 1\n{pulls}"));
    let said = flat(&run(&["compare", &folder.path("")]).out);
    assert!(said.contains("Corrected to") && !said.contains("as read"), "{said}");
}

#[test]
fn pulls_of_two_folders_are_told_apart() {
    let mut folder = Folder::new("apart");
    for (place, torque) in [("old", 210.0), ("new", 214.0)] {
        for n in 1..3 {
            let log = sweep(300.0, torque + f64::from(n), true);
            folder = folder.with(&format!("{place}/p{n}.csv"), log);
        }
    }
    let (old, new) = (folder.path("old"), folder.path("new"));
    let said = flat(&run(&["compare", &old, &new, "--order", "AABB"]).out);
    // As typed, shortened in the middle where it must be.
    assert!(said.contains("old/p1.csv") && said.contains("new/p1.csv"), "{said}");
    let day =
        |build: &str| format!("format = 1\n[[pull]]\nfile = \"p1.csv\"\nbuild = \"{build}\"\n");
    let folder = folder.with("old/session.toml", day("b1")).with("new/session.toml", day("b2"));
    let (old, new) = (folder.path("old"), folder.path("new"));
    let ran = run(&["compare", &old, &new]);
    let said = flat(&ran.out);
    assert!(said.contains("old p1.csv") && said.contains("new p1.csv"), "{said}");
    fits(&ran);
}

#[test]
fn long_names_stay_within_80_columns_and_apart() {
    let long = "2026-05-14 customer Robertson 2.0 litre engine on the new dyno, pull number";
    let mut folder = Folder::new("long");
    for n in 1..4 {
        folder = folder.with(&format!("{long} {n}.csv"), sweep(300.0, 210.0 + f64::from(n), true));
    }
    let day = &folder.path("");
    for arguments in [
        vec!["pulls", day],
        vec!["check-pull", day],
        vec!["read", day],
        vec!["correct", day],
        vec!["compare", day, "--order", "ABA"],
    ] {
        let ran = run(&arguments);
        assert_eq!(ran.code, 0, "{arguments:?}: {}", ran.err);
        fits(&ran);
        for n in 1..4 {
            assert!(ran.out.contains(&format!("{n}.csv")), "{arguments:?}: {}", ran.out);
        }
    }
}

#[test]
fn a_column_that_no_log_has_is_an_error_with_the_nearest() {
    let folder = Folder::new("no-column").with("a.csv", sweep(300.0, 210.0, true));
    let log = &folder.path("a.csv");
    for (column, words) in [
        ("Torqe=torque, lb.ft", "no log has a column \"Torqe\" hint: did you mean \"torque\"?"),
        ("Md=torque, lb.ft", "The headings are time, engine speed, torque, barometer"),
        ("torque=torque, bananas", "\"bananas\" is no unit of a torque; one of N.m, "),
        ("torque=torque, N.n", "did you mean N.m?"),
    ] {
        for verb in ["read", "pulls"] {
            let ran = run(&[verb, log, "--column", column]);
            assert_eq!(ran.code, 2, "{verb} {column}: {}", ran.out);
            assert!(flat(&ran.err).contains(words), "{words}: {}", ran.err);
        }
    }
    let ran = run(&["read", log, "--column", "torque=torque, kN.m"]);
    assert!(flat(&ran.out).contains("? torque: torque reads 205.3 kN.m"), "{}", ran.out);
    for column in ["torque=torque, mkp", "torque [N.m]=torque, lb.ft", "torque=none"] {
        let ran = run(&["read", log, "--column", column]);
        assert_eq!(ran.code, 0, "{column}: {}", ran.err);
        assert!(
            !ran.out.contains("264 N·m") && !ran.out.contains("best torque 210 N"),
            "{}",
            ran.out
        );
    }
    let session = "format = 1\n[[pull]]\nfile = \"a.csv\"\n[[column]]\nheading = \"Torqe\"\n\
                   channel = \"torque\"\n";
    let folder = folder.with("session.toml", session);
    let said = flat(&run(&["pulls", &folder.path("")]).out);
    assert!(said.contains("no log has a column \"Torqe\". did you mean \"torque\"?"), "{said}");
}

/// A scale in heading or unit; the hidden best torque is 210 N·m at 4500 rpm.
#[test]
fn a_scale_in_a_heading_is_understood() {
    let plain = sweep(300.0, 210.0, false);
    let scaled = |heading: &str, unit: &str| {
        let rows = plain.lines().skip(2).map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let rpm: f64 = cells[1].parse().unwrap();
            format!("{},{:.4},{}\n", cells[0], rpm / 1e3, cells[2])
        });
        format!("time,{heading},torque\ns,{unit},Nm\n") + &rows.collect::<String>()
    };
    for (heading, unit) in [
        ("RPM x1000", ""),
        ("Engine Speed (rpm x 1000)", ""),
        ("RPM", "1000/min"),
        ("Drehzahl", "x1000 U/min"),
        ("n", "krpm"),
    ] {
        let folder = Folder::new("scaled").with("a.csv", scaled(heading, unit));
        let said = flat(&run(&["read", &folder.path("a.csv"), "--why"]).out);
        assert!(said.contains("sweep, rows 1 to 266, 2500 to 6475 rpm"), "{heading}: {said}");
        assert!(said.contains("best torque 210 N·m at 4,500 rpm"), "{heading}: {said}");
        assert!(said.contains("numbers times 1000") && !said.contains('?'), "{heading}: {said}");
    }
}

#[test]
fn logs_with_nothing_in_them_say_so_in_plain_words() {
    let plain = sweep(300.0, 210.0, false);
    let rewritten = |f: &dyn Fn(&[&str]) -> String| {
        let rows = plain.lines().skip(2).map(|line| f(&line.split(',').collect::<Vec<_>>()) + "\n");
        "time,RPM,torque\ns,1/min,Nm\n".to_owned() + &rows.collect::<String>()
    };
    let read = |text: String| {
        let folder = Folder::new("nothing").with("a.csv", text);
        let ran = run(&["read", &folder.path("a.csv")]);
        fits(&ran);
        flat(&ran.out)
    };
    let said = read(rewritten(&|c| format!("{},{},0.0", c[0], c[1])));
    assert!(said.contains("torque reads 0 on every row: nothing was connected"), "{said}");
    let said = read(rewritten(&|_| "NaN,NaN,NaN".to_owned()));
    assert!(said.contains("a table without numbers") && said.contains("\"NaN\""), "{said}");
    let said = read(rewritten(&|c| format!("{},,", c[0])));
    assert!(said.contains("no"), "{said}");
    let one: Vec<&str> = plain.lines().take(3).collect();
    let said = read(one.join("\n"));
    assert!(said.contains("1 row,") && said.contains("no sweep, step test"), "{said}");
    assert!(!said.contains("best torque"), "{said}");
}

/// A sweep whose torque is at its best where it ends, alone in its log; and one that ends short of the
/// pull before.
#[test]
fn a_sweep_that_was_broken_off_is_called_so() {
    let whole = sweep(300.0, 210.0, true);
    let short =
        |rows: usize| whole.lines().take(2 + rows).map(|l| format!("{l}\n")).collect::<String>();
    let folder = Folder::new("short")
        .with("a/alone.csv", short(110))
        .with("b/p1.csv", &whole)
        .with("b/p2.csv", short(200).replace(",98.9,", ",98.8,"));
    let said = flat(&run(&["read", &folder.path("a")]).out);
    assert!(said.contains("torque is at its best where it ends: broken off"), "{said}");
    let said = flat(&run(&["check-pull", &folder.path("a")]).out);
    assert!(
        said.contains("watch: end of the sweep: torque is at its best where it ends"),
        "{said}"
    );
    let said = flat(&run(&["check-pull", &folder.path("b")]).out);
    assert_eq!(said.matches("watch: end of the sweep").count(), 1, "{said}");
    assert!(said.contains("it ends short of where the pull before got to 5,480 rpm"), "{said}");
}

/// The clocks of logs give the time that the session file leaves out, and are asked about where they
/// contradict it; loose logs stand in the order in which they began.
#[test]
fn the_clock_of_a_log_gives_time_and_order() {
    let log = |n: u32, clock: &str| {
        let rows = sweep(300.0, 210.0 + f64::from(n), false);
        format!("Recorded 2026-05-14 {clock}\n\n{rows}")
    };
    let folder = Folder::new("clocks")
        .with("loose/a.csv", log(1, "11:40"))
        .with("loose/b.csv", log(2, "09:20"))
        .with("loose/c.csv", log(3, "10:35"));
    let said = flat(&run(&["pulls", &folder.path("loose")]).out);
    assert!(said.contains("not that of their names: b.csv, c.csv, a.csv."), "{said}");
    let said = flat(&run(&["read", &folder.path("loose/b.csv")]).out);
    assert!(said.contains("began 2026-05-14 09:20:00"), "{said}");

    let air = "[[air]]\ntime = \"09:00\"\npressure = \"99.0 kPa\"\ntemperature = \"18 degC\"\n\
               humidity = \"50 %\"\n[[air]]\ntime = \"12:00\"\npressure = \"97.0 kPa\"\n\
               temperature = \"28 degC\"\nhumidity = \"50 %\"\n";
    let day = |times: [&str; 2]| {
        let pull = |(n, time): (usize, &str)| {
            let time = if time.is_empty() { String::new() } else { format!("time = \"{time}\"\n") };
            format!("[[pull]]\nfile = \"p{n}.csv\"\nnumber = {n}\nbuild = \"b{n}\"\n{time}")
        };
        let pulls: String = times.into_iter().enumerate().map(|(i, t)| pull((i + 1, t))).collect();
        format!("format = 1\ndate = 2026-05-14\n{air}{pulls}")
    };
    let folder = folder.with("s/p1.csv", log(1, "09:05")).with("s/p2.csv", log(2, "11:55"));
    let folder = folder.with("s/session.toml", day(["", ""]));
    let ran = run(&["pulls", &folder.path("s"), "--json"]);
    let object: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let factor =
        |place: usize| object["pulls"][place]["factor"].as_f64().expect("its air is known");
    // 2 kPa and 10 K apart: a tenth less pressure is 2 %, the root of 301/291 K another 1.7 %.
    assert!(factor(1) - factor(0) > 0.03, "{} {}", factor(0), factor(1));
    let folder = folder.with("s/session.toml", day(["11:05", "13:55"]));
    let said = flat(&run(&["pulls", &folder.path("s")]).out);
    let words =
        "? by the clock of its log pull 1, pull 2 began 2 h earlier than the session file says";
    assert!(said.contains(words), "{said}");
    let folder = folder.with("s/session.toml", day(["09:05", "11:55"]).replace("05-14", "05-15"));
    let said = flat(&run(&["pulls", &folder.path("s")]).out);
    assert!(
        said.contains("and by the clock of its log another day: pull 1 (2026-05-14)"),
        "{said}"
    );
}

/// Every page of every demo day fits 80 columns, is ASCII with --plain, and says once what holds for all
/// of its pulls.
#[test]
fn pages_of_the_demo_days_fit_and_say_things_once() {
    for day in ["demo/114/s6", "demo/114/s7", "demo/133/s1", "demo/loose"] {
        for verb in [
            vec!["read", day],
            vec!["read", day, "--why"],
            vec!["pulls", day],
            vec!["check-pull", day, "--all"],
            vec!["correct", day],
        ] {
            fits(&run(&verb));
            let plain = run(&[&verb[..], &["--plain"]].concat());
            fits(&plain);
            assert!(plain.out.is_ascii(), "{verb:?}: {}", plain.out);
        }
        let said = flat(&run(&["correct", day]).out);
        assert_eq!(said.matches("friction was not given").count(), 1, "{said}");
        let said = flat(&run(&["read", day, "--plain"]).out);
        assert!(!said.contains("#1"), "{day}: names are not numbered: {said}");
    }
    let said = flat(&run(&["read", "demo/133/s1/r1.csv"]).out);
    assert!(!said.contains("whether torque was corrected"), "it has no torque: {said}");
}

/// Questions that hold their answer: given back it ends the question and gives the hidden 210 N·m.
#[test]
fn the_answer_within_a_question_is_taken() {
    let plain = sweep(300.0, 210.0, false);
    let log = |head: &str, f: &dyn Fn(f64, f64, f64) -> String| {
        let rows = plain.lines().skip(2).map(|line| {
            let c: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            f(c[0], c[1], c[2]) + "\n"
        });
        format!("{head}\n") + &rows.collect::<String>()
    };
    let kw = |n: f64, t: f64| t * n * std::f64::consts::PI / 30.0e3;
    let logs = [
        ("brake's sign", log("Time s,RPM,Tq Nm", &|t, n, m| format!("{t},{n},{:.1}", -m))),
        (
            "are exchanged",
            log("Time s,RPM,Tq Nm,P kW", &|t, n, m| format!("{t},{n},{:.2},{m}", kw(n, m))),
        ),
        ("scaled by", log("Time s,RPM,Tq Nm,AFR", &|t, n, m| format!("{t},{n},{m},7.92"))),
    ];
    for (words, text) in logs {
        let folder = Folder::new("within").with("a.csv", text);
        let log = &folder.path("a.csv");
        let asked = flat(&run(&["read", log]).out);
        assert!(asked.contains(words), "{words}: {asked}");
        let answers: Vec<&str> = asked
            .split("--column \"")
            .skip(1)
            .filter_map(|rest| Some(rest.split_once('"')?.0))
            .collect();
        let mut arguments = vec!["read", log];
        for answer in &answers {
            arguments.extend(["--column", answer]);
        }
        let told = run(&arguments);
        let told = (flat(&told.out), told.err);
        assert!(!told.0.contains('?') && told.1.is_empty(), "{answers:?}: {told:?}");
        assert!(told.0.contains("best torque 210 N·m at 4,500 rpm"), "{answers:?}: {told:?}");
    }
}

/// A log of a roller in a folder without a session file is told of, not left out in silence.
#[test]
fn a_log_without_a_pull_is_told_of() {
    let rows: String = (0..300)
        .map(|i| format!("{:.2};{:.1};{}\n", f64::from(i) * 0.05, 60.0 + 0.3 * f64::from(i), 1500))
        .collect();
    let folder = Folder::new("no-pull")
        .with("roller.csv", format!("Zeit s;km/h;Zugkraft N\n{rows}"))
        .with("run.csv", sweep(300.0, 210.0, true));
    let said = flat(&run(&["pulls", &folder.path("")]).out);
    let words = "roller.csv has no pull: the log has no engine speed; state the ratio";
    assert!(said.contains(words), "{said}");
}

/// A comparison that rests on a column nobody is sure of says so, and names a pull that has no torque.
#[test]
fn a_comparison_tells_what_is_still_asked() {
    let bare = |n: f64| sweep(300.0, 210.0 + n, false).replacen("N.m", "", 1);
    let folder = Folder::new("asked")
        .with("p1.csv", bare(0.0))
        .with("p2.csv", bare(2.0))
        .with("p3.csv", bare(0.5));
    let ran = run(&["compare", &folder.path(""), "--order", "ABA"]);
    let words = "! an open question of p1.csv, p2.csv, p3.csv: torque: torque has no unit";
    assert!(flat(&ran.out).contains(words), "{}{}", ran.out, ran.err);
    let turned = sweep(300.0, 210.0, false).lines().skip(2).fold(
        "time,engine speed,torque\ns,rpm,N.m\n".to_owned(),
        |text, line| {
            let (others, torque) = line.rsplit_once(',').expect("three cells");
            text + &format!("{others},-{torque}\n")
        },
    );
    let folder = folder.with("p2.csv", turned);
    let told = run(&["compare", &folder.path(""), "--order", "ABA"]);
    let said = flat(&told.err);
    assert!(told.code == 5 && said.contains("pull 'p2.csv': next to no torque"), "{said}");
}

/// An inlet sensor behind a compressor is no air to correct by; what is asked of a column stands under
/// the checks of its pull too.
#[test]
fn a_warm_inlet_and_an_open_question_stand_under_the_checks() {
    let log = |inlet: &str| {
        let text =
            sweep(300.0, 210.0, true).replace(",98.9,21.5,45", &format!(",98.9,{inlet},45,22.0"));
        let text = text.replace("humidity\n", "humidity,cell air temperature\n");
        text.replace(",%\n", ",%,degC\n").replacen("N.m", "", 1)
    };
    let folder = Folder::new("inlet").with("a.csv", log("34.0")).with("b.csv", log("23.0"));
    let said = flat(&run(&["check-pull", &folder.path("a.csv")]).out);
    assert!(said.contains("12 K above the air of the cell"), "{said}");
    assert!(said.contains("? torque: torque has no unit"), "{said}");
    let said = flat(&run(&["check-pull", &folder.path("b.csv")]).out);
    assert!(!said.contains("above the air of the cell"), "{said}");
}

/// A range that was stated beforehand does not shrink in silence because one pull was cut short.
#[test]
fn a_range_that_the_pulls_do_not_cover_is_said_with_the_pull_that_cuts_it() {
    let cut: String = sweep(300.0, 211.0, true)
        .lines()
        .filter(|line| {
            line.split(',').nth(1).is_none_or(|n| n.parse().map_or(true, |n: f64| n < 6000.0))
        })
        .map(|line| format!("{line}\n"))
        .collect();
    let folder = Folder::new("cut")
        .with("p1.csv", sweep(300.0, 210.0, true))
        .with("p2.csv", cut)
        .with("p3.csv", sweep(300.0, 210.5, true));
    let compared = |range: &str| {
        let ran = run(&["compare", &folder.path(""), "--order", "ABA", "--range", range]);
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        fits(&ran);
        flat(&ran.out)
    };
    let said = compared("3000:6500");
    let words = "! the answer was wanted over 3,000 to 6,500 rpm, and holds for 3,000 to ";
    assert!(said.contains(words), "{said}");
    assert!(said.contains(" rpm only: p2.csv without torque beyond"), "{said}");
    assert!(!compared("3000:5500").contains("was wanted over"));
}

/// What `help session` shows as a start is a session file that reads, and makes pulls of two logs.
#[test]
fn the_start_of_a_session_file_in_help_reads() {
    let help = run(&["help", "session"]);
    assert_eq!(help.code, 0, "{}", help.err);
    let start: String = help
        .out
        .lines()
        .skip_while(|line| line.trim() != "format = 1")
        .take_while(|line| !line.contains("stand in the order"))
        .map(|line| format!("{}\n", line.trim()))
        .collect();
    let folder = Folder::new("start")
        .with("s/session.toml", start)
        .with("s/run1.csv", sweep(300.0, 210.0, false))
        .with("s/run2.csv", sweep(300.0, 212.0, false));
    let checked = run(&["check", &folder.path("s/session.toml")]);
    assert!(
        checked.code == 0 && checked.out.contains("session file"),
        "{}{}",
        checked.out,
        checked.err
    );
    let pulls = run(&["pulls", &folder.path("s")]);
    assert!(pulls.out.contains("Corrected to SAE J1349 JUN90. Best"), "{}", pulls.out);
}

/// A doubt about the session file and its remedy are two sentences.
#[test]
fn a_doubt_of_the_session_file_ends_before_its_remedy() {
    let pull =
        |n: u32, build: &str| format!("[[pull]]\nfile = \"p{n}.csv\"\nbuild = \"{build}\"\n");
    let pulls = [pull(1, "b1"), pull(2, "b2"), pull(3, "b1"), pull(4, "b1")].concat();
    let mut folder = Folder::new("doubt")
        .with("s/session.toml", format!("format = 1\nplan = \"A B A\"\n{pulls}"));
    for n in 1..5 {
        folder = folder.with(&format!("s/p{n}.csv"), sweep(300.0, 210.0 + f64::from(n), true));
    }
    let said = flat(&run(&["pulls", &folder.path("s")]).out);
    assert!(said.contains("this is one more, with b1. Put the tag right"), "{said}");
}

/// An elevation is in metres, not in the first unit of length; a build nobody named has words of its own.
#[test]
fn remedies_of_dyno_and_session_files_say_what_is_meant() {
    let pulls = "[[pull]]\nfile = \"p1.csv\"\nbuild = \"b1\"\nblock = 1\n\
                 [[pull]]\nfile = \"p2.csv\"\nblock = 1\n";
    let folder = Folder::new("remedies")
        .with("dyno.toml", "format = 1\nname = \"cell\"\nkind = \"engine\"\nelevation = 120\n")
        .with("session.toml", format!("format = 1\n{pulls}"))
        .with("p1.csv", sweep(300.0, 210.0, true))
        .with("p2.csv", sweep(300.0, 211.0, true));
    let dyno = run(&["check", &folder.path("dyno.toml")]).out;
    assert!(dyno.contains("Write \"120 m\" or the like"), "{dyno}");
    let session = flat(&run(&["check", &folder.path("session.toml")]).out);
    assert!(session.contains("parts changed from b1 to an unnamed build, but block"), "{session}");
}

/// What is as observed is not "corrected to as observed", and what is as read is not called corrected on
/// the picture either.
#[test]
fn what_is_not_corrected_is_not_called_so() {
    let with_air = Folder::new("observed")
        .with("p1.csv", sweep(300.0, 210.0, true))
        .with("p2.csv", sweep(300.0, 211.0, true))
        .with("p3.csv", sweep(300.0, 210.5, true));
    let pulls = run(&["pulls", &with_air.path(""), "--standard", "as-observed"]).out;
    assert!(pulls.contains("As observed. Best") && !pulls.contains("orrected to"), "{pulls}");
    let bare = Folder::new("bare")
        .with("p1.csv", sweep(300.0, 210.0, false))
        .with("p2.csv", sweep(300.0, 211.0, false))
        .with("p3.csv", sweep(300.0, 210.5, false));
    let picture = bare.path("c.svg");
    let ran = run(&["compare", &bare.path(""), "--order", "ABA", "--svg", &picture]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let drawn = std::fs::read_to_string(&picture).expect("a picture");
    assert!(
        drawn.contains("As read, not corrected.") && !drawn.contains("Corrected to"),
        "{drawn}"
    );
}

/// The word of a session file for a column that is no channel holds on the command line too, and a range
/// in which nothing was run is told with what was.
#[test]
fn words_of_the_session_file_and_ranges_elsewhere_are_understood() {
    let folder = Folder::new("elsewhere")
        .with("p1.csv", sweep(300.0, 210.0, true))
        .with("p2.csv", sweep(300.0, 211.0, true))
        .with("p3.csv", sweep(300.0, 210.5, true));
    let read = run(&["read", &folder.path("p1.csv"), "--column", "humidity=not used"]);
    assert_eq!(read.code, 0, "{}", read.err);
    let ran = run(&["compare", &folder.path(""), "--order", "ABA", "--range", "9000:9500"]);
    let said = flat(&ran.err);
    assert!(
        ran.code == 5 && said.contains("nothing within the range asked for: it covers 25"),
        "{said}"
    );
}
