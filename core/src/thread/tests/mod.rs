#![allow(clippy::unwrap_used)]

mod designations;
mod forms;
mod limits;

use super::*;

fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap()
}

fn inches(length: Length) -> f64 {
    length.inches()
}
