//! Checks of parts against each other.

use super::Build;
use crate::fill::Fill;
use shortblock_document::Finding;

/// Notes what does not go together.
pub(crate) fn check(build: &Build, fill: &mut Fill) {
    valves_fit_the_bore(build, fill);
    intake_against_exhaust(build, fill);
    banks_are_alike(build, fill);
    firing_is_spread(build, fill);
}

/// The valves of a cylinder must fit over the bore: their areas side by side, and the pair across.
fn valves_fit_the_bore(build: &Build, fill: &mut Fill) {
    let bore = build.bottom_end.bore.si;
    if bore <= 0.0 {
        return;
    }
    let side = |valves: &super::Valves| valves.count as f64 * valves.diameter.si.powi(2);
    let share =
        (side(&build.intake.valves) + side(&build.exhaust.valves)) / (bore * bore).max(1e-12);
    let (path, what) = if share > 0.9 {
        ("intake.valves.diameter", "these valves can't stand side by side over this bore")
    } else if build.intake.valves.diameter.si >= bore {
        ("intake.valves.diameter", "the intake valve is larger than the bore")
    } else {
        return;
    };
    let place = fill.place(path);
    let fault = Finding::new(what).about(path);
    fill.fault(
        fault.remedy("Check the valve diameters, their unit and how many there are."),
        place.as_ref(),
    );
}

/// Exhaust valves larger than intake valves are almost always the two sides swapped.
fn intake_against_exhaust(build: &Build, fill: &mut Fill) {
    let (intake, exhaust) = (&build.intake.valves, &build.exhaust.valves);
    if intake.count == exhaust.count && exhaust.diameter.si > 1.02 * intake.diameter.si {
        let what = "the exhaust valves are larger than the intake valves";
        let doubt = Finding::new(what).mark("intake and exhaust swapped?");
        let remedy = "If it is so, add  doubt_ok = \"reason\"  beside the diameter.";
        fill.doubt("exhaust.valves.diameter", doubt.remedy(remedy));
    }
}

/// A V or a flat engine whose banks are not alike and not stated is rare enough to ask.
fn banks_are_alike(build: &Build, fill: &mut Fill) {
    let [one, other] = &build.layout.banks[..] else { return };
    if one.len() != other.len() && !fill.any_stated("layout.banks") {
        let what = format!("{} cylinders do not share out alike between two banks", {
            build.layout.cylinders
        });
        let doubt = Finding::new(what).mark("is it right?");
        let remedy = "Check cylinders and arrangement, or write  banks = [[1, 3, 5], [2, 4]].";
        fill.doubt("layout.cylinders", doubt.remedy(remedy));
    }
}

/// Cylinders that fire together, or nearly, are rare enough to ask.
fn firing_is_spread(build: &Build, fill: &mut Fill) {
    let mut angles = build.layout.firing_angle_deg.clone();
    angles.sort_by(f64::total_cmp);
    let even = 720.0 / angles.len().max(1) as f64;
    if angles.windows(2).any(|pair| pair[1] - pair[0] < 0.3 * even) {
        let doubt = Finding::new("two cylinders fire together or almost so").mark("is it right?");
        let remedy = "Check firing order, crank pins and bank angle.";
        fill.doubt("layout.firing_order", doubt.remedy(remedy));
    }
}
