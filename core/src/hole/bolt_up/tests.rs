//! The law of a joint, by random histories.
#![allow(clippy::unwrap_used)]

use super::super::condition::{Condition, FirstLook};
use super::super::record::*;
use super::super::stage::hole_status;
use super::super::testing::*;
use super::super::tries::{ToolTrouble, Trouble};
use super::*;
use crate::insert::Catalog;
use proptest::prelude::*;

struct Joint {
    holes: Vec<HoleRecord>,
    face: FaceRecord,
}

impl Joint {
    /// A joint of sound holes, none checked yet.
    fn new(holes: usize) -> Joint {
        let hole = || HoleRecord {
            wanted: FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
            damage: FactEntries(vec![recorded(damage(Vec::new()))]),
            ..HoleRecord::default()
        };
        Joint {
            holes: (0..holes).map(|_| hole()).collect(),
            face: FaceRecord {
                planned_cut: FactEntries(vec![recorded(FaceCut::typed(mm(0.0)))]),
                ..FaceRecord::default()
            },
        }
    }

    fn judge(&self) -> BoltUp {
        let catalog = Catalog::standard();
        let statuses: Vec<HoleStatus> = self
            .holes
            .iter()
            .map(|hole| hole_status(hole, &self.face, catalog))
            .collect();
        let holes = self.holes.iter().zip(&statuses).zip(1..);
        let holes: Vec<JointHole<'_>> = holes
            .map(|((record, status), number)| JointHole {
                id: HoleId(uuid::Uuid::from_u128(u128::from(number))),
                number,
                record,
                status,
                conflict: status.has_conflict(),
            })
            .collect();
        BoltUp::of(&holes, &self.face)
    }

    fn apply(&mut self, at: usize, event: Event) {
        let at = at % self.holes.len();
        let hole = &mut self.holes[at];
        match event {
            Event::Check(passes) => {
                let check = final_check(&plain_spec(Remedy::Leave), passes);
                hole.final_checks.push(check);
            }
            Event::Tighten(pass) => hole.tightened.push(tightened(pass)),
            Event::TightenAll => {
                for hole in &mut self.holes {
                    let all = BoltPass::needed().map(tightened);
                    hole.tightened.extend(all);
                }
            }
            Event::Break => hole.tool_troubles.push(recorded(ToolTrouble {
                tool: "tap".into(),
                trouble: Trouble::BrokeInHole,
            })),
            Event::Describe => hole.damage.0 = vec![recorded(damage(Vec::new()))],
            Event::Look => {
                let condition = Condition::Loose;
                hole.condition.0 = vec![recorded(FirstLook { condition })];
            }
            Event::Mill => self.face.milled.push(recorded(FaceMilled {
                removed: mm(0.1),
                ..FaceMilled::default()
            })),
        }
    }
}

fn tightened(pass: BoltPass) -> Recorded<BoltTightened> {
    recorded(BoltTightened {
        pass,
        torque_nm: None,
        reason: None,
        lubrication: None,
    })
}

#[derive(Debug, Clone, Copy)]
enum Event {
    Check(bool),
    Tighten(BoltPass),
    TightenAll,
    Break,
    Describe,
    Look,
    Mill,
}

fn events() -> impl Strategy<Value = Vec<(usize, Event)>> {
    let event = prop_oneof![
        4 => any::<bool>().prop_map(Event::Check),
        4 => Just(Event::Check(true)),
        4 => prop::sample::select(BoltPass::ALL.to_vec()).prop_map(Event::Tighten),
        4 => Just(Event::TightenAll),
        1 => Just(Event::Break),
        1 => Just(Event::Describe),
        1 => Just(Event::Look),
        1 => Just(Event::Mill),
    ];
    prop::collection::vec((0_usize..3, event), 0..30)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// No joint is bolted up while a hole is open, nor after a later fact; worked out here from the
    /// history itself, not from the record.
    #[test]
    fn no_joint_is_bolted_up_while_a_hole_is_open_or_was_worked_on_since(history in events()) {
        let mut joint = Joint::new(3);
        let mut since_work = [[false; 4]; 3];
        for (at, event) in history {
            joint.apply(at, event);
            match event {
                Event::Tighten(pass) => {
                    if let Some(pass) = BoltPass::needed().position(|needed| needed == pass) {
                        since_work[at][pass] = true;
                    }
                }
                Event::TightenAll => since_work = [[true; 4]; 3],
                Event::Look => {}
                _ => since_work = [[false; 4]; 3],
            }
            let judged = joint.judge();
            let all_tight = since_work.iter().flatten().all(|done| *done);
            let open = joint.holes.iter().any(|hole| {
                hole_status(hole, &joint.face, Catalog::standard()).stage != Stage::Passed
            });
            prop_assert_eq!(judged.bolted_up, all_tight && !open, "after {:?}", event);
            prop_assert_eq!(judged.open_holes().is_empty(), !open);
            prop_assert!(judged.bolted_up || !judged.checked_warm);
        }
    }
}

#[test]
fn a_joint_goes_through_its_passes() {
    let mut joint = Joint::new(2);
    joint.apply(0, Event::Check(true));
    let judged = joint.judge();
    assert_eq!((judged.open_holes(), judged.next), (vec![2], None));
    joint.apply(1, Event::Check(true));
    for pass in BoltPass::ALL {
        assert_eq!(joint.judge().next, Some(pass));
        joint.apply(0, Event::Tighten(pass));
        assert_eq!(joint.judge().next, Some(pass));
        assert_eq!(joint.judge().bolted_up, pass == BoltPass::WarmUp);
        joint.apply(1, Event::Tighten(pass));
    }
    let judged = joint.judge();
    assert!(judged.bolted_up && judged.checked_warm && judged.next.is_none());
    joint.apply(0, Event::Mill);
    let judged = joint.judge();
    assert!(!judged.bolted_up && judged.bolts.iter().all(|bolt| bolt.again));
}

#[test]
fn a_joint_without_holes_is_not_bolted_up() {
    let face = FaceRecord::default();
    assert!(!BoltUp::of(&[], &face).bolted_up);
}

/// Two devices that do not know of each other: nobody can say that the bolt was tightened after.
#[test]
fn a_check_that_the_tightening_did_not_know_takes_it_back() {
    let mut joint = Joint::new(1);
    joint.apply(0, Event::Check(true));
    joint.apply(0, Event::TightenAll);
    assert!(joint.judge().bolted_up);
    let mut elsewhere = final_check(&plain_spec(Remedy::Leave), true);
    elsewhere.device = crate::id::DeviceId(uuid::Uuid::from_u128(7));
    elsewhere.seq = 1;
    let here = joint.holes[0].final_checks[0].position();
    elsewhere.seen = vec![here];
    joint.holes[0].final_checks.push(elsewhere.clone());
    assert!(!joint.judge().bolted_up);
    for tightened in &mut joint.holes[0].tightened {
        tightened.seen = vec![elsewhere.position()];
    }
    assert!(joint.judge().bolted_up);
}

#[test]
fn the_range_of_a_pass_is_a_tenth_around_its_share() {
    let (least, most) = pass_range(50.0, BoltPass::Second);
    assert!((least - 27.0).abs() < 1e-9 && (most - 33.0).abs() < 1e-9);
}

/// Entries from before lubrication was recorded.
#[test]
fn an_entry_without_lubrication_reads_and_stays_as_it_was() {
    let old = serde_json::json!({"pass": "full", "torque_nm": 27.5});
    let read: BoltTightened = serde_json::from_value(old.clone()).unwrap();
    assert_eq!((read.torque_nm, read.lubrication), (Some(27.5), None));
    assert_eq!(serde_json::to_value(&read).unwrap(), old);
    let new = serde_json::json!({"pass": "full", "torque_nm": 27.5, "lubrication": "dry"});
    let read: BoltTightened = serde_json::from_value(new.clone()).unwrap();
    assert_eq!(read.lubrication, Some(Lubrication::Dry));
    assert_eq!(serde_json::to_value(&read).unwrap(), new);
}

/// A joint of one hole for each torque in the full pass, with what is recorded of its lubrication.
fn tightened_to(bolts: &[(f64, Option<Lubrication>)]) -> BoltUp {
    let mut joint = Joint::new(bolts.len());
    for at in 0..bolts.len() {
        joint.apply(at, Event::Check(true));
    }
    for (hole, (torque_nm, lubrication)) in joint.holes.iter_mut().zip(bolts) {
        let mut entry = tightened(BoltPass::Full);
        entry.body.torque_nm = Some(*torque_nm);
        entry.body.lubrication = *lubrication;
        hole.tightened.push(entry);
    }
    joint.judge()
}

/// By T = K D F with K .15 oiled and .20 dry, a bolt that takes 30 N·m oiled takes 40 N·m dry.
fn full_nm(lubrication: Lubrication) -> Option<f64> {
    match lubrication {
        Lubrication::Oiled => Some(30.0),
        Lubrication::Dry => Some(40.0),
        Lubrication::Zinc => None,
    }
}

#[test]
fn a_torque_is_judged_by_the_lubrication_recorded_with_it() {
    use Lubrication::{Dry, Oiled, Zinc};
    let recorded = [
        (40.0, Some(Dry)),
        (40.0, Some(Oiled)),
        (30.0, Some(Oiled)),
        (30.0, Some(Dry)),
        // Nothing to judge by.
        (500.0, None),
        (500.0, Some(Zinc)),
    ];
    let up = tightened_to(&recorded);
    let outside = up.torques_out_of_range(full_nm);
    let found: Vec<_> = outside
        .iter()
        .map(|it| {
            let holes: Vec<u32> = it.outside.iter().map(|bolt| bolt.hole).collect();
            (it.pass, it.lubrication, it.least_nm_torque.round(), holes)
        })
        .collect();
    let full = BoltPass::Full;
    assert_eq!(
        found,
        [(full, Dry, 36.0, vec![4]), (full, Oiled, 27.0, vec![2])]
    );
}

#[test]
fn bolts_that_were_not_lubricated_alike_are_listed_by_lubrication() {
    use Lubrication::{Dry, Oiled};
    let of = |recorded: &[Option<Lubrication>]| {
        let bolts: Vec<_> = recorded.iter().map(|it| (30.0, *it)).collect();
        let up = tightened_to(&bolts);
        let listed = up.by_lubrication().into_iter();
        let listed: Vec<_> = listed.map(|it| (it.lubrication, it.holes)).collect();
        (up.lubrication(), listed)
    };
    assert_eq!(of(&[None, None]), (None, vec![]));
    assert_eq!(
        of(&[Some(Dry), None, Some(Dry)]),
        (Some(Dry), vec![(Dry, vec![1, 3])])
    );
    assert_eq!(
        of(&[Some(Oiled), Some(Dry), Some(Oiled)]),
        (None, vec![(Dry, vec![2]), (Oiled, vec![1, 3])])
    );
}

/// Work that takes a joint back takes its lubrication along: the bolts come out.
#[test]
fn tightening_that_no_longer_counts_says_nothing_of_the_lubrication() {
    let mut joint = Joint::new(1);
    joint.apply(0, Event::Check(true));
    let mut entry = tightened(BoltPass::First);
    entry.body.lubrication = Some(Lubrication::Dry);
    joint.holes[0].tightened.push(entry);
    assert_eq!(joint.judge().lubrication(), Some(Lubrication::Dry));
    joint.apply(0, Event::Mill);
    assert_eq!(joint.judge().lubrication(), None);
}
