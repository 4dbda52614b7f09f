//! `holebook demo`, and the other commands with the sample notebook.

use crate::common::{error_sentence, has_keys, json as printed, run, stdout};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, Weak};
use tempfile::TempDir;

/// The keys of a hole in the list.
const HOLE_KEYS: [&str; 9] = [
    "id",
    "number",
    "thread",
    "condition",
    "stage",
    "remedy",
    "conflict",
    "problems",
    "next_task",
];

/// A sample notebook, in the home of an invented account.
struct Sample {
    home: TempDir,
}

impl Sample {
    fn home(&self) -> &Path {
        self.home.path()
    }

    fn folder(&self) -> PathBuf {
        self.home.path().join("sample")
    }
}

/// The sample notebook for all tests that only read. It is created once, and deleted after the last
/// of them.
fn sample() -> Arc<Sample> {
    static SAMPLE: Mutex<Weak<Sample>> = Mutex::new(Weak::new());
    let mut shared = SAMPLE.lock().unwrap();
    if let Some(sample) = shared.upgrade() {
        return sample;
    }
    let sample = Arc::new(own_sample());
    *shared = Arc::downgrade(&sample);
    sample
}

/// A sample notebook that a test may change.
fn own_sample() -> Sample {
    let sample = Sample {
        home: tempfile::tempdir().unwrap(),
    };
    stdout(&run_in(
        sample.home(),
        &sample.folder(),
        &["demo", "--no-open"],
    ));
    sample
}

fn run_in(home: &Path, folder: &Path, args: &[&str]) -> std::process::Output {
    run(
        home,
        &[args, &["--notebook", folder.to_str().unwrap()]].concat(),
    )
}

fn holes(value: &Value) -> Vec<Value> {
    value["castings"][0]["faces"][0]["holes"]
        .as_array()
        .unwrap()
        .clone()
}

#[test]
fn plan_is_printed_hole_by_hole() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let text = stdout(&run_in(home, &folder, &["demo", "--no-open"]));
    assert!(text.contains("invented"), "{text}");
    for wanted in [
        "installed",
        "measured, conflict",
        "not measured",
        "key-locking insert, thin wall, 1/2-13 UNC",
        "29/64",
        "3/8-16 UNC",
        "missing  the depth of the hole",
        "next     Broach the key slots",
    ] {
        assert!(text.contains(wanted), "{wanted} is not in\n{text}");
    }
    let numbered = text.lines().filter(|line| line.starts_with("Hole "));
    assert_eq!(numbered.count(), 14);
    let planned = text.lines().filter(|line| line.starts_with([' ', 'H']));
    for line in planned {
        assert!(
            line.chars().count() <= 80,
            "too wide for a terminal: {line}"
        );
    }
    assert!(
        !text.contains("http://"),
        "with --no-open it ends when the plan is printed"
    );
}

#[test]
fn json_is_that_of_list_with_more_for_each_hole() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let plan = printed(&run_in(home, &folder, &["demo", "--no-open", "--json"]));
    let list = printed(&run_in(home, &folder, &["list", "--json"]));
    has_keys(&list, &["castings"]);
    has_keys(&list["castings"][0], &["id", "name", "faces"]);
    has_keys(
        &list["castings"][0]["faces"][0],
        &["id", "name", "face_cut_mm", "planned_face_cut_mm", "holes"],
    );
    assert_eq!(plan["castings"][0]["faces"][0]["face_cut_mm"], 0.508);
    for (planned, listed) in holes(&plan).iter().zip(holes(&list)) {
        has_keys(&listed, &HOLE_KEYS);
        let more = [
            "drill",
            "depth_now_mm",
            "depth_after_cut_mm",
            "missing",
            "next",
        ];
        has_keys(planned, &[&HOLE_KEYS[..], &more[..]].concat());
        for key in HOLE_KEYS {
            assert_eq!(planned[key], listed[key]);
        }
        let task = &listed["next_task"];
        has_keys(task, &["action", "tool", "depth_mm", "missing"]);
        assert!(task["action"]["do"].is_string(), "{task}");
        if task["action"]["do"] == "step" {
            assert_eq!(task["action"]["title"], planned["next"]);
        }
        if !planned["drill"].is_null() {
            has_keys(&planned["drill"], &["name", "diameter_mm"]);
            let deeper = planned["depth_now_mm"].as_f64().unwrap()
                - planned["depth_after_cut_mm"].as_f64().unwrap();
            assert!(
                (deeper - 0.508).abs() < 1e-6,
                "deeper by the face cut: {planned}"
            );
        }
        assert!(planned["missing"].is_array());
    }
    assert_eq!(holes(&plan).len(), 14);
}

#[test]
fn different_entries_of_two_people_are_a_conflict() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let plan = printed(&run_in(home, &folder, &["demo", "--no-open", "--json"]));
    let conflicts: Vec<_> = holes(&plan)
        .into_iter()
        .filter(|hole| hole["conflict"] == true)
        .collect();
    assert_eq!(conflicts.len(), 1);
    let report = printed(&run_in(home, &folder, &["verify", "--json"]));
    assert_eq!(
        report["devices"], 2,
        "the second entry is from a second device"
    );
}

#[test]
fn existing_sample_stays_unchanged() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let before = printed(&run_in(home, &folder, &["verify", "--json"]));
    stdout(&run_in(home, &folder, &["demo", "--no-open"]));
    assert_eq!(
        printed(&run_in(home, &folder, &["verify", "--json"])),
        before
    );
}

#[test]
fn sample_has_a_folder_of_its_own() {
    let home = tempfile::tempdir().unwrap();
    stdout(&run(home.path(), &["demo", "--no-open"]));
    assert!(error_sentence(&run(home.path(), &["list"])).contains("there is no notebook"));
    let folders: Vec<_> = fs::read_dir(home.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    assert_eq!(folders, ["holebook-sample"]);
}

#[test]
fn other_notebooks_and_folders_are_left_alone() {
    let home = tempfile::tempdir().unwrap();
    let remote = home.path().join("remote");
    let own = home.path().join("own");
    stdout(&run_in(
        home.path(),
        &own,
        &["sync", "--create", "--folder", remote.to_str().unwrap()],
    ));
    let text = error_sentence(&run_in(home.path(), &own, &["demo", "--no-open"]));
    assert!(text.contains("other than the sample notebook"), "{text}");
    assert_eq!(
        printed(&run_in(home.path(), &own, &["list", "--json"]))["castings"],
        Value::Array(vec![])
    );

    let papers = home.path().join("papers");
    fs::create_dir(&papers).unwrap();
    fs::create_dir(papers.join("photos")).unwrap();
    fs::write(papers.join("photos/mine.jpg"), "mine").unwrap();
    error_sentence(&run_in(home.path(), &papers, &["demo", "--no-open"]));
    assert_eq!(fs::read_dir(&papers).unwrap().count(), 1);
    assert_eq!(
        fs::read_to_string(papers.join("photos/mine.jpg")).unwrap(),
        "mine"
    );
}

#[test]
fn sample_syncs_by_a_folder_and_is_valid() {
    let sample = own_sample();
    let (home, folder) = (sample.home(), sample.folder());
    let remote = home.join("remote");
    let remote = remote.to_str().unwrap();
    let sync = ["sync", "--create", "--folder", remote, "--json"];
    let pushed = printed(&run_in(home, &folder, &sync));
    assert!(pushed["entries_pushed"].as_u64().unwrap() > 100);
    assert_eq!(pushed["photos_pushed"], 1);
    let other = home.join("other");
    let pulled = printed(&run_in(home, &other, &sync));
    assert_eq!(pulled["entries_pulled"], pushed["entries_pushed"]);
    let again = printed(&run_in(home, &other, &sync));
    assert_eq!(
        (&again["entries_pulled"], &again["entries_pushed"]),
        (&Value::from(0), &Value::from(0))
    );
    let lists = [&folder, &other].map(|folder| printed(&run_in(home, folder, &["list", "--json"])));
    assert_eq!(
        lists[0], lists[1],
        "with the entries of the sample's second device"
    );
    assert!(stdout(&run_in(home, &other, &["verify"])).contains("No problems found"));
}

#[test]
fn verify_finds_a_missing_or_changed_photo() {
    let sample = own_sample();
    let (home, folder) = (sample.home(), sample.folder());
    let photo = find_photo(&folder.join("photos"));
    let original = fs::read(&photo).unwrap();
    let mut changed = original.clone();
    *changed.last_mut().unwrap() ^= 1;
    fs::write(&photo, changed).unwrap();
    assert_invalid(home, &folder);
    fs::remove_file(&photo).unwrap();
    assert_invalid(home, &folder);
    fs::write(&photo, original).unwrap();
    assert!(stdout(&run_in(home, &folder, &["verify"])).contains("No problems found"));
}

#[test]
fn verify_repairs_a_damaged_database_and_keeps_it() {
    let sample = own_sample();
    let (home, folder) = (sample.home(), sample.folder());
    let repair = ["verify", "--repair", "--json"];
    let before_damage = printed(&run_in(home, &folder, &repair));
    assert!(
        before_damage["repair"]["found"]
            .as_array()
            .unwrap()
            .is_empty()
    );
    let before = printed(&run_in(home, &folder, &["list", "--json"]));
    let file = folder.join("notebook.sqlite");
    let mut bytes = fs::read(&file).unwrap();
    bytes[..100].fill(0);
    fs::write(&file, &bytes).unwrap();
    let error = error_sentence(&run_in(home, &folder, &["verify"]));
    assert!(error.contains("verify --repair"), "{error}");
    let text = stdout(&run_in(home, &folder, &["verify", "--repair"]));
    assert!(text.contains("were saved into a new database"), "{text}");
    let aside = fs::read_dir(folder.join("aside")).unwrap().next();
    assert!(fs::read(aside.unwrap().unwrap().path()).unwrap() == bytes);
    assert_eq!(printed(&run_in(home, &folder, &["list", "--json"])), before);
    let after = printed(&run_in(home, &folder, &["verify", "--json"]));
    assert_eq!(after["entries"], before_damage["entries"]);
}

fn assert_invalid(home: &Path, folder: &Path) {
    let output = run_in(home, folder, &["verify", "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["findings"].as_array().unwrap().len(), 1);
    assert!(String::from_utf8_lossy(&output.stderr).contains("is damaged"));
}

/// The largest file is the photo itself; views and thumbnails are smaller.
fn find_photo(folder: &Path) -> PathBuf {
    let mut files = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path)
            } else {
                files.push(path)
            }
        }
    }
    files
        .into_iter()
        .max_by_key(|file| fs::metadata(file).unwrap().len())
        .unwrap()
}

#[test]
fn sheets_are_made_as_pdf_by_the_ending_of_their_name() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    for kind in ["work", "record", "template", "label", "bolt-up"] {
        let file = home.join(format!("{kind}.PDF"));
        let out = file.to_str().unwrap();
        let args = ["sheet", "--kind", kind, "--paper", "a4", "--out", out];
        let said = stdout(&run_in(home, &folder, &args));
        assert!(said.contains(out) && said.contains("100 %"), "{said}");
        let pdf = fs::read(&file).unwrap();
        assert!(pdf.starts_with(b"%PDF-") && pdf.len() > 5_000);
        let again = error_sentence(&run_in(home, &folder, &args));
        assert!(again.contains("already exists"), "{again}");
    }
    for (name, kind, wanted) in [
        ("label.html", "label", "PDF only"),
        ("sheet.txt", "work", ".pdf or .html"),
        ("sheet", "work", ".pdf or .html"),
    ] {
        let file = home.join(name);
        let args = ["sheet", "--kind", kind, "--out", file.to_str().unwrap()];
        let error = error_sentence(&run_in(home, &folder, &args));
        assert!(error.contains(wanted), "{error}");
        assert!(!file.exists());
    }
    let file = home.join("record.html");
    let out = file.to_str().unwrap();
    stdout(&run_in(
        home,
        &folder,
        &["sheet", "--kind", "record", "--out", out],
    ));
    assert!(fs::read_to_string(&file).unwrap().contains("depth rod"));
    let file = home.join("bolt-up.html");
    let out = file.to_str().unwrap();
    let args = ["--kind", "bolt-up", "--bolts", "dry", "--out", out];
    stdout(&run_in(home, &folder, &[&["sheet"], &args[..]].concat()));
    let page = fs::read_to_string(&file).unwrap();
    assert!(page.contains("plain steel, dry") && page.contains("data:image/jpeg"));
    assert!(!page.contains("src=\"/") && !page.contains("href=\"/"));
}

#[test]
fn sheet_is_one_page_without_other_files() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let file = home.join("sheet.html");
    let out = file.to_str().unwrap();
    stdout(&run_in(home, &folder, &["sheet", "--out", out]));
    let page = fs::read_to_string(&file).unwrap();
    for wanted in [
        "<!DOCTYPE html>",
        "data:image/jpeg;base64,",
        "3/8-16 UNC",
        "Pump-end cover joint",
    ] {
        assert!(page.contains(wanted), "{wanted} is not in the sheet");
    }
    assert!(
        !page.contains("src=\"/") && !page.contains("href=\"/"),
        "it needs no other file"
    );
    let answer = printed(&run_in(
        home,
        &folder,
        &[
            "sheet",
            "--face",
            "Pump-end cover joint",
            "--out",
            out,
            "--replace",
            "--json",
        ],
    ));
    has_keys(&answer, &["face", "name", "kind", "file"]);
    let by_id = answer["face"].as_str().unwrap();
    stdout(&run_in(
        home,
        &folder,
        &["sheet", "--face", by_id, "--out", out, "--replace"],
    ));

    fs::write(&file, "a letter").unwrap();
    let text = error_sentence(&run_in(home, &folder, &["sheet", "--out", out]));
    assert!(text.contains("already exists"), "{text}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "a letter");

    let text = error_sentence(&run_in(
        home,
        &folder,
        &["sheet", "--face", "Nowhere", "--out", out],
    ));
    assert!(text.contains("Nowhere"), "{text}");
    let text = error_sentence(&run_in(
        home,
        &folder,
        &["sheet", "--out", "/no/such/folder/sheet.html"],
    ));
    assert!(text.contains("/no/such/folder"), "{text}");
}
