//! What the steps tell people to do. All of it is common practice, no source, unless one is named.

use super::*;
use crate::insert::bushing::wall_thickness;
use crate::strength::{Aluminum, Metal};

fn text(step: &Step, name: &str) -> String {
    match number(step, name) {
        Value::Text(text) => text,
        other => panic!("{name}: {other:?}"),
    }
}

fn listed(situation: &Situation, assessment: &Assessment) -> Vec<Step> {
    steps_of(situation, assessment, &HoleRecord::default())
}

#[test]
fn coils_are_gauged_and_other_parts_are_tried() {
    let situation = hole();
    let fit = |remedy| step(&listed(&situation, &of(&situation, remedy)), "trial-fit");
    let coil = fit(Remedy::WireInsert);
    assert_eq!(coil.title, "Gauge the 3/8-16 STI hole");
    assert!(
        coil.numbers
            .iter()
            .all(|n| n.name.starts_with("Full thread depth"))
    );
    assert!(coil.why.contains("STI plug gauge") && coil.why.contains("sacrificial coil"));
    assert_eq!(
        fit(Remedy::KeyLockingInsert).title,
        "Trial-fit the insert, then remove it"
    );
    assert_eq!(
        fit(Remedy::Bushing).title,
        "Trial-fit the bushing, then remove it"
    );
}

#[test]
fn locking_inserts_are_exempt_from_the_bolt_by_hand() {
    let situation = hole();
    let check = |remedy| {
        let listed = listed(&situation, &of(&situation, remedy));
        step(&listed, "runs-in-by-hand")
    };
    for remedy in [Remedy::WireInsert, Remedy::KeyLockingInsert] {
        let check = check(remedy);
        assert!(check.title.contains("locking insert with a wrench"));
        assert!(check.why.contains("never passes a bolt by hand"));
    }
    assert!(!check(Remedy::Bushing).title.contains("locking"));
}

#[test]
fn a_bushing_is_made_to_its_numbers_before_it_is_tried() {
    let situation = hole();
    let bushing = of(&situation, Remedy::Bushing);
    let listed = listed(&situation, &bushing);
    let place = |word| listed.iter().position(|step| step.key.word() == word);
    assert!(place("tap") < place("make-bushing"));
    assert!(place("make-bushing") < place("trial-fit"));
    let make = step(&listed, "make-bushing");
    let insert = bushing.insert.as_ref().unwrap();
    let outside = insert.outside.thread.unwrap();
    assert_eq!(
        text(&make, "Outside thread"),
        format!("{}, class 2A", outside.designation())
    );
    let limits = outside.usual_external();
    assert_eq!(
        number(&make, "Outside diameter"),
        Value::Range {
            least: limits.major_min,
            most: limits.major_max
        }
    );
    assert_eq!(text(&make, "Inside thread"), "3/8-16 UNC");
    assert_eq!(number(&make, "Length"), Value::Length(insert.length));
    assert_eq!(
        number(&make, "Wall between the threads"),
        Value::Computed {
            length: wall_thickness(&situation.thread, &outside),
            rounding: Rounding::Down
        }
    );
    assert!(text(&make, "Material").contains("steel"));
    assert!(text(&make, "Locked by").contains("retaining compound"));
    // One that was tried has been made.
    let record = HoleRecord {
        trial_fits: vec![trial_fit(&bushing.spec(), false)],
        ..HoleRecord::default()
    };
    let listed = steps_of(&situation, &bushing, &record);
    assert!(step(&listed, "make-bushing").done.is_some());
}

#[test]
fn hard_metal_is_ground_wider_than_the_tap_and_costs_thread() {
    let mut situation = hole();
    situation.damage.hard = vec![span(0.0, 4.0).into()];
    let thin = thin(&situation);
    let relieve = step(&listed(&situation, &thin), "relieve-hard");
    let Value::Computed { length: across, .. } =
        number(&relieve, "Grind to a diameter of at least")
    else {
        panic!()
    };
    // 1/2-13 outside, and 1/64 in.
    assert_eq!(across, Length::from_fraction(33, 64));
    let Value::Computed { length: lost, .. } = number(&relieve, "Thread given up") else {
        panic!()
    };
    let engaged = thin.engaged.unwrap();
    assert_eq!(lost, mm(4.0) - engaged.from);
    assert!(relieve.notes[0].contains("%."), "{}", relieve.notes[0]);
    situation.damage.hard = vec![span(0.0, 1.0).into()];
    let relieve = step(&listed(&situation, &thin), "relieve-hard");
    assert!(relieve.notes[0].contains("no thread"));
}

/// MS51835B: in material harder than 150 Brinell the slots may have to be broached.
#[test]
fn key_slots_are_broached_in_iron_and_not_in_aluminum() {
    let mut situation = hole();
    let iron = step(&listed(&situation, &thin(&situation)), "broach-slots");
    assert!(iron.title.contains("harder than 150 Brinell"));
    assert_eq!(number(&iron, "Slots"), Value::Count(4));
    let mut record = HoleRecord {
        cuts: vec![cut(&thin_wall(), CutStep::BroachSlots)],
        ..HoleRecord::default()
    };
    record.cuts[0].body.reason = Some("not needed".into());
    let done = |record: &HoleRecord, situation: &Situation| {
        let listed = steps_of(situation, &thin(situation), record);
        step(&listed, "broach-slots").done.unwrap()
    };
    assert_eq!(
        done(&record, &situation).reason.as_deref(),
        Some("not needed")
    );
    // Keys that are down have their slots.
    record.cuts.clear();
    record.stake_keys = vec![stake_keys(&thin_wall())];
    assert_eq!(done(&record, &situation).reason, None);
    situation.metal = Metal::Aluminum(Aluminum::Alloy356T6);
    let names = names(&situation, &thin(&situation));
    assert!(names.contains(&"stake-keys") && !names.contains(&"broach-slots"));
}

#[test]
fn the_drill_depth_says_what_the_chamfer_takes() {
    let situation = hole();
    let drill = step(&listed(&situation, &thin(&situation)), "drill");
    let mut notes = drill.notes.iter();
    // Four threads of 1/13 in are 7.82 mm; five with the clearance are 9.77 mm.
    let note = notes.find(|note| note.contains("chamfer")).unwrap();
    assert!(note.contains("9.77") && note.contains("7.82"), "{note}");
    assert!(note.contains("a longer one with a bottoming tap"), "{note}");
}

#[test]
fn ways_to_take_a_piece_out_are_listed_with_the_least_harm_first() {
    let mut situation = hole();
    situation.damage.broken_tool = Some(BrokenTool {
        what: "bolt".into(),
        length: Some(mm(8.0)),
        top: Some(mm(2.0)),
    });
    let clear = step(&listed(&situation, &thin(&situation)), "clear-broken");
    assert!(clear.notes[0].starts_with("1. Worked out with a punch"));
    assert!(clear.notes.iter().any(|note| note.contains("acid")));
    assert!(clear.sources[0].contains("common practice"));
}

#[test]
fn each_caution_is_listed_once_at_the_first_open_step() {
    let mut situation = hole();
    situation.damage.hard = vec![span(0.0, 2.0).into()];
    let assessment = thin(&situation);
    let mut record = HoleRecord::default();
    let first_with = |record: &HoleRecord, caution: Caution| {
        let listed = steps_of(&situation, &assessment, record);
        let all: Vec<Caution> = listed
            .iter()
            .flat_map(|step| step.cautions.clone())
            .collect();
        for caution in &all {
            let times = all.iter().filter(|other| *other == caution).count();
            assert_eq!(times, 1, "{caution}");
        }
        let mut with = listed
            .iter()
            .filter(|step| step.cautions.contains(&caution));
        with.next().unwrap().key.word()
    };
    assert_eq!(first_with(&record, Caution::Eyes), "relieve-hard");
    record.cuts = vec![cut(&thin_wall(), CutStep::RelieveHard)];
    assert_eq!(first_with(&record, Caution::Eyes), "center");
    assert_eq!(first_with(&record, Caution::HardMetal), "relieve-hard");
}
