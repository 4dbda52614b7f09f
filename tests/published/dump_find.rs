//! Finds holes in pictures named by JSON lines, for `find.py` to compare.
//!
//! In: `{"render": {"seed": 3000, "make": "milled" or "rough", "edge": 1000, "to": file.pgm}}`, which
//! draws an invented face and prints its truth; or `{"picture": file.pgm, "marks": [[x, y]]}` with
//! `"pattern": [[x, y]]`, `"error"` and `"holes": [indices of the marks]` or without, and `"taps"`. Out:
//! `{"proposed": [[x, y]], "snapped": [[x, y] or null]}`.
#![allow(clippy::unwrap_used, clippy::print_stdout, dead_code, unreachable_pub)]

#[path = "../../core/find/src/tests/noise.rs"]
mod noise;
#[path = "../../core/find/src/tests/scene.rs"]
mod scene;

use holebook_find::{Look, Pattern, Picture, Point, propose, propose_on_pattern, snap};
use scene::Make;
use serde::Deserialize;
use serde_json::{Value, json};
use std::io::stdin;

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Question {
    Render(Render),
    Find(Find),
}

#[derive(Deserialize)]
struct Render {
    seed: u64,
    make: String,
    edge: usize,
    to: String,
}

#[derive(Deserialize)]
struct Find {
    picture: String,
    marks: Vec<[f64; 2]>,
    #[serde(default)]
    pattern: Vec<[f64; 2]>,
    #[serde(default)]
    error: f64,
    #[serde(default)]
    holes: Vec<usize>,
    #[serde(default)]
    taps: Vec<[f64; 2]>,
}

fn main() {
    for line in stdin().lines() {
        let answer = match serde_json::from_str(&line.unwrap()).unwrap() {
            Question::Render(render) => draw(&render),
            Question::Find(find) => found(&find),
        };
        println!("{answer}");
    }
}

fn draw(render: &Render) -> Value {
    let make = match render.make.as_str() {
        "milled" => Make::Milled,
        _ => Make::Rough,
    };
    let scene = scene::scene(render.seed, make, render.edge);
    let mut file = format!("P5 {} {} 255\n", scene.width, scene.height).into_bytes();
    file.extend(&scene.gray);
    std::fs::write(&render.to, file).unwrap();
    let holes: Vec<[f64; 2]> = scene.holes.iter().map(|at| [at.x, at.y]).collect();
    // Y counts up in a pattern and down in a picture.
    let plan: Vec<[f64; 2]> = scene.plan.iter().map(|(x, y)| [*x, -y]).collect();
    json!({"holes": holes, "diameter": scene.diameter, "plan": plan, "unit": 1.0})
}

fn read(path: &str) -> Picture {
    let bytes = std::fs::read(path).unwrap();
    let mut parts = bytes.splitn(4, |byte| byte.is_ascii_whitespace());
    let mut number = || {
        let text = std::str::from_utf8(parts.next().unwrap()).unwrap();
        text.trim_start_matches("P5").parse::<u32>().unwrap_or(0)
    };
    let (_, width, height) = (number(), number(), number());
    let start = bytes.len() - (width * height) as usize;
    Picture::new(width, height, &bytes[start..]).unwrap()
}

fn found(find: &Find) -> Value {
    let picture = read(&find.picture);
    let point = |at: &[f64; 2]| Point { x: at[0], y: at[1] };
    let marks: Vec<Point> = find.marks.iter().map(point).collect();
    let rims: Vec<Point> = if find.pattern.is_empty() {
        let proposed = propose(&picture, &marks).unwrap_or_default();
        proposed.iter().map(|it| it.rim.center).collect()
    } else {
        let pattern = Pattern {
            places: find.pattern.iter().map(|at| (at[0], at[1])).collect(),
            error: find.error,
        };
        let known: Vec<(usize, Point)> = find.holes.iter().copied().zip(marks.clone()).collect();
        let expected = propose_on_pattern(&picture, &pattern, &known).unwrap_or_default();
        let rims = expected.iter().filter_map(|it| it.rim);
        rims.map(|(rim, _)| rim.center).collect()
    };
    let look = Look::learn(&picture, &marks).ok();
    let snapped = find.taps.iter().map(|tap| {
        let rim = snap(&picture, point(tap), look.as_ref()).ok();
        rim.map(|rim| [rim.center.x, rim.center.y])
    });
    let snapped: Vec<Option<[f64; 2]>> = snapped.collect();
    let proposed: Vec<[f64; 2]> = rims.iter().map(|at| [at.x, at.y]).collect();
    json!({"proposed": proposed, "snapped": snapped})
}
