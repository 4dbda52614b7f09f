//! An amount that was taken from the places on a face holds only while all that it rests on does.

use super::photos::photo_file;
use super::places::{grid_of, heights};
use super::*;
use crate::hole::condition::{Condition, FirstLook};
use crate::hole::damage::{Damage, Span, Station};
use crate::hole::problem::Problem;
use crate::hole::record::{FinalCheck, Note, RemedySpec};
use crate::hole::stage::Stage;
use crate::hole::testing::mm;
use crate::notebook::{EntryId, HoleBody, PhotoId};
use crate::places::record::{EdgeInPhoto, GoodHoles, KnownPlace};
use proptest::prelude::*;

/// Nine holes on a grid, marked in a photo; the last one is off center, and that was recorded as the
/// photo has it.
struct Taken {
    bench: Bench,
    face: FaceId,
    holes: Vec<HoleId>,
    photo: PhotoId,
    marks: Vec<EntryId>,
    pattern: EntryId,
    damage: EntryId,
}

const OFF: usize = 8;

fn seen(at: usize) -> (f64, f64) {
    let off = if at == OFF { 2.0 } else { 0.0 };
    (
        8.0 + 20.0 * (at % 3) as f64 + off,
        44.0 - 20.0 * (at / 3) as f64,
    )
}

fn look(condition: Condition) -> HoleEntry {
    HoleEntry::Condition(FirstLook { condition })
}

impl Taken {
    fn new() -> Self {
        let (bench, face, holes) = Bench::with_holes(9);
        let file = photo_file(&bench.dir, 3);
        let (photo, _) = bench.notebook.add_photo(face, &file, None).unwrap();
        let marks = holes.iter().enumerate().map(|(at, hole)| {
            let (x, y) = seen(at);
            bench.notebook.mark(*hole, photo, x, y, &[]).unwrap()
        });
        let marks = marks.collect();
        let pattern = bench
            .notebook
            .set_pattern(face, &grid_of(9, 50.0), &[])
            .unwrap();
        let notebook = &bench.notebook;
        notebook
            .record(holes[OFF], look(Condition::OffCenter), &[])
            .unwrap();
        let mut taken = Self {
            damage: pattern,
            bench,
            face,
            holes,
            photo,
            marks,
            pattern,
        };
        taken.damage = taken.take(&[]);
        taken
    }

    /// Records how far the last hole is off, as the places have it now.
    fn take(&self, replaces: &[EntryId]) -> EntryId {
        let notebook = &self.bench.notebook;
        let center = notebook.center(self.holes[OFF]).unwrap().unwrap();
        let off = center.center.off.unwrap();
        let station = Station {
            offset_source: Some(off.source),
            rests_on: center.rests_on,
            ..Station::of(span(), mm(12.0), mm(off.by_mm), off.direction_deg)
        };
        self.describe(station, replaces)
    }

    fn describe(&self, station: Station, replaces: &[EntryId]) -> EntryId {
        let damage = Damage {
            stations: vec![station],
            ..Damage::default()
        };
        let entry = HoleEntry::Damage(damage);
        self.bench
            .notebook
            .record(self.holes[OFF], entry, replaces)
            .unwrap()
    }

    /// What changed, as the hole's page says it. The list of holes counts it, too.
    fn changed(&self) -> Option<String> {
        let hole = self.bench.notebook.hole(self.holes[OFF]).unwrap();
        let listed = &self.bench.notebook.face(self.face).unwrap().holes;
        let listed = listed.iter().find(|it| it.id == self.holes[OFF]).unwrap();
        assert_eq!(listed.problems as usize, hole.status.problems.len());
        let mut problems = hole.status.problems.iter();
        problems.find_map(|problem| match problem {
            Problem::PlacesChanged { .. } => Some(problem.to_string()),
            _ => None,
        })
    }

    fn move_mark(&self, at: usize, by_px: f64) -> EntryId {
        let (x, y) = seen(at);
        let before = [self.marks[at]];
        let moved = self
            .bench
            .notebook
            .mark(self.holes[at], self.photo, x + by_px, y, &before);
        moved.unwrap()
    }
}

fn span() -> Span {
    Span {
        from: mm(0.0),
        to: mm(20.0),
    }
}

#[test]
fn a_moved_removed_or_renumbered_mark_reopens_the_amount() {
    let taken = Taken::new();
    let notebook = &taken.bench.notebook;
    assert_eq!(taken.changed(), None);
    let says = |words: &str| {
        let changed = taken.changed().unwrap_or_default();
        assert!(changed.contains(words), "{changed}");
    };

    let moved = taken.move_mark(2, 0.5);
    says("the mark of hole 3 was moved: take it again");
    let again = taken.take(&[taken.damage]);
    assert_eq!(taken.changed(), None, "taken again");
    notebook.strike_out(moved, "slip").unwrap();
    says("the mark of hole 3 was removed");
    let again = taken.take(&[again]);

    notebook.remove_mark(taken.holes[4], taken.photo).unwrap();
    says("the mark of hole 5 was removed");
    let again = taken.take(&[again]);

    let hole = notebook.hole(taken.holes[0]).unwrap();
    let placement = hole.placement.0[0].clone();
    let renumbered = HoleBody {
        number: 77,
        ..placement.body.clone()
    };
    notebook
        .change_hole(taken.holes[0], &renumbered, &[placement.entry])
        .unwrap();
    says("the number or place of hole 77 was changed");
    let again = taken.take(&[again]);
    assert_eq!(taken.changed(), None);

    // Its own mark, and then the photo.
    taken.move_mark(OFF, 1.0);
    says("the mark of hole 9 was moved");
    taken.take(&[again]);
    notebook.remove_photo(taken.photo).unwrap();
    says("was removed");
}

#[test]
fn the_pattern_the_good_holes_and_grades_reopen_it_and_other_facts_do_not() {
    let taken = Taken::new();
    let notebook = &taken.bench.notebook;
    let note = Note {
        text: "painted".into(),
    };
    notebook
        .record(taken.holes[0], HoleEntry::Note(note), &[])
        .unwrap();
    notebook
        .record(taken.holes[1], depth_of(30.0), &[])
        .unwrap();
    let loose = notebook
        .record(taken.holes[1], look(Condition::Loose), &[])
        .unwrap();
    assert_eq!(taken.changed(), None, "a loose hole is where it was");
    let crater = notebook
        .record(taken.holes[1], look(Condition::Crater), &[loose])
        .unwrap();
    let changed = taken.changed().unwrap();
    assert!(changed.contains("hole 2 was graded 'crater'"), "{changed}");
    notebook.strike_out(crater, "the one beside it").unwrap();
    assert_eq!(taken.changed(), None);

    let good = GoodHoles {
        holes: vec![1, 2, 3, 4, 5],
    };
    let good = notebook.set_good_holes(taken.face, &good).unwrap();
    assert!(
        taken
            .changed()
            .unwrap()
            .contains("the choice of good holes was changed")
    );
    notebook.strike_out(good, "not yet").unwrap();
    assert_eq!(taken.changed(), None);

    // A pattern that came, was used, and went: the one before it is in force again.
    let wider = notebook
        .set_pattern(taken.face, &grid_of(9, 60.0), &[taken.pattern])
        .unwrap();
    assert!(taken.changed().unwrap().contains("the pattern was changed"));
    taken.take(&[taken.damage]);
    assert_eq!(taken.changed(), None);
    notebook.strike_out(wider, "misread").unwrap();
    assert!(taken.changed().unwrap().contains("the pattern was removed"));
}

#[test]
fn a_second_mark_of_another_device_is_a_disagreement() {
    let taken = Taken::new();
    let (x, y) = seen(3);
    // As if it had not seen the first one.
    let other = taken
        .bench
        .notebook
        .mark(taken.holes[3], taken.photo, x + 4.0, y, &[])
        .unwrap();
    let changed = taken.changed().unwrap();
    assert!(
        changed.contains("devices disagree about the mark of hole 4"),
        "{changed}"
    );
    taken
        .bench
        .notebook
        .strike_out(other, "not this one")
        .unwrap();
    assert_eq!(taken.changed(), None);
}

#[test]
fn known_points_reopen_what_was_taken_by_them() {
    let taken = Taken::new();
    let notebook = &taken.bench.notebook;
    // Holes 1, 3 and 7, and where hole 9 belongs.
    let corners = [
        (seen(0), 0.0, 0.0),
        (seen(2), 100.0, 0.0),
        (seen(6), 0.0, 100.0),
        ((48.0, 4.0), 100.0, 100.0),
    ];
    let known: Vec<EntryId> = corners
        .iter()
        .map(|((x_px, y_px), x_mm, y_mm)| {
            let known = KnownPlace {
                x_px: *x_px,
                y_px: *y_px,
                x: mm(*x_mm),
                y: mm(*y_mm),
                tolerance: Some(mm(0.1)),
            };
            notebook.add_known_place(taken.photo, &known).unwrap()
        })
        .collect();
    taken.take(&[taken.damage]);
    assert_eq!(taken.changed(), None);
    notebook.strike_out(known[1], "another bolt head").unwrap();
    let changed = taken.changed().unwrap();
    assert!(
        changed.contains("a known point of the photo was removed"),
        "{changed}"
    );
}

#[test]
fn a_traced_crater_rests_on_the_scale_and_the_center_of_its_photo() {
    let taken = Taken::new();
    let notebook = &taken.bench.notebook;
    let (x, y) = seen(OFF);
    let edge: Vec<(f64, f64)> = (0..12)
        .map(|k| (std::f64::consts::TAU * f64::from(k) / 12.0).sin_cos())
        .map(|(sin, cos)| (x - 2.0 + 3.0 * cos, y + 3.0 * sin))
        .collect();
    let trace = |replaces: &[EntryId]| {
        let hole = taken.holes[OFF];
        let measured = notebook.measure_outline(hole, taken.photo, &edge).unwrap();
        let station = Station {
            rests_on: measured.rests_on,
            traced: Some(EdgeInPhoto::of(taken.photo, &edge)),
            ..Station::of(
                span(),
                mm(measured.diameter_mm),
                mm(measured.offset_mm),
                0.0,
            )
        };
        taken.describe(station, replaces)
    };
    let first = trace(&[taken.damage]);
    assert_eq!(taken.changed(), None);
    taken.move_mark(6, 1.0);
    assert!(
        taken
            .changed()
            .unwrap()
            .contains("the mark of hole 7 was moved")
    );
    trace(&[first]);
    assert_eq!(taken.changed(), None);
    let station = &notebook.hole(taken.holes[OFF]).unwrap().record.damage.0[0]
        .body
        .stations[0];
    assert_eq!(station.traced.as_ref().unwrap().points(), edge);
}

#[test]
fn a_face_cut_taken_from_heights_is_asked_for_again_when_they_change() {
    let (bench, face, holes) = Bench::with_holes(1);
    let notebook = &bench.notebook;
    let record =
        |points: &[(f64, f64, f64)]| notebook.record_heights(face, &heights(points)).unwrap();
    record(&[
        (0.0, 0.0, 0.0),
        (100.0, 0.0, 0.0),
        (0.0, 80.0, 0.0),
        (100.0, 80.0, 0.0),
    ]);
    let low = record(&[(50.0, 40.0, -0.3)]);
    let planned = notebook.plan_least_cut(face, &[]).unwrap();
    notebook.record(holes[0], wanted("3/8-16"), &[]).unwrap();
    let changed = || {
        let hole = notebook.hole(holes[0]).unwrap();
        let listed = notebook.face(face).unwrap().holes[0].problems;
        assert_eq!(listed as usize, hole.status.problems.len());
        let mut problems = hole.status.problems.into_iter();
        problems.find(|problem| matches!(problem, Problem::FaceCutChanged { .. }))
    };
    assert_eq!(changed(), None);
    notebook.strike_out(low, "dirt under the tip").unwrap();
    assert_eq!(changed(), None, "nothing is planned for the hole yet");
    let leave = FinalCheck {
        spec: RemedySpec::BEFORE_CHOICE,
        passes: true,
        how: "bolt by hand".into(),
        torque_nm: None,
        engaged: None,
        reason: None,
    };
    notebook
        .record(holes[0], HoleEntry::FinalCheck(leave), &[])
        .unwrap();
    let says = changed().unwrap().to_string();
    assert!(
        says.contains("one set of height readings was removed: plan it again"),
        "{says}"
    );
    assert_ne!(notebook.hole(holes[0]).unwrap().status.stage, Stage::Passed);

    let typed = notebook.plan_face_cut(face, mm(0.3), &[planned]).unwrap();
    assert_eq!(changed(), None, "typed by a person");
    record(&[(20.0, 60.0, -0.2)]);
    notebook.plan_least_cut(face, &[typed]).unwrap();
    assert_eq!(changed(), None);
    record(&[(20.0, 20.0, -0.5)]);
    assert!(changed().unwrap().to_string().contains("was added"));
}

/// A change of what is known of the places, or of something else.
#[derive(Debug, Clone)]
enum Event {
    Move(usize, f64),
    RemoveMark(usize),
    Renumber(usize),
    Grade(usize, bool),
    Pattern(f64),
    Depth(usize),
    Again,
}

fn event() -> impl Strategy<Value = Event> {
    prop_oneof![
        (0..9_usize, -3.0..3.0).prop_map(|(at, by)| Event::Move(at, by)),
        (0..9_usize).prop_map(Event::RemoveMark),
        (0..8_usize).prop_map(Event::Renumber),
        (0..8_usize, any::<bool>()).prop_map(|(at, off)| Event::Grade(at, off)),
        (40.0..60.0).prop_map(Event::Pattern),
        (0..9_usize).prop_map(Event::Depth),
        Just(Event::Again),
    ]
}

impl Taken {
    /// Returns whether the amount was taken again.
    fn play(&mut self, event: &Event) -> bool {
        let notebook = &self.bench.notebook;
        match event {
            Event::Move(at, by) => {
                let (x, y) = seen(*at);
                let marks = notebook.hole(self.holes[*at]).unwrap().marks;
                let before = marks.first().map(|mark| mark.entries.0[0].entry);
                let before: Vec<EntryId> = before.into_iter().collect();
                notebook
                    .mark(self.holes[*at], self.photo, x + by, y, &before)
                    .unwrap();
            }
            Event::RemoveMark(at) => drop(notebook.remove_mark(self.holes[*at], self.photo)),
            Event::Renumber(at) => {
                let placement = notebook.hole(self.holes[*at]).unwrap().placement.0[0].clone();
                let number = 20 + placement.body.number;
                let body = HoleBody {
                    number,
                    ..placement.body
                };
                notebook
                    .change_hole(self.holes[*at], &body, &[placement.entry])
                    .unwrap();
            }
            Event::Grade(at, off) => {
                let condition = if *off {
                    Condition::Crater
                } else {
                    Condition::Sound
                };
                notebook.resolve(self.holes[*at], look(condition)).unwrap();
            }
            Event::Pattern(pitch) => {
                let before = [self.pattern];
                self.pattern = notebook
                    .set_pattern(self.face, &grid_of(9, *pitch), &before)
                    .unwrap();
            }
            Event::Depth(at) => drop(notebook.record(self.holes[*at], depth_of(30.0), &[])),
            Event::Again => {
                let center = notebook.center(self.holes[OFF]).unwrap();
                if center.is_some_and(|it| it.center.off.is_some()) {
                    self.damage = self.take(&[self.damage]);
                    return true;
                }
            }
        }
        false
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever happens: an amount that is not asked for again rests on entries that are all in
    /// force, and a notebook that gets the same lines says the same.
    #[test]
    fn an_amount_that_is_shown_as_good_rests_on_what_is_in_force(
        events in prop::collection::vec(event(), 1..8),
    ) {
        let mut taken = Taken::new();
        for event in &events {
            let again = taken.play(event);
            let holds = taken.changed().is_none();
            let notebook = &taken.bench.notebook;
            let record = notebook.hole(taken.holes[OFF]).unwrap().record;
            let station = &record.damage.0[0].body.stations[0];
            let in_force = station.rests_on.iter().all(|id| {
                let entry = notebook.entry(*id).unwrap();
                entry.struck_out_by.is_none() && !entry.replaced
            });
            prop_assert!(in_force || !holds, "after {event:?}");
            prop_assert!(holds || !again, "taken again");
            if matches!(event, Event::Depth(_)) {
                prop_assert_eq!(holds, in_force && no_crater(&taken, station));
            }
        }
        let copy = Bench::new();
        copy.notebook.import_lines(&lines(&taken.bench.notebook)).unwrap();
        prop_assert_eq!(derived_tables(&copy.notebook), derived_tables(&taken.bench.notebook));
    }
}

/// Whether none of the holes that it rests on is graded off.
fn no_crater(taken: &Taken, station: &Station) -> bool {
    let notebook = &taken.bench.notebook;
    let mut named = taken.holes[..OFF].iter().filter(|hole| {
        let placement = &notebook.hole(**hole).unwrap().placement.0[0];
        station.rests_on.contains(&placement.entry)
    });
    named.all(|hole| {
        let condition = notebook.hole(*hole).unwrap().record.condition_in_force();
        condition != Some(Condition::Crater)
    })
}
