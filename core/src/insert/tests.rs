#![allow(clippy::unwrap_used)]

use super::*;
use crate::thread::standard_threads;

fn inserts(thread: &str) -> Vec<Insert> {
    inserts_for(&Thread::parse(thread).unwrap())
}

fn one(thread: &str, family: Family) -> Insert {
    inserts(thread)
        .into_iter()
        .find(|i| i.family == family)
        .unwrap()
}

#[test]
fn every_hole_is_consistent() {
    let mut seen = 0;
    for insert in standard_threads().flat_map(|t| inserts_for(&t)) {
        let what = format!("{} {}", insert.internal, insert.family);
        assert!(insert.hole_min < insert.hole_max, "{what}");
        assert!(
            insert.hole_min <= insert.drill.diameter && insert.drill.diameter <= insert.hole_max,
            "{what}: {}",
            insert.drill
        );
        assert!(insert.hole_max < insert.outside.major, "{what}");
        assert!(insert.internal.nominal() < insert.hole_min, "{what}");
        assert!(insert.length < insert.full_thread_min, "{what}");
        assert!(insert.set_below_min < insert.set_below_max, "{what}");
        assert!(
            insert.countersink.unwrap().min >= insert.outside.major,
            "{what}"
        );
        assert!(
            insert.drill_depth_min(TapChamfer::Bottoming)
                < insert.drill_depth_min(TapChamfer::Plug),
            "{what}"
        );
        assert!(
            insert.drill_depth_min(TapChamfer::Plug) < insert.drill_depth_min(TapChamfer::Taper),
            "{what}"
        );
        seen += 1;
    }
    assert!(seen > 200, "{seen}");
}

/// Machinery's Handbook 31 p. 1746 example 3 (ASME B18.29.2M): M8x1.25, insert 12 mm long, drilled
/// 23.5 mm deep.
#[test]
fn handbook_example_m8() {
    let insert = inserts("M8")
        .into_iter()
        .find(|i| i.length.nm() == 12_000_000)
        .unwrap();
    assert_eq!(insert.drill_depth_min(TapChamfer::Plug).mm(), 23.5);
}

/// ASME B18.29.1 excerpt: 1/4-20, insert of 1.5 diameters, 0.430 in least depth of thread; the rule
/// gives 0.425.
#[test]
fn quarter_twenty_depth() {
    let insert = &inserts("1/4-20")[1];
    assert_eq!(insert.length, Length::from_fraction(3, 8));
    assert!((insert.full_thread_min.inches() - 0.430).abs() < 0.0051);
}

#[test]
fn five_sixteenths_names_the_common_practice() {
    let insert = one("5/16-18", Family::KeyLockingThinWall);
    assert_eq!(insert.drill.to_string(), "X");
    let note = insert.notes.iter().find(|n| n.contains("25/64")).unwrap();
    assert!(
        note.contains("no source")
            && note.contains("51 %")
            && note.contains("card that came with the insert"),
        "{note}"
    );
    assert!(insert.notes.iter().any(|n| n.contains("150 Brinell")));
}

/// FED-STD-H28/2B Table II.A.1: a drill of .36 to .41 in cuts .0046 over in the mean, so X (.397) makes .4016, and MS51835B allows .401.
#[test]
fn a_drill_that_cuts_over_the_limit_is_said() {
    let over = |insert: &Insert| {
        insert
            .notes
            .iter()
            .any(|n| n.contains("cuts over its size"))
    };
    let thin = one("5/16-18", Family::KeyLockingThinWall);
    assert!(over(&thin));
    assert!(
        thin.notes
            .iter()
            .any(|n| n.contains("0.4016 in") && n.contains("0.401 in"))
    );
    // The same drill for 3/8-16 STI stays below .4026.
    assert!(!over(&one("3/8-16", Family::WireThread)));
}

#[test]
fn threads_without_inserts_say_so_by_an_empty_list() {
    assert!(inserts("11/16-11").is_empty());
    assert_eq!(inserts("3/4-10").len(), 6); // no thin wall above 1/2 in
    assert_eq!(inserts("3/8-16").len(), 7);
    assert_eq!(inserts("M10").len(), 5);
}

#[test]
fn json_has_the_promised_keys() {
    let value = serde_json::to_value(report(&Thread::parse("3/8-16").unwrap())).unwrap();
    let heavy = value.as_array().unwrap().last().unwrap();
    assert_eq!(heavy["family"], "key-locking insert, heavy duty");
    assert_eq!(heavy["outside_thread"], "9/16-12 UNC");
    assert_eq!(heavy["drill"]["name"], "33/64");
    assert_eq!(heavy["keys"], 4);
    assert!((heavy["countersink_mm"]["min"].as_f64().unwrap() - 0.572 * 25.4).abs() < 1e-6);
    for key in ["tap", "set_below_mm", "length_mm", "source"] {
        assert!(heavy.get(key).is_some(), "{key}");
    }
}

#[test]
fn families_read_back() {
    for family in Family::ALL {
        assert_eq!(family.to_string().parse::<Family>().unwrap(), family);
        let json = serde_json::to_string(&family).unwrap();
        assert_eq!(serde_json::from_str::<Family>(&json).unwrap(), family);
    }
    assert!("rivet".parse::<Family>().is_err());
}
