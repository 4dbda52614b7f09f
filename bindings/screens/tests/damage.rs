//! The damage form: what it takes, what follows on the page, and that the unit a reading is written in changes nothing.
#![allow(missing_docs, clippy::unwrap_used)]

use holebook_core::hole::damage::{Damage, Tilt};
use holebook_core::hole::remedies::remedies;
use holebook_core::hole::situation::{Situation, situation_of};
use holebook_core::insert::Catalogue;
use holebook_core::length::Length;
use holebook_core::notebook::{HoleId, HoleView, Notebook};
use holebook_screens::{Body, Method, Request, answer};
use proptest::prelude::*;
use tempfile::TempDir;

struct Desk {
    notebook: Notebook,
    hole: HoleId,
    _dir: TempDir,
}

impl Desk {
    fn new(unit: &str) -> Desk {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(&dir.path().join("notebook")).unwrap();
        let mut desk = Desk {
            notebook,
            hole: HoleId(Default::default()),
            _dir: dir,
        };
        desk.done(
            "/settings",
            &[("person", "M. Vance"), ("device", "bench"), ("unit", unit)],
        );
        let casting = desk.done("/casting", &[("name", "Pump end")]);
        let face = desk.done(&format!("{casting}/face"), &[("name", "Cover joint")]);
        let hole = desk.done(&format!("{face}/hole"), &[]);
        desk.hole = hole.trim_start_matches("/hole/").parse().unwrap();
        desk.done(&format!("{face}/cut"), &[("planned", "0")]);
        desk.form("wanted", &[("thread", "3/8-16"), ("through", "blind")]);
        desk
    }

    fn done(&self, path: &str, form: &[(&str, &str)]) -> String {
        let mut request = Request::get(path);
        request.method = Method::Post;
        let pairs = form.iter();
        request.form = pairs
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect();
        let response = answer(&self.notebook, &request);
        let told = match &response.body {
            Body::Text(text) => text.split("role=\"alert\">").nth(1).unwrap_or_default(),
            _ => "",
        };
        assert_eq!(response.status, 303, "{path}: {told:.200}");
        let mut headers = response.headers.iter();
        let location = headers.find(|(name, _)| *name == "location").unwrap();
        location.1.split(['?', '#']).next().unwrap().to_owned()
    }

    fn form(&self, name: &str, fields: &[(&str, &str)]) {
        self.done(&format!("/hole/{}/{name}", self.hole), fields);
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
        self.view().record.damage.settled().unwrap().clone()
    }

    fn situation(&self) -> Situation {
        let view = self.view();
        situation_of(&view.record, &view.face_record).unwrap()
    }
}

#[test]
fn what_tapers_leans_and_may_be_off_is_recorded_and_shown_again() {
    let desk = Desk::new("mm");
    desk.form(
        "damage",
        &[
            ("to-0", "9"),
            ("diameter-0", "13"),
            ("offset-0", "1.2"),
            ("direction-0", "30"),
            ("to-diameter-0", "9.5"),
            ("to-offset-0", "0.4"),
            ("to-direction-0", "200"),
            ("diameter-error-0", "0.3"),
            ("offset-error-0", "0.5"),
            ("hard-to-0", "4"),
            ("hard-error-0", "0.5"),
            ("lean-by", "1"),
            ("lean-over", "25"),
            ("lean-direction", "90"),
        ],
    );
    let damage = desk.damage();
    let station = &damage.stations[0];
    let mm = |value| Length::from_mm(value).unwrap();
    assert_eq!(station.to_diameter, Some(mm(9.5)));
    assert_eq!(
        (station.to_offset, station.to_direction_deg),
        (Some(mm(0.4)), Some(200.0))
    );
    assert_eq!(
        (station.diameter_error, station.offset_error),
        (Some(mm(0.3)), Some(mm(0.5)))
    );
    assert_eq!(damage.hard[0].error, Some(mm(0.5)));
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
    let page = desk.page();
    for told in [
        "changing to 9.5 mm",
        "the diameter ± 0.3 mm",
        "leans ",
        "1 mm over 25 mm of depth (2.3°)",
        "It tapers or leans",
    ] {
        assert!(page.contains(told), "{told}");
    }
    // The form shows it as it stands, so that recording it again changes nothing.
    let field = |name: &str| {
        let after = page
            .split(&format!("name=\"{name}\" value=\""))
            .nth(1)
            .unwrap_or_default();
        after.split('"').next().unwrap().to_owned()
    };
    assert_eq!(
        (field("to-diameter-0"), field("lean-over")),
        ("9.5 mm".into(), "25 mm".into())
    );
}

#[test]
fn a_crack_is_for_a_specialist_on_the_page_and_on_the_sheet() {
    let desk = Desk::new("mm");
    desk.form("reading", &[("depth", "32"), ("floor", "9")]);
    desk.form(
        "damage",
        &[("to-0", "9"), ("diameter-0", "9.6"), ("crack", "yes")],
    );
    let page = desk.page();
    assert!(page.contains("A crack was seen: stop here"));
    assert!(page.contains("interlocking pins") && page.contains("someone qualified"));
    let face = desk.view().face;
    let unit = holebook_core::length::Unit::Millimetre;
    let sheet = holebook_screens::sheet(&desk.notebook, face, unit).unwrap();
    assert!(sheet.contains("a crack was seen: for a specialist"));
}

#[test]
fn a_way_that_hangs_on_a_reading_says_which_to_take_better() {
    let desk = Desk::new("mm");
    desk.form(
        "reading",
        &[
            ("depth", "32"),
            ("floor", "9"),
            ("nearest-edge", "13.2"),
            ("nearest-edge-error", "0.8"),
            ("nearest-hole", "60"),
        ],
    );
    // Edge distance of the thin-wall insert: half of 12.7 and three pitches of 25.4/13 are 12.21 mm.
    desk.form("damage", &[("to-0", "32"), ("diameter-0", "10.2")]);
    let all = remedies(&desk.situation(), Catalogue::standard());
    assert!(all.iter().all(|way| way.depends_on.is_empty()));
    desk.form(
        "reading",
        &[("nearest-edge", "12.5"), ("nearest-edge-error", "0.8")],
    );
    let page = desk.page();
    assert!(
        page.contains("It hangs on the distance to the nearest edge: it reads 12.5 mm and may be off by 0.8 mm"),
        "not said"
    );
    assert!(page.contains("fails only at the worst of the readings"));
}

/// A length as it is written: so many thousandths of an inch, and exactly the same in millimetres.
fn thousandths(range: std::ops::Range<i64>) -> impl Strategy<Value = (String, String)> {
    range.prop_map(|thousandths| {
        let nm = thousandths * 25_400;
        let inches = format!("{}.{:03}", thousandths / 1000, thousandths % 1000);
        let millimetres = format!("{}.{:06}", nm / 1_000_000, nm % 1_000_000);
        (inches, millimetres)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(12) })]

    #[test]
    fn inch_and_metric_entry_of_the_same_hole_give_the_same_answer_to_the_nanometre(
        depth in thousandths(900..2000), floor in thousandths(100..500), edge in thousandths(400..1200), spacing in thousandths(800..2500),
        bore in thousandths(320..390), error in thousandths(1..30),
        from in thousandths(0..100), to in thousandths(200..800), diameter in thousandths(360..620), offset in thousandths(0..90),
        to_diameter in thousandths(0..600), hard in thousandths(20..300), by in thousandths(5..60), over in thousandths(700..1500),
    ) {
        let readings = [
            ("depth", &depth), ("depth-error", &error), ("floor", &floor), ("floor-error", &error), ("nearest-edge", &edge),
            ("nearest-hole", &spacing), ("bore", &bore),
        ];
        let damage = [
            ("from-0", &from), ("to-0", &to), ("diameter-0", &diameter), ("offset-0", &offset), ("to-diameter-0", &to_diameter),
            ("diameter-error-0", &error), ("hard-to-0", &hard), ("lean-by", &by), ("lean-over", &over),
        ];
        let entered = |unit: &str| {
            let desk = Desk::new(unit);
            let written = |pair: &(String, String)| if unit == "in" { pair.0.clone() } else { pair.1.clone() };
            for (form, fields) in [("reading", &readings[..]), ("damage", &damage[..])] {
                let texts: Vec<(&str, String)> = fields.iter().map(|(name, pair)| (*name, written(pair))).collect();
                let fields: Vec<(&str, &str)> = texts.iter().map(|(name, text)| (*name, text.as_str())).collect();
                desk.form(form, &fields);
            }
            (desk.damage(), desk.situation())
        };
        let (inch, metric) = (entered("in"), entered("mm"));
        prop_assert_eq!(&inch, &metric);
        let answer = |hole: &Situation| remedies(hole, Catalogue::standard());
        prop_assert_eq!(answer(&inch.1), answer(&metric.1));
        // And through JSON, as scripts write it.
        let text = serde_json::to_string(&inch.1).unwrap();
        let read: Situation = serde_json::from_str(&text).unwrap();
        prop_assert_eq!(read, metric.1);
    }
}
