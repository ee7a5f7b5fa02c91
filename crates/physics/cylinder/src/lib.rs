//! The cylinder: mechanism, valves, combustion, wall heat, friction, knock.

#![deny(missing_docs)]
