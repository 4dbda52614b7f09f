#![allow(clippy::unwrap_used)]

use super::*;

#[test]
fn every_kind_parses_from_its_key_and_has_drills() {
    for kind in DrillKind::ALL {
        let drawer: DrillKinds = kind.key().parse().unwrap();
        assert_eq!(drawer, DrillKinds::of(&[kind]));
        assert!(drawer.drills().count() >= 26, "{kind}");
        assert!(!kind.name().is_empty());
    }
    assert_eq!(
        DrillKinds::ALL.drills().count(),
        DrillKind::ALL
            .iter()
            .map(|kind| kind.drills().count())
            .sum::<usize>()
    );
}

#[test]
fn a_drill_is_shown_by_name_with_its_diameter() {
    let shown = |name: &str, unit| Drill::parse(name).unwrap().show(unit);
    assert_eq!(shown("29/64", Unit::Inch), "29/64 (.453)");
    assert_eq!(shown("25/64", Unit::Inch), "25/64 (.3906)");
    assert_eq!(shown("#5", Unit::Inch), "#5 (.2055)");
    assert_eq!(shown("X", Unit::Inch), "X (.397)");
    assert_eq!(shown("1-1/16", Unit::Inch), "1-1/16 (1.0625)");
    assert_eq!(shown("1 in", Unit::Inch), "1 in");
    assert_eq!(shown("10.2 mm", Unit::Inch), "10.2 mm (.4016)");
    assert_eq!(shown("10.2 mm", Unit::Millimeter), "10.2 mm");
    assert_eq!(shown("29/64", Unit::Millimeter), "29/64 (11.51)");
}

/// The diameter beside the name is that of the drill, to half of its last place.
#[test]
fn every_drill_shows_its_own_diameter() {
    for drill in DrillKinds::ALL.drills() {
        for (unit, half) in [(Unit::Inch, 5_080), (Unit::Millimeter, 5_000)] {
            let shown = drill.show(unit);
            if let Some((name, diameter)) = shown.split_once(" (") {
                assert_eq!(name.parse(), Ok(drill));
                let diameter = Length::parse(diameter.trim_end_matches(')'), Some(unit)).unwrap();
                assert!((diameter - drill.diameter).abs().nm() <= half, "{shown}");
            } else {
                assert_eq!(shown.parse(), Ok(drill));
            }
        }
    }
}

#[test]
fn a_drawer_parses_from_its_text() {
    for bits in 1_u8..32 {
        let kinds: Vec<DrillKind> = DrillKind::ALL
            .into_iter()
            .enumerate()
            .filter(|(place, _)| bits & (1 << place) != 0)
            .map(|(_, kind)| kind)
            .collect();
        let drawer = DrillKinds::of(&kinds);
        assert_eq!(drawer.to_string().parse(), Ok(drawer));
        let json = serde_json::to_string(&drawer).unwrap();
        assert_eq!(serde_json::from_str::<DrillKinds>(&json).unwrap(), drawer);
    }
}

#[test]
fn drawers_are_parsed_as_people_write_them() {
    let read = |text: &str| text.parse::<DrillKinds>();
    assert_eq!(
        read("fractional, number"),
        Ok(DrillKinds::of(&[DrillKind::Fractional, DrillKind::Number]))
    );
    assert_eq!(
        read("Fractions"),
        Ok(DrillKinds::of(&[DrillKind::Fractional]))
    );
    assert_eq!(read("INCH"), Ok(DrillKinds::INCH));
    assert_eq!(read("metric"), Ok(DrillKinds::METRIC_FINE));
    assert_eq!(read("inch,metric"), Ok(DrillKinds::ALL));
    assert_eq!(read(" , "), Err(DrillKindsError::Empty));
    let error = read("fractional,wooden").unwrap_err().to_string();
    assert!(
        error.contains("`wooden`") && error.contains("metric-tenth"),
        "{error}"
    );
    assert_eq!(
        read("inch,metric-tenth").unwrap().name(),
        "inch fractions, letters, numbers and metric by tenths"
    );
}

/// BS 328 as public pages quote it: by tenths and half-tenths below 3 mm, by quarters from 14 to 25
/// mm.
#[test]
fn metric_sizes_on_the_market() {
    let has = |drawer: DrillKinds, hundredths: i64| {
        drawer
            .drills()
            .any(|drill| drill == Drill::metric(hundredths))
    };
    for hundredths in [50, 100, 290, 1390, 1400, 1425, 1475, 2500, 3200, 5800] {
        assert!(has(DrillKinds::METRIC, hundredths), "{hundredths}");
    }
    for hundredths in [105, 295, 875, 1075] {
        assert!(!has(DrillKinds::METRIC, hundredths), "{hundredths}");
        assert!(has(DrillKinds::METRIC_FINE, hundredths), "{hundredths}");
    }
    for hundredths in [45, 1410, 2510, 3210, 6450] {
        assert!(!has(DrillKinds::METRIC_FINE, hundredths), "{hundredths}");
    }
}
