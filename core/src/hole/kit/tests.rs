//! Kits of holes that were made up.

#![allow(clippy::unwrap_used)]

use super::*;
use crate::drawer::{ItemCount, ItemSet, TapItem};
use crate::drill::Drill;
use crate::hole::bolt_up::{BoltPass, BoltTightened};
use crate::hole::damage::{Damage, HardZone};
use crate::hole::record::{
    CutStep, FaceRecord, FactEntries, HoleRecord, Quantity, Remedy, RemedySpec,
};
use crate::hole::testing::*;
use crate::id::EntryId;
use crate::insert::{Catalog, TapChamfer};
use crate::length::Unit;
use proptest::prelude::*;
use uuid::Uuid;

fn loose() -> HoleRecord {
    let mut record = loose_hole();
    record.readings.push(reading(Quantity::Grip, 15.0));
    record
}

fn planned(number: u32, record: &HoleRecord) -> PlannedHole {
    PlannedHole {
        at: hole_name(number),
        plan: Plan::of_chosen(record, &face_to_cut(), Catalog::standard()),
        // The face cut of `face_to_cut` is recorded anew at each call, after any bolt.
        bolt_is_in: record.bolt_is_in(&FaceRecord::default()),
    }
}

fn on_hand(items: &[(Item, u32)]) -> OnHand {
    OnHand::of(items.iter().map(|(item, count)| {
        let count = ItemCount {
            item: item.clone(),
            count: *count,
            worn: 0,
            checked: None,
        };
        (EntryId(Uuid::now_v7()), count)
    }))
}

/// Each line as `buy x label`.
fn lines(kit: &Kit) -> Vec<String> {
    let lines = kit.lines.iter();
    lines
        .map(|line| format!("{} x {}", line.buy, line.label(Unit::Inch)))
        .collect()
}

#[test]
fn a_hole_takes_what_its_open_steps_take_and_no_more() {
    let mut hole = loose();
    let kit = Kit::of(&[planned(1, &hole)], &OnHand::default());
    // The drill of the tables for the thin-wall insert in 1/2-13. The iron is not known, so it counts as
    // hard: 3 drills and 2 taps at most (see `tool_wear`). Keys in iron may need a broach.
    for wanted in [
        "2 x 3/8-16 UNC key-locking insert, thin wall, .500 in long",
        "3 x 29/64 (.453) drill",
        "2 x 1/2-13 UNC tap, plug",
        "1 x 82° countersink, .510 in or larger",
        "1 x 3/8-16 x 1-1/4 bolt",
        "1 x install tool for 3/8-16 UNC key-locking insert, thin wall",
        "1 x key-slot broach for an insert in 1/2-13 UNC",
        "1 x cleaner, free of oil",
    ] {
        assert!(
            lines(&kit).iter().any(|line| line == wanted),
            "{wanted}: {:#?}",
            lines(&kit)
        );
    }
    assert!(kit.of_group(Group::Taps).count() > 0 && kit.of_group(Group::Bolts).count() == 1);
    assert!(kit.open.is_empty(), "{:?}", kit.open);
    let spec = thin_wall();
    let mut drilled = cut(&spec, CutStep::Drill);
    drilled.body.depth = Some(mm(30.0));
    hole.cuts = vec![drilled];
    let kit = Kit::of(&[planned(1, &hole)], &OnHand::default());
    assert_eq!(kit.of_group(Group::Drills).count(), 0, "{:#?}", lines(&kit));
}

/// Also a bolt whose length nobody worked out, since nobody measured the grip.
#[test]
fn a_bolt_that_is_in_is_counted_off_until_there_is_later_work() {
    let mut no_grip = loose();
    no_grip
        .readings
        .retain(|reading| reading.body.quantity != Quantity::Grip);
    for mut hole in [loose(), no_grip] {
        let of_bolt = |hole: &HoleRecord| {
            let kit = Kit::of(&[planned(1, hole)], &OnHand::default());
            kit.of_group(Group::Bolts).count() + kit.open.len()
        };
        assert_eq!(of_bolt(&hole), 1);
        hole.tightened = vec![recorded(BoltTightened {
            pass: BoltPass::First,
            torque_nm: None,
            reason: None,
            lubrication: None,
        })];
        assert_eq!(of_bolt(&hole), 0);
        hole.cuts = vec![cut(&thin_wall(), CutStep::Drill)];
        assert_eq!(of_bolt(&hole), 1);
    }
}

#[test]
fn a_hole_without_a_chosen_remedy_is_named_as_open() {
    let undecided = HoleRecord {
        choice: FactEntries::default(),
        ..loose()
    };
    let mut two = loose();
    two.choice
        .0
        .extend(choice(plain_spec(Remedy::ThreadedPlug)).0);
    let sent_out = HoleRecord {
        choice: choice(plain_spec(Remedy::Specialist)),
        ..loose()
    };
    let empty = HoleRecord::default();
    let mut no_grip = loose();
    no_grip
        .readings
        .retain(|reading| reading.body.quantity != Quantity::Grip);
    let holes = [undecided, two, sent_out, empty, no_grip];
    let holes: Vec<PlannedHole> = holes
        .iter()
        .zip(1..)
        .map(|(hole, n)| planned(n, hole))
        .collect();
    let kit = Kit::of(&holes, &OnHand::default());
    let open: Vec<(u32, &str)> = kit
        .open
        .iter()
        .map(|one| (one.at.number, one.why.as_str()))
        .collect();
    let wanted = [
        (1, "no remedy is chosen"),
        (2, "two remedies are chosen"),
        (3, "goes to a specialist"),
        (4, "no remedy is chosen"),
        (5, "measure the grip"),
    ];
    assert_eq!(open.len(), wanted.len(), "{open:?}");
    for ((number, why), (wanted_number, part)) in open.iter().zip(wanted) {
        assert!(*number == wanted_number && why.contains(part), "{open:?}");
    }
    let text = text(&kit, "Kit", Unit::Inch);
    assert!(
        text.contains("pump end, cover joint, hole 4: no remedy is chosen"),
        "{text}"
    );
}

#[test]
fn a_hard_hole_takes_more_drills_and_taps_and_says_why() {
    let hard = Damage {
        hard: vec![HardZone {
            span: span(0.0, 4.0),
            tolerance: None,
        }],
        ..loose().damage.0[0].body.clone()
    };
    let mut hole = loose();
    hole.damage = FactEntries(vec![recorded(hard)]);
    let easy = Kit::of(&[planned(1, &loose())], &OnHand::default());
    let kit = Kit::of(
        &[planned(1, &loose()), planned(8, &hole)],
        &OnHand::default(),
    );
    let spares = |kit: &Kit, group| -> u32 { kit.of_group(group).map(|line| line.spares).sum() };
    assert!(spares(&kit, Group::Drills) > spares(&easy, Group::Drills));
    assert!(spares(&kit, Group::Taps) > spares(&easy, Group::Taps));
    let tap = kit.of_group(Group::Taps).next().unwrap();
    assert!(
        tap.judgment
            .iter()
            .any(|why| why.starts_with("Hole 8 has hard metal")),
        "{tap:?}"
    );
    assert!(
        kit.lines
            .iter()
            .all(|line| (line.spares == 0) == line.judgment.is_empty())
    );
    let grinding = |line: &KitLine| line.item.label(Unit::Inch) == "mounted grinding points";
    assert!(kit.lines.iter().any(grinding));
}

#[test]
fn what_is_on_hand_is_counted_off_and_a_part_is_not_counted_twice() {
    let holes = [planned(1, &loose()), planned(2, &loose())];
    let thread = thread("1/2-13");
    let all = Kit::of(&holes, &OnHand::default());
    let insert = all.of_group(Group::Inserts).next().unwrap();
    assert_eq!(
        (insert.needed, insert.spares, insert.on_hand, insert.buy),
        (2, 1, None, 3)
    );
    let tap = Item::Tap(TapItem {
        thread,
        chamfer: TapChamfer::Plug,
    });
    let drawer = on_hand(&[
        (insert.item.clone(), 2),
        (Item::Drill(Drill::parse("11.5 mm").unwrap()), 9),
        (tap, 1),
    ]);
    let kit = Kit::of(&holes, &drawer);
    let insert = kit.of_group(Group::Inserts).next().unwrap();
    assert_eq!((insert.on_hand, insert.buy), (Some(2), 1));
    let drill = kit.of_group(Group::Drills).next().unwrap();
    assert_eq!((drill.on_hand, drill.buy), (Some(9), 0));
    assert_eq!(
        drill.instead,
        [Item::Drill(Drill::parse("11.5 mm").unwrap())]
    );
    let text = text(&kit, "Kit", Unit::Inch);
    assert!(
        text.contains("on hand, will do: 11.5 mm (.4528) drill"),
        "{text}"
    );
    assert!(kit.to_buy().all(|line| line.buy > 0));
}

#[test]
fn a_stud_and_a_plug_are_made_and_need_threadlocker() {
    let stud = RemedySpec {
        outside_thread: Some("7/16-14 UNC".into()),
        ..plain_spec(Remedy::SteppedStud)
    };
    let plug = RemedySpec {
        outside_thread: None,
        ..plain_spec(Remedy::ThreadedPlug)
    };
    for spec in [stud, plug] {
        let hole = HoleRecord {
            choice: choice(spec),
            ..loose()
        };
        let kit = Kit::of(&[planned(1, &hole)], &OnHand::default());
        let not_offered = kit
            .open
            .iter()
            .any(|one| one.why.contains("no longer offered"));
        assert!(!not_offered, "{:?}", kit.open);
        assert!(
            kit.of_group(Group::ShopMade).count() > 0,
            "{:#?}",
            lines(&kit)
        );
        assert!(
            lines(&kit).contains(&"1 x threadlocker".to_owned()),
            "{:#?}",
            lines(&kit)
        );
    }
}

/// Names that a file or a spreadsheet may trip over.
const NAMES: [&str; 8] = [
    "Pump, \"left\"",
    "=HYPERLINK(\"http://x\")",
    "Gehäuse Übermaß",
    "Крышка насоса",
    "泵盖 端面",
    "غطاء المضخة",
    "🔩 joint\nsecond line",
    "-1+1",
];

#[test]
fn csv_reads_back_whatever_the_names_are() {
    let mut holes = Vec::new();
    for (casting, number) in NAMES.iter().zip(1..) {
        let mut hole = planned(number, &HoleRecord::default());
        hole.at.casting_name = (*casting).to_owned();
        hole.at.casting = CastingId(Uuid::from_u128(u128::from(number)));
        holes.push(hole);
        let mut decided = planned(number, &loose());
        decided.at.casting_name = (*casting).to_owned();
        decided.at.casting = CastingId(Uuid::from_u128(u128::from(number)));
        holes.push(decided);
    }
    let kit = Kit::of(&holes, &OnHand::of(drawer_of_letters()));
    let text = csv(&kit, Unit::Inch).unwrap();
    let mut reader = ::csv::Reader::from_reader(text.as_bytes());
    assert_eq!(reader.headers().unwrap().len(), 8);
    let rows: Vec<Vec<String>> = reader
        .records()
        .map(|row| row.unwrap().iter().map(str::to_owned).collect())
        .collect();
    assert_eq!(rows.len(), kit.lines.len() + kit.open.len());
    for (row, line) in rows.iter().zip(&kit.lines) {
        assert_eq!(row[1], line.label(Unit::Inch));
        assert_eq!(row[5].parse::<u32>().unwrap(), line.buy);
    }
    for (row, name) in rows[kit.lines.len()..].iter().zip(NAMES) {
        assert_eq!(row[0], "open");
        assert!(row[6].contains(name), "{row:?}");
        assert!(!row[6].starts_with(['=', '-']), "{row:?}");
    }
}

fn drawer_of_letters() -> Vec<(EntryId, ItemCount)> {
    let items = ItemSet::Letters.items().into_iter();
    items
        .map(|item| {
            let count = ItemCount {
                item,
                count: 1,
                worn: 0,
                checked: None,
            };
            (EntryId(Uuid::now_v7()), count)
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// What is bought and what is on hand covers what is needed, for any drawer.
    #[test]
    fn the_kit_always_covers_what_is_needed(holes in 1..6_u32, counts in prop::collection::vec(0..5_u32, 12)) {
        let holes: Vec<PlannedHole> = (1..=holes).map(|number| planned(number, &loose())).collect();
        let all = Kit::of(&holes, &OnHand::default());
        let drawer: Vec<(Item, u32)> = all.lines.iter().map(|line| line.item.clone()).zip(counts).collect();
        let kit = Kit::of(&holes, &on_hand(&drawer));
        prop_assert_eq!(kit.lines.len(), all.lines.len());
        for (line, whole) in kit.lines.iter().zip(&all.lines) {
            prop_assert_eq!(whole.buy, whole.needed + whole.spares);
            prop_assert_eq!(line.buy, (line.needed + line.spares).saturating_sub(line.on_hand.unwrap_or(0)));
            prop_assert!(line.buy <= whole.buy);
        }
    }
}
