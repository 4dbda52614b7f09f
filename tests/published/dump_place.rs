//! Reads questions about places as JSON lines and prints the answers, for `place.py` to compare.
//!
//! In: `{"pattern": ..}`, `{"plane": ..}`, `{"flatness": ..}`, `{"distances": ..}`, `{"outline": ..}`, each as
//! `holebook place` reads it, or `{"drawing": [holes]}`. Out: the answer, or `{"error": ".."}`.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use holebook_place::distances::{self, DistanceSurvey};
use holebook_place::flatness::{self, FaceReadings};
use holebook_place::outline::{self, TracedEdge};
use holebook_place::pattern::{self, Survey};
use holebook_place::plane::{self, PhotoSurvey};
use holebook_place::{HolePoint, PlaceError, moves};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::io::stdin;

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Question {
    Pattern(Survey),
    Plane(PhotoSurvey),
    Flatness(FaceReadings),
    Distances(DistanceSurvey),
    Outline(TracedEdge),
    Drawing(Vec<HolePoint>),
}

fn main() {
    for line in stdin().lines() {
        let answer = match serde_json::from_str(&line.unwrap()).unwrap() {
            Question::Pattern(survey) => value(pattern::fit(&survey)),
            Question::Plane(survey) => value(plane::measure(&survey)),
            Question::Flatness(face) => value(flatness::judge(&face)),
            Question::Distances(survey) => value(distances::solve(&survey)),
            Question::Outline(edge) => value(outline::circle(&edge)),
            Question::Drawing(holes) => value(moves::dxf(&holes)),
        };
        println!("{answer}");
    }
}

fn value(answer: Result<impl Serialize, PlaceError>) -> Value {
    match answer {
        Ok(answer) => serde_json::to_value(answer).unwrap(),
        Err(error) => json!({"error": error.to_string()}),
    }
}
