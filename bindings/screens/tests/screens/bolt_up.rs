//! Bolting up a joint by its page, and reminders.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, text};
use holebook_core::notebook::{FaceId, HoleId};
use holebook_core::strength::Lubrication;
use holebook_screens::{Body, Request, answer};

/// A face with three sound 3/8-16 holes at known positions.
struct Joint {
    screens: Screens,
    face: FaceId,
    holes: Vec<HoleId>,
}

impl Joint {
    fn new() -> Joint {
        let screens = Screens::new();
        let face = screens.face();
        screens.submit(&format!("/face/{face}/cut"), &[("planned", "0")]);
        let hole = |_| {
            let hole = screens.submit(&format!("/face/{face}/hole"), &[]);
            hole.trim_start_matches("/hole/").parse().unwrap()
        };
        let holes: Vec<HoleId> = (0..3).map(hole).collect();
        let joint = Joint {
            screens,
            face,
            holes,
        };
        for hole in &joint.holes {
            joint.make_sound(*hole);
        }
        joint
    }

    /// One whose holes all passed.
    fn passed() -> Joint {
        let joint = Joint::new();
        joint.holes.iter().for_each(|hole| joint.pass(*hole));
        joint
    }

    fn make_sound(&self, hole: HoleId) {
        let form = |form: &str| format!("/hole/{hole}/{form}");
        let thread = [
            ("thread", "3/8-16"),
            ("bolt", "SAE J429 grade 5"),
            ("through", "blind"),
        ];
        self.screens.submit(&form("wanted-thread"), &thread);
        self.screens.submit(&form("damage"), &[("no-damage", "on")]);
        let readings = [
            ("depth", "1.500"),
            ("full-thread", "1.250"),
            ("grip", ".500"),
        ];
        self.screens.submit(&form("reading"), &readings);
    }

    fn pass(&self, hole: HoleId) {
        use holebook_core::hole::record::{FinalCheck, Remedy, RemedySpec};
        use holebook_core::notebook::HoleEntry;
        let check = FinalCheck {
            spec: RemedySpec {
                remedy: Remedy::Leave,
                ..RemedySpec::BEFORE_CHOICE
            },
            passes: true,
            how: "plug gauge".to_owned(),
            torque_nm: None,
            engaged: None,
            reason: None,
        };
        let notebook = &self.screens.notebook;
        notebook
            .record(hole, HoleEntry::FinalCheck(check), &[])
            .unwrap();
        let status = notebook.hole(hole).unwrap().status;
        assert_eq!(status.stage.label(), "passed", "{status:?}");
    }

    fn page(&self) -> String {
        self.screens.get(&format!("/face/{}/bolt-up", self.face))
    }

    /// Presses the first button of a page that records a bolt.
    fn tap(&self, page: &str, action: &str) -> String {
        let fields = ["hole", "pass", "torque", "bolts"];
        let values = fields.map(|name| self.screens.hidden(page, action, name).remove(0));
        let form: Vec<(&str, &str)> = fields
            .into_iter()
            .zip(values.iter().map(|it| &**it))
            .collect();
        let response = self.screens.post(action, &form);
        assert_eq!(response.status, 303, "{}", text(&response));
        response.headers[0].1.clone()
    }

    fn tighten(&self, hole: HoleId, pass: &str, torque: &str) -> String {
        let path = format!("/face/{}/bolt-up/tighten", self.face);
        let hole = hole.to_string();
        let fields = [("hole", &*hole), ("pass", pass), ("torque", torque)];
        let response = self.screens.post(&path, &fields);
        match response.status {
            303 => String::new(),
            _ => text(&response),
        }
    }
}

#[test]
fn a_joint_with_an_open_hole_is_not_bolted_up_and_says_which() {
    let joint = Joint::new();
    joint.pass(joint.holes[0]);
    joint.pass(joint.holes[2]);
    let page = joint.page();
    assert!(page.contains("Not ready to bolt up"), "{page}");
    assert!(page.contains(&format!("/hole/{}#next", joint.holes[1])));
    assert!(!page.contains(&format!("/hole/{}#next", joint.holes[0])));
    let refused = joint.tighten(joint.holes[0], "first", "");
    assert!(refused.contains("these holes are open: 2"), "{refused}");
    let record = joint.screens.notebook.hole(joint.holes[0]).unwrap().record;
    assert!(record.tightened.is_empty());
}

#[test]
fn a_joint_is_bolted_up_by_one_tap_for_each_bolt_and_pass() {
    let joint = Joint::passed();
    let action = format!("/face/{}/bolt-up/tighten", joint.face);
    let page_path = format!("/face/{}/bolt-up", joint.face);
    for _pass in 0..5 {
        for _bolt in 0..3 {
            assert!(joint.page().contains("left in this pass"));
            joint.tap(&page_path, &action);
        }
    }
    let page = joint.page();
    assert!(
        page.contains("Bolted up, and checked after the first warm-up."),
        "{page}"
    );
    assert!(page.contains("the thread in the metal strips") || page.contains("the bolt breaks"));

    // A later fact takes it back.
    let tool = [("tool", "bottoming tap"), ("kind", "broke-in-hole")];
    let path = format!("/hole/{}/tool-trouble", joint.holes[1]);
    joint.screens.submit(&path, &tool);
    let page = joint.page();
    assert!(page.contains("Not ready to bolt up"), "{page}");
    assert!(page.contains("start again from the first pass"), "{page}");
    let hole = joint.screens.get(&format!("/hole/{}", joint.holes[1]));
    assert!(hole.contains("bottoming tap") && hole.contains("broke off in this hole"));
}

#[test]
fn a_torque_out_of_the_range_is_asked_about_once() {
    let joint = Joint::passed();
    let hole = joint.holes[0].to_string();
    let path = format!("/face/{}/bolt-up/tighten", joint.face);
    let fields = [("hole", &*hole), ("pass", "full"), ("torque", "250")];
    let (page, key) = joint.screens.asked(&path, &fields);
    assert!(page.contains("the range of this pass"), "{page}");
    let answered = [fields[0], fields[1], fields[2], ("confirmed", &*key)];
    joint.screens.submit(&path, &answered);
    let nonsense = joint.tighten(joint.holes[1], "full", "plenty");
    assert!(nonsense.contains("is not a torque"), "{nonsense}");
    let nonsense = joint.tighten(joint.holes[1], "sideways", "");
    assert!(nonsense.contains("names no known pass"), "{nonsense}");
}

/// The kit has a bolt for each hole until it is in.
#[test]
fn a_bolt_that_is_tightened_is_not_in_the_kit() {
    let joint = Joint::passed();
    let kit = || joint.screens.get(&format!("/face/{}/kit", joint.face));
    let before = kit();
    joint.tighten(joint.holes[0], "first", "");
    let after = kit();
    let open = |page: &str, hole: HoleId| page.contains(&format!("/hole/{hole}#next"));
    assert!(open(&before, joint.holes[0]) && !open(&after, joint.holes[0]));
    assert!(open(&after, joint.holes[1]), "{after}");
}

#[test]
fn the_sheet_has_a_box_for_each_bolt_and_pass_that_is_not_done() {
    let joint = Joint::passed();
    assert!(joint.page().contains("/bolt-up/sheet?bolts=oiled"));
    let path = format!("/face/{}/bolt-up/sheet?bolts=dry", joint.face);
    let boxes = || {
        let page = joint.screens.get(&path);
        page.matches("<td class=\"to-write\"></td>").count()
    };
    assert_eq!(boxes(), 15);
    joint.tighten(joint.holes[1], "first", "");
    assert_eq!(boxes(), 14);
    let page = joint.screens.get(&path);
    for wanted in [
        "plain steel, dry",
        "Sealer",
        "After the first warm-up",
        "Caution: ",
        "3/8-16 x",
    ] {
        assert!(page.contains(wanted), "{wanted}: {page}");
    }
    assert!(
        page.contains("/sheet/bolt-up.pdf?paper=a4&amp;bolts=dry"),
        "{page}"
    );
    let other = "/bolt-up/sheet?bolts=zinc\"";
    assert!(page.contains(other), "{page}");
    // The sheets of the face ask how the bolts are lubricated.
    let sheets = joint.screens.get(&format!("/face/{}/sheet", joint.face));
    let file = format!("/face/{}/sheet/bolt-up.pdf", joint.face);
    assert!(sheets.contains(&format!("action=\"{file}\"")), "{sheets}");
    assert!(
        sheets.contains("<option value=\"\" selected>as recorded, else machine oil</option>"),
        "{sheets}"
    );
    let mut request = Request::get(&file);
    request.query = vec![("bolts".to_owned(), "dry".to_owned())];
    let pdf = answer(&joint.screens.notebook, &request);
    assert!(matches!(pdf.body, Body::Bytes(bytes) if bytes.starts_with(b"%PDF-")));
}

/// A lubricated bolt reaches the same clamp load with less torque (T = K D F, K .15 to .20).
#[test]
fn oiled_bolts_get_the_lower_torque_unless_a_person_says_otherwise() {
    let joint = Joint::passed();
    let path = format!("/face/{}/bolt-up", joint.face);
    let action = format!("{path}/tighten");
    let torque = |query: &str| {
        let page = format!("{path}{query}");
        let aim = joint.screens.hidden(&page, &action, "torque").remove(0);
        aim.split(' ').next().unwrap().parse::<f64>().unwrap()
    };
    let (oiled, dry) = (torque(""), torque("?bolts=dry"));
    assert!((dry / oiled - 0.20 / 0.15).abs() < 1e-6, "{oiled} {dry}");
}

/// The choice in force is on the button before the tap, in the entry, and in force on the next page.
#[test]
fn a_tap_records_how_the_bolt_was_lubricated() {
    let joint = Joint::passed();
    let path = format!("/face/{}/bolt-up", joint.face);
    let action = format!("{path}/tighten");
    assert!(
        joint.page().contains("in-lb, oiled</button>"),
        "{}",
        joint.page()
    );
    let dry = format!("{path}?bolts=dry");
    assert!(joint.screens.get(&dry).contains("in-lb, dry</button>"));
    let next = joint.tap(&dry, &action);
    assert!(next.contains("&bolts=dry"), "{next}");
    let tightened = |hole: usize| {
        joint
            .screens
            .notebook
            .hole(joint.holes[hole])
            .unwrap()
            .record
            .tightened
    };
    assert_eq!(tightened(0)[0].body.lubrication, Some(Lubrication::Dry));
    let page = joint.page();
    assert!(page.contains("in-lb, dry</button>"), "{page}");
    let list = page
        .split_once("In the order of tightening</caption>")
        .unwrap()
        .1;
    assert!(
        list.contains("first pass: ") && list.contains("in-lb, plain steel, dry<br>"),
        "{list}"
    );
    assert!(!page.contains("lubricated differently"));
    // The sheet and the record say it too, and follow what is recorded.
    let sheet = joint.screens.get(&format!("{path}/sheet"));
    assert!(sheet.contains("in-lb, dry</td>") && sheet.contains("plain steel, dry. The torque is"));
    let record = joint.screens.get(&format!("/face/{}/record", joint.face));
    assert!(
        record.contains("first pass") && record.contains("in-lb, plain steel, dry"),
        "{record}"
    );
    // A form that names another is refused; one that names none records none.
    let hole = joint.holes[1].to_string();
    let fields = [("hole", &*hole), ("pass", "first"), ("bolts", "grease")];
    let wrong = joint.screens.rejected(&action, &fields);
    assert!(wrong.contains("no known lubrication"), "{wrong}");
    joint.screens.submit(&action, &fields[..2]);
    assert_eq!(tightened(1)[0].body.lubrication, None);
}

/// Undo takes the bolt back, and not the choice.
#[test]
fn undo_of_a_bolt_keeps_the_lubrication_that_was_chosen() {
    let joint = Joint::passed();
    let path = format!("/face/{}/bolt-up", joint.face);
    joint.tap(&format!("{path}?bolts=zinc"), &format!("{path}/tighten"));
    let record = joint.screens.notebook.hole(joint.holes[0]).unwrap().record;
    let entry = record.tightened[0].entry.to_string();
    let fields = [("entry", &*entry), ("back", &*path)];
    let undone = joint.screens.post("/undo", &fields);
    let (_, next) = &undone.headers[0];
    assert_eq!(*next, format!("{path}?notice=undone&bolts=zinc"));
}

#[test]
fn bolts_that_were_not_lubricated_alike_and_torques_out_of_range_are_named() {
    let joint = Joint::passed();
    let path = format!("/face/{}/bolt-up", joint.face);
    let action = format!("{path}/tighten");
    joint.tap(&path, &action);
    let other = "The bolts tightened so far are recorded with this lubrication: machine oil.";
    let dry = format!("{path}?bolts=dry");
    assert!(!joint.page().contains(other) && joint.screens.get(&dry).contains(other));
    // What suits an oiled bolt is too little for a dry one, and is judged so on every page.
    let torque = joint.screens.hidden(&path, &action, "torque").remove(0);
    let hole = joint.holes[1].to_string();
    let fields = [
        ("hole", &*hole),
        ("pass", "first"),
        ("torque", &*torque),
        ("bolts", "dry"),
    ];
    let (_, key) = joint.screens.asked(&action, &fields);
    joint
        .screens
        .submit(&action, &[&fields[..], &[("confirmed", &*key)]].concat());
    let alike = "lubricated differently. Plain steel, dry: hole 2. Machine oil: hole 1.";
    let outside = "): hole 2 at ";
    for page in [
        path.clone(),
        dry,
        format!("{path}/sheet"),
        format!("{path}/sheet?bolts=zinc"),
    ] {
        let page = joint.screens.get(&page);
        assert!(
            page.contains(alike)
                && page.contains(outside)
                && page.contains("(first pass, plain steel, dry: "),
            "{page}"
        );
        assert!(!page.contains("(first pass, machine oil: "), "{page}");
    }
}

#[test]
fn the_order_goes_by_number_until_it_is_known_where_the_holes_are() {
    let joint = Joint::passed();
    assert!(joint.page().contains("Where the holes are is not known"));
}

#[test]
fn a_reminder_is_on_the_first_page_and_its_face_until_it_is_done() {
    let joint = Joint::new();
    let face = format!("/face/{}", joint.face);
    let remind = format!("{face}/remind");
    let fields = [("text", "sealer has cured"), ("due", "2026-12-01T08:00")];
    assert_eq!(joint.screens.submit(&remind, &fields), face);
    for page in ["/", &face, &format!("{face}/bolt-up")] {
        let page = joint.screens.get(page);
        assert!(page.contains("sealer has cured") && page.contains("1 Dec 2026, 08:00"));
    }
    let wrong = joint
        .screens
        .rejected(&remind, &[("text", "x"), ("due", "tomorrow")]);
    assert!(wrong.contains("is not a date and time"), "{wrong}");
    let done = format!("{face}/reminder-done");
    let entry = joint.screens.hidden("/", &done, "entry").remove(0);
    assert_eq!(
        joint
            .screens
            .submit(&done, &[("entry", &entry), ("back", "/")]),
        "/"
    );
    assert!(!joint.screens.get("/").contains("sealer has cured"));
}

#[test]
fn a_try_is_recorded_in_one_tap_and_heat_warns_of_hard_metal() {
    let joint = Joint::new();
    let hole = joint.holes[0];
    joint.pass(hole);
    let path = format!("/hole/{hole}");
    assert!(!joint.screens.get(&path).contains("left hard iron here"));
    joint
        .screens
        .submit(&format!("{path}/try"), &[("removal", "weld-nut")]);
    let page = joint.screens.get(&path);
    assert!(
        page.contains("nut welded on") && page.contains("left hard iron here"),
        "{page}"
    );
    assert_ne!(joint.screens.stage(hole).label(), "passed");
    let other = joint
        .screens
        .rejected(&format!("{path}/try"), &[("removal", "other")]);
    assert!(other.contains("type what was done"), "{other}");
    let named = [("removal", "other"), ("note", "soaked for a week")];
    joint.screens.submit(&format!("{path}/try"), &named);
    joint
        .screens
        .submit(&format!("{path}/time"), &[("minutes", "80")]);
    let page = joint.screens.get(&path);
    assert!(
        page.contains("soaked for a week") && page.contains("1 h 20 min"),
        "{page}"
    );
    let wrong = joint
        .screens
        .rejected(&format!("{path}/time"), &[("minutes", "-3")]);
    assert!(wrong.contains("not a number of minutes"), "{wrong}");
    // Past midnight.
    let time = format!("{path}/time");
    joint
        .screens
        .submit(&time, &[("began", "23:40"), ("ended", "00:10")]);
    assert!(joint.screens.get(&path).contains("1 h 50 min"));
    for (began, ended, wanted) in [
        ("23:40", "", "when you stopped"),
        ("", "23:40", "when you started"),
        ("08:00", "08:00", "same as the start"),
        ("noon", "13:00", "not a time of the day"),
    ] {
        let fields = [("began", began), ("ended", ended)];
        let wrong = joint.screens.rejected(&time, &fields);
        assert!(wrong.contains(wanted), "{wrong}");
    }

    joint
        .screens
        .submit(&format!("{path}/damage"), &[("no-damage", "on")]);
    assert!(!joint.screens.get(&path).contains("left hard iron here"));
}
