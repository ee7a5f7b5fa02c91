//! What a day takes from the engine's file: its size and its highest speed.

use shortblock_engine::load;
use shortblock_pulls::derived::{Cycle, Geometry};

use crate::files::Shop;

/// What the file of the engine, or of the build, says that matters to a pull.
pub struct EngineFile {
    /// Displacement and stroke.
    pub geometry: Geometry,
    /// Highest speed that is stated, rad/s.
    pub highest_speed: Option<f64>,
}

/// Reads it, with all it is based on.
///
/// # Errors
/// That it has faults, in words.
pub fn read(engine: &str, loader: &Shop) -> Result<EngineFile, String> {
    let build = load(engine, loader).build.map_err(|faults| {
        let count = faults.faults.len();
        let faults = if count == 1 { "a fault".to_owned() } else { format!("{count} faults") };
        format!(
            "{engine} has {faults}, so its displacement and its limits are not known here; see \
             shortblock check {engine}."
        )
    })?;
    Ok(EngineFile {
        geometry: Geometry {
            displacement: build.bottom_end.displacement,
            stroke: Some(build.bottom_end.stroke.si),
            cycle: Cycle::FourStroke,
        },
        highest_speed: build.limits.engine_speed.as_ref().map(|speed| speed.si),
    })
}
