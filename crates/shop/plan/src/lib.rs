//! Prediction of a build: curve, plus-minus, limits, what moves it.

#![deny(missing_docs)]
