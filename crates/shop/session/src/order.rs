//! What follows from the order of the pulls.

use crate::pull::Pull;

/// An engine that stood longer has to warm up again, s (common practice, no source).
const STOP: f64 = 20.0 * 60.0;

/// Refit count of each pull; see [`Session::blocks`](crate::Session::blocks).
pub fn blocks(pulls: &[Pull]) -> Vec<u32> {
    let mut out: Vec<u32> = Vec::with_capacity(pulls.len());
    for (i, pull) in pulls.iter().enumerate() {
        let before = i.checked_sub(1).map(|b| (out[b], &pulls[b].build));
        let counted = before.map_or(0, |(block, build)| block + u32::from(*build != pull.build));
        out.push(pull.block.unwrap_or(counted));
    }
    out
}

/// See [`Session::pulls_since_stop`](crate::Session::pulls_since_stop).
pub fn pulls_since_stop(pulls: &[Pull]) -> Vec<u32> {
    let mut out: Vec<u32> = Vec::with_capacity(pulls.len());
    for (i, pull) in pulls.iter().enumerate() {
        let before = i.checked_sub(1).map(|b| (out[b], &pulls[b]));
        let since = before.map_or(0, |(since, last)| {
            let gap = pull.time.zip(last.time).map(|(now, then)| now - then);
            let stood = pull.stood.or(gap).unwrap_or(0.0);
            if stood > STOP { 0 } else { since + 1 }
        });
        out.push(since);
    }
    out
}
