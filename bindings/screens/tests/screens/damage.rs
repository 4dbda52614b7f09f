//! The damage form: what it records and shows, in either unit.
#![allow(missing_docs, clippy::unwrap_used)]

use holebook_core::hole::damage::{Damage, Tilt};
use holebook_core::hole::remedies::assessments;
use holebook_core::hole::situation::{Situation, situation_of};
use holebook_core::insert::Catalog;
use holebook_core::length::Length;
use holebook_core::notebook::{HoleId, HoleView, Notebook};
use holebook_screens::{Body, Method, Request, answer};
use proptest::prelude::*;
use tempfile::TempDir;

struct Screens {
    notebook: Notebook,
    hole: HoleId,
    _dir: TempDir,
}

impl Screens {
    fn new(unit: &str) -> Screens {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(&dir.path().join("notebook")).unwrap();
        let mut screens = Screens {
            notebook,
            hole: HoleId(Default::default()),
            _dir: dir,
        };
        screens.submit(
            "/settings",
            &[("person", "M. Vance"), ("device", "bench"), ("unit", unit)],
        );
        let casting = screens.submit("/casting", &[("name", "Pump end")]);
        let face = screens.submit(&format!("{casting}/face"), &[("name", "Cover joint")]);
        let hole = screens.submit(&format!("{face}/hole"), &[]);
        screens.hole = hole.trim_start_matches("/hole/").parse().unwrap();
        screens.submit(&format!("{face}/cut"), &[("planned", "0")]);
        screens.form(
            "wanted-thread",
            &[("thread", "3/8-16"), ("through", "blind")],
        );
        screens
    }

    fn submit(&self, path: &str, form: &[(&str, &str)]) -> String {
        let mut request = Request::get(path);
        request.method = Method::Post;
        let pairs = form.iter();
        request.form = pairs
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect();
        let response = answer(&self.notebook, &request);
        let problem = match &response.body {
            Body::Text(text) => text.split("role=\"alert\">").nth(1).unwrap_or_default(),
            _ => "",
        };
        assert_eq!(response.status, 303, "{path}: {problem:.200}");
        let mut headers = response.headers.iter();
        let location = headers.find(|(name, _)| *name == "location").unwrap();
        location.1.split(['?', '#']).next().unwrap().to_owned()
    }

    fn form(&self, name: &str, fields: &[(&str, &str)]) {
        self.submit(&format!("/hole/{}/{name}", self.hole), fields);
    }

    fn page(&self) -> String {
        let response = answer(
            &self.notebook,
            &Request::get(&format!("/hole/{}", self.hole)),
        );
        match response.body {
            Body::Text(text) => text,
            _ => String::new(),
        }
    }

    fn view(&self) -> HoleView {
        self.notebook.hole(self.hole).unwrap()
    }

    fn damage(&self) -> Damage {
        self.view().record.damage.agreed().unwrap().clone()
    }

    fn situation(&self) -> Situation {
        let view = self.view();
        situation_of(&view.record, &view.face_record).unwrap()
    }
}

#[test]
fn taper_tilt_and_tolerances_are_recorded_and_shown() {
    let screens = Screens::new("mm");
    screens.form(
        "damage",
        &[
            ("to-0", "9"),
            ("diameter-0", "13"),
            ("offset-0", "1.2"),
            ("direction-0", "2"),
            ("lower-diameter-0", "9.5"),
            ("lower-offset-0", "0.4"),
            ("lower-direction-0", "200°"),
            ("diameter-tolerance-0", "0.3"),
            ("offset-tolerance-0", "0.5"),
            ("hard-to-0", "4"),
            ("hard-tolerance-0", "0.5"),
            ("tilt-by", "1"),
            ("tilt-over", "25"),
            ("tilt-direction", "12"),
        ],
    );
    let damage = screens.damage();
    let station = &damage.stations[0];
    let mm = |value| Length::from_mm(value).unwrap();
    // A clock's dial: 2 is 30 degrees above the right, 12 is up.
    assert_eq!(station.direction_deg, 30.0);
    assert_eq!(station.to_diameter, Some(mm(9.5)));
    assert_eq!(
        (station.to_offset, station.to_direction_deg),
        (Some(mm(0.4)), Some(200.0))
    );
    assert_eq!(
        (station.diameter_tolerance, station.offset_tolerance),
        (Some(mm(0.3)), Some(mm(0.5)))
    );
    assert_eq!(damage.hard[0].tolerance, Some(mm(0.5)));
    let lean = damage.lean.clone().unwrap();
    assert_eq!(
        (lean.tilt, lean.direction_deg),
        (
            Tilt::Run {
                by: mm(1.0),
                over: mm(25.0)
            },
            90.0
        )
    );
    let page = screens.page();
    for text in [
        "toward 2 o'clock",
        "tapering to 9.5 mm dia., off center 0.4 mm toward 8:20",
        "diameter ±0.3 mm",
        "off-center ±0.5 mm",
        "Old hole not square",
        "1 mm over 25 mm (2.3°)",
        "toward 12 o'clock",
    ] {
        assert!(page.contains(text), "{text}");
    }
    // The form shows it as recorded, so that recording it again changes nothing.
    let field = |name: &str| {
        let after = page
            .split(&format!("name=\"{name}\" value=\""))
            .nth(1)
            .unwrap_or_default();
        after.split('"').next().unwrap().to_owned()
    };
    assert_eq!(
        (field("lower-diameter-0"), field("tilt-over")),
        ("9.5 mm".into(), "25 mm".into())
    );
    assert_eq!(
        (field("direction-0"), field("lower-direction-0")),
        ("2".into(), "8:20".into())
    );
}

#[test]
fn crack_is_sent_out_on_the_page_and_on_the_sheet() {
    let screens = Screens::new("mm");
    screens.form("reading", &[("depth", "32"), ("floor", "9")]);
    screens.form(
        "damage",
        &[("to-0", "9"), ("diameter-0", "9.6"), ("crack", "yes")],
    );
    let page = screens.page();
    assert!(page.contains("Crack found: stop here"));
    assert!(page.contains("interlocking pins") && page.contains("someone qualified"));
    let face = screens.view().face;
    let unit = holebook_core::length::Unit::Millimeter;
    let sheet = holebook_screens::sheet(&screens.notebook, face, unit).unwrap();
    assert!(sheet.contains("crack found: send it out"));
}

#[test]
fn unknown_remedy_names_the_reading_to_improve() {
    let screens = Screens::new("mm");
    screens.form(
        "reading",
        &[
            ("depth", "32"),
            ("floor", "9"),
            ("nearest-edge", "13.2"),
            ("nearest-edge-tolerance", "0.8"),
            ("nearest-hole", "60"),
        ],
    );
    // The thin-wall insert needs 3 mm of wall beside its keys: half of 12.7 and 3 are 9.35 mm.
    screens.form("damage", &[("to-0", "32"), ("diameter-0", "10.2")]);
    let all = assessments(&screens.situation(), Catalog::standard());
    assert!(
        all.iter()
            .all(|assessment| assessment.sensitivities.is_empty())
    );
    screens.form(
        "reading",
        &[("nearest-edge", "9.8"), ("nearest-edge-tolerance", "0.8")],
    );
    let page = screens.page();
    assert!(
        page.contains("Depends on the edge distance: reads 9.8 mm with a tolerance of 0.8 mm"),
        "not shown"
    );
    assert!(page.contains("fails only at the worst case"));
}

/// A length as typed: in thousandths of an inch, and exactly the same in millimeters.
fn thousandths(range: std::ops::Range<i64>) -> impl Strategy<Value = (String, String)> {
    range.prop_map(|thousandths| {
        let nm = thousandths * 25_400;
        let inches = format!("{}.{:03}", thousandths / 1000, thousandths % 1000);
        let millimeters = format!("{}.{:06}", nm / 1_000_000, nm % 1_000_000);
        (inches, millimeters)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(12) })]

    #[test]
    fn inch_and_metric_entry_give_the_same_answer_to_the_nanometer(
        depth in thousandths(900..2000), floor in thousandths(100..500), edge in thousandths(400..1200), spacing in thousandths(800..2500),
        bore in thousandths(320..390), error in thousandths(1..30),
        from in thousandths(0..100), to in thousandths(200..800), diameter in thousandths(360..620), offset in thousandths(0..90),
        to_diameter in thousandths(0..600), hard in thousandths(20..300), by in thousandths(5..60), over in thousandths(700..1500),
    ) {
        let readings = [
            ("depth", &depth), ("depth-tolerance", &error), ("floor", &floor), ("floor-tolerance", &error), ("nearest-edge", &edge),
            ("nearest-hole", &spacing), ("bore", &bore),
        ];
        let damage = [
            ("from-0", &from), ("to-0", &to), ("diameter-0", &diameter), ("offset-0", &offset), ("lower-diameter-0", &to_diameter),
            ("diameter-tolerance-0", &error), ("hard-to-0", &hard), ("tilt-by", &by), ("tilt-over", &over),
        ];
        let entered = |unit: &str| {
            let screens = Screens::new(unit);
            let typed = |pair: &(String, String)| if unit == "in" { pair.0.clone() } else { pair.1.clone() };
            for (form, fields) in [("reading", &readings[..]), ("damage", &damage[..])] {
                let texts: Vec<(&str, String)> = fields.iter().map(|(name, pair)| (*name, typed(pair))).collect();
                let fields: Vec<(&str, &str)> = texts.iter().map(|(name, text)| (*name, text.as_str())).collect();
                screens.form(form, &fields);
            }
            (screens.damage(), screens.situation())
        };
        let (inch, metric) = (entered("in"), entered("mm"));
        prop_assert_eq!(&inch, &metric);
        let answer = |hole: &Situation| assessments(hole, Catalog::standard());
        prop_assert_eq!(answer(&inch.1), answer(&metric.1));
        // And through JSON, as scripts write it.
        let text = inch.1.to_json().unwrap();
        let read = Situation::from_json(&text).unwrap();
        prop_assert_eq!(read, metric.1);
    }
}
