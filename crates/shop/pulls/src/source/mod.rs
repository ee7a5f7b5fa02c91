//! The bytes of a file to a [`Log`]: text in every dialect, and measurement files.
//!
//! Text goes through encoding, delimiter and decimal sign, headings and units, and then one pass
//! over the rows. Measurement files go through a library that is named in one place only.

mod cells;
mod clock;
mod column;
mod encoding;
mod heading;
mod layout;
mod lines;
mod mdf;
mod missing;
mod number;
mod pass;
mod report;
mod sniff;
mod table;
mod text;
mod trial;

pub(crate) use heading::split;

use crate::error::PullsError;
use crate::log::Log;
use sha2::{Digest, Sha256};

/// Reads a dyno log: CSV and its relatives in any dialect, or ASAM MDF 4. What could be read is in
/// the log, what was odd is in its warnings.
///
/// # Errors
/// Only where there is nothing to read: no table, or no measurement file that can be opened.
pub fn read(bytes: &[u8]) -> Result<Log, PullsError> {
    if bytes.is_empty() {
        return Err(PullsError::NoBytes);
    }
    let log = if mdf::is_one(bytes) { mdf::read(bytes) } else { text::read(bytes) }?;
    Ok(Log { hash: hash(bytes), ..log })
}

/// SHA-256 of the bytes, 64 hexadecimal digits.
fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
