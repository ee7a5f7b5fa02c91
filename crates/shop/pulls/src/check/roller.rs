//! Engine speed beside roller speed: slip, growing tyres, another gear.

use super::{Check, Facts, Verdict};
use crate::channel::Channel;
use crate::chassis::{Drive, WORKED_OUT, drive};
use shortblock_units::Quantity;

/// A usual ratio that moved by more than this share from the pull before is another gear, tyre or
/// strap (common practice, no source).
const MOVED: f64 = 0.01;

/// How engine and roller go together over a pull, as engine speed over surface speed; `None` where
/// not both were read.
pub(super) fn drive_of(facts: &Facts) -> Option<Drive> {
    let channels = &facts.recording.channels;
    let read = channels.iter().find(|r| r.channel == Channel::EngineSpeed)?;
    if read.heading == WORKED_OUT || facts.time().is_empty() {
        return None;
    }
    drive(facts.time(), facts.read(Channel::EngineSpeed)?, facts.read(Channel::RollerSpeed)?)
}

/// Nothing on a dyno without a roller.
pub(super) fn slip(facts: &Facts) -> Vec<Check> {
    const WHAT: &str = "slip between engine and roller";
    if facts.read(Channel::RollerSpeed).is_none() {
        return Vec::new();
    }
    let Some(drive) = drive_of(facts) else {
        let reason = "the log has no engine speed of its own: slip can't be seen";
        return vec![Check::not_seen(WHAT, reason).remedy("take engine speed from the spark")];
    };
    let check = if drive.holds() {
        Check::new(WHAT, Verdict::InOrder, "their ratio holds within 1 %")
    } else if drive.drift > 0.0 {
        Check::new(
            WHAT,
            Verdict::Watch,
            "the engine runs ahead of the roller: tyres or clutch slip",
        )
        .remedy(
            "power and engine speed are wrong from there on: look at straps, tyre pressure and \
                 clutch before the next pull; nobody in line with the tyres",
        )
    } else {
        Check::new(WHAT, Verdict::Watch, "the roller runs ahead of the engine: the tyres grow")
            .remedy("check tyre pressure and straps; or they slipped before and took hold again")
    };
    let worst = drive.off.iter().max_by_key(|rows| rows.len()).map(|rows| rows.start);
    let mut out =
        vec![check.seen(drive.drift, Quantity::Fraction).at(worst.and_then(|r| facts.speed_at(r)))];
    out.extend(moved(facts, drive.ratio));
    out
}

/// The ratio against that of the pull before.
fn moved(facts: &Facts, ratio: f64) -> Option<Check> {
    let change = ratio / facts.earlier?.turns_per_metre? - 1.0;
    (change.abs() > MOVED).then(|| {
        let reason = "another ratio of engine to roller speed than at the pull before";
        Check::new("gear and tyres beside the pull before", Verdict::Watch, reason)
            .seen(change, Quantity::Fraction)
            .remedy("compare only the same gear, tyre pressure and strap tension")
    })
}
