//! One file for each verb.

pub mod check;
pub mod check_pull;
pub mod compare;
pub mod completions;
pub mod correct;
pub mod diff;
pub mod edit;
pub mod help;
pub mod loops;
pub mod moves;
pub mod plan_test;
pub mod predict;
pub mod pull_page;
pub mod pulls;
pub mod read;
pub mod schema;
pub mod show;
pub mod sweep;
pub mod units;
pub mod wheel;
