#![allow(clippy::unwrap_used)]

use super::*;
use crate::thread::{Form, standard_threads};
use std::sync::Arc;

fn inserts(thread: &str) -> Vec<Arc<Insert>> {
    Catalog::standard().inserts_for(&Thread::parse(thread).unwrap())
}

fn one(thread: &str, family: Family) -> Arc<Insert> {
    let mut inserts = inserts(thread).into_iter();
    inserts.find(|i| i.family == family).unwrap()
}

#[test]
fn every_hole_is_consistent() {
    let mut seen = 0;
    for insert in standard_threads().flat_map(|t| Catalog::standard().inserts_for(&t)) {
        let what = format!("{} {}", insert.internal, insert.family);
        assert!(insert.hole_min < insert.hole_max, "{what}");
        assert!(
            insert.hole_min <= insert.drill.diameter && insert.drill.diameter <= insert.hole_max,
            "{what}: {}",
            insert.drill
        );
        assert!(insert.hole_max < insert.outside.major, "{what}");
        assert!(insert.internal.nominal() <= insert.hole_min, "{what}");
        assert!(insert.length < insert.full_thread_needed(), "{what}");
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

/// ASME B18.29.1 excerpt: 1/4-20, insert of 1.5 diameters, least depth of thread .430 in; the rule
/// gives .425.
#[test]
fn quarter_twenty_depth() {
    let insert = &inserts("1/4-20")[1];
    assert_eq!(insert.length, Length::from_fraction(3, 8));
    assert!((insert.full_thread_min.inches() - 0.430).abs() < 0.0051);
}

#[test]
fn five_sixteenths_mentions_the_common_practice() {
    let insert = one("5/16-18", Family::KeyLockingThinWall);
    assert_eq!(insert.drill.to_string(), "X");
    let note = insert.notes.iter().find(|n| n.contains("25/64")).unwrap();
    assert!(
        note.contains("no source")
            && note.contains("51%")
            && note.contains("maker's sheet overrides"),
        "{note}"
    );
    assert!(insert.notes.iter().any(|n| n.contains("150 Brinell")));
}

/// FED-STD-H28/2B Table II.A.1: a drill of .36 to .41 in cuts .0046 over on average, so X (.397)
/// makes .4016, and MS51835B allows .401.
#[test]
fn a_drill_that_cuts_over_the_limit_has_a_note() {
    let over = |insert: &Insert| insert.notes.iter().any(|n| n.contains("cuts oversize"));
    let thin = one("5/16-18", Family::KeyLockingThinWall);
    assert!(over(&thin));
    assert!(
        thin.notes
            .iter()
            .any(|n| n.contains("(.4016 in)") && n.contains("(.4010 in)"))
    );
    // For 3/8-16 STI the same drill exceeds .3987 (ASME B18.29.1); for 1/4-20 STI drill H makes
    // .2701, and .2704 is allowed.
    assert!(over(&one("3/8-16", Family::WireThread)));
    assert!(!over(&one("1/4-20", Family::WireThread)));
}

#[test]
fn each_size_has_the_families_of_its_sheets() {
    assert_eq!(inserts("3/4-10").len(), 9); // no thin wall above 1/2 in
    assert_eq!(inserts("3/8-16").len(), 10);
    assert_eq!(inserts("M10").len(), 7);
}

#[test]
fn json_has_the_promised_keys() {
    let value = serde_json::to_value(report(
        Catalog::standard(),
        &Thread::parse("3/8-16").unwrap(),
    ))
    .unwrap();
    let rows = value.as_array().unwrap();
    let heavy = rows
        .iter()
        .find(|row| row["family"] == "key-locking insert, heavy duty")
        .unwrap();
    assert_eq!(heavy["family"], "key-locking insert, heavy duty");
    assert_eq!(heavy["outside_thread"], "9/16-12 UNC");
    assert_eq!(heavy["drill"]["name"], "33/64");
    assert_eq!(heavy["keys"], 4);
    assert!((heavy["countersink_mm"]["min"].as_f64().unwrap() - 0.572 * 25.4).abs() < 1e-6);
    for key in ["tap", "set_below_mm", "length_mm", "source", "confidence"] {
        assert!(heavy.get(key).is_some(), "{key}");
    }
}

#[test]
fn families_parse_from_their_names() {
    for family in Family::ALL {
        assert_eq!(family.to_string().parse::<Family>().unwrap(), family);
        let json = serde_json::to_string(&family).unwrap();
        assert_eq!(serde_json::from_str::<Family>(&json).unwrap(), family);
    }
    assert!("rivet".parse::<Family>().is_err());
}

/// MS51830E and MS51835B print a least full thread of .160 in for an insert of .170 in: the plan
/// goes .170 + .030 deep.
#[test]
fn a_thread_shorter_than_its_insert_is_cut_deeper_with_a_note() {
    let insert = one("4-40", Family::KeyLockingMiniature);
    assert_eq!(insert.full_thread_min, Length::from_fraction(160, 1000));
    assert_eq!(
        insert.full_thread_needed(),
        Length::from_fraction(200, 1000)
    );
    let note = insert
        .notes
        .iter()
        .find(|note| note.contains("source's least full thread, 4.06 mm (.160 in)"));
    assert!(
        note.unwrap().contains("cut at least 5.08 mm (.200 in)"),
        "{note:?}"
    );
    let whole = one("2-56", Family::KeyLockingMiniature);
    assert_eq!(whole.full_thread_needed(), Length::from_fraction(150, 1000));
}

#[test]
fn inferred_figures_are_marked() {
    let insert = one("3/8-16", Family::KeyLockingExtraHeavyDuty);
    assert_eq!(insert.confidence, Confidence::Inferred);
    assert!(insert.source.contains("INFERRED"));
    assert!(insert.notes.iter().any(|note| note.contains("inferred")));
}

fn card(hole: &str) -> ShopFile {
    let text = format!(
        "unit = \"in\"\n[[insert]]\nfamily = \"key-locking insert, thin wall\"\ninternal = [\"3/8-16\"]\noutside = \"1/2-13\"\n\
         length = 0.5\nhole = {hole}\nset_below = [0.01, 0.03]\nkeys = 4\nsource = \"card in the box\"\n"
    );
    let name = "drawer.toml".to_owned();
    ShopFile { name, text }
}

#[test]
fn a_shop_row_replaces_the_built_in_one_with_a_note() {
    let thread = Thread::parse("3/8-16").unwrap();
    let catalog = Catalog::with_shop_files(&[card("[0.45, 0.4625]")]);
    let inserts = catalog.inserts_for(&thread);
    assert_eq!(
        inserts.len(),
        Catalog::standard().inserts_for(&thread).len()
    );
    let thin: Vec<_> = inserts
        .iter()
        .filter(|i| i.family == Family::KeyLockingThinWall)
        .collect();
    assert_eq!(thin.len(), 1);
    assert_eq!(thin[0].hole_max, Length::from_fraction(37, 80));
    assert_eq!(thin[0].shop_file.as_deref(), Some("drawer.toml"));
    assert!(
        thin[0]
            .notes
            .iter()
            .any(|note| note.contains("replacing those of MS51830E"))
    );
}

#[test]
fn rows_of_two_shop_files_do_not_replace_each_other() {
    let thread = Thread::parse("3/8-16").unwrap();
    let catalog = Catalog::with_shop_files(&[card("[0.45, 0.4625]"), card("[0.451, 0.456]")]);
    let thin = catalog.inserts_for(&thread).into_iter();
    let thin = thin.filter(|i| i.family == Family::KeyLockingThinWall);
    assert_eq!(thin.count(), 2);
}

/// 5/16 times 1.5 is 15/32, .469 in.
#[test]
fn a_coil_is_shown_by_its_trade_length() {
    let shown = |size: &str, family, unit| -> Vec<String> {
        inserts_of(&Thread::parse(size).unwrap(), family)
            .iter()
            .map(|insert| insert.show_length(unit))
            .collect()
    };
    assert_eq!(
        shown("5/16-18", Family::WireThread, Unit::Inch),
        [
            "1 D (.313 set)",
            "1-1/2 D (.469 set)",
            "2 D (.625 set)",
            "2-1/2 D (.781 set)",
            "3 D (.938 set)"
        ]
    );
    assert_eq!(
        shown("M10", Family::WireThread, Unit::Millimeter)[1],
        "1-1/2 D (15 set)"
    );
    assert!(shown("3/8-16", Family::Bushing, Unit::Inch)[0].ends_with(" in"));
}

#[test]
fn an_invalid_file_is_listed_and_changes_nothing() {
    let thread = Thread::parse("3/8-16").unwrap();
    let catalog = Catalog::with_shop_files(&[card("[0.45]")]);
    assert_eq!(catalog.unread_files().len(), 1);
    assert_eq!(
        catalog.inserts_for(&thread),
        Catalog::standard().inserts_for(&thread)
    );
}

#[test]
fn a_bushing_has_its_least_wall_and_a_common_tap() {
    let mut seen = 0;
    for thread in standard_threads() {
        let bushings = inserts_of(&thread, Family::Bushing);
        for bushing in &bushings {
            let outside = bushing.outside.thread.unwrap();
            assert!(bushing::wall_thickness(&thread, &outside) >= bushing::least_wall(&thread));
            assert!(outside.series().is_common() && outside.nominal().inches() <= 1.5);
            let most =
                (thread.nominal() * 8 / 5).max(thread.nominal() + Length::from_nm(6_000_000));
            assert!(outside.nominal() <= most, "{thread:?}");
            seen += 1;
        }
    }
    assert!(seen > 100, "{seen}");
}

fn inserts_of(thread: &Thread, family: Family) -> Vec<Arc<Insert>> {
    let all = Catalog::standard().inserts_for(thread).into_iter();
    all.filter(|i| i.family == family).collect()
}

/// BS 84: depth 0.640327 P, so .0534 in for 1/2-12. The hole is derived here: it starts at the
/// bolt's own diameter, and its pitch and major diameters are one and two depths larger.
#[test]
fn a_whitworth_wire_insert_is_derived_and_marked() {
    let insert = one("1/2-12 BSW", Family::WireThread);
    let outside = &insert.outside;
    assert_eq!(insert.hole_min, Length::from_fraction(1, 2));
    assert!((outside.pitch_diameter.inches() - (0.5 + 0.640_327 / 12.0)).abs() < 1e-6);
    assert!((outside.major.inches() - (0.5 + 1.280_654 / 12.0)).abs() < 1e-6);
    assert_eq!(outside.designation, "1/2-12 BSW STI");
    assert!((outside.thread_percent(insert.hole_min) - 100.0).abs() < 1e-3);
    assert!((outside.thread_percent(insert.hole_max) - 75.0).abs() < 1e-3);
    assert_eq!(insert.confidence, Confidence::Inferred);
    assert!(insert.source.contains("not confirmed by a standard"));
    // At its middle the wire is a pitch less the crest flat wide; the same rule for both forms.
    let moved = |form: Form, flat: f64| (1.0 - flat - 0.5) / form.tan_half_angle();
    assert!((moved(Form::Sixty, 1.0 / 8.0) - 0.75 * Form::Sixty.sharp_height_mm(1.0)).abs() < 1e-9);
    let whitworth = moved(Form::Whitworth, 1.0 / 6.0);
    assert!((whitworth - Form::Whitworth.depth_mm(1.0)).abs() < 1e-9);
}

/// Every series has wire thread inserts. The tapped hole clears the bolt and leaves thread to cut.
#[test]
fn every_series_but_pipe_threads_has_wire_inserts() {
    for size in [
        "3/8-16 UNC",
        "3/8-24 UNF",
        "3/8-32 UNEF",
        "3/8-20 UN",
        "5/8-14 UNS",
        "M10",
        "M10x1.25",
        "1/2-12 BSW",
        "3/8-20 BSF",
        "5/8-13 UNS",
    ] {
        let wire = inserts_of(&Thread::parse(size).unwrap(), Family::WireThread);
        assert_eq!(wire.len(), 5, "{size}");
        for insert in wire {
            assert!(insert.hole_min >= insert.internal.nominal(), "{size}");
            assert!(insert.outside.pitch_diameter > insert.hole_max, "{size}");
        }
    }
    assert!(inserts("G 1/2").is_empty() && inserts("1/2 NPT").is_empty());
    // Coils are wound right-hand; a bushing can be cut either way.
    let left = inserts("3/8-16 LH");
    assert!(!left.is_empty() && left.iter().all(|i| i.family == Family::Bushing));
}
