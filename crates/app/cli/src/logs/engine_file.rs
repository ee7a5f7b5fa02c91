//! What a day takes from the engine's file: its size and its highest speed.

use shortblock_engine::{Items, Leaf, stated};
use shortblock_pulls::derived::{Cycle, Geometry};
use std::f64::consts::PI;

use crate::files::Shop;

/// What the file of the engine, or of the build, says that matters to a pull.
pub struct EngineFile {
    /// Displacement and stroke, where bore, stroke and cylinders are stated.
    pub geometry: Option<Geometry>,
    /// Highest speed that is stated, rad/s.
    pub highest_speed: Option<f64>,
}

/// Reads it, with all it is based on; it need not be a whole build.
pub fn read(engine: &str, loader: &Shop) -> EngineFile {
    let items = stated(engine, loader);
    EngineFile { geometry: geometry(&items), highest_speed: value(&items, "limits.engine_speed") }
}

fn value(items: &Items, path: &str) -> Option<f64> {
    match &items.get(path)?.leaf {
        Leaf::Value(value) => Some(value.si),
        _ => None,
    }
}

fn geometry(items: &Items) -> Option<Geometry> {
    let Leaf::Count(cylinders) = items.get("layout.cylinders")?.leaf else { return None };
    let (bore, stroke) = (value(items, "bottom_end.bore")?, value(items, "bottom_end.stroke")?);
    let displacement = cylinders as f64 * PI / 4.0 * bore * bore * stroke;
    Some(Geometry { displacement, stroke: Some(stroke), cycle: Cycle::FourStroke })
}
