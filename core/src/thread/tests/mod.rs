#![allow(clippy::unwrap_used)]

mod forms;
mod limits;
mod reading;

use super::*;

fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap()
}

fn inches(length: Length) -> f64 {
    length.inches()
}
