//! Cylinders, banks and the crank angle at which each cylinder fires.

use super::firing;
use crate::fill::Fill;
use crate::item::Leaf;
use crate::value::Value;
use shortblock_document::Finding;

/// How the cylinders stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arrangement {
    /// One cylinder.
    Single,
    /// All in a row.
    Inline,
    /// Two banks at an angle.
    V,
    /// Two banks opposite each other.
    Flat,
}

/// Cylinders and the order they fire in. Cylinder numbers count from 1 in groups and orders;
/// vectors "by cylinder" start with cylinder 1 at index 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Number of cylinders, 1 to 16.
    pub cylinders: usize,
    /// How they stand.
    pub arrangement: Arrangement,
    /// Angle between banks, rad; `None` for a single row.
    pub bank_angle: Option<Value>,
    /// Cylinder numbers by bank; one bank for a single row.
    pub banks: Vec<Vec<usize>>,
    /// Cylinder numbers in the order they fire.
    pub firing_order: Vec<usize>,
    /// Crank angle at which each cylinder fires, by cylinder, degrees, 0 to 720; the first of the
    /// firing order at 0.
    pub firing_angle_deg: Vec<f64>,
    /// How the angles were found, in words.
    pub firing_angle_from: String,
}

/// The layout, checked: arrangement, banks, order and angles fit each other.
pub(crate) fn of(fill: &mut Fill) -> Layout {
    let cylinders = fill.count("layout.cylinders").clamp(1, 16);
    let arrangement = arrangement(fill, cylinders);
    let two_banks = matches!(arrangement, Arrangement::V | Arrangement::Flat);
    let bank_angle = if two_banks { Some(bank_angle(fill, arrangement, cylinders)) } else { None };
    let banks = banks(fill, cylinders, two_banks);
    let order = order(fill, cylinders, arrangement);
    let (firing_angle_deg, firing_angle_from) =
        angles(fill, cylinders, &order, &banks, bank_angle.as_ref());
    Layout {
        cylinders,
        arrangement,
        bank_angle,
        banks,
        firing_order: order,
        firing_angle_deg,
        firing_angle_from,
    }
}

fn arrangement(fill: &mut Fill, cylinders: usize) -> Arrangement {
    let in_row = cylinders <= 6 && !fill.any_stated("layout.bank_angle");
    let usual = match cylinders {
        1 => "single",
        _ if in_row => "inline",
        _ => "V",
    };
    let why = ["usual for this number of cylinders", "c.p."];
    fill.settle("layout.arrangement", Leaf::Word(usual.to_owned()), usual, why);
    match fill.word("layout.arrangement").as_str() {
        "V" => Arrangement::V,
        "flat" => Arrangement::Flat,
        "single" => Arrangement::Single,
        _ => Arrangement::Inline,
    }
}

fn bank_angle(fill: &mut Fill, arrangement: Arrangement, cylinders: usize) -> Value {
    if let Some(value) = fill.value("layout.bank_angle") {
        return value;
    }
    let (degrees, why): (f64, _) = match (arrangement, cylinders) {
        (Arrangement::Flat, _) => (180.0, "opposite banks"),
        (_, 6 | 12) => (60.0, "the angle at which this number of cylinders fires evenly"),
        (_, 10) => (72.0, "the angle at which this number of cylinders fires evenly"),
        (_, 16) => (45.0, "the angle at which this number of cylinders fires evenly"),
        _ => (90.0, "the usual V"),
    };
    let quantity = shortblock_units::Quantity::Angle;
    let value = Value {
        origin: shortblock_units::Origin::Assumed,
        text: format!("{degrees} deg"),
        source: "c.p.".to_owned(),
        ..Value::worked_out(degrees.to_radians(), 0.0, quantity, why)
    };
    fill.keep("layout.bank_angle", &value);
    value
}

/// Banks as stated; else odd numbers against even ones, as most V engines are numbered.
fn banks(fill: &mut Fill, cylinders: usize, two_banks: bool) -> Vec<Vec<usize>> {
    if !two_banks {
        return vec![(1..=cylinders).collect()];
    }
    let odd_even = || {
        let bank = |first: usize| (first..=cylinders).step_by(2).collect::<Vec<_>>();
        vec![bank(1), bank(2)]
    };
    match fill.groups("layout.banks") {
        Some(banks) if banks.len() == 2 => banks,
        Some(_) => {
            let fault = Finding::new("a V or flat engine has two banks").about("layout.banks");
            let place = fill.place("layout.banks");
            fill.fault(fault.remedy("Write banks = [[1, 3, 5, 7], [2, 4, 6, 8]]."), place.as_ref());
            odd_even()
        }
        None => odd_even(),
    }
}

fn order(fill: &mut Fill, cylinders: usize, arrangement: Arrangement) -> Vec<usize> {
    let usual = firing::usual_order(cylinders, arrangement);
    let stated = fill.item("layout.firing_order").map(|item| item.leaf.clone());
    let Some(Leaf::Cylinders(order)) = stated else {
        let text = format!("{usual:?}");
        let why = ["the commonest order of this layout", "c.p."];
        fill.settle("layout.firing_order", Leaf::Cylinders(usual.clone()), &text, why);
        return usual;
    };
    let mut sorted = order.clone();
    sorted.sort_unstable();
    if sorted == (1..=cylinders).collect::<Vec<_>>() {
        return order;
    }
    let what = match sorted.windows(2).find(|pair| pair[0] == pair[1]) {
        Some(pair) => format!("cylinder {} is twice in the firing order", pair[0]),
        None if order.len() != cylinders => {
            format!("the firing order has {} entries for {cylinders} cylinders", order.len())
        }
        None => format!("the firing order names a cylinder that is not among 1 to {cylinders}"),
    };
    let place = fill.place("layout.firing_order");
    let fault = Finding::new(what).about("layout.firing_order");
    fill.fault(fault.remedy(format!("Each of 1 to {cylinders} once.")), place.as_ref());
    usual
}

/// Firing angles by cylinder, in degrees, and how they were found.
fn angles(
    fill: &mut Fill,
    cylinders: usize,
    order: &[usize],
    banks: &[Vec<usize>],
    bank_angle: Option<&Value>,
) -> (Vec<f64>, String) {
    let even = firing::even(order);
    if let Some(stated) = fill.value("layout.firing_angles") {
        let angles: Vec<f64> = listed(&stated);
        if angles.len() == cylinders && angles.iter().all(|a| (0.0..720.0).contains(a)) {
            return (angles, "as stated".to_owned());
        }
        let place = fill.place("layout.firing_angles");
        let what =
            format!("firing angles are {cylinders} angles from 0 to 720 deg, one per cylinder");
        let remedy = "A four of even firing has  firing_angles = \"0, 540, 180, 360 deg\".";
        let fault = Finding::new(what).about("layout.firing_angles").remedy(remedy);
        fill.fault(fault, place.as_ref());
        return (even, String::new());
    }
    let one_pin = cylinders == 2 && bank_angle.is_some_and(|a| a.degrees() < 170.0);
    let pins: Vec<f64> = match fill.value("layout.crank_pins") {
        Some(pins) => listed(&pins),
        None if one_pin => vec![0.0],
        None => {
            let asked = banks.len() == 1 && matches!(cylinders, 4 | 6 | 8);
            if asked && !firing::crank_is_mirrored(&even) {
                doubt_order(fill, cylinders);
            }
            return (even, "even firing, nothing said about the crank".to_owned());
        }
    };
    let offset = fill.need("layout.crank_pin_offset").degrees();
    let between = bank_angle.map_or(0.0, Value::degrees);
    match firing::from_crank(order, banks, &pins, between, offset) {
        Ok(angles) => (angles, "from crank pins, bank angle and firing order".to_owned()),
        Err(problem) => {
            let place = fill.place("layout.crank_pins");
            let fault = Finding::new(problem.to_string()).about("layout.crank_pins");
            let remedy = "Check pin angles, banks and firing order against each other.";
            fill.fault(fault.remedy(remedy), place.as_ref());
            (even, String::new())
        }
    }
}

/// An order that a crank with mirrored halves can't fire in is a slip more often than a crank.
fn doubt_order(fill: &mut Fill, cylinders: usize) {
    let usual = firing::usual_order(cylinders, Arrangement::Inline);
    let what = "the usual crank, with its two halves mirrored, can't fire in this order";
    let remedy = format!("Usual is {usual:?}. If the crank is another, say its crank_pins.");
    let doubt = Finding::new(what).mark("is it right?").remedy(remedy);
    fill.doubt("layout.firing_order", doubt);
}

fn listed(value: &Value) -> Vec<f64> {
    let all = if value.each.is_empty() { std::slice::from_ref(&value.si) } else { &value.each };
    all.iter().map(|a| a.to_degrees()).collect()
}
