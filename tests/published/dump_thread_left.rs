//! Reads damage as JSON lines and prints the thread that is left, for `thread_left.py` to compare.
//!
//! In: `{"drilled_mm", "major_mm", "damage": {"stations": [..], "hard": [..]}, "depths_mm": [..],
//! "engaged": {"from_mm", "to_mm"}}`. Out: `{"fractions": [..], "effective_engagement_mm"}`.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use holebook_core::hole::damage::{Damage, Span, effective_engagement, thread_left};
use holebook_core::length::Length;
use serde::Deserialize;
use serde_json::json;
use std::io::stdin;

#[derive(Deserialize)]
struct Case {
    drilled_mm: Length,
    major_mm: Length,
    damage: Damage,
    depths_mm: Vec<Length>,
    engaged: Span,
}

fn main() {
    for line in stdin().lines() {
        let case: Case = serde_json::from_str(&line.unwrap()).unwrap();
        let (drilled, major) = (case.drilled_mm, case.major_mm);
        let at = |depth: &Length| thread_left(&case.damage, drilled, major, *depth);
        let fractions: Vec<f64> = case.depths_mm.iter().map(at).collect();
        let whole = effective_engagement(&case.damage, drilled, major, case.engaged);
        println!(
            "{}",
            json!({"fractions": fractions, "effective_engagement_mm": whole.mm()})
        );
    }
}
