//! The program as a user meets it: run whole, on the demo shop.

mod beside;
mod golden;
mod logs;
mod loops;
mod manners;
mod modes;
mod predicting;
mod program;
mod roller;
mod several;
mod testing;
mod wrong_input;
