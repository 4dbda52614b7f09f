#![allow(clippy::unwrap_used)]

use super::*;

#[test]
fn every_kind_is_read_by_its_word_and_has_drills_of_its_own() {
    for kind in Kind::ALL {
        let drawer: Drawer = kind.word().parse().unwrap();
        assert_eq!(drawer, Drawer::of(&[kind]));
        assert!(drawer.drills().count() >= 26, "{kind}");
        assert!(!kind.name().is_empty());
    }
    assert_eq!(
        Drawer::ALL.drills().count(),
        Kind::ALL
            .iter()
            .map(|kind| kind.drills().count())
            .sum::<usize>()
    );
}

#[test]
fn a_drawer_reads_back() {
    for bits in 1_u8..32 {
        let kinds: Vec<Kind> = Kind::ALL
            .into_iter()
            .enumerate()
            .filter(|(place, _)| bits & (1 << place) != 0)
            .map(|(_, kind)| kind)
            .collect();
        let drawer = Drawer::of(&kinds);
        assert_eq!(drawer.to_string().parse(), Ok(drawer));
        let json = serde_json::to_string(&drawer).unwrap();
        assert_eq!(serde_json::from_str::<Drawer>(&json).unwrap(), drawer);
    }
}

#[test]
fn what_a_shop_writes_is_read() {
    let read = |text: &str| text.parse::<Drawer>();
    assert_eq!(
        read("fractional, number"),
        Ok(Drawer::of(&[Kind::Fractional, Kind::Number]))
    );
    assert_eq!(read("Fractions"), Ok(Drawer::of(&[Kind::Fractional])));
    assert_eq!(read("INCH"), Ok(Drawer::INCH));
    assert_eq!(read("metric"), Ok(Drawer::METRIC_FINE));
    assert_eq!(read("inch,metric"), Ok(Drawer::ALL));
    assert_eq!(read(" , "), Err(DrawerError::Empty));
    let said = read("fractional,wooden").unwrap_err().to_string();
    assert!(
        said.contains("`wooden`") && said.contains("metric-tenth"),
        "{said}"
    );
    assert_eq!(
        read("inch,metric-tenth").unwrap().name(),
        "inch fractions, letters, numbers and metric by tenths"
    );
}

/// BS 328 as public pages quote it: by tenths and half-tenths below 3 mm, by quarters from 14 to 25 mm.
#[test]
fn metric_sizes_that_are_sold() {
    let has = |drawer: Drawer, hundredths: i64| {
        drawer
            .drills()
            .any(|drill| drill == Drill::metric(hundredths))
    };
    for hundredths in [50, 100, 290, 1390, 1400, 1425, 1475, 2500, 3200, 5800] {
        assert!(has(Drawer::METRIC, hundredths), "{hundredths}");
    }
    for hundredths in [105, 295, 875, 1075] {
        assert!(!has(Drawer::METRIC, hundredths), "{hundredths}");
        assert!(has(Drawer::METRIC_FINE, hundredths), "{hundredths}");
    }
    for hundredths in [45, 1410, 2510, 3210, 6450] {
        assert!(!has(Drawer::METRIC_FINE, hundredths), "{hundredths}");
    }
}
