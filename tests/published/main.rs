//! Ours against published tables and worked examples. Each file under `data/` names its source and
//! its tolerance at its head.
#![allow(clippy::unwrap_used)]

mod drills;
mod examples;
mod inserts;
mod limits;
mod strength;
mod table;
