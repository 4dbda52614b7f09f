//! The screens without a carrier: the main job form by form, and what they do with input that can't be taken.
#![allow(missing_docs, clippy::unwrap_used)]

use holebook_core::hole::state::State;
use holebook_core::notebook::{FaceId, HoleId, Notebook};
use holebook_screens::{Body, Method, Request, Response, answer};
use std::path::Path;
use tempfile::TempDir;

struct Desk {
    notebook: Notebook,
    _dir: TempDir,
}

impl Desk {
    fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(&dir.path().join("notebook")).unwrap();
        Self {
            notebook,
            _dir: dir,
        }
    }

    fn get(&self, path: &str) -> String {
        let response = answer(&self.notebook, &Request::get(path));
        assert_eq!(response.status, 200, "{path}: {}", text(&response));
        text(&response)
    }

    fn post(&self, path: &str, form: &[(&str, &str)]) -> Response {
        let pairs = form
            .iter()
            .map(|(key, value)| ((*key).to_owned(), (*value).to_owned()));
        let mut request = Request::get(path);
        request.method = Method::Post;
        request.form = pairs.collect();
        answer(&self.notebook, &request)
    }

    /// Sends a form that must be taken; gives where it leads.
    fn done(&self, path: &str, form: &[(&str, &str)]) -> String {
        let response = self.post(path, form);
        assert_eq!(response.status, 303, "{path}: {}", problem(&response));
        let (_, location) = response
            .headers
            .iter()
            .find(|(name, _)| *name == "location")
            .unwrap();
        // The page itself: without what it is to say, and without the place to begin at.
        location.split(['?', '#']).next().unwrap().to_owned()
    }

    /// Sends a form that must be refused; gives the sentence.
    fn refused(&self, path: &str, form: &[(&str, &str)]) -> String {
        let response = self.post(path, form);
        assert_eq!(response.status, 422, "{path} was taken");
        problem(&response)
    }

    fn face(&self) -> FaceId {
        let casting = self.done(
            "/casting",
            &[("name", "Pump end"), ("iron", "ASTM A48 class 25")],
        );
        let face = self.done(&format!("{casting}/face"), &[("name", "Cover joint")]);
        face.trim_start_matches("/face/").parse().unwrap()
    }

    fn hole(&self) -> HoleId {
        let hole = self.done(&format!("/face/{}/hole", self.face()), &[]);
        hole.trim_start_matches("/hole/").parse().unwrap()
    }

    /// Values of the hidden fields of this name in the form that goes to `action`, on the page at `path`.
    fn hidden(&self, path: &str, action: &str, name: &str) -> Vec<String> {
        let page = self.get(path);
        let form = page
            .split("<form")
            .find(|form| form.contains(&format!("action=\"{action}\"")))
            .unwrap_or_default();
        let marker = format!("name=\"{name}\" value=\"");
        form.split(&marker)
            .skip(1)
            .map(|rest| rest.split('"').next().unwrap().to_owned())
            .collect()
    }

    fn state(&self, hole: HoleId) -> State {
        self.notebook.hole(hole).unwrap().standing.state
    }
}

fn text(response: &Response) -> String {
    match &response.body {
        Body::Text(text) => text.clone(),
        _ => String::new(),
    }
}

fn problem(response: &Response) -> String {
    let page = text(response);
    let after = page
        .split("class=\"problem\" role=\"alert\">")
        .nth(1)
        .unwrap_or_default();
    after.split("</p>").next().unwrap_or_default().to_owned()
}

#[test]
fn a_loose_hole_goes_from_the_first_look_to_the_proof() {
    let desk = Desk::new();
    let hole = desk.hole();
    let face = desk.notebook.hole(hole).unwrap().face;
    desk.done(&format!("/face/{face}/cut"), &[("planned", "0.5 mm")]);
    let page = format!("/hole/{hole}");
    let at = |form: &str| format!("/hole/{hole}/{form}");
    assert!(desk.get(&page).contains("Measure it"));

    desk.done(
        &at("reading"),
        &[
            ("depth", "1.25"),
            ("depth-instrument", "depth gauge"),
            ("floor", ".4"),
            ("nearest-edge", "25 mm"),
            ("nearest-hole", "60 mm"),
            ("bore", "9.4 mm"),
            ("bore-error", "0.1 mm"),
        ],
    );
    assert_eq!(desk.state(hole), State::Read);
    desk.done(
        &at("damage"),
        &[("from-0", "0"), ("to-0", "30 mm"), ("diameter-0", "9.6 mm")],
    );
    desk.done(
        &at("wanted"),
        &[
            ("thread", "3/8-16"),
            ("bolt", "SAE J429 grade 5"),
            ("through", "blind"),
        ],
    );

    let way = desk
        .hidden(&page, &at("choose"), "way")
        .remove(0)
        .replace("&quot;", "\"");
    desk.done(&at("choose"), &[("way", &way)]);
    assert_eq!(desk.state(hole), State::Planned);

    let choice = desk.hidden(&page, &at("cut"), "choice").remove(0);
    let sure = ("choice", choice.as_str());
    desk.done(
        &at("cut"),
        &[
            sure,
            ("step", "drill"),
            ("depth", "29 mm"),
            ("tool", "drill X"),
        ],
    );
    desk.done(&at("cut"), &[sure, ("step", "tap"), ("depth", "24 mm")]);
    assert_eq!(desk.state(hole), State::Cut);
    desk.done(
        &at("dry-fit"),
        &[sure, ("step", "dry-fit"), ("passes", "yes")],
    );
    assert_eq!(desk.state(hole), State::DryFitted);

    let sentence = desk.refused(&at("set"), &[sure, ("step", "set"), ("below", "0.5 mm")]);
    assert!(sentence.contains("face"), "{sentence}");
    assert_eq!(desk.state(hole), State::DryFitted);
    desk.done(
        &format!("/face/{face}/milled"),
        &[("taken", "0.5 mm"), ("instrument", "height gauge")],
    );
    desk.done(&at("cut"), &[sure, ("step", "countersink")]);
    desk.done(&at("set"), &[sure, ("step", "set"), ("below", "1.5 mm")]);
    assert_eq!(desk.state(hole), State::Set);
    for check in ["rule-across", "runs-in", "square"] {
        desk.done(&at("check"), &[sure, ("step", check), ("passes", "yes")]);
    }
    desk.done(
        &at("prove"),
        &[
            sure,
            ("step", "prove"),
            ("passes", "yes"),
            ("how", "new bolt"),
            ("torque", "20"),
        ],
    );
    assert_eq!(desk.state(hole), State::Proved);
    assert!(desk.get(&page).contains("Nothing: this hole is proved"));

    let sheet =
        holebook_screens::sheet(&desk.notebook, face, holebook_core::length::Unit::Inch).unwrap();
    assert!(sheet.contains("3/8-16 UNC") && sheet.contains("proved"));
}

#[test]
fn setting_early_with_a_reason_is_taken_and_the_reason_stays() {
    let desk = Desk::new();
    let hole = desk.hole();
    let face = desk.notebook.hole(hole).unwrap().face;
    desk.done(&format!("/face/{face}/cut"), &[("planned", ".020")]);
    let at = |form: &str| format!("/hole/{hole}/{form}");
    desk.done(
        &at("reading"),
        &[
            ("depth", "40 mm"),
            ("floor", "12 mm"),
            ("nearest-edge", "30 mm"),
            ("nearest-hole", "60 mm"),
        ],
    );
    desk.done(
        &at("damage"),
        &[("to-0", "30 mm"), ("diameter-0", "9.6 mm")],
    );
    desk.done(&at("wanted"), &[("thread", "3/8-16"), ("through", "blind")]);
    let way = desk
        .hidden(&format!("/hole/{hole}"), &at("choose"), "way")
        .remove(0)
        .replace("&quot;", "\"");
    desk.done(&at("choose"), &[("way", &way)]);
    let choice = desk
        .hidden(&format!("/hole/{hole}"), &at("cut"), "choice")
        .remove(0);
    let early = [
        ("choice", choice.as_str()),
        ("step", "set"),
        ("below", "1 mm"),
        ("reason", "the mill is <away>"),
    ];
    desk.done(&at("set"), &early);
    let page = desk.get(&format!("/hole/{hole}"));
    assert!(
        page.contains("the mill is &lt;away&gt;"),
        "the reason is not shown, or not escaped"
    );
}

#[test]
fn what_cannot_be_taken_records_nothing_and_is_shown_again() {
    let desk = Desk::new();
    let hole = desk.hole();
    let lines = || desk.notebook.history(hole.0, 99, None).unwrap().len();
    let before = lines();
    let at = |form: &str| format!("/hole/{hole}/{form}");
    for (form, fields, told) in [
        ("reading", vec![("depth", "abc")], "abc"),
        ("reading", vec![("depth", "0")], "0"),
        ("reading", vec![("depth", "-3 mm")], "3 mm"),
        ("reading", vec![("depth", "NaN")], "NaN"),
        ("reading", vec![("depth", "30 mm"), ("floor", "1e9")], "1e9"),
        ("reading", vec![], "at least one"),
        ("damage", vec![("diameter-0", "9 mm")], "To depth"),
        ("damage", vec![("from-1", "9 mm")], "Line 2"),
        (
            "damage",
            vec![
                ("to-0", "9 mm"),
                ("from-0", "10 mm"),
                ("diameter-0", "9 mm"),
            ],
            "must end deeper than it starts",
        ),
        ("wanted", vec![("thread", "3/8-17")], "3/8-16"),
        ("wanted", vec![("thread", "G 1/2")], "pipe thread"),
        ("wanted", vec![], "Thread of the bolt"),
        ("damage", vec![], "No damage was written"),
        ("damage", vec![("direction-0", "90")], "Line 1"),
        ("damage", vec![("broken-length", "5 mm")], "which piece"),
        ("damage", vec![("to-diameter-0", "5 mm")], "Line 1"),
        ("damage", vec![("lean-by", "1 mm")], "over which depth"),
        ("damage", vec![("lean-direction", "90")], "by how much"),
        (
            "damage",
            vec![("lean-by", "9 mm"), ("lean-over", "9 mm")],
            "at most 30 degrees",
        ),
        (
            "damage",
            vec![
                ("to-0", "9 mm"),
                ("diameter-0", "9 mm"),
                ("to-diameter-0", "-1 mm"),
            ],
            "ends in a circle",
        ),
        (
            "reading",
            vec![("depth", "30 mm"), ("floor-error", "1 mm")],
            "Metal under the bottom",
        ),
        (
            "reading",
            vec![("depth-instrument", "caliper")],
            "not written",
        ),
        ("note", vec![("text", "   ")], "nothing is written"),
        ("choose", vec![("way", "{}")], "thread"),
        (
            "strike",
            vec![("entry", "x"), ("reason", "wrong")],
            "can't be read",
        ),
        ("prove", vec![("step", "prove")], "remedy"),
    ] {
        let sentence = desk.refused(&at(form), &fields);
        assert!(sentence.contains(told), "{form} {fields:?}: {sentence}");
        assert!(sentence.contains("Nothing was recorded"), "{sentence}");
    }
    assert_eq!(lines(), before);
    let again = text(&desk.post(&at("reading"), &[("depth", "abc"), ("floor", "9 mm")]));
    assert!(again.contains("value=\"9 mm\""), "what was typed is lost");
    assert!(
        again.contains("aria-describedby=\"reading-depth-wrong\" aria-invalid=\"true\""),
        "the wrong field is not pointed out"
    );
    assert!(again.contains("<title>Not recorded: Hole 1"), "the title");
}

#[test]
fn a_page_says_what_was_recorded_in_its_own_words_only() {
    let desk = Desk::new();
    let hole = desk.hole();
    let taken = desk.post(&format!("/hole/{hole}/note"), &[("text", "rusty")]);
    let (_, location) = &taken.headers[0];
    assert_eq!(location, &format!("/hole/{hole}?said=note#next"));
    let asked = |said: &str| {
        let mut request = Request::get(&format!("/hole/{hole}"));
        request.query = vec![("said".to_owned(), said.to_owned())];
        text(&answer(&desk.notebook, &request))
    };
    assert!(asked("note").contains("Note written down."));
    let other = asked("<b>paid</b>");
    assert!(!other.contains("paid") && !other.contains("class=\"recorded\""));
}

#[test]
fn the_address_of_a_form_leads_to_its_page() {
    let desk = Desk::new();
    let hole = desk.hole();
    let response = answer(
        &desk.notebook,
        &Request::get(&format!("/hole/{hole}/reading")),
    );
    assert_eq!(response.status, 303);
    assert_eq!(response.headers[0].1, format!("/hole/{hole}"));
}

#[test]
fn a_number_is_given_once_on_a_face() {
    let desk = Desk::new();
    let face = desk.face();
    let add = format!("/face/{face}/hole");
    let first = desk.done(&add, &[("number", "7")]);
    assert!(desk.refused(&add, &[("number", "7")]).contains("hole 7"));
    let second = desk.done(&add, &[]);
    let number = format!("{second}/number");
    let over = desk.hidden(&second, &number, "over");
    let form = |number| [("over", over[0].as_str()), ("number", number)];
    assert!(desk.refused(&number, &form("7")).contains("hole 7"));
    assert_eq!(desk.done(&number, &form("9")), second);
    assert_ne!(first, second);
}

#[test]
fn addresses_that_lead_nowhere_say_so() {
    let desk = Desk::new();
    for path in [
        "/x",
        "/hole/1",
        "/hole/../..",
        "/photo/x/original",
        "/face//sheet",
        "/casting/0190c0de-0000-7000-8000-000000000000",
    ] {
        let response = answer(&desk.notebook, &Request::get(path));
        assert_eq!(response.status, 404, "{path}");
        assert!(problem(&response).len() > 20, "{path}");
    }
    assert_eq!(desk.post("/hole/x/reading", &[]).status, 404);
    assert_eq!(desk.post("/", &[]).status, 404);
}

#[test]
fn a_photo_that_is_not_here_yet_is_said_so() {
    let desk = Desk::new();
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/photos/print.jpg");
    let (photo, incoming) = desk.notebook.add_photo(desk.face(), &file, None).unwrap();
    std::fs::remove_file(desk.notebook.photos().original(&incoming.hash)).unwrap();
    desk.get(&format!("/photo/{photo}"));
    for file in ["original", "view.jpg", "thumb.jpg"] {
        let response = answer(
            &desk.notebook,
            &Request::get(&format!("/photo/{photo}/{file}")),
        );
        assert_eq!(response.status, 404, "{file}");
        assert!(problem(&response).contains("exchange"), "{file}");
    }
}

#[test]
fn names_are_words_and_never_markup() {
    let desk = Desk::new();
    let name = "<script>alert(1)</script>\"'&";
    let casting = desk.done("/casting", &[("name", name)]);
    for page in [desk.get("/"), desk.get(&casting)] {
        assert!(!page.contains("<script>alert"), "a name became markup");
        assert!(page.contains("&lt;script&gt;alert"));
    }
}

#[test]
fn the_reader_chooses_inches_or_millimetres() {
    let desk = Desk::new();
    let hole = desk.hole();
    desk.done(&format!("/hole/{hole}/reading"), &[("depth", "1.25")]);
    assert!(desk.get(&format!("/hole/{hole}")).contains("1.250 in"));
    desk.done(
        "/settings",
        &[("person", "A"), ("device", "bench"), ("unit", "mm")],
    );
    assert!(desk.get(&format!("/hole/{hole}")).contains("31.75 mm"));
    desk.done(&format!("/hole/{hole}/reading"), &[("floor", "9,5")]);
    assert!(desk.get(&format!("/hole/{hole}")).contains("9.5 mm"));
}

#[test]
fn a_notebook_without_a_writer_asks_for_one() {
    let desk = Desk::new();
    let hole = desk.hole();
    let mut settings = desk.notebook.settings().unwrap();
    settings.person = String::new();
    desk.notebook.set_settings(&settings).unwrap();
    let path = format!("/hole/{hole}");
    desk.done(&format!("{path}/note"), &[("text", "rusty")]);
    let page = desk.get(&path);
    assert!(page.contains("Say who writes here"));
    assert!(page.contains("nobody named, "));
    let form = [("person", "Ada"), ("device", "bench"), ("unit", "mm")];
    desk.done("/settings", &form);
    assert!(!desk.get(&path).contains("Say who writes here"));
}

#[test]
fn a_casting_is_of_a_grade_or_of_a_stated_strength_and_not_of_both() {
    let desk = Desk::new();
    let page = desk.done(
        "/casting",
        &[("name", "Bracket"), ("stated", "steel, 60 ksi")],
    );
    assert!(desk.get(&page).contains("steel of 60000 psi"));
    let over = desk
        .hidden(&page, &format!("{page}/casting"), "over")
        .remove(0);
    let (name, over) = (("name", "Bracket"), ("over", over.as_str()));
    let both = [
        name,
        over,
        ("iron", "ASTM A36"),
        ("stated", "steel of 400 MPa"),
    ];
    let sentence = desk.refused(&format!("{page}/casting"), &both);
    assert!(sentence.contains("keep one of them"), "{sentence}");
    let absurd = [name, over, ("stated", "steel of 60 psi")];
    let sentence = desk.refused(&format!("{page}/casting"), &absurd);
    assert!(
        sentence.contains("check the number and its unit"),
        "{sentence}"
    );
    desk.done(
        &format!("{page}/casting"),
        &[name, over, ("iron", "ASTM A536 grade 65-45-12")],
    );
    assert!(desk.get(&page).contains("ASTM A536 grade 65-45-12"));
}

#[test]
fn with_the_thickness_bolted_on_the_bolt_stands_at_the_proof_and_on_the_sheet() {
    let desk = Desk::new();
    let hole = desk.hole();
    let face = desk.notebook.hole(hole).unwrap().face;
    desk.done(&format!("/face/{face}/cut"), &[("planned", "0")]);
    let at = |form: &str| format!("/hole/{hole}/{form}");
    let readings = [
        ("depth", "1.25"),
        ("floor", ".5"),
        ("nearest-edge", "25 mm"),
        ("nearest-hole", "60 mm"),
        ("grip", ".9"),
        ("grip-instrument", "caliper"),
    ];
    desk.done(&at("reading"), &readings);
    desk.done(
        &at("damage"),
        &[("from-0", "0"), ("to-0", "25 mm"), ("diameter-0", "9.6 mm")],
    );
    desk.done(
        &at("wanted"),
        &[
            ("thread", "3/8-16"),
            ("bolt", "SAE J429 grade 5"),
            ("through", "blind"),
        ],
    );
    let page = format!("/hole/{hole}");
    let way = desk
        .hidden(&page, &at("choose"), "way")
        .remove(0)
        .replace("&quot;", "\"");
    desk.done(&at("choose"), &[("way", &way)]);
    let shown = desk.get(&page);
    for words in [
        "3/8-16 x 2 in",
        "fails first",
        "turns a minute",
        "What the numbers stand on",
    ] {
        assert!(shown.contains(words), "{words}");
    }
    let unit = holebook_core::length::Unit::Inch;
    let sheet = holebook_screens::sheet(&desk.notebook, face, unit).unwrap();
    assert!(sheet.contains("bolt: 3/8-16 x 2 in"));
}
