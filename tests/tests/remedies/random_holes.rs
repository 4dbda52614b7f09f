//! Random holes, all kinds of damage and readings at once, against the rules of `rules.rs`.

use crate::rules::checked;
use holebook_core::hole::damage::{
    BrokenTool, Circle, Damage, HardZone, Lean, Span, Station, Tilt,
};
use holebook_core::hole::situation::{Situation, TolerancedReading};
use holebook_core::length::Length;
use holebook_core::strength::{Grade, Iron, Metal, Steel};
use holebook_core::thread::Thread;
use holebook_test_support::{SeededRng, env_number};

/// Holes in a local run; `HOLEBOOK_HOLES` sets another number.
const HOLES: u64 = 500;

const THREADS: [&str; 14] = [
    "3/8-16",
    "3/8-16 LH",
    "3/8-24",
    "1/4-20",
    "5/16-18",
    "7/16-14",
    "1/2-13",
    "1/2-13 LH",
    "5/8-11",
    "3/4-10",
    "M6",
    "M8",
    "M10",
    "M12",
];

struct Random(SeededRng);

impl Random {
    /// Whether something happens that happens once in `n` holes.
    fn once_in(&mut self, n: u64) -> bool {
        self.0.below(n) == 0
    }

    /// A length in millimeters, to 1/100.
    fn mm(&mut self, from: f64, to: f64) -> Length {
        let steps = ((to - from) * 100.0) as u64;
        Length::from_mm(from + self.0.below(steps) as f64 / 100.0).unwrap()
    }

    /// A length that is unknown in one of `n` holes.
    fn known(&mut self, n: u64, from: f64, to: f64) -> Option<Length> {
        let value = self.mm(from, to);
        (!self.once_in(n)).then_some(value)
    }

    /// A length that is known in one of `n` holes.
    fn rarely(&mut self, n: u64, from: f64, to: f64) -> Option<Length> {
        let value = self.mm(from, to);
        self.once_in(n).then_some(value)
    }

    fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.0.below(list.len() as u64) as usize]
    }
}

#[test]
fn every_remedy_of_random_holes_keeps_every_rule() {
    let holes = env_number("HOLEBOOK_HOLES").unwrap_or(HOLES);
    let mut random = Random(SeededRng::new("random holes"));
    let mut judged = 0;
    while judged < holes {
        let hole = random_hole(&mut random);
        if hole.validate().is_ok() {
            checked(&hole);
            judged += 1;
        }
    }
}

fn random_hole(random: &mut Random) -> Situation {
    let thread = Thread::parse(random.of(&THREADS)).unwrap();
    let through = match random.0.below(8) {
        0 => Some(true),
        1 => None,
        _ => Some(false),
    };
    let nominal = thread.nominal().mm();
    let mut hole = Situation {
        bolt: random.of(&[None, Some(Grade::Sae5), Some(Grade::Sae8)]),
        metal: random.of(&[
            Metal::Gray(Iron::Unknown),
            Metal::Gray(Iron::Class20),
            Metal::Gray(Iron::Class30),
            Metal::Steel(Steel::A36),
        ]),
        through,
        depth: random.known(12, 10.0, 55.0),
        floor: random.known(5, 0.3, 25.0).filter(|_| through != Some(true)),
        nearest_edge: random.known(12, nominal * 0.7, nominal * 4.0),
        nearest_hole: random.known(12, nominal * 2.0, nominal * 8.0),
        neighbor_diameter: random.rarely(4, nominal, nominal * 2.0),
        mating_hole: random.known(3, nominal, nominal * 1.6),
        grip: random.known(4, 5.0, 40.0),
        face_cut: random.known(10, 0.0, 2.0),
        pressure: random.once_in(6),
        full_thread: random.rarely(6, 5.0, 40.0),
        full_diameter: random.rarely(6, 8.0, 45.0),
        bolt_length: random.rarely(5, 15.0, 70.0),
        bolt_thread_length: random.rarely(8, 10.0, 40.0),
        damage_described: !random.once_in(15),
        ..Situation::of(thread)
    };
    hole.damage = damage(random, hole.depth, nominal);
    let readings = [
        TolerancedReading::Depth,
        TolerancedReading::Floor,
        TolerancedReading::NearestEdge,
        TolerancedReading::NearestHole,
    ];
    // Sensitivities take many assessments each, so few holes have tolerances.
    if random.once_in(6) {
        for reading in readings {
            let tolerance = random.mm(0.05, 2.0);
            hole = hole.with_tolerance(reading, tolerance);
        }
    }
    hole
}

fn damage(random: &mut Random, depth: Option<Length>, nominal: f64) -> Damage {
    let mut damage = Damage {
        crack: random.once_in(40),
        ..Damage::default()
    };
    let stations = random.of(&[0, 1, 1, 1, 2, 3]);
    damage.stations = (0..stations)
        .filter_map(|_| station(random, depth, nominal))
        .collect();
    if random.once_in(6) {
        let from = random.mm(0.0, 15.0);
        let to = from + random.mm(0.5, 6.0);
        damage.hard = vec![HardZone::from(Span { from, to })];
    }
    if random.once_in(6) {
        damage.broken_tool = Some(BrokenTool {
            what: "tap".into(),
            length: random.known(2, 3.0, 15.0),
            top: random.known(4, 2.0, 35.0),
        });
    }
    if random.once_in(12) {
        damage.lean = Some(Lean {
            tilt: Tilt::Degrees(random.0.below(400) as f64 / 100.0 + 0.1),
            direction_deg: random.0.below(360) as f64,
            offset: random.mm(0.0, 1.0),
            offset_direction_deg: 0.0,
            diameter: None,
        });
    }
    // Damage ends where the hole does.
    if let Some(depth) = depth {
        damage.hard.retain(|zone| zone.span.to <= depth);
        if damage.broken_tool.as_ref().is_some_and(|piece| {
            piece.top.unwrap_or_default() + piece.length.unwrap_or_default() > depth
        }) {
            damage.broken_tool = None;
        }
    }
    damage
}

/// A stripped thread, a mouth, a crater, an off-center hole or a void.
fn station(random: &mut Random, depth: Option<Length>, nominal: f64) -> Option<Station> {
    let from = random.of(&[0.0, 0.0, 0.0, 3.0, 12.0]);
    let to = from + random.mm(0.5, 30.0).mm();
    let to = Length::from_mm(to)
        .unwrap()
        .min(depth.unwrap_or(Length::from_mm(60.0).unwrap()));
    let span = Span {
        from: Length::from_mm(from).unwrap(),
        to,
    };
    if !span.length().is_positive() {
        return None;
    }
    let (diameter, offset) = match random.0.below(4) {
        0 => (random.mm(nominal * 0.95, nominal * 1.05), Length::ZERO),
        1 => (random.mm(nominal, nominal * 2.0), random.mm(0.0, 1.5)),
        2 => (
            random.mm(nominal * 0.8, nominal),
            random.mm(0.1, nominal / 3.0),
        ),
        _ => (
            random.mm(1.0, nominal),
            random.mm(nominal * 0.8, nominal * 2.5),
        ),
    };
    let direction = random.0.below(360) as f64;
    let station = Station::of(span, diameter, offset, direction);
    if !random.once_in(5) {
        return Some(station);
    }
    Some(station.changing_to(Circle {
        diameter: diameter / 2,
        offset,
        direction_deg: direction,
    }))
}
