//! Times judging all remedies of one hole, and of a casting of 100; and the thread left at one depth.
//!
//! `cargo bench --profile dist -p holebook-tests --bench remedies`. Targets: below 60 microseconds
//! for one hole, 0.5 milliseconds if its circles taper or lean, and 5 milliseconds for the casting.
#![allow(missing_docs, clippy::unwrap_used)]

use criterion::{Criterion, criterion_group, criterion_main};
use holebook_core::hole::damage::{Circle, Damage, HardZone, Span, Station, thread_left};
use holebook_core::hole::remedies::assessments;
use holebook_core::hole::situation::Situation;
use holebook_core::insert::Catalog;
use holebook_core::length::Length;
use holebook_core::strength::{Grade, Iron, Metal};
use holebook_core::thread::Thread;
use holebook_tests::{median, print_ratio};
use std::hint::black_box;
use std::time::{Duration, Instant};

fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap()
}

fn station(from: f64, to: f64, diameter: f64, offset: f64, direction_deg: f64) -> Station {
    let span = Span {
        from: mm(from),
        to: mm(to),
    };
    Station::of(span, mm(diameter), mm(offset), direction_deg)
}

/// A crater over a wandered hole, part of it hard: the worst that one hole usually has.
fn hole(thread: &str, stations: Vec<Station>) -> Situation {
    Situation {
        bolt: Some(Grade::Sae5),
        metal: Metal::Gray(Iron::Class25),
        through: Some(false),
        depth: Some(mm(32.0)),
        floor: Some(mm(9.0)),
        nearest_edge: Some(mm(18.0)),
        nearest_hole: Some(mm(60.0)),
        face_cut: Some(mm(0.5)),
        damage: Damage {
            stations,
            hard: vec![HardZone::from(Span {
                from: mm(0.0),
                to: mm(2.0),
            })],
            ..Damage::default()
        },
        damage_described: true,
        ..Situation::of(Thread::parse(thread).unwrap())
    }
}

fn worst() -> Situation {
    let crater = station(0.0, 6.0, 13.0, 1.2, 30.0);
    let wandered = station(0.0, 26.0, 9.6, 1.0, 200.0);
    let void = station(10.0, 18.0, 3.0, 6.0, 90.0);
    hole("3/8-16", vec![crater, wandered, void])
}

/// A crater that tapers over a hole that leans.
fn tapered() -> Situation {
    let lower = |diameter, offset| Circle {
        diameter: mm(diameter),
        offset: mm(offset),
        direction_deg: 40.0,
    };
    let crater = station(0.0, 7.0, 15.0, 1.2, 30.0).changing_to(lower(9.0, 0.8));
    let leaning = station(0.0, 30.0, 9.6, 0.0, 0.0).changing_to(lower(9.6, 1.6));
    hole("3/8-16", vec![crater, leaning])
}

/// The same hole with tolerances, whose effect on each verdict is searched for.
fn toleranced(mut hole: Situation) -> Situation {
    for station in &mut hole.damage.stations {
        station.diameter_tolerance = Some(mm(0.4));
        station.offset_tolerance = Some(mm(0.2));
    }
    hole
}

fn casting() -> Vec<Situation> {
    (0..100)
        .map(|i| {
            let off = f64::from(i % 10) * 0.15;
            let wide = 8.0 + f64::from(i % 7);
            let size = ["3/8-16", "5/16-18", "1/2-13", "M10"][i as usize % 4];
            hole(
                size,
                vec![
                    station(0.0, 9.0, wide, off, 0.0),
                    station(5.0, 20.0, 9.4, off, 90.0),
                ],
            )
        })
        .collect()
}

fn bench(c: &mut Criterion) {
    let (one, many) = (worst(), casting());
    let changing = tapered();
    c.bench_function("remedies of one hole that tapers and leans", |b| {
        b.iter(|| assessments(black_box(&changing), Catalog::standard()))
    });
    c.bench_function("remedies of one hole", |b| {
        b.iter(|| assessments(black_box(&one), Catalog::standard()))
    });
    let (close, far) = (toleranced(worst()), toleranced(tapered()));
    c.bench_function("remedies of one hole with tolerances", |b| {
        b.iter(|| assessments(black_box(&close), Catalog::standard()))
    });
    c.bench_function(
        "remedies of one hole that tapers and leans, with tolerances",
        |b| b.iter(|| assessments(black_box(&far), Catalog::standard())),
    );
    c.bench_function("remedies of a casting of 100 holes", |b| {
        b.iter(|| {
            many.iter()
                .map(|hole| assessments(black_box(hole), Catalog::standard()).len())
                .sum::<usize>()
        })
    });
    let crater = hole("3/8-16", vec![station(0.0, 9.0, 13.0, 1.2, 0.0)]).damage;
    c.bench_function("thread left at one depth, one circle", |b| {
        b.iter(|| thread_left(black_box(&crater), mm(11.509375), mm(12.7), mm(3.0)))
    });
    c.bench_function("thread left at one depth, three circles", |b| {
        b.iter(|| thread_left(black_box(&one.damage), mm(11.509375), mm(12.7), mm(5.0)))
    });
}

/// The median of some runs.
fn timed(mut work: impl FnMut()) -> Duration {
    median(
        (0..50)
            .map(|_| {
                let start = Instant::now();
                work();
                start.elapsed()
            })
            .collect(),
    )
}

fn ratios(_: &mut Criterion) {
    let judge = |hole: &Situation| drop(black_box(assessments(hole, Catalog::standard())));
    let (one, changing, many) = (worst(), tapered(), casting());
    let one = timed(|| judge(&one));
    let tapered = timed(|| judge(&changing));
    print_ratio("a hole that tapers and leans", tapered, ("one hole", one));
    for (what, hole) in [
        ("a hole with tolerances", worst()),
        (
            "a hole that tapers and leans, with tolerances",
            self::tapered(),
        ),
    ] {
        let hole = toleranced(hole);
        print_ratio(what, timed(|| judge(&hole)), ("one hole", one));
    }
    let casting = timed(|| many.iter().for_each(judge));
    print_ratio("a casting of 100 holes", casting, ("one hole", one));
}

criterion_group!(benches, bench, ratios);
criterion_main!(benches);
