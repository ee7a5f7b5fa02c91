//! What the program writes reads back to the last bit, and leaves the rest of a file alone.

use crate::reading::DYNO;
use proptest::prelude::*;
use shortblock_compare::{
    Change, DynoKind, History, HistoryKey, Known, Mode, Profile, Scatter, SessionScatter, Source,
    Spread,
};
use shortblock_document::Memory;
use shortblock_session::{Dyno, Seen, WriteError, add_seen, kept_text, load_dyno, load_kept};

fn read(text: &str) -> Dyno {
    let loaded = load_dyno("d.toml", &Memory::default().with("d.toml", text));
    loaded.read.unwrap_or_else(|faults| unreachable!("{faults}"))
}

fn seen(session: &str, mode: Mode, variances: Vec<Option<f64>>) -> Seen {
    let sweep_rate_rpm_s = if mode == Mode::Sweep { 300 } else { 0 };
    let dyno = "cell 1".to_owned();
    Seen {
        session: session.to_owned(),
        key: HistoryKey { dyno, mode, sweep_rate_rpm_s, torque_from_nm: 250 },
        scatter: Some(SessionScatter {
            dof: 5.5,
            from_rpm: 4133.7,
            variances,
            resels_per_1000_rpm: None,
        }),
        spreads: vec![Spread {
            source: Source::Slope,
            change: Change::Opened,
            variance: -1.0 / 3.0e6,
            dof: 2.0,
        }],
    }
}

#[test]
fn a_session_is_added_at_the_end_and_nothing_else_moves() {
    let new = seen("114/s6", Mode::Sweep, vec![Some(1.0 / 3.0e5), None]);
    let text = add_seen(DYNO, &new).unwrap();
    let added = text.strip_prefix(DYNO).unwrap_or_else(|| unreachable!("{text}"));
    let wanted = "\n[[history]]\nsession = \"114/s6\"\nmode = \"sweep\"\nsweep_rate = \"300 rpm/s\"\n\
                  torque_from = \"250 N.m\"\ndof = 5.5\nfrom_rpm = 4133.7\n\
                  variances = [3.3333333333333333e-6, \"none\"]\nspread = [\n    \
                  { source = \"drift\", change = \"opened\", variance = -3.3333333333333335e-7, dof = 2.0 },\n]\n";
    assert_eq!(added, wanted);
    assert_eq!(read(&text).seen[1], new);
}

#[test]
fn a_session_worked_out_again_takes_its_own_place() {
    let first = seen("114/s6", Mode::Sweep, vec![Some(1e-5)]);
    let again = seen("114/s6", Mode::Sweep, vec![Some(2e-5)]);
    let steady = seen("114/s6", Mode::Steady, vec![Some(3e-5)]);
    let text = add_seen(&add_seen(&add_seen(DYNO, &first).unwrap(), &steady).unwrap(), &again);
    let dyno = read(&text.unwrap());
    assert_eq!(dyno.seen[1..], [again, steady]);
    let in_other_units =
        DYNO.replacen("\"300 rpm/s\"\ntorque", "\"31.41592653589793 rad/s2\"\ntorque", 1);
    let mut s4 = seen("114/s4", Mode::Sweep, vec![Some(4e-5)]);
    s4.spreads.clear();
    let text = add_seen(&in_other_units, &s4).unwrap();
    assert_eq!(read(&text).seen, [s4]);
    assert!(text.contains("# the first day of the record"));
}

#[test]
fn what_is_no_number_and_what_is_no_record_is_refused() {
    let wrong = seen("114/s6", Mode::Sweep, vec![Some(f64::NAN)]);
    let said = add_seen(DYNO, &wrong).unwrap_err().to_string();
    assert_eq!(said, "session 114/s6: its scatter holds NaN\nhint: leave the session out");
    let right = seen("114/s6", Mode::Sweep, vec![]);
    assert_eq!(add_seen("history = 3\n", &right), Err(WriteError::NotAList));
    assert!(matches!(add_seen("history = [", &right), Err(WriteError::NotToml(_))));
}

#[test]
fn a_kept_comparison_keeps_its_scatter_when_the_history_grows() {
    let dyno = read(DYNO);
    let mut history: History = dyno.history(&dyno.seen[0].key, None);
    let used = history.scatter(DynoKind::Engine, Change::BoltOn);
    let text = kept_text(&used);
    history.sessions.push(history.sessions[0].clone());
    history.spreads.push(history.spreads[0]);
    assert_ne!(history.scatter(DynoKind::Engine, Change::BoltOn), used);
    assert_eq!(thawed(&text), used);
}

fn thawed(text: &str) -> Scatter {
    let loaded = load_kept("kept.toml", &Memory::default().with("kept.toml", text));
    loaded.read.unwrap_or_else(|faults| unreachable!("{faults}"))
}

fn variance() -> impl Strategy<Value = f64> {
    prop_oneof![0.0..1e-3_f64, Just(0.0), Just(f64::MIN_POSITIVE), Just(5e-324)]
}

proptest! {
    #[test]
    fn every_scatter_reads_back_to_the_bit(
        variances in prop::collection::vec(prop::option::of(variance()), 0..40),
        dof in 1e-3..1e3_f64,
        from_rpm in 0.0..2e4_f64,
        resels in prop::option::of(1e-3..50.0_f64),
        spread in -1e-3..1e-3_f64,
    ) {
        let mut new = seen("a \"b\" \\ c", Mode::Sweep, variances.clone());
        new.spreads[0].variance = spread;
        let scatter = SessionScatter { dof, from_rpm, variances, resels_per_1000_rpm: resels };
        new.scatter = Some(scatter);
        let text = add_seen(DYNO, &new).unwrap();
        prop_assert_eq!(&read(&text).seen[1], &new);
    }

    #[test]
    fn every_kept_scatter_reads_back_to_the_bit(
        bands in prop::collection::vec(variance(), 1..40),
        from_rpm in 0.0..2e4_f64,
        dof in 1e-3..1e3_f64,
        resels in prop::option::of(1e-3..50.0_f64),
    ) {
        let mut scatter = Scatter::assumed(DynoKind::Roller, Change::StrappedAgain);
        let origin = shortblock_compare::Origin::History { sessions: 3 };
        let variance = Profile::bands(from_rpm, bands).unwrap();
        scatter.pull = Known { variance, dof, origin };
        scatter.resels_per_1000_rpm = resels;
        prop_assert_eq!(thawed(&kept_text(&scatter)), scatter);
    }
}
