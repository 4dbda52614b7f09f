#![allow(clippy::unwrap_used)]

use super::*;
use crate::hole::record::{FaceCut, FaceMilled, FactEntries, Install};
use crate::hole::testing::{
    damage, final_check, install, mm, reading, recorded, station, thin_wall,
};

fn face(planned: f64) -> FaceRecord {
    FaceRecord {
        planned_cut: FactEntries(vec![recorded(FaceCut::typed(mm(planned)))]),
        ..FaceRecord::default()
    }
}

fn at<T>(mut entry: Recorded<T>, minutes: i64) -> Recorded<T> {
    entry.at += TimeDelta::minutes(minutes);
    entry
}

fn measured() -> HoleRecord {
    HoleRecord {
        readings: vec![
            reading(Quantity::Depth, 34.0),
            reading(Quantity::Floor, 9.0),
        ],
        ..HoleRecord::default()
    }
}

/// What may be after the cut, when it is recorded so many minutes after the first entry.
fn likely(face: &FaceRecord, holes: &[&HoleRecord], minutes: i64) -> Vec<(u32, String)> {
    let mut earlier = EarlierEntries::of(face, None);
    for (number, hole) in (1..).zip(holes) {
        earlier.add_hole(number, hole);
    }
    let now = recorded(()).at + TimeDelta::minutes(minutes);
    let all = earlier.finish(now).into_iter();
    all.filter(|entry| entry.may_be_after)
        .map(|entry| (entry.hole.unwrap_or_default(), entry.what))
        .collect()
}

#[test]
fn a_cut_that_is_recorded_right_away_raises_no_question() {
    let (one, mut other) = (measured(), measured());
    other.readings = vec![at(reading(Quantity::Depth, 34.0), 15)];
    for minutes in [0, 16, 90, 5_000] {
        assert_eq!(likely(&face(0.5), &[&one, &other], minutes), []);
    }
}

/// Two hours after the depths somebody described damage, and a minute later recorded the cut: the
/// face cannot have been milled between.
#[test]
fn what_was_recorded_a_moment_ago_after_a_pause_may_be_from_the_new_face() {
    let mut hole = measured();
    let crater = damage(vec![station(0.0, 4.0, 12.0, 0.0, 0.0)]);
    hole.damage = FactEntries(vec![at(recorded(crater), 120)]);
    assert_eq!(
        likely(&face(0.5), &[&hole], 121),
        [(1, "damage".to_owned())]
    );
    // A day later nobody knows, and nothing is asked unless the person says that it is late.
    assert_eq!(likely(&face(0.5), &[&hole], 1_600), []);
}

#[test]
fn work_that_follows_the_cut_shows_that_it_was_made() {
    let planned = face(0.5);
    let before = measured();
    let mut installed = HoleRecord {
        installs: vec![install(&thin_wall(), true, None)],
        ..HoleRecord::default()
    };
    installed.final_checks.push(final_check(&thin_wall(), true));
    let after = measured();
    let shown = [
        (2, "installed".to_owned()),
        (2, "final check".to_owned()),
        (3, "depth".to_owned()),
    ];
    assert_eq!(likely(&planned, &[&before, &installed, &after], 0), shown);
    // Who says why it is installed first, installed it first.
    let because = Install {
        reason: Some("the plate holds it".to_owned()),
        ..installed.installs[0].body.clone()
    };
    let first = HoleRecord {
        installs: vec![recorded(because)],
        ..HoleRecord::default()
    };
    assert_eq!(likely(&planned, &[&before, &first, &after], 0), []);
    // All that was planned was off by then: this is another cut.
    let mut cut = planned.clone();
    cut.milled.push(recorded(FaceMilled {
        removed: mm(0.5),
        ..FaceMilled::default()
    }));
    let late = HoleRecord {
        installs: vec![install(&thin_wall(), true, None)],
        ..HoleRecord::default()
    };
    assert_eq!(likely(&cut, &[&before, &late], 0), []);
}

/// What another cut came after is not asked about; what followed a cut that is corrected neither.
#[test]
fn only_what_this_cut_can_have_preceded_is_listed() {
    let mut face = face(0.5);
    let before = measured();
    let cut = recorded(FaceMilled {
        removed: mm(0.2),
        ..FaceMilled::default()
    });
    face.milled.push(cut.clone());
    let after = measured();
    let listed = |corrects| {
        let mut earlier = EarlierEntries::of(&face, corrects);
        earlier.add_hole(1, &before);
        earlier.add_hole(2, &after);
        let all = earlier.finish(cut.at);
        all.iter()
            .map(|entry| entry.hole.unwrap())
            .collect::<Vec<_>>()
    };
    assert_eq!(listed(None), [2]);
    assert_eq!(listed(Some(cut.entry)), [1]);
}
