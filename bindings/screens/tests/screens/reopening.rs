//! Facts that change after the work take a hole back, and values out of the plan ask first.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, text, values};
use holebook_core::hole::record::{Install, Quantity};
use holebook_core::hole::situation::situation_of;
use holebook_core::hole::stage::Stage;
use holebook_core::length::Length;
use holebook_core::notebook::{FaceId, HoleEntry, HoleId};

/// A loose 3/8-16 hole with .020 in to come off its face, and the thin-wall insert chosen.
struct Job {
    screens: Screens,
    face: FaceId,
    hole: HoleId,
}

impl Job {
    fn new() -> Job {
        let screens = Screens::new();
        let hole = screens.hole();
        let face = screens.notebook.hole(hole).unwrap().face;
        let job = Job {
            screens,
            face,
            hole,
        };
        job.submit_face("cut", &[("planned", ".020")]);
        job.submit(
            "reading",
            &[
                ("depth", "1.500"),
                ("floor", ".500"),
                ("nearest-edge", "1.250"),
                ("nearest-hole", "2.500"),
            ],
        );
        job.submit("damage", &[("to-0", ".9"), ("diameter-0", ".370")]);
        job.submit(
            "wanted-thread",
            &[("thread", "3/8-16"), ("through", "blind")],
        );
        let remedies = job
            .screens
            .hidden_all(&job.page(), &job.form("remedy"), "remedy");
        let thin = remedies
            .into_iter()
            .map(|remedy| remedy.replace("&quot;", "\""))
            .find(|remedy| remedy.contains("thin wall"))
            .unwrap();
        job.submit(
            "remedy",
            &[("remedy", &thin), ("reason", "it is in the drawer")],
        );
        job
    }

    fn page(&self) -> String {
        format!("/hole/{}", self.hole)
    }

    fn face_page(&self) -> String {
        self.screens.get(&format!("/face/{}", self.face))
    }

    fn form(&self, form: &str) -> String {
        format!("/hole/{}/{form}", self.hole)
    }

    fn submit(&self, form: &str, fields: &[(&str, &str)]) {
        self.screens.submit(&self.form(form), fields);
    }

    fn submit_face(&self, form: &str, fields: &[(&str, &str)]) {
        self.screens
            .submit(&format!("/face/{}/{form}", self.face), fields);
    }

    /// A step's form with the choice that the page shows, and other fields.
    fn step<'a>(
        &self,
        choice: &'a str,
        word: &'a str,
        fields: &[(&'a str, &'a str)],
    ) -> Vec<(&'a str, &'a str)> {
        let mut all = vec![("choice", choice), ("step", word)];
        all.extend(fields);
        all
    }

    fn choice(&self) -> String {
        let record = self.screens.notebook.hole(self.hole).unwrap().record;
        record.choice.0[0].entry.to_string()
    }

    fn record(&self, form: &str, word: &str, fields: &[(&str, &str)]) {
        let choice = self.choice();
        self.submit(form, &self.step(&choice, word, fields));
    }

    fn stage(&self) -> Stage {
        self.screens.stage(self.hole)
    }

    /// The hole's open problems, as the page writes them.
    fn problems(&self) -> String {
        let status = self.screens.notebook.hole(self.hole).unwrap().status;
        let problems = status.problems.iter().map(ToString::to_string);
        problems.collect::<Vec<_>>().join("\n")
    }

    /// Drills, taps and trial-fits.
    fn cut(&self) {
        self.record(
            "cut",
            "drill",
            &[("depth", "1.050"), ("tool", "drill 29/64")],
        );
        self.record("cut", "tap", &[("depth", ".590"), ("tool", "1/2-13 tap")]);
        self.record("trial-fit", "trial-fit", &[("passes", "yes")]);
    }

    fn install(&self, below: &str) {
        self.record(
            "install",
            "install",
            &[("below", below), ("reason", "the plate holds it")],
        );
    }
}

#[test]
fn a_face_cut_deeper_than_planned_asks_then_reopens_the_thread_and_can_be_corrected() {
    let job = Job::new();
    job.cut();
    assert_eq!(job.stage(), Stage::TrialFitted);
    let path = format!("/face/{}/milled", job.face);
    let (page, key) = job.screens.asked(&path, &[("taken", ".035")]);
    assert!(page.contains(".035 in off the face in all is more than the .020 in planned"));
    assert!(page.contains("fter this cut hole 1 does not hold: tapped only .555 in deep"));
    job.submit_face("milled", &[("taken", ".035"), ("confirmed", &key)]);
    assert!(
        job.problems().contains("deeper before installing"),
        "{}",
        job.problems()
    );
    let face = job.face_page();
    assert!(face.contains("Open problems") && face.contains("tapped only .555 in deep"));
    assert!(face.contains("open problem"), "the row of the hole");
    let page = job.screens.get(&job.page());
    assert!(page.contains("tap .005 in deeper before installing"));

    // It was .020: the correction needs no essay.
    let cut = job.screens.notebook.face(job.face).unwrap().record.milled[0]
        .entry
        .to_string();
    job.submit_face("correct", &[("entry", &cut), ("taken", ".020")]);
    assert_eq!(
        (job.stage(), job.problems().as_str()),
        (Stage::TrialFitted, "")
    );
    assert!(
        job.face_page().contains("0 in"),
        "nothing is left to remove"
    );
}

#[test]
fn a_cut_can_be_struck_out() {
    let job = Job::new();
    job.cut();
    let path = format!("/face/{}/milled", job.face);
    let (_, key) = job.screens.asked(&path, &[("taken", ".200")]);
    job.submit_face("milled", &[("taken", ".200"), ("confirmed", &key)]);
    assert_ne!(job.problems(), "");
    let cut = job.screens.notebook.face(job.face).unwrap().record.milled[0]
        .entry
        .to_string();
    let path = format!("/face/{}/strike-out", job.face);
    assert!(
        job.screens
            .rejected(&path, &[("entry", &cut)])
            .contains("Reason")
    );
    job.submit_face("strike-out", &[("entry", &cut), ("reason", "mistyped")]);
    assert_eq!(job.problems(), "");
    assert!(
        job.screens
            .rejected(&path, &[("entry", &cut), ("reason", "again")])
            .contains("struck out")
    );
}

#[test]
fn a_cut_that_would_reach_an_installed_insert_warns_by_hole_and_reopens_it() {
    let job = Job::new();
    job.cut();
    job.install(".040");
    assert_eq!(job.stage(), Stage::Installed);
    let path = format!("/face/{}/milled", job.face);
    let (page, key) = job.screens.asked(&path, &[("taken", ".050")]);
    assert!(
        page.contains("hole 1 does not hold")
            && page.contains("he insert stands .010 in above the face")
    );
    job.submit_face("milled", &[("taken", ".050"), ("confirmed", &key)]);
    assert_ne!(job.stage(), Stage::Installed);
    assert!(job.problems().contains("the insert stands"));
}

/// The face was milled, the insert installed and checked, and only then the cut was recorded.
#[test]
fn a_cut_that_is_recorded_late_asks_what_was_measured_on_the_new_face() {
    let job = Job::new();
    job.cut();
    let planned = job.screens.notebook.hole(job.hole).unwrap();
    let spec = planned.record.choice.agreed().unwrap().spec.clone();
    let install = HoleEntry::Install(Install {
        spec,
        below_face: Some(Length::from_fraction(20, 1000)),
        after_face_cut: false,
        reason: None,
    });
    job.screens.notebook.record(job.hole, install, &[]).unwrap();
    assert!(
        job.problems().contains("before the planned face cut"),
        "{}",
        job.problems()
    );

    let path = format!("/face/{}/milled", job.face);
    let response = job.screens.post(&path, &[("taken", ".020")]);
    assert_eq!(response.status, 422);
    let page = text(&response);
    assert!(page.contains("<title>Not saved yet: "), "the title");
    assert!(page.contains("epths of hole 1 were recorded before this cut"));
    assert!(page.contains("Hole 1: installed .020"), "what it names");
    assert!(page.contains("Recorded earlier"), "the depths, folded");
    let install = values(&page, "asked-about");
    assert_eq!(install.len(), 1);

    // Before: then the cutter would have reached the insert, which is asked next, with the answer
    // kept.
    let before = [("taken", ".020"), ("late-answer", "before")];
    let (page, _) = job.screens.asked(&path, &before);
    assert!(
        page.contains("fter this cut hole 1 does not hold"),
        "{page}"
    );
    assert_eq!(values(&page, "late-answer"), ["before"]);
    // After: nothing to ask.
    let after = [
        ("taken", ".020"),
        ("late-answer", "after"),
        ("asked-about", &install[0]),
    ];
    job.submit_face("milled", &after);
    assert_eq!(
        (job.stage(), job.problems().as_str()),
        (Stage::Installed, "")
    );
    assert!(job.face_page().contains("recorded late: 1 earlier entry"));
}

/// Nothing shows that a cut was recorded late: the person says so, also in a correction.
#[test]
fn damage_that_was_described_on_the_new_face_stays_where_it_was_measured() {
    let job = Job::new();
    let bottom = |job: &Job| {
        let hole = job.screens.notebook.hole(job.hole).unwrap();
        let situation = situation_of(&hole.record, &hole.face_record).unwrap();
        (
            situation.depth.unwrap(),
            situation.damage.stations[0].span.to,
        )
    };
    let inch = |thousandths| Length::from_fraction(thousandths, 1000);
    job.submit_face("milled", &[("taken", ".020")]);
    assert_eq!(
        bottom(&job),
        (inch(1480), inch(880)),
        "no question: both move up"
    );
    let cut = job.screens.notebook.face(job.face).unwrap().record.milled[0].clone();
    let cut = cut.entry.to_string();

    let path = format!("/face/{}/correct", job.face);
    let correction = [("entry", cut.as_str()), ("taken", ".020")];
    let late = [correction[0], correction[1], ("recorded-late", "yes")];
    let page = text(&job.screens.post(&path, &late));
    assert!(page.contains("As ticked"), "{page}");
    let damage = page
        .split("came-before\" value=\"")
        .skip(1)
        .find(|row| row.contains("Hole 1: damage"))
        .unwrap();
    let damage = damage.split('"').next().unwrap();
    let ticked = [
        correction[0],
        correction[1],
        ("late-answer", "ticked"),
        ("came-before", damage),
    ];
    job.submit_face("correct", &ticked);
    assert_eq!(bottom(&job), (inch(1480), inch(900)), "the damage stays");
    // Another correction of the amount keeps the answer.
    let cut = job.screens.notebook.face(job.face).unwrap().record.milled[0].clone();
    let cut = cut.entry.to_string();
    job.submit_face("correct", &[("entry", &cut), ("taken", ".010")]);
    assert_eq!(bottom(&job), (inch(1490), inch(900)));
}

/// A face of many holes: one row and one tap for each, whatever was measured in it.
#[test]
fn a_cut_recorded_late_is_answered_by_hole_and_single_depths_are_folded() {
    let screens = Screens::new();
    let face = screens.face();
    screens.submit(&format!("/face/{face}/cut"), &[("planned", ".020")]);
    let holes: Vec<String> = (0..20)
        .map(|_| {
            let hole = screens.submit(&format!("/face/{face}/hole"), &[]);
            let readings = [("depth", "1.500"), ("full-thread", "1.250")];
            screens.submit(&format!("{hole}/reading"), &readings);
            hole
        })
        .collect();
    let path = format!("/face/{face}/milled");
    let late = [("taken", ".020"), ("recorded-late", "yes")];
    let page = text(&screens.post(&path, &late));
    let (by_hole, single) = page.split_once("Only some depths of a hole").unwrap();
    let by_hole = values(by_hole, "came-before");
    assert_eq!(
        (by_hole.len(), values(single, "came-before").len()),
        (20, 40)
    );
    let named = "Hole 7: depth 1.500, depth of full thread 1.250<";
    assert!(page.contains(named));

    let reading = |hole: &String, index: usize| {
        let id = hole.trim_start_matches("/hole/").parse().unwrap();
        let record = screens.notebook.hole(id).unwrap().record;
        (record.readings[index].entry, record.readings[index].place())
    };
    let single = reading(&holes[11], 0).0.to_string();
    let ticked = [
        late[0],
        ("late-answer", "ticked"),
        ("came-before", &by_hole[6]),
        ("came-before", &single),
    ];
    screens.submit(&path, &ticked);
    let record = screens.notebook.face(face).unwrap().record;
    let mut came_before = record.milled[0].body.came_before.clone();
    came_before.sort_by_key(|place| place.seq);
    let wanted = [(6, 0), (6, 1), (11, 0)].map(|(hole, index)| reading(&holes[hole], index).1);
    assert_eq!(came_before, wanted);
}

#[test]
fn values_out_of_the_plan_ask_want_a_reason_and_leave_an_open_problem() {
    let job = Job::new();
    let choice = job.choice();
    let path = job.form("cut");
    let shallow = job.step(
        &choice,
        "drill",
        &[("depth", ".300"), ("tool", "drill 29/64")],
    );
    let (page, key) = job.screens.asked(&path, &shallow);
    assert!(page.contains("rilled only .300 in deep"));
    let mut confirmed = shallow.clone();
    confirmed.push(("confirmed", &key));
    assert!(job.screens.rejected(&path, &confirmed).contains("Reason"));
    confirmed.push(("reason", "the bit broke"));
    job.submit("cut", &confirmed);
    assert!(
        job.problems().contains("drilled only"),
        "{}",
        job.problems()
    );
    let page = job.screens.get(&job.page());
    assert!(
        page.contains("drill to .300 in"),
        "the drawing shows what was recorded"
    );
    let sheet = job.screens.get(&format!("/face/{}/sheet", job.face));
    assert!(
        sheet.contains("<td class=\"to-write\">.300</td>"),
        "{sheet}"
    );

    job.record(
        "cut",
        "drill",
        &[("depth", "1.050"), ("tool", "drill 29/64")],
    );
    job.record("cut", "tap", &[("depth", ".590"), ("tool", "1/2-13 tap")]);
    job.record("trial-fit", "trial-fit", &[("passes", "yes")]);
    job.submit_face("milled", &[("taken", ".020")]);
    let path = job.form("install");
    let proud = job.step(&choice, "install", &[("below", "-.010")]);
    let (page, _) = job.screens.asked(&path, &proud);
    assert!(page.contains("he insert stands .010 in above the face"));
    job.record("install", "install", &[("below", ".020")]);
    let path = job.form("stake-keys");
    let (page, _) = job
        .screens
        .asked(&path, &job.step(&choice, "stake-keys", &[("staked", "2")]));
    assert!(page.contains("2 of 4 keys driven"));
}

#[test]
fn a_failed_trial_fit_is_followed_by_a_later_one() {
    let job = Job::new();
    job.record(
        "cut",
        "drill",
        &[("depth", "1.050"), ("tool", "drill 29/64")],
    );
    job.record("cut", "tap", &[("depth", ".590"), ("tool", "1/2-13 tap")]);
    job.record("trial-fit", "trial-fit", &[("passes", "no")]);
    assert_eq!(job.stage(), Stage::Cut);
    assert!(job.problems().contains("trial fit failed"));
    job.record("trial-fit", "trial-fit", &[("passes", "yes")]);
    assert_eq!(
        (job.stage(), job.problems().as_str()),
        (Stage::TrialFitted, "")
    );
}

#[test]
fn a_mistyped_reading_is_corrected_without_a_reason_or_a_conflict() {
    let job = Job::new();
    let depth = || job.screens.notebook.hole(job.hole).unwrap().record.readings;
    let entry = depth()[0].entry.to_string();
    job.submit_face("milled", &[("taken", ".020")]);
    job.submit("correct", &[("entry", &entry), ("depth", "1.520")]);
    let view = job.screens.notebook.hole(job.hole).unwrap();
    assert!(!view.conflict);
    assert_eq!(view.record.readings.len(), 4);
    // It still counts as measured before the face was cut.
    let corrected = view
        .record
        .readings
        .iter()
        .find(|one| one.body.quantity == Quantity::Depth);
    let as_is = corrected.unwrap().value_as_is(&view.face_record).mm();
    assert!((as_is - 1.5 * 25.4).abs() < 1e-9, "{as_is}");

    // Two that differ: one press uses one of them.
    job.submit("reading", &[("nearest-edge", "1.400")]);
    assert!(job.screens.notebook.hole(job.hole).unwrap().conflict);
    let form = job.form("use-reading");
    let differ = job.screens.hidden(&job.page(), &form, "replaces");
    let used = job.screens.hidden(&job.page(), &form, "entry").remove(0);
    let mut fields: Vec<(&str, &str)> = differ
        .iter()
        .map(|one| ("replaces", one.as_str()))
        .collect();
    fields.push(("entry", &used));
    job.submit("use-reading", &fields);
    assert!(!job.screens.notebook.hole(job.hole).unwrap().conflict);
}

#[test]
fn a_passed_hole_is_reopened_by_what_is_recorded_after_it() {
    let job = Job::new();
    job.cut();
    job.submit_face("milled", &[("taken", ".020")]);
    job.record("install", "install", &[("below", ".020")]);
    job.record("stake-keys", "stake-keys", &[("staked", "4")]);
    job.record("check", "stake-check", &[("passes", "yes")]);
    let final_check = [("passes", "yes"), ("how", "thread plug gauge")];
    job.record("final-check", "final-check", &final_check);
    assert_eq!((job.stage(), job.problems().as_str()), (Stage::Passed, ""));
    job.submit("reading", &[("floor", ".480")]);
    assert_ne!(job.stage(), Stage::Passed);
    assert!(
        job.problems()
            .contains("a reading of the floor thickness was added after the final check")
    );
    let page = job.screens.get(&job.page());
    assert!(page.contains("after the final check"));
    job.record("final-check", "final-check", &final_check);
    assert_eq!(job.stage(), Stage::Passed);
}
