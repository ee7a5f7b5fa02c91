//! Engines as somebody might write them down, for the proof of the ±.

use crate::chance::Chance;
use shortblock_engine::{Build, Memory, load};

/// An engine of this seed: half of them with pipes and flow coefficient given, half without;
/// `None` where the numbers make none.
pub fn invented(seed: u64) -> Option<Build> {
    let mut c = Chance::new(seed);
    let text = written(&mut c, seed);
    load("invented", &Memory::default().with("invented", &text)).build.ok().map(|build| *build)
}

fn written(c: &mut Chance, seed: u64) -> String {
    let cylinders = c.one(&[1, 2, 3, 4, 6, 8]);
    let bore = c.between(76.0, 104.0);
    let stroke = bore * c.between(0.78, 1.08);
    let two = c.yes(0.6);
    let (count, share) = if two { (2, c.between(0.37, 0.42)) } else { (1, c.between(0.46, 0.52)) };
    let intake = share * bore;
    let exhaust = intake * c.between(0.80, 0.87);
    let duration = c.between(215.0, 262.0);
    let lift = if two { 0.28 } else { 0.24 };
    let measured = c.yes(0.5);
    let mut text = format!(
        "format = 1\nnumber = \"{seed}\"\ncylinders = {cylinders}\nbore = \"{bore:.1} mm\"\n\
         stroke = \"{stroke:.1} mm\"\ncompression_ratio = \"{:.1} ±0.2\"\n",
        c.between(9.0, 12.0)
    );
    let mut side = |name: &str, valve: f64, lift: f64, centreline: f64, flow: f64| {
        text += &format!(
            "[{name}]\nvalves = {{ per_cylinder = {count}, diameter = \"{valve:.1} mm\" }}\n\
             cam = {{ lift = \"{:.1} mm\", duration = \"{duration:.0} deg at 1.0 mm\", \
             centreline = \"{centreline:.0} deg\" }}\n",
            lift * valve
        );
        if measured {
            text += &format!("flow_coefficient = \"{flow:.2} ±0.015\"\n");
        }
    };
    side("intake", intake, lift, c.between(103.0, 112.0), c.between(0.46, 0.60));
    side("exhaust", exhaust, lift * 1.08, c.between(106.0, 115.0), c.between(0.44, 0.58));
    if measured {
        text += &format!(
            "[intake.runner]\nlength = \"{:.0} ±5 mm\"\n[exhaust.primary]\nlength = \"{:.0} ±15 mm\"\n\
             bore = \"{:.1} ±0.5 mm\"\n",
            c.between(180.0, 380.0),
            c.between(450.0, 850.0),
            exhaust * f64::from(count).sqrt() * c.between(0.92, 1.08)
        );
    }
    text
}
