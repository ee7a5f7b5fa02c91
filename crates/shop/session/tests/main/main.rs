//! Tests over whole files.

mod declared;
mod demo;
mod faulty;
mod history;
mod reading;
mod survive;
