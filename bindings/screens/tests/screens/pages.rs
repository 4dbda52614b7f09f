//! The screens, called directly: the main job form by form, and how they reject invalid input.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, problem, text};
use holebook_core::hole::stage::Stage;
use holebook_screens::{Request, answer};
use std::path::Path;

#[test]
fn loose_hole_from_first_reading_to_final_check() {
    let screens = Screens::new();
    let hole = screens.hole();
    let face = screens.notebook.hole(hole).unwrap().face;
    screens.submit(&format!("/face/{face}/cut"), &[("planned", "0.5 mm")]);
    let page = format!("/hole/{hole}");
    let at = |form: &str| format!("/hole/{hole}/{form}");
    assert!(screens.get(&page).contains("Which bolt goes in?"));

    screens.submit(
        &at("reading"),
        &[
            ("depth", "1.25"),
            ("depth-instrument", "depth gauge"),
            ("floor", ".4"),
            ("nearest-edge", "25 mm"),
            ("nearest-hole", "60 mm"),
            ("bore", "9.4 mm"),
            ("bore-tolerance", "0.1 mm"),
        ],
    );
    assert_eq!(screens.stage(hole), Stage::Measured);
    screens.submit(
        &at("damage"),
        &[("from-0", "0"), ("to-0", "30 mm"), ("diameter-0", "9.6 mm")],
    );
    screens.submit(
        &at("wanted-thread"),
        &[
            ("thread", "3/8-16"),
            ("bolt", "SAE J429 grade 5"),
            ("through", "blind"),
        ],
    );

    let remedy = screens
        .hidden(&page, &at("remedy"), "remedy")
        .remove(0)
        .replace("&quot;", "\"");
    screens.submit(&at("remedy"), &[("remedy", &remedy)]);
    assert_eq!(screens.stage(hole), Stage::Planned);

    let choice = screens.hidden(&page, &at("cut"), "choice").remove(0);
    let choice = ("choice", choice.as_str());
    screens.submit(
        &at("cut"),
        &[
            choice,
            ("step", "drill"),
            ("depth", "29 mm"),
            ("tool", "drill X"),
        ],
    );
    screens.submit(&at("cut"), &[choice, ("step", "tap"), ("depth", "24 mm")]);
    assert_eq!(screens.stage(hole), Stage::Cut);
    screens.submit(
        &at("trial-fit"),
        &[choice, ("step", "trial-fit"), ("passes", "yes")],
    );
    assert_eq!(screens.stage(hole), Stage::TrialFitted);

    let message = screens.rejected(
        &at("install"),
        &[choice, ("step", "install"), ("below", "0.5 mm")],
    );
    assert!(message.contains("face"), "{message}");
    assert_eq!(screens.stage(hole), Stage::TrialFitted);
    screens.submit(
        &format!("/face/{face}/milled"),
        &[("taken", "0.5 mm"), ("instrument", "height gauge")],
    );
    screens.submit(&at("cut"), &[choice, ("step", "countersink")]);
    screens.submit(
        &at("install"),
        &[choice, ("step", "install"), ("below", "1.5 mm")],
    );
    assert_eq!(screens.stage(hole), Stage::Installed);
    for check in ["stake-check", "runs-in-by-hand", "square"] {
        screens.submit(&at("check"), &[choice, ("step", check), ("passes", "yes")]);
    }
    screens.submit(
        &at("final-check"),
        &[
            choice,
            ("step", "final-check"),
            ("passes", "yes"),
            ("how", "new bolt"),
            ("torque", "20"),
        ],
    );
    assert_eq!(screens.stage(hole), Stage::Passed);
    assert!(screens.get(&page).contains("Done. Passed."));

    let sheet = holebook_screens::sheet(&screens.notebook, face, holebook_core::length::Unit::Inch)
        .unwrap();
    assert!(sheet.contains("3/8-16 UNC") && sheet.contains("passed"));
}

#[test]
fn early_install_with_a_reason_is_recorded_with_the_reason() {
    let screens = Screens::new();
    let hole = screens.hole();
    let face = screens.notebook.hole(hole).unwrap().face;
    screens.submit(&format!("/face/{face}/cut"), &[("planned", ".020")]);
    let at = |form: &str| format!("/hole/{hole}/{form}");
    screens.submit(
        &at("reading"),
        &[
            ("depth", "40 mm"),
            ("floor", "12 mm"),
            ("nearest-edge", "30 mm"),
            ("nearest-hole", "60 mm"),
        ],
    );
    screens.submit(
        &at("damage"),
        &[("to-0", "30 mm"), ("diameter-0", "9.6 mm")],
    );
    screens.submit(
        &at("wanted-thread"),
        &[("thread", "3/8-16"), ("through", "blind")],
    );
    let remedy = screens
        .hidden(&format!("/hole/{hole}"), &at("remedy"), "remedy")
        .remove(0)
        .replace("&quot;", "\"");
    screens.submit(&at("remedy"), &[("remedy", &remedy)]);
    let choice = screens
        .hidden(&format!("/hole/{hole}"), &at("cut"), "choice")
        .remove(0);
    let early = [
        ("choice", choice.as_str()),
        ("step", "install"),
        ("below", "2 mm"),
        ("reason", "the mill is <away>"),
    ];
    screens.submit(&at("install"), &early);
    let page = screens.get(&format!("/hole/{hole}"));
    assert!(
        page.contains("the mill is &lt;away&gt;"),
        "the reason is not shown, or not escaped"
    );
}

#[test]
fn rejected_form_records_nothing_and_is_shown_again() {
    let screens = Screens::new();
    let hole = screens.hole();
    let lines = || screens.notebook.history(hole.0, 99, None).unwrap().len();
    let before = lines();
    let at = |form: &str| format!("/hole/{hole}/{form}");
    for (form, fields, expected) in [
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
        ("wanted-thread", vec![("thread", "3/8-17")], "3/8-16"),
        ("wanted-thread", vec![("thread", "G 1/2")], "pipe thread"),
        ("wanted-thread", vec![], "Bolt thread"),
        ("damage", vec![], "No damage was entered"),
        ("damage", vec![("direction-0", "90")], "Line 1"),
        ("damage", vec![("broken-length", "5 mm")], "which piece"),
        ("damage", vec![("lower-diameter-0", "5 mm")], "Line 1"),
        ("damage", vec![("tilt-by", "1 mm")], "depth over which"),
        (
            "damage",
            vec![("tilt-direction", "3:30")],
            "how far it leans",
        ),
        (
            "damage",
            vec![("tilt-by", "9 mm"), ("tilt-over", "9 mm")],
            "at most 30 degrees",
        ),
        (
            "damage",
            vec![
                ("to-0", "9 mm"),
                ("diameter-0", "9 mm"),
                ("lower-diameter-0", "-1 mm"),
            ],
            "ends in a circle",
        ),
        (
            "reading",
            vec![("depth", "30 mm"), ("floor-tolerance", "1 mm")],
            "Floor thickness",
        ),
        (
            "reading",
            vec![("depth-instrument", "caliper")],
            "is missing",
        ),
        ("note", vec![("text", "   ")], "required"),
        ("remedy", vec![("remedy", "{}")], "thread"),
        (
            "strike-out",
            vec![("entry", "x"), ("reason", "wrong")],
            "unreadable",
        ),
        ("final-check", vec![("step", "final-check")], "remedy"),
    ] {
        let message = screens.rejected(&at(form), &fields);
        assert!(message.contains(expected), "{form} {fields:?}: {message}");
        assert!(message.contains("Nothing was recorded"), "{message}");
    }
    assert_eq!(lines(), before);
    let again = text(&screens.post(&at("reading"), &[("depth", "abc"), ("floor", "9 mm")]));
    assert!(again.contains("value=\"9 mm\""), "what was typed is lost");
    assert!(
        again.contains("aria-describedby=\"reading-depth-wrong\" aria-invalid=\"true\""),
        "the wrong field is not pointed out"
    );
    assert!(again.contains("<title>Not recorded: Hole 1"), "the title");
}

#[test]
fn notice_shows_fixed_text_only() {
    let screens = Screens::new();
    let hole = screens.hole();
    let accepted = screens.post(&format!("/hole/{hole}/note"), &[("text", "rusty")]);
    let (_, location) = &accepted.headers[0];
    let (page, rest) = location.split_once("&undo=").unwrap();
    assert_eq!(page, format!("/hole/{hole}?notice=note"));
    assert!(rest.ends_with("#next"), "{rest}");
    let with_notice = |notice: &str| {
        let mut request = Request::get(&format!("/hole/{hole}"));
        request.query = vec![("notice".to_owned(), notice.to_owned())];
        text(&answer(&screens.notebook, &request))
    };
    assert!(with_notice("note").contains("Note added."));
    let other = with_notice("<b>paid</b>");
    assert!(!other.contains("paid") && !other.contains("class=\"notice\""));
}

#[test]
fn address_of_a_form_redirects_to_its_page() {
    let screens = Screens::new();
    let hole = screens.hole();
    let response = answer(
        &screens.notebook,
        &Request::get(&format!("/hole/{hole}/reading")),
    );
    assert_eq!(response.status, 303);
    assert_eq!(response.headers[0].1, format!("/hole/{hole}"));
}

#[test]
fn hole_number_is_unique_on_a_face() {
    let screens = Screens::new();
    let face = screens.face();
    let add = format!("/face/{face}/hole");
    let first = screens.submit(&add, &[("number", "7")]);
    assert!(
        screens
            .rejected(&add, &[("number", "7")])
            .contains("hole 7")
    );
    let second = screens.submit(&add, &[]);
    let number = format!("{second}/number");
    let replaces = screens.hidden(&second, &number, "replaces");
    let form = |number| [("replaces", replaces[0].as_str()), ("number", number)];
    assert!(screens.rejected(&number, &form("7")).contains("hole 7"));
    assert_eq!(screens.submit(&number, &form("9")), second);
    assert_ne!(first, second);
}

#[test]
fn unknown_addresses_are_not_found() {
    let screens = Screens::new();
    for path in [
        "/x",
        "/hole/1",
        "/hole/../..",
        "/photo/x/original",
        "/face//sheet",
        "/casting/0190c0de-0000-7000-8000-000000000000",
    ] {
        let response = answer(&screens.notebook, &Request::get(path));
        assert_eq!(response.status, 404, "{path}");
        assert!(problem(&response).len() > 20, "{path}");
    }
    assert_eq!(screens.post("/hole/x/reading", &[]).status, 404);
    assert_eq!(screens.post("/", &[]).status, 404);
}

#[test]
fn photo_that_has_not_arrived_is_not_found() {
    let screens = Screens::new();
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/photos/print.jpg");
    let (photo, incoming) = screens
        .notebook
        .add_photo(screens.face(), &file, None)
        .unwrap();
    std::fs::remove_file(screens.notebook.photos().original(&incoming.hash)).unwrap();
    screens.get(&format!("/photo/{photo}"));
    for file in ["original", "view.jpg", "thumb.jpg"] {
        let response = answer(
            &screens.notebook,
            &Request::get(&format!("/photo/{photo}/{file}")),
        );
        assert_eq!(response.status, 404, "{file}");
        assert!(problem(&response).contains("sync"), "{file}");
    }
}

#[test]
fn names_are_escaped() {
    let screens = Screens::new();
    let name = "<script>alert(1)</script>\"'&";
    let casting = screens.submit("/casting", &[("name", name)]);
    for page in [screens.get("/"), screens.get(&casting)] {
        assert!(!page.contains("<script>alert"), "a name became markup");
        assert!(page.contains("&lt;script&gt;alert"));
    }
}

#[test]
fn reader_chooses_inches_or_millimeters() {
    let screens = Screens::new();
    let hole = screens.hole();
    screens.submit(&format!("/hole/{hole}/reading"), &[("depth", "1.25")]);
    assert!(
        screens
            .get(&format!("/hole/{hole}"))
            .contains("1.250\u{a0}in")
    );
    screens.submit(
        "/settings",
        &[("person", "A"), ("device", "bench"), ("unit", "mm")],
    );
    assert!(
        screens
            .get(&format!("/hole/{hole}"))
            .contains("31.75\u{a0}mm")
    );
    screens.submit(&format!("/hole/{hole}/reading"), &[("floor", "9,5")]);
    assert!(
        screens
            .get(&format!("/hole/{hole}"))
            .contains("9.5\u{a0}mm")
    );
}

#[test]
fn notebook_without_a_name_asks_for_one() {
    let screens = Screens::new();
    let hole = screens.hole();
    let mut settings = screens.notebook.settings().unwrap();
    settings.person = String::new();
    screens.notebook.set_settings(&settings).unwrap();
    let path = format!("/hole/{hole}");
    screens.submit(&format!("{path}/note"), &[("text", "rusty")]);
    let page = screens.get(&path);
    assert!(page.contains("Enter your name"));
    assert!(page.contains("no name, "));
    let form = [("person", "Ada"), ("device", "bench"), ("unit", "mm")];
    screens.submit("/settings", &form);
    assert!(!screens.get(&path).contains("Enter your name"));
}

#[test]
fn casting_has_a_grade_or_a_strength_not_both() {
    let screens = Screens::new();
    let page = screens.submit(
        "/casting",
        &[("name", "Bracket"), ("metal-strength", "steel, 60 ksi")],
    );
    assert!(screens.get(&page).contains("steel of 60000 psi"));
    let replaces = screens
        .hidden(&page, &format!("{page}/edit"), "replaces")
        .remove(0);
    let (name, replaces) = (("name", "Bracket"), ("replaces", replaces.as_str()));
    let both = [
        name,
        replaces,
        ("metal", "ASTM A36"),
        ("metal-strength", "steel of 400 MPa"),
    ];
    let message = screens.rejected(&format!("{page}/edit"), &both);
    assert!(message.contains("keep one"), "{message}");
    let absurd = [name, replaces, ("metal-strength", "steel of 60 psi")];
    let message = screens.rejected(&format!("{page}/edit"), &absurd);
    assert!(message.contains("check the number and unit"), "{message}");
    screens.submit(
        &format!("{page}/edit"),
        &[name, replaces, ("metal", "ASTM A536 grade 65-45-12")],
    );
    assert!(screens.get(&page).contains("ASTM A536 grade 65-45-12"));
}

#[test]
fn grip_gives_the_bolt_at_the_final_check_and_on_the_sheet() {
    let screens = Screens::new();
    let hole = screens.hole();
    let face = screens.notebook.hole(hole).unwrap().face;
    screens.submit(&format!("/face/{face}/cut"), &[("planned", "0")]);
    let at = |form: &str| format!("/hole/{hole}/{form}");
    let readings = [
        ("depth", "1.5"),
        ("floor", ".5"),
        ("nearest-edge", "25 mm"),
        ("nearest-hole", "60 mm"),
        ("grip", ".98"),
        ("grip-instrument", "caliper"),
    ];
    screens.submit(&at("reading"), &readings);
    screens.submit(
        &at("damage"),
        &[("from-0", "0"), ("to-0", "25 mm"), ("diameter-0", "9.6 mm")],
    );
    screens.submit(
        &at("wanted-thread"),
        &[
            ("thread", "3/8-16"),
            ("bolt", "SAE J429 grade 5"),
            ("through", "blind"),
        ],
    );
    let page = format!("/hole/{hole}");
    let remedy = screens
        .hidden(&page, &at("remedy"), "remedy")
        .remove(0)
        .replace("&quot;", "\"");
    screens.submit(&at("remedy"), &[("remedy", &remedy)]);
    let shown = screens.get(&page);
    for text in [
        ">3/8-16 x 2<",
        "Fails first",
        "RPM",
        "Where these numbers come from",
    ] {
        assert!(shown.contains(text), "{text}");
    }
    let unit = holebook_core::length::Unit::Inch;
    let sheet = holebook_screens::sheet(&screens.notebook, face, unit).unwrap();
    let at = sheet.find("bolt: ").map_or(0, |at| at);
    assert!(
        sheet.contains("bolt: 3/8-16 x 2<"),
        "{}",
        &sheet[at..at + 60]
    );
}

#[test]
fn shop_limits_are_recorded_judged_by_and_on_the_sheet() {
    let screens = Screens::new();
    let hole = screens.hole();
    let face = screens.notebook.hole(hole).unwrap().face;
    let unit = holebook_core::length::Unit::Inch;
    let sheet = || holebook_screens::sheet(&screens.notebook, face, unit).unwrap();
    assert!(!sheet().contains("this shop's limits"));
    screens.submit(
        "/settings/limits",
        &[("limit-wall_mm", ".1"), ("limit-tilt_deg", "2")],
    );
    let limits = screens.notebook.limits().unwrap();
    assert_eq!((limits.wall_mm, limits.tilt_deg), (2.54, 2.0));
    assert_eq!(limits.changed().len(), 2);
    let page = screens.get("/settings");
    assert!(page.contains("Limits, 2 changed"), "not shown");
    let at = page.find("limit-wall_mm\"").unwrap_or_default();
    assert!(
        page.contains("value=\".100 in\""),
        "{}",
        &page[at..at + 200]
    );
    assert!(sheet().contains("this shop's limits"));
    // One that cannot be right comes back with what was typed.
    let rejected = screens.rejected("/settings/limits", &[("limit-tilt_deg", "90")]);
    assert!(
        rejected.contains("must be a number from 0 to 45"),
        "{rejected}"
    );
    assert_eq!(screens.notebook.limits().unwrap(), limits);
    // All blank: the standard limits again.
    screens.submit("/settings/limits", &[("limit-wall_mm", "")]);
    assert!(screens.notebook.limits().unwrap().changed().is_empty());
}
