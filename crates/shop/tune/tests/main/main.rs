//! Loops checked against computed references, and against truth in simulated ones.

mod loops;
mod references;
