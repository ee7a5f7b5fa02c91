//! Ducts, volumes and openings gathered while a build is gone through, with guards on their size.

use crate::PlanError;
use shortblock_cycle::{DuctSpec, End, Node, OpeningSpec, Piece, VolumeSpec};
use std::f64::consts::FRAC_PI_4;

/// Fanning friction factor of pipes and ports; common practice, no source.
pub(super) const FRICTION: f64 = 0.006;
/// Shortest duct, m: three cells of 20 mm. Shorter ones need steps too many for what they change.
pub(super) const SHORTEST_DUCT: f64 = 0.06;
/// Shortest piece of a duct that is kept, m.
const SHORTEST_PIECE: f64 = 1e-4;
/// A volume is at least this deep behind all that opens into it, m: below that the step, which
/// follows from the cells of the ducts, would empty it at one go. Own.
const LEAST_DEPTH: f64 = 0.02;
/// Heat transfer coefficient inside a volume, W/(m² K); own: slow gas in a box.
const VOLUME_HEAT: f64 = 30.0;

/// What has been put together so far.
#[derive(Default)]
pub(super) struct Assembly {
    pub ducts: Vec<DuctSpec>,
    pub volumes: Vec<VolumeSpec>,
    pub openings: Vec<OpeningSpec>,
    pub notes: Vec<String>,
}

impl Assembly {
    /// Says something once.
    pub fn note(&mut self, text: impl Into<String>) {
        let text = text.into();
        if !self.notes.contains(&text) {
            self.notes.push(text);
        }
    }

    /// Adds a volume (m³) with walls at `wall` (K).
    pub fn volume(&mut self, name: &str, volume: f64, wall: f64, hot: bool) -> Node {
        self.volumes.push(VolumeSpec {
            name: name.into(),
            volume,
            wall_temperature: wall,
            heat_conductance: VOLUME_HEAT * 6.0 * volume.max(0.0).powf(2.0 / 3.0),
            hot,
            merge_angle: 0.0,
        });
        Node::Volume(self.volumes.len() - 1)
    }

    /// Adds a volume in which pipes meet at `angle` (rad) to the one that follows: where they end,
    /// and where that one starts.
    pub fn merge(&mut self, name: &str, volume: f64, wall: f64, angle: f64) -> (Node, Node) {
        let node = self.volume(name, volume, wall, true);
        let index = self.volumes.len() - 1;
        self.volumes[index].merge_angle = angle;
        (node, Node::Axis(index))
    }

    /// Adds an opening.
    pub fn opening(&mut self, name: &str, from: Node, to: Node, area: f64, vapour: f64) {
        self.openings.push(OpeningSpec {
            name: name.into(),
            from,
            to,
            effective_area: area,
            fuel_vapour_share: vapour,
        });
    }

    /// Adds a duct; pieces of no length are left out.
    ///
    /// # Errors
    /// A duct that is too short, or a piece that is no pipe.
    pub fn duct(
        &mut self,
        path: &str,
        name: String,
        mut pieces: Vec<Piece>,
        left: End,
        right: End,
    ) -> Result<(), PlanError> {
        pieces.retain(|piece| piece.length > SHORTEST_PIECE || piece.length.is_nan());
        let length: f64 = pieces.iter().map(|piece| piece.length).sum();
        let sound = |p: &Piece| {
            p.length.is_finite()
                && p.area_left > 0.0
                && p.area_right > 0.0
                && p.wall_temperature > 0.0
        };
        if pieces.is_empty() || !pieces.iter().all(sound) || length < SHORTEST_DUCT {
            let what = format!("the {name} is {:.0} mm long in all", length * 1e3);
            let hint = format!("give at least {:.0} mm", SHORTEST_DUCT * 1e3);
            return Err(fault(path, what, hint));
        }
        let is_exhaust = |node: Node| {
            matches!(node, Node::Valve(_, shortblock_cycle::Side::Exhaust))
                || matches!(node, Node::Volume(v) | Node::Axis(v) if self.volumes[v].hot)
        };
        let hot = is_exhaust(left.node) || is_exhaust(right.node);
        self.ducts.push(DuctSpec {
            name,
            pieces,
            left,
            right,
            hot,
            friction_factor: FRICTION,
            heat_factor: 1.0,
        });
        Ok(())
    }

    /// Free area of everything that opens into volume `index`, m².
    fn area_into(&self, index: usize) -> f64 {
        let here = |node: Node| node == Node::Volume(index) || node == Node::Axis(index);
        let ends = self.ducts.iter().flat_map(|duct| {
            let first = duct.pieces.first().map_or(0.0, |piece| piece.area_left);
            let last = duct.pieces.last().map_or(0.0, |piece| piece.area_right);
            [(duct.left, first), (duct.right, last)]
        });
        let ducts: f64 =
            ends.filter(|(end, _)| here(end.node)).map(|(end, area)| end.opening * area).sum();
        let openings = self.openings.iter().filter(|o| here(o.from) || here(o.to));
        ducts + openings.map(|o| o.effective_area).sum::<f64>()
    }

    /// Whether volume `node` is large enough for what opens into it.
    ///
    /// # Errors
    /// The volume at `path` is too small.
    pub fn check_volume(&self, node: Node, path: &str) -> Result<(), PlanError> {
        let Node::Volume(index) = node else { return Ok(()) };
        let least = LEAST_DEPTH * self.area_into(index);
        let volume = &self.volumes[index];
        if volume.volume >= least {
            return Ok(());
        }
        let what = format!(
            "the {} of {:.2} L is too small for the pipes that open into it",
            volume.name,
            volume.volume * 1e3
        );
        Err(fault(path, what, format!("give at least {:.2} L, or leave it out", least * 1e3)))
    }
}

/// A duct's end without obstruction.
pub(super) fn open(node: Node) -> End {
    End { node, opening: 1.0, entry_loss: 0.0 }
}

/// Free area share of an end that loses `loss` dynamic heads of the duct beside its own head.
pub(super) fn opening_with(loss: f64) -> f64 {
    1.0 / (1.0 + loss.max(0.0)).sqrt()
}

/// Area of a circle, m².
pub(super) fn circle(diameter: f64) -> f64 {
    FRAC_PI_4 * diameter * diameter
}

/// Radius of the circle with this area, m.
pub(super) fn radius(area: f64) -> f64 {
    (area.max(0.0) / std::f64::consts::PI).sqrt()
}

/// A piece of pipe.
pub(super) fn piece(length: f64, left: f64, right: f64, wall: f64) -> Piece {
    Piece { length, area_left: left, area_right: right, wall_temperature: wall }
}

/// A fault of the value at `path`.
pub(super) fn fault(path: &str, what: impl Into<String>, hint: impl Into<String>) -> PlanError {
    PlanError::Part { path: path.into(), what: what.into(), hint: hint.into() }
}

/// A fault that another floor found; its own hint comes first.
pub(super) fn part(path: &str, error: &dyn std::fmt::Display, hint: &str) -> PlanError {
    let text = error.to_string();
    match text.split_once("\nhint: ") {
        Some((what, own)) => fault(path, what, own),
        None => fault(path, text.as_str(), hint),
    }
}
