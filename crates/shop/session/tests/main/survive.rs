//! Any text is read or refused with its place.

use crate::reading::{AT, DYNO, SESSION, shop};
use proptest::prelude::*;
use shortblock_document::{Faults, Finding, Memory, Sources, render};
use shortblock_session::{load_dyno, load_kept, load_session};

/// Everything that is said stands somewhere in a text, and fits a terminal.
fn placed(faults: Option<&Faults>, doubts: &[shortblock_document::Doubt], sources: &Sources) {
    if let Some(faults) = faults {
        assert!(!faults.faults.is_empty());
    }
    let findings = faults.iter().flat_map(|f| &f.faults).chain(doubts.iter().map(|d| &d.finding));
    let findings: Vec<Finding> = findings.cloned().collect();
    for finding in &findings {
        let place = finding.place.as_ref();
        assert!(place.is_some_and(|p| sources.get(p.source).is_some()), "{finding:?}");
    }
    for line in render(&findings, sources).lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

fn survive(text: &str) {
    let day = load_session(AT, &shop(text, DYNO));
    placed(day.read.as_ref().err(), &day.doubts, &day.sources);
    if let Ok(session) = &day.read {
        assert_eq!(session.blocks().len(), session.pulls.len());
        assert_eq!(session.pulls_since_stop().len(), session.pulls.len());
    }
    let named = load_session(AT, &shop(SESSION, text));
    placed(named.read.as_ref().err(), &named.doubts, &named.sources);
    let alone = Memory::default().with("d.toml", text);
    let dyno = load_dyno("d.toml", &alone);
    placed(dyno.read.as_ref().err(), &dyno.doubts, &dyno.sources);
    let kept = load_kept("d.toml", &alone);
    placed(kept.read.as_ref().err(), &kept.doubts, &kept.sources);
}

/// Stretches that mean something to the readers.
fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        "[ -~µ±°\n]{0,12}",
        Just("[[pull]]\n".to_owned()),
        Just("[[air]]\n".to_owned()),
        Just("[[history]]\n".to_owned()),
        Just("[limits]\n".to_owned()),
        "(file|time|build|settings|pressure|temperature|plan|range|kind|lags|spread) = ",
        "(-1|nan|inf|1e999|[0-9]{1,25}|true|09:20|1979-05-27)\n",
        "\"[ -!#-Z^-~µ±°]{0,12}\"\n",
        Just("{ a = [1, \"none\", {}] }\n".to_owned()),
    ]
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused_with_its_place(pieces in prop::collection::vec(piece(), 0..25)) {
        survive(&pieces.concat());
    }

    #[test]
    fn any_slip_in_a_good_file_is_survived(
        at in 0usize..2000, cut in 0usize..30, put in "[ -~µ±°\n]{0,6}", dyno in any::<bool>(),
    ) {
        let good = if dyno { DYNO } else { SESSION };
        let at = at % good.len();
        let end = (at + cut).min(good.len());
        survive(&format!("{}{put}{}", &good[..at], &good[end..]));
    }
}
