//! Where things are on a face: from the pattern and marks to the lost center and the table moves, and
//! from heights to the face cut. The photo is the invented one of the sample.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, text};
use holebook_core::hole::condition::{Condition, FirstLook};
use holebook_core::notebook::{FaceId, HoleEntry, HoleId, PhotoId};
use holebook_core::places::OffsetSource;
use std::path::{Path, PathBuf};

fn sample() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/pump-end-cover")
}

struct Marked {
    screens: Screens,
    face: FaceId,
    photo: PhotoId,
    holes: Vec<HoleId>,
}

impl Marked {
    /// A photo with marks on the corners of a grid of 4 by 3 as an oblique camera sees it, all holes
    /// graded sound; without a mark for `lost`.
    fn new(lost: &[u32]) -> Self {
        let screens = Screens::new();
        let face = screens.face();
        let file = sample().join("joint-face.jpg");
        let (photo, _) = screens.notebook.add_photo(face, &file, None).unwrap();
        let mut holes = Vec::new();
        for number in 1..=12_u32 {
            let hole = screens.notebook.add_hole(face, None, None).unwrap();
            let (x, y) = seen(number);
            if !lost.contains(&number) {
                screens.notebook.mark(hole, photo, x, y, &[]).unwrap();
            }
            let condition = match lost.contains(&number) {
                true => Condition::Crater,
                false => Condition::Sound,
            };
            let look = HoleEntry::Condition(FirstLook { condition });
            screens.notebook.record(hole, look, &[]).unwrap();
            holes.push(hole);
        }
        Self {
            screens,
            face,
            photo,
            holes,
        }
    }

    fn path(&self, page: &str) -> String {
        format!("/face/{}/{page}", self.face)
    }

    fn enter_grid(&self) {
        let form = [
            ("columns", "4"),
            ("step-x", "2"),
            ("rows", "3"),
            ("step-y", "1.5"),
            ("first", "1"),
        ];
        let next = self.screens.submit(&self.path("pattern/grid"), &form);
        assert_eq!(next, self.path("places"));
    }
}

/// Where a hole of the grid is in the photo.
fn seen(number: u32) -> (f64, f64) {
    let (column, row) = (f64::from((number - 1) % 4), f64::from((number - 1) / 4));
    let depth = 1.0 + 0.06 * row;
    (300.0 + 180.0 * column / depth, 700.0 - 150.0 * row / depth)
}

#[test]
fn the_lost_center_comes_with_its_table_moves_and_files() {
    let marked = Marked::new(&[7]);
    let screens = &marked.screens;
    let before = screens.get(&marked.path("places"));
    assert!(before.contains("no wanted pattern") && before.contains("Enter the pattern"));
    assert!(
        screens
            .get(&format!("/photo/{}", marked.photo))
            .contains(&marked.path("places"))
    );
    marked.enter_grid();
    let page = screens.get(&marked.path("places"));
    assert!(
        page.contains("1 lost center; 11 good holes agree"),
        "{page}"
    );
    assert!(
        page.contains("<b>Hole 7</b>: X <b>4.000</b>, Y <b>1.500</b>, within"),
        "{page}"
    );
    assert!(page.contains("svg class=\"centers\""));

    let moves = screens.get(&marked.path("moves"));
    assert!(moves.contains("Hole 7: X 4.000, Y 1.500"), "{moves}");
    assert!(!moves.contains("handwheel:"), "no mill yet");
    let mill = [
        ("name", "knee mill"),
        ("x-lead", ".2"),
        ("x-divisions", "200"),
        ("y-lead", ".2"),
        ("y-divisions", "200"),
        ("approach", "rising"),
    ];
    screens.submit(&marked.path("moves/mill"), &mill);
    let moves = screens.get(&marked.path("moves"));
    assert!(
        moves.contains("X handwheel: pass 0 on the dial 20 times going up, stop at 0 of 200."),
        "{moves}"
    );
    let from = screens.get(&marked.path("moves?reference=12"));
    assert!(from.contains("Hole 7: X -2.000, Y -1.500"), "{from}");
    assert!(
        from.contains("X handwheel: pass 0 on the dial 10 times going down"),
        "{from}"
    );
    assert!(from.contains("past, then come back from below"), "{from}");
    let csv = screens.get(&marked.path("moves.csv?reference=12"));
    assert!(
        csv.starts_with("hole,x_in,y_in") && csv.contains("7,-2.0000,-1.5000"),
        "{csv}"
    );
    let dxf = screens.get(&marked.path("moves.dxf"));
    assert_eq!(dxf.matches("\nPOINT\n").count(), 12);
    let second = screens.get(&marked.path("moves?reference=1&second=4&second-x=0&second-y=6"));
    assert!(second.contains("Hole 7: X -1.500, Y 4.000"), "{second}");
}

#[test]
fn a_struck_out_or_changed_pattern_changes_the_centers() {
    let marked = Marked::new(&[7]);
    let screens = &marked.screens;
    marked.enter_grid();
    let replaces = screens.hidden(
        &marked.path("pattern"),
        &marked.path("pattern/lines"),
        "replaces",
    );
    assert_eq!(replaces.len(), 1);
    let typed = "1 0 0\n2 50 0\n3 100 0\n4 150 0\n5 0 40\n6 50 40\n8 150 40\n7 100 44";
    let lines = [
        ("wanted-pattern", typed),
        ("source", "gasket"),
        ("pattern-tolerance", ".01"),
        ("replaces", &replaces[0]),
    ];
    screens.submit(&marked.path("pattern/lines"), &lines);
    let page = screens.get(&marked.path("places"));
    assert!(page.contains("8 holes from a gasket, ±.010 in"), "{page}");
    assert!(
        page.contains("<b>Hole 7</b>: X <b>100.000</b>, Y <b>44.000</b>"),
        "{page}"
    );
    let entry = screens.hidden(
        &marked.path("pattern"),
        &marked.path("pattern/strike-out"),
        "entry",
    );
    let strike = [("entry", entry[0].as_str()), ("reason", "wrong gasket")];
    screens.submit(&marked.path("pattern/strike-out"), &strike);
    assert!(
        screens.get(&marked.path("places")).contains("<b>4.000</b>"),
        "the grid is back"
    );
}

#[test]
fn a_pattern_comes_from_a_circle_an_oval_or_caliper_distances() {
    let marked = Marked::new(&[]);
    let screens = &marked.screens;
    let save = |form: &str, fields: &[(&str, &str)]| {
        screens.submit(&marked.path(&format!("pattern/{form}")), fields);
        let pattern = screens.notebook.face(marked.face).unwrap().record.pattern;
        pattern.0.last().unwrap().body.clone()
    };
    let circle = [
        ("count", "8"),
        ("pattern-diameter", "10"),
        ("clockwise", "yes"),
        ("first", "3"),
    ];
    let pattern = save("circle", &circle);
    let at = |pattern: &holebook_core::places::WantedPattern, index: usize| {
        let hole = pattern.holes[index];
        (hole.hole, hole.x.inches().round(), hole.y.inches().round())
    };
    assert_eq!(at(&pattern, 0), (3, 0.0, 5.0), "the first at the top");
    assert_eq!(at(&pattern, 2), (5, 5.0, 0.0), "then to the right");
    let oval = [
        ("count", "12"),
        ("width", "20"),
        ("height", "8"),
        ("oval", "ellipse"),
    ];
    assert_eq!(at(&save("oval", &oval), 0), (1, 10.0, 0.0));
    let square = "1 2 4\n2 3 3\n1 3 5\n1 4 3\n2 4 5\n3 4 4";
    let distances = [("distances", square), ("across", "centers")];
    let pattern = save("distances", &distances);
    assert_eq!(
        (at(&pattern, 1), at(&pattern, 2)),
        ((2, 4.0, 0.0), (3, 4.0, 3.0))
    );
    assert_eq!(pattern.distances.len(), 6);
    assert!(pattern.tolerance.unwrap().is_positive());
}

#[test]
fn what_cannot_be_is_refused_in_one_sentence_and_nothing_typed_is_lost() {
    let marked = Marked::new(&[7]);
    let screens = &marked.screens;
    let refused = |form: &str, fields: &[(&str, &str)]| {
        screens.rejected(&marked.path(&format!("pattern/{form}")), fields)
    };
    let lines = |typed: &str| refused("lines", &[("wanted-pattern", typed)]);
    assert!(lines("").contains("0 holes in the pattern"));
    assert!(lines("1 0 0").contains("1 holes"));
    assert!(lines("1 0 0\n1 5 5").contains("twice"));
    assert!(lines("1 0 0\n2 0 0").contains("one place"));
    assert!(
        lines("1 0 NaN\n2 1 1").contains("Line 1") || lines("1 0 NaN\n2 1 1").contains("line 1")
    );
    let many: String = (1..=1_001).map(|at| format!("{at} {at} 0\n")).collect();
    assert!(lines(&many).contains("more than 1000 lines"));
    let hostile = screens.post(
        &marked.path("pattern/lines"),
        &[("wanted-pattern", "1 0 <script>alert(1)</script>")],
    );
    assert!(text(&hostile).contains("&lt;script&gt;") && !text(&hostile).contains("<script>alert"));
    assert!(refused("circle", &[("count", "1"), ("pattern-diameter", "4")]).contains("2 to 1000"));
    assert!(refused("circle", &[("count", "8")]).contains("required"));
    assert!(
        refused("circle", &[("count", "8"), ("pattern-diameter", "-4")]).contains("more than 0")
    );
    let huge = [
        ("columns", "900"),
        ("rows", "900"),
        ("step-x", "1"),
        ("step-y", "1"),
    ];
    assert!(refused("grid", &huge).contains("more than 1000 holes"));
    let flat = [("distances", "1 2 1\n2 3 1\n1 3 9"), ("across", "centers")];
    assert!(refused("distances", &flat).contains("triangle"));
    assert!(
        refused(
            "distances",
            &[("distances", "1 2 4"), ("across", "far-sides")]
        )
        .contains("diameter")
    );
    let places =
        |typed: &str| screens.rejected(&marked.path("places/measured"), &[("found", typed)]);
    assert!(places("99 0 0").contains("no hole 99"));
    assert!(places("").contains("required"));
    let mill = |fields: &[(&str, &str)]| screens.rejected(&marked.path("moves/mill"), fields);
    assert!(mill(&[("x-lead", ".2")]).contains("divisions"));
    assert!(mill(&[("x-lead", "0"), ("x-divisions", "100")]).contains("more than 0"));

    // A line tells nothing about the perspective; a mirrored pattern is named.
    let line = "1 0 0\n2 2 0\n3 4 0\n4 6 0";
    screens.submit(&marked.path("pattern/lines"), &[("wanted-pattern", line)]);
    assert!(screens.get(&marked.path("places")).contains("on one line"));
    let replaces = screens.hidden(
        &marked.path("pattern"),
        &marked.path("pattern/lines"),
        "replaces",
    );
    let mirrored: String = (1..=12)
        .map(|at: i32| format!("{at} {} {}\n", -2 * ((at - 1) % 4), 3 * ((at - 1) / 4)))
        .collect();
    let fields = [
        ("wanted-pattern", mirrored.as_str()),
        ("replaces", &replaces[0]),
    ];
    screens.submit(&marked.path("pattern/lines"), &fields);
    assert!(screens.get(&marked.path("places")).contains("turned over"));
    assert!(screens.get(&marked.path("moves")).contains("turned over"));
}

#[test]
fn measured_places_and_known_points_are_kept() {
    let marked = Marked::new(&[7]);
    let screens = &marked.screens;
    marked.enter_grid();
    let typed = "1 10 10\n2 12 10\n4 16 10\n9 10 13";
    let form = [("found", typed), ("found-tolerance", ".002")];
    screens.submit(&marked.path("places/measured"), &form);
    let page = screens.get(&marked.path("places"));
    assert!(
        page.contains("<b>Hole 7</b>: X <b>14.000</b>, Y <b>11.500</b>"),
        "{page}"
    );

    let path = format!("/photo/{}/points", marked.photo);
    let add = format!("{path}/add");
    assert!(
        screens
            .rejected(&add, &[("x", "0"), ("y", "0")])
            .contains("press it in the picture")
    );
    let outside = [("x", "0"), ("y", "0"), ("at.x", "99999"), ("at.y", "3")];
    assert!(
        screens
            .rejected(&add, &outside)
            .contains("outside the photo")
    );
    screens.submit(
        &add,
        &[("x", "1.5"), ("y", "2"), ("at.x", "600"), ("at.y", "300")],
    );
    let page = screens.get(&path);
    assert!(page.contains("1: X 1.500 in, Y 2.000 in"), "{page}");
    let entry = screens.hidden(&path, &format!("{path}/strike-out"), "entry");
    let strike = [("entry", entry[0].as_str()), ("reason", "slipped")];
    screens.submit(&format!("{path}/strike-out"), &strike);
    assert!(!screens.get(&path).contains("1: X"));
    assert_eq!(marked.holes.len(), 12);
}

#[test]
fn the_least_face_cut_becomes_the_plan_until_the_readings_change() {
    let marked = Marked::new(&[]);
    let screens = &marked.screens;
    let path = marked.path("heights");
    assert!(screens.get(&path).contains("no heights") || screens.get(&path).contains("No heights"));
    let save = marked.path("heights/save");
    assert!(
        screens
            .rejected(&save, &[("heights", "")])
            .contains("eight reading")
    );
    assert!(
        screens
            .rejected(&save, &[("heights", "0 0")])
            .contains("2 lengths")
    );
    screens.submit(&save, &[("heights", "0 0 0\n1 0 0\n2 0 0")]);
    assert!(screens.get(&path).contains("on one line"));
    let corners = [
        ("heights", "0 9 0\n9 9 0\n4 5 -.012"),
        ("height-tolerance", ".001"),
    ];
    screens.submit(&save, &corners);
    let page = screens.get(&path);
    assert!(
        page.contains("Least face cut") && page.contains("class=\"contour\""),
        "{page}"
    );
    let cut = screens.hidden(&path, &marked.path("heights/cut"), "planned");
    assert!(page.contains("Plan .014 in as the face cut"), "{page}");
    let stale = [("planned", "5 mm")];
    assert!(
        screens
            .rejected(&marked.path("heights/cut"), &stale)
            .contains("changed")
    );
    screens.submit(&marked.path("heights/cut"), &[("planned", &cut[0])]);
    assert!(
        screens
            .get(&path)
            .contains("✓ This is the planned face cut.")
    );
    let planned = screens
        .notebook
        .face(marked.face)
        .unwrap()
        .record
        .planned()
        .unwrap();
    assert_eq!(planned.exact(), cut[0]);

    // One more reading, though none that asks for more: the plan is looked at again.
    screens.submit(&save, &[("heights", "5 5 -.004")]);
    let page = screens.get(&path);
    assert!(
        page.contains("one set of height readings was added."),
        "{page}"
    );
    let offered = screens.hidden(&path, &marked.path("heights/cut"), "planned");
    let before = screens.hidden(&path, &marked.path("heights/cut"), "replaces");
    let again = [("planned", offered[0].as_str()), ("replaces", &before[0])];
    screens.submit(&marked.path("heights/cut"), &again);
    assert!(!screens.get(&path).contains("was added."));

    let replaces = screens.hidden(
        &marked.path("heights"),
        &marked.path("heights/save"),
        "replaces",
    );
    assert!(replaces.is_empty(), "readings add up");
    let plan = screens
        .notebook
        .face(marked.face)
        .unwrap()
        .record
        .planned_cut
        .0[0]
        .entry;
    let deeper = [("planned", ".02"), ("replaces", &plan.to_string())];
    screens.submit(&marked.path("cut"), &deeper);
    assert!(
        screens
            .get(&path)
            .contains("✓ The planned face cut of .020 in covers it.")
    );

    let entries = screens.hidden_all(&path, &marked.path("heights/strike-out"), "entry");
    let strike = [("entry", entries[1].as_str()), ("reason", "dirt")];
    screens.submit(&marked.path("heights/strike-out"), &strike);
    assert!(
        !screens
            .get(&path)
            .contains("✓ This is the planned face cut.")
    );
}

#[test]
fn the_face_is_leveled_on_jacks() {
    let marked = Marked::new(&[]);
    let screens = &marked.screens;
    let tilted = [("heights", "0 0 0\n10 0 .010\n10 8 .010\n0 8 0")];
    screens.submit(&marked.path("heights/save"), &tilted);
    let ask = |jacks: &str, lead: &str| {
        let path = marked.path("heights");
        let mut request = holebook_screens::Request::get(&path);
        request.query = vec![
            ("jacks".to_owned(), jacks.to_owned()),
            ("jack-lead".to_owned(), lead.to_owned()),
        ];
        text(&holebook_screens::answer(&screens.notebook, &request))
    };
    let page = ask("1 0 0\n2 10 4\n3 0 8", ".05");
    assert!(
        page.contains("0.20 turns up (.010 in)") && page.contains("leave it"),
        "{page}"
    );
    assert!(ask("1 0 0\n2 5 0\n3 10 0", ".05").contains("on one line"));
    assert!(ask("1 0 0", ".05").contains("1 jacks"));
    assert!(ask("1 0 0\n2 10 4\n3 0 8", "0").contains("more than 0"));
}

/// The address of a hole's page and of its forms.
fn hole_path(hole: HoleId, form: &str) -> String {
    format!("/hole/{hole}{form}")
}

#[test]
fn an_off_center_hole_asks_for_its_center_and_then_takes_the_amount_in_one_tap() {
    let marked = Marked::new(&[]);
    let screens = &marked.screens;
    let hole = marked.holes[5];
    let look = HoleEntry::Condition(FirstLook {
        condition: Condition::OffCenter,
    });
    let before = screens.notebook.hole(hole).unwrap().record.condition.0[0].entry;
    screens.notebook.record(hole, look, &[before]).unwrap();
    let thread = [("thread", "3/8-16"), ("through", "blind")];
    screens.submit(&hole_path(hole, "/wanted-thread"), &thread);
    screens.submit(&hole_path(hole, "/reading"), &[("depth", "1.25")]);
    let page = screens.get(&hole_path(hole, ""));
    assert!(
        page.contains("Find its center first") && page.contains("By two neighbors"),
        "{page}"
    );
    assert!(page.contains(&marked.path("pattern")));

    // It lies a quarter of the way to its right neighbor.
    let ((x, y), (right, _)) = (seen(6), seen(7));
    let view = screens.notebook.hole(hole).unwrap();
    let mark = view.marks[0].entries.0[0].entry;
    let moved = screens
        .notebook
        .mark(hole, marked.photo, x + (right - x) / 4.0, y, &[mark]);
    moved.unwrap();
    marked.enter_grid();
    let page = screens.get(&hole_path(hole, ""));
    assert!(!page.contains("Find its center first"));
    let button = page
        .split("<button>Off center by ")
        .nth(1)
        .expect("an offer");
    let button = button.split('<').next().unwrap();
    assert!(
        button.contains("toward 3 o") && button.ends_with("by the photo plane"),
        "{button}"
    );
    let action = hole_path(hole, "/damage");
    let form = page
        .split("<form")
        .find(|form| form.contains("Off center by .") && form.contains(&action));
    let form = form.unwrap();
    let fields = hidden_fields(form);
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(a, b)| (a.as_str(), b.as_str()))
        .collect();
    screens.submit(&action, &fields);
    let damage = screens.notebook.hole(hole).unwrap().record.damage;
    let station = &damage.0[0].body.stations[0];
    assert!((station.offset.inches() - 0.5).abs() < 0.01, "{station:?}");
    assert_eq!(station.offset_source, Some(OffsetSource::PhotoPlane));
    assert!(station.offset_tolerance.unwrap().is_positive());
    let page = screens.get(&hole_path(hole, ""));
    assert!(page.contains(", by the photo plane"), "{page}");

    // The pattern changes: the amount is to be taken again, and is in one tap.
    let pattern = screens.notebook.face(marked.face).unwrap().record.pattern.0[0].clone();
    let mut wider = pattern.body;
    for hole in &mut wider.holes {
        hole.x = hole.x * 2;
    }
    screens
        .notebook
        .set_pattern(marked.face, &wider, &[pattern.entry])
        .unwrap();
    let page = screens.get(&hole_path(hole, ""));
    assert!(
        page.contains("the pattern was changed: take it again"),
        "{page}"
    );
    let form = page
        .split("<form")
        .find(|form| form.contains(">Off center by "));
    let fields = hidden_fields(form.unwrap());
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(a, b)| (a.as_str(), b.as_str()))
        .collect();
    screens.submit(&action, &fields);
    let view = screens.notebook.hole(hole).unwrap();
    assert_eq!(view.status.problems, []);
    let station = &view.record.damage.0[0].body.stations[0];
    assert!((station.offset.inches() - 1.0).abs() < 0.02, "{station:?}");

    // A mark that it rests on moves: the page says so, and one tap takes it again.
    let page = page_after_a_mark_moved(&marked, hole);
    let listed = &screens.notebook.face(marked.face).unwrap().holes;
    assert!(listed.iter().any(|it| it.id == hole && it.problems == 1));
    press(screens, &page, ">Off center by ", &action);
    let view = screens.notebook.hole(hole).unwrap();
    assert_eq!(view.status.problems, []);

    // Its own mark goes: it can only be measured at the hole, and kept as that.
    screens.notebook.remove_mark(hole, marked.photo).unwrap();
    let page = screens.get(&hole_path(hole, ""));
    assert!(page.contains("was removed: take it again"), "{page}");
    assert!(
        page.contains("The places on the face no longer give it."),
        "{page}"
    );
    press(screens, &page, ">Keep ", &action);
    let view = screens.notebook.hole(hole).unwrap();
    assert_eq!(view.status.problems, []);
    let station = &view.record.damage.0[0].body.stations[0];
    assert!(station.offset_source.is_none() && station.rests_on.is_empty());
}

/// Moves the mark of hole 1; returns the page of a hole that rests on it, which says so.
fn page_after_a_mark_moved(marked: &Marked, resting: HoleId) -> String {
    let screens = &marked.screens;
    let first = screens.notebook.hole(marked.holes[0]).unwrap().marks[0].clone();
    let (x, y) = seen(1);
    let before = [first.entries.0[0].entry];
    screens
        .notebook
        .mark(marked.holes[0], marked.photo, x + 2.0, y, &before)
        .unwrap();
    let page = screens.get(&hole_path(resting, ""));
    assert!(
        page.contains("the mark of hole 1 was moved: take it again"),
        "{page}"
    );
    page
}

/// Sends the form with a button that begins like that.
fn press(screens: &Screens, page: &str, button: &str, action: &str) {
    let form = page.split("<form").find(|form| form.contains(button));
    let fields = hidden_fields(form.expect("a button"));
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(a, b)| (a.as_str(), b.as_str()))
        .collect();
    screens.submit(action, &fields);
}

#[test]
fn a_changed_amount_is_no_longer_by_the_photo() {
    let screens = Screens::new();
    let hole = screens.hole();
    let damage = hole_path(hole, "/damage");
    let fields = |offset| {
        [
            ("from-0", "0"),
            ("to-0", "1"),
            ("diameter-0", ".375"),
            ("offset-0", offset),
            ("direction-0", "3"),
            ("offset-source-0", "pattern|2.54 mm|3"),
        ]
    };
    let source = || {
        let record = screens.notebook.hole(hole).unwrap().record;
        record.damage.0.last().unwrap().body.stations[0].offset_source
    };
    screens.submit(&damage, &fields(".1"));
    assert_eq!(source(), Some(OffsetSource::Pattern));
    screens.submit(&damage, &fields(".12"));
    assert_eq!(source(), None);
}

/// The hidden fields of a form, by name and value.
fn hidden_fields(form: &str) -> Vec<(String, String)> {
    let inputs = form.split("<input type=\"hidden\" name=\"").skip(1);
    let pairs = inputs.map(|rest| {
        let mut parts = rest.split('"');
        let name = parts.next().unwrap();
        (name.to_owned(), parts.nth(1).unwrap().to_owned())
    });
    pairs.collect()
}

/// The invented photo of the sample with the true places that it was made from: marks of the good
/// holes tell how far each bad one is off. The truth is that of the program that rendered it.
#[test]
fn the_sample_photo_tells_how_far_its_bad_holes_are_off() {
    let read = |name: &str| -> serde_json::Value {
        serde_json::from_str(&std::fs::read_to_string(sample().join(name)).unwrap()).unwrap()
    };
    let (scenario, marks) = (read("scenario.json"), read("marks.json"));
    let screens = Screens::new();
    let face = screens.face();
    let file = sample().join("joint-face.jpg");
    let (photo, _) = screens.notebook.add_photo(face, &file, None).unwrap();
    let mut lines = String::new();
    let mut truth = Vec::new();
    for (hole, mark) in scenario["holes"]
        .as_array()
        .unwrap()
        .iter()
        .zip(marks["marks"].as_array().unwrap())
    {
        let mm = |value: &serde_json::Value, axis: &str| value[axis].as_f64().unwrap();
        let (x, y) = (mm(hole, "x_mm"), mm(hole, "y_mm"));
        let number = u32::try_from(hole["number"].as_u64().unwrap()).unwrap();
        assert_eq!(mark["number"], hole["number"]);
        lines.push_str(&format!("{number} {x}mm {y}mm\n"));
        let found = &hole["found"];
        let (dx, dy) = (mm(found, "x_mm") - x, mm(found, "y_mm") - y);
        truth.push((number, dx, dy));
        let id = screens.notebook.add_hole(face, Some(number), None).unwrap();
        screens
            .notebook
            .mark(id, photo, mm(mark, "px"), mm(mark, "py"), &[])
            .unwrap();
        let condition = match dx.hypot(dy) > 0.5 {
            true => Condition::OffCenter,
            false => Condition::Sound,
        };
        let look = HoleEntry::Condition(FirstLook { condition });
        screens.notebook.record(id, look, &[]).unwrap();
    }
    let path = format!("/face/{face}/pattern/lines");
    screens.submit(&path, &[("wanted-pattern", &lines)]);
    let centers = screens.notebook.centers(face, None).unwrap();
    for (number, dx, dy) in truth {
        let center = centers
            .holes
            .iter()
            .find(|center| center.number == number)
            .unwrap();
        let off = center.off.unwrap();
        let miss = (off.x_mm - dx).hypot(off.y_mm - dy);
        assert!(
            miss <= 1.3 * off.tolerance_mm,
            "hole {number}: {miss} mm, {off:?}"
        );
    }
}

#[test]
fn the_choice_of_good_holes_is_kept_until_it_is_taken_back() {
    let marked = Marked::new(&[7]);
    let screens = &marked.screens;
    marked.enter_grid();
    let one = screens.rejected(&marked.path("places/good"), &[("good", "1")]);
    assert!(one.contains("1 good holes, but 2 are needed"), "{one}");
    let four = ["1", "4", "9", "12"].map(|number| ("good", number));
    let next = screens.submit(&marked.path("places/good"), &four);
    assert_eq!(next, marked.path("places"));
    let page = screens.get(&marked.path("places"));
    assert!(page.contains("1 lost center; 4 good holes agree"));
    assert!(page.contains("Chosen as good: 1, 4, 9, 12."));
    // Every page goes by it, not only the one that it was chosen on.
    let center = screens.notebook.center(marked.holes[6]).unwrap().unwrap();
    let chosen = center.center.radius95_mm;
    screens.submit(&marked.path("places/graded"), &[]);
    let page = screens.get(&marked.path("places"));
    assert!(page.contains("11 good holes agree") && !page.contains("Chosen as good"));
    let center = screens.notebook.center(marked.holes[6]).unwrap().unwrap();
    assert!(center.center.radius95_mm < chosen, "more holes are surer");
}

#[test]
fn photos_that_disagree_about_a_hole_are_named() {
    let marked = Marked::new(&[7]);
    let screens = &marked.screens;
    marked.enter_grid();
    let file = sample().join("joint-face.jpg");
    let (second, _) = screens
        .notebook
        .add_photo(marked.face, &file, None)
        .unwrap();
    for (hole, number) in marked.holes.iter().zip(1..) {
        let (x, y) = seen(number);
        // A slip of the finger at hole 5.
        let x = if number == 5 { x + 60.0 } else { x };
        screens.notebook.mark(*hole, second, x, y, &[]).unwrap();
    }
    let page = screens.get(&marked.path("places"));
    assert!(page.contains("put hole 5"), "{}", page.len());
    assert!(page.contains("apart, more than their errors allow. Check its marks."));
    assert_eq!(page.matches("apart, more than").count(), 1);
}

/// The photo as a map of the face: straightened, on paper, and with a crater traced on it.
#[test]
fn a_measurable_photo_is_straightened_and_takes_a_traced_crater() {
    let marked = Marked::new(&[]);
    let screens = &marked.screens;
    let straight = format!("/photo/{}/straight", marked.photo);
    let before = screens.get(&straight);
    assert!(before.contains("cannot be measured yet") && before.contains("Known points"));
    let outline = hole_path(marked.holes[5], "/outline");
    // Hole 6 is at 2.000, 1.500 from hole 1; a crater of 1.000 in around a point .200 in to its right.
    let circle = |points: u32| {
        let at = |k: u32| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / f64::from(points)).sin_cos();
            let (column, row) = (1.0 + (0.2 + 0.5 * cos) / 2.0, 1.0 + 0.5 * sin / 1.5);
            let depth = 1.0 + 0.06 * row;
            let (x, y) = (300.0 + 180.0 * column / depth, 700.0 - 150.0 * row / depth);
            format!("traced={x:.1} {y:.1}")
        };
        let points: Vec<String> = (0..points).map(at).collect();
        points.join("&")
    };
    let unscaled = screens.get(&format!("{outline}?{}", circle(12)));
    assert!(unscaled.contains("Nothing gives this photo a scale"));

    marked.enter_grid();
    let page = screens.get(&straight);
    assert!(page.contains("measured by 12 marked holes of known place"));
    assert!(page.contains("sheet/template.pdf"));
    let few = screens.get(&format!("{outline}?{}", circle(2)));
    assert!(few.contains("2 points of the edge, but 3 are needed"));
    let page = screens.get(&format!("{outline}?{}", circle(16)));
    assert!(page.contains("<b>1.000 ±"), "its diameter");
    assert!(
        page.contains("<b>.200 ±") && page.contains("toward 3 o'clock"),
        "its offset"
    );
    assert!(page.contains("by the pattern") && page.contains("by the places known in the photo"));
    let form = page.split("/damage\"").nth(1).unwrap();
    let form = &form[..form.find("</form>").unwrap()];
    let mut fields = hidden_fields(form);
    fields.push(("to-0".to_owned(), ".25".to_owned()));
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    screens.submit(&hole_path(marked.holes[5], "/damage"), &fields);
    let hole = screens.notebook.hole(marked.holes[5]).unwrap();
    let damage = hole.record.damage.agreed().unwrap();
    let station = &damage.stations[0];
    assert!((station.diameter.mm() - 25.4).abs() < 0.05, "{station:?}");
    assert_eq!(station.offset_source, Some(OffsetSource::PhotoPlane));
    assert!(station.offset_tolerance.is_some() && station.diameter_tolerance.is_some());
    assert_eq!(station.traced.as_ref().unwrap().points().len(), 16);

    // A mark that gave the scale moves: the crater is worked out again from what was traced.
    let (six, traced) = (marked.holes[5], station.traced.clone());
    let page = page_after_a_mark_moved(&marked, six);
    press(
        screens,
        &page,
        ">Off center by ",
        &hole_path(six, "/damage"),
    );
    let hole = screens.notebook.hole(six).unwrap();
    assert_eq!(hole.status.problems, []);
    let again = &hole.record.damage.agreed().unwrap().stations[0];
    assert_eq!(again.traced, traced);
    assert!((again.diameter.mm() - 25.4).abs() < 0.3 && again.rests_on.len() > 20);
}
