//! No correction: the figure as the dyno read it, with the weather beside it.

use super::Found;
use crate::figure::Factor;
use crate::standard::About;

pub(crate) const ABOUT: About = About {
    key: "as-observed",
    name: "as observed",
    revision: "-",
    purpose: "what the dyno read; the default where boost is held",
    reference: "none",
    spark: Some("P = P_o"),
    compression: Some("P = P_o"),
    source: "no standard",
};

pub(crate) fn find() -> Found {
    Found::Factor(Factor::OnBrake(1.0), Vec::new())
}
