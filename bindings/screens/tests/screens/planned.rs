//! Steps recorded with one tap, on a hole's page and in a tool run.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, problem, text};
use holebook_core::hole::record::Remedy;
use holebook_core::hole::stage::Stage;
use holebook_core::notebook::{FaceId, HoleId};
use holebook_screens::Response;

/// A face with loose 3/8-16 holes, a wire insert chosen for each, and .020 in to come off.
struct Job {
    screens: Screens,
    face: FaceId,
    holes: Vec<HoleId>,
}

impl Job {
    fn new(holes: usize) -> Job {
        let screens = Screens::new();
        let face = screens.face();
        screens.submit(&format!("/face/{face}/cut"), &[("planned", ".020")]);
        for _ in 0..holes {
            screens.submit(&format!("/face/{face}/hole"), &[]);
        }
        let view = screens.notebook.face(face).unwrap();
        let holes: Vec<HoleId> = view.holes.iter().map(|hole| hole.id).collect();
        for hole in &holes {
            plan_hole(&screens, *hole);
        }
        Job {
            screens,
            face,
            holes,
        }
    }

    /// The fields of the first one-tap form on a page, with its first button pressed.
    fn tap_on(&self, path: &str, hole: HoleId) -> Vec<(String, String)> {
        let page = self.screens.get(path);
        let action = format!("action=\"/hole/{hole}/as-planned\"");
        let form = page.split("<form").find(|form| form.contains(&action));
        let form = form.unwrap_or_else(|| panic!("{path} has no tap for {hole}"));
        let form = form.split("</form>").next().unwrap();
        let mut fields: Vec<(String, String)> = Vec::new();
        for field in form.split("name=\"").skip(1) {
            let (name, rest) = field.split_once("\" value=\"").unwrap();
            let value = rest.split('"').next().unwrap();
            if fields.iter().all(|(known, _)| known != name) {
                fields.push((name.to_owned(), value.to_owned()));
            }
        }
        fields
    }

    /// Presses it; returns where it leads.
    fn tap(&self, path: &str, hole: HoleId) -> String {
        let response = self.press(hole, &self.tap_on(path, hole));
        assert_eq!(response.status, 303, "{}", problem(&response));
        response.headers[0].1.clone()
    }

    fn press(&self, hole: HoleId, fields: &[(String, String)]) -> Response {
        let fields: Vec<(&str, &str)> = fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        self.screens
            .post(&format!("/hole/{hole}/as-planned"), &fields)
    }

    fn mill(&self) {
        self.screens.submit(
            &format!("/face/{}/milled", self.face),
            &[("taken", ".020"), ("instrument", "depth micrometer")],
        );
    }
}

fn plan_hole(screens: &Screens, hole: HoleId) {
    let form = |form: &str| format!("/hole/{hole}/{form}");
    let readings = [
        ("depth", "1.500"),
        ("floor", ".500"),
        ("nearest-edge", "1.250"),
        ("nearest-hole", "2.500"),
    ];
    screens.submit(&form("reading"), &readings);
    let damage = [("to-0", ".9"), ("diameter-0", ".370")];
    screens.submit(&form("damage"), &damage);
    let wanted = [("thread", "3/8-16"), ("through", "blind")];
    screens.submit(&form("wanted-thread"), &wanted);
    let remedies = screens.hidden_all(&format!("/hole/{hole}"), &form("remedy"), "remedy");
    let remedies = remedies
        .into_iter()
        .map(|remedy| remedy.replace("&quot;", "\""));
    let mut wire = remedies.filter(|remedy| remedy.contains("wire-insert"));
    screens.submit(
        &form("remedy"),
        &[
            ("remedy", &wire.next().unwrap()),
            ("reason", "in the drawer"),
        ],
    );
}

#[test]
fn a_wire_insert_goes_from_chosen_to_passed_with_one_tap_a_step() {
    let job = Job::new(1);
    let hole = job.holes[0];
    let page = format!("/hole/{hole}");
    let mut taps = 0;
    while job.screens.stage(hole) != Stage::Passed {
        taps += 1;
        if taps == 4 {
            job.mill();
            continue;
        }
        let next = job.tap(&page, hole);
        assert!(next.ends_with("#next") && next.contains("&undo="), "{next}");
        assert!(taps < 20, "more taps than steps");
    }
    let record = job.screens.notebook.hole(hole).unwrap().record;
    assert_eq!(
        record.choice.agreed().unwrap().spec.remedy,
        Remedy::WireInsert
    );
    // Drill, tap, gauge, face cut, countersink, install, three checks, final check.
    assert_eq!(taps, 10);
    assert!(record.installs[0].body.below_face.is_none());
}

#[test]
fn the_page_says_what_a_tap_records_and_the_log_has_it_so() {
    let job = Job::new(1);
    let hole = job.holes[0];
    let page = job.screens.get(&format!("/hole/{hole}"));
    let said = page.split("Records: ").nth(1).unwrap();
    let said = said.split("</p>").next().unwrap().to_owned();
    assert!(said.contains(" deep") && said.contains("drill "), "{said}");
    job.tap(&format!("/hole/{hole}"), hole);
    let page = job.screens.get(&format!("/hole/{hole}"));
    let log = page.split("id=\"log\"").nth(1).unwrap();
    assert!(log.contains(&said), "{said}\n{log}");
}

#[test]
fn other_values_are_one_fold_away_and_early_steps_ask_for_a_reason() {
    let job = Job::new(1);
    let hole = job.holes[0];
    let page = job.screens.get(&format!("/hole/{hole}"));
    assert_eq!(page.matches("Other value").count(), 1, "the next step");
    let early = [("step", "install"), ("way", "x")];
    let refused = job
        .screens
        .rejected(&format!("/hole/{hole}/as-planned"), &early);
    assert!(refused.contains("enter a reason"), "{refused}");
    let stale = [("step", "drill"), ("way", "0011223344556677")];
    let refused = job
        .screens
        .rejected(&format!("/hole/{hole}/as-planned"), &stale);
    assert!(refused.contains("he plan has changed"), "{refused}");
}

#[test]
fn a_run_visits_its_holes_and_comes_back_to_the_next() {
    let job = Job::new(3);
    let runs = format!("/face/{}/runs", job.face);
    let list = job.screens.get(&runs);
    assert!(list.contains("3 holes"), "{list}");
    let word = list.split(&format!("{runs}/")).nth(1).unwrap();
    let word = word.split('"').next().unwrap();
    assert!(word.ends_with("-drill"), "{word}");
    let run = format!("{runs}/{word}");
    let page = job.screens.get(&run);
    assert_eq!(
        page.matches("Caution: ").count(),
        page.matches("p class=\"caution\"").count()
    );
    assert!(page.contains("rel=\"next\"") && page.contains("Other value"));
    assert!(page.contains("face as is") && page.contains("finished face"));
    for (index, hole) in job.holes.iter().enumerate() {
        let next = job.tap(&run, *hole);
        let (path, query) = next.split_once('?').unwrap();
        assert!(query.contains("undo="), "{next}");
        if let Some(after) = job.holes.get(index + 1) {
            assert_eq!(path, format!("{run}/{after}"));
        }
        job.screens.get(path);
    }
    assert!(
        job.screens
            .get(&run)
            .contains("All holes are done with this tool.")
    );
    let list = job.screens.get(&runs);
    assert!(!list.contains(word), "a tool that is done");
    let tap = list.split(&format!("{runs}/")).nth(1).unwrap();
    assert!(tap.split('"').next().unwrap().contains("-tap"), "{tap}");
}

#[test]
fn undo_in_a_run_brings_its_hole_back_to_the_front() {
    let job = Job::new(2);
    let list = format!("/face/{}/runs", job.face);
    let page = job.screens.get(&list);
    let word = page.split(&format!("{list}/")).nth(1).unwrap();
    let run = format!("{list}/{}", word.split('"').next().unwrap());
    let next = job.tap(&run, job.holes[0]);
    let (back, query) = next.split_once('?').unwrap();
    assert_eq!(back, format!("{run}/{}", job.holes[1]));
    let entry = query.split("undo=").nth(1).unwrap();
    let undone = job
        .screens
        .submit("/undo", &[("entry", entry), ("back", back)]);
    assert_eq!(undone, format!("{run}/{}", job.holes[0]));
}

#[test]
fn a_run_lists_what_is_not_yet_and_what_has_no_tool() {
    let job = Job::new(2);
    job.tap(&format!("/hole/{}", job.holes[0]), job.holes[0]);
    job.screens.submit(&format!("/face/{}/hole", job.face), &[]);
    let runs = format!("/face/{}/runs", job.face);
    let list = job.screens.get(&runs);
    let none = list.split("No tool yet").nth(1).unwrap();
    assert!(none.contains("Hole 3") && none.contains("Set the thread"));
    let link = format!("{runs}/");
    let words = list.split(&link).skip(1);
    let mut words = words.map(|rest| rest.split('"').next().unwrap());
    let tap = words.find(|word| word.contains("-tap")).unwrap();
    let page = job.screens.get(&format!("{runs}/{tap}"));
    let not_yet = page.split("Not yet").nth(1).unwrap();
    assert!(
        not_yet.contains("Hole 2") && not_yet.contains("Drill "),
        "{not_yet}"
    );
    let casting = job.screens.notebook.face(job.face).unwrap().casting;
    let of_casting = job.screens.get(&format!("/casting/{casting}/runs"));
    assert!(of_casting.contains("Tool runs") && of_casting.contains(&format!("/runs/{tap}")));
}

#[test]
fn another_value_in_a_run_leads_back_to_it_also_after_a_rejection() {
    let job = Job::new(2);
    let runs = format!("/face/{}/runs", job.face);
    let list = job.screens.get(&runs);
    let word = list.split(&format!("{runs}/")).nth(1).unwrap();
    let run = format!("{runs}/{}", word.split('"').next().unwrap());
    let action = format!("/hole/{}/cut", job.holes[0]);
    let hidden = |name: &str| job.screens.hidden(&run, &action, name)[0].clone();
    let (back, choice) = (hidden("back"), hidden("choice"));
    assert_eq!(back, format!("{run}/{}", job.holes[1]));
    let fields = |depth| {
        [
            ("step", "drill"),
            ("choice", choice.as_str()),
            ("back", back.as_str()),
            ("depth", depth),
        ]
    };
    let rejected = job.screens.post(&action, &fields("deep"));
    assert_eq!(rejected.status, 422);
    assert!(text(&rejected).contains(&format!("name=\"back\" value=\"{back}\"")));
    assert_eq!(job.screens.submit(&action, &fields("1.250")), back);
}
