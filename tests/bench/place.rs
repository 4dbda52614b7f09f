//! Times fitting a pattern of 60 holes, a third of them lying, judging a face of 100 readings, and
//! proposing 36 holes of a picture of 12 megapixels by three that are marked.
//!
//! `cargo bench --profile dist -p holebook-tests --bench place`. Targets: below 10 milliseconds for
//! the pattern, below 1 second for the picture.
#![allow(missing_docs, clippy::unwrap_used)]

use criterion::{Criterion, criterion_group, criterion_main};
use holebook_find::{Picture, Point, propose};
use holebook_place::flatness::{FaceReadings, HeightReading, judge};
use holebook_place::pattern::{FoundHole, Survey, WantedHole, fit};
use holebook_tests::{median, print_ratio};
use std::hint::black_box;
use std::time::{Duration, Instant};

/// A repeatable scatter from -1 to 1.
fn scatter(at: u32) -> f64 {
    (f64::from(at.wrapping_mul(2_654_435_761)) / f64::from(u32::MAX)).mul_add(2.0, -1.0)
}

fn survey(count: u32, lying: bool) -> Survey {
    let wanted: Vec<WantedHole> = (1..=count)
        .map(|hole| WantedHole {
            hole,
            x_mm: 300.0 * scatter(hole),
            y_mm: 150.0 * scatter(hole + 7_000),
            error_mm: 0.0,
        })
        .collect();
    let found = wanted.iter().map(|hole| {
        let lie = if lying && hole.hole % 3 == 0 {
            8.0 * scatter(hole.hole + 90)
        } else {
            0.0
        };
        FoundHole {
            hole: hole.hole,
            x_mm: 20.0 - hole.y_mm + lie + 0.1 * scatter(hole.hole + 500),
            y_mm: hole.x_mm + 0.1 * scatter(hole.hole + 900),
            error_mm: 0.1,
        }
    });
    Survey {
        found: found.collect(),
        wanted,
        ..Survey::default()
    }
}

fn face() -> FaceReadings {
    let reading = |at: u32| HeightReading {
        x_mm: f64::from(at % 10) * 40.0,
        y_mm: f64::from(at / 10) * 40.0,
        z_mm: 0.05 * scatter(at + 33),
    };
    FaceReadings {
        points: (0..100).map(reading).collect(),
        holes: Vec::new(),
    }
}

/// Width and height of the picture, pixels.
const SIZE: (u32, u32) = (4_000, 3_000);
/// Its holes: columns and rows, how far apart, and their radius.
const HOLES: (u32, u32) = (9, 4);
const PITCH_PX: u32 = 400;
const RADIUS_PX: f64 = 45.0;

/// The middle of a hole of the picture.
fn middle(at: u32) -> Point {
    Point {
        x: f64::from(PITCH_PX * (at % HOLES.0 + 1)),
        y: f64::from(PITCH_PX * (at / HOLES.0 + 1)) + 500.0,
    }
}

/// Dark holes in a speckled face, each pixel's brightness by row.
fn holes() -> Vec<u8> {
    let (width, height) = SIZE;
    let mut pixels: Vec<u8> = (0..width * height)
        .map(|at| (150.0 + 25.0 * scatter(at)) as u8)
        .collect();
    for middle in (0..HOLES.0 * HOLES.1).map(middle) {
        let reach = RADIUS_PX.ceil() as u32;
        let (x, y) = (middle.x as u32, middle.y as u32);
        for (py, px) in
            (y - reach..y + reach).flat_map(|py| (x - reach..x + reach).map(move |px| (py, px)))
        {
            let (dx, dy) = (
                f64::from(px) + 0.5 - middle.x,
                f64::from(py) + 0.5 - middle.y,
            );
            if dx.hypot(dy) < RADIUS_PX {
                pixels[(py * width + px) as usize] /= 4;
            }
        }
    }
    pixels
}

/// From pixels to proposals, as the program does it.
fn find(pixels: &[u8]) -> usize {
    let picture = Picture::new(SIZE.0, SIZE.1, pixels).unwrap();
    let marks = [0, 8, 31].map(middle);
    let found = propose(&picture, &marks).unwrap();
    assert_eq!(found.len(), 33, "all but the marked ones");
    found.len()
}

fn bench(c: &mut Criterion) {
    let (lying, readings, pixels) = (survey(60, true), face(), holes());
    let mut slow = c.benchmark_group("a picture");
    slow.sample_size(10);
    slow.bench_function("33 holes proposed in 12 megapixels", |b| {
        b.iter(|| find(black_box(&pixels)))
    });
    slow.finish();
    c.bench_function("pattern of 60 holes, a third lying", |b| {
        b.iter(|| fit(black_box(&lying)).unwrap())
    });
    c.bench_function("a face of 100 readings", |b| {
        b.iter(|| judge(black_box(&readings)).unwrap())
    });
}

/// The median of some runs.
fn timed(mut work: impl FnMut()) -> Duration {
    let times = (0..50).map(|_| {
        let start = Instant::now();
        work();
        start.elapsed()
    });
    median(times.collect())
}

fn ratios(_: &mut Criterion) {
    let place = |survey: &Survey| drop(black_box(fit(survey).unwrap()));
    let (lying, honest, many) = (survey(60, true), survey(60, false), survey(1_000, true));
    let honest = timed(|| place(&honest));
    print_ratio(
        "60 holes, a third lying",
        timed(|| place(&lying)),
        ("60 good holes", honest),
    );
    print_ratio(
        "1,000 holes, a third lying",
        timed(|| place(&many)),
        ("60 good holes", honest),
    );
}

criterion_group!(benches, bench, ratios);
criterion_main!(benches);
