//! `--remember`: what this day showed of the dyno's scatter goes into the dyno's own record.

use super::question::Asked;
use crate::failure::Failure;
use crate::write;
use shortblock_compare::{Comparison, HistoryKey};
use shortblock_session::{Seen, add_seen};

/// Writes the scatter down and says what was written.
pub fn remember(asked: &Asked, comparison: &Comparison) -> Result<String, Failure> {
    let refused = |what: &str| {
        Failure::NotUnderstood(format!(
            "--remember: {what}\nhint: it needs one session file with its name, the dyno's record \
             named in it, and pulls that were repeated"
        ))
    };
    let [day] = asked.days.as_slice() else {
        return Err(refused("more than one day, or none"));
    };
    let session = day.session.as_ref().ok_or_else(|| refused("there is no session file"))?;
    let name = session.name.clone().ok_or_else(|| refused("the session has no name"))?;
    let dyno = session.dyno.as_ref().ok_or_else(|| refused("no dyno is named"))?;
    if asked.keys.is_empty() {
        return Err(refused("no dyno is named"));
    }
    let seen = seen(asked, comparison, &name);
    if seen.is_empty() {
        return Err(refused("no pull was repeated, so nothing was seen of the scatter"));
    }
    let path = day.root.join(&dyno.file);
    let text = std::fs::read_to_string(&path)
        .map_err(|error| crate::files::disk(&path.display().to_string(), &error))?;
    let new = seen
        .iter()
        .try_fold(text, |text, seen| add_seen(&text, seen))
        .map_err(|error| Failure::NotWorkedOut(error.to_string()))?;
    write::whole(&path, &new)?;
    Ok(format!("wrote the scatter of {name} into {}", dyno.file))
}

/// What the day showed, mode by mode; of refits what the mode that was run first did.
fn seen(asked: &Asked, comparison: &Comparison, name: &str) -> Vec<Seen> {
    let one = |(place, key): (usize, &HistoryKey)| {
        let scatter = comparison.for_history.iter().find(|(mode, _)| *mode == key.mode);
        let refit = comparison.refit_spread.filter(|_| place == 0);
        (scatter.is_some() || refit.is_some()).then(|| Seen {
            session: name.to_owned(),
            key: key.clone(),
            scatter: scatter.map(|(_, scatter)| scatter.clone()),
            spreads: refit.into_iter().collect(),
        })
    };
    asked.keys.iter().enumerate().filter_map(one).collect()
}
