//! Tests over whole files.

mod declared;
mod faulty;
mod history;
mod reading;
mod survive;
