//! `holebook demo`, and what the other commands say of the notebook that it makes.

#![allow(clippy::unwrap_used)]

mod common;

use common::{has_keys, json as printed, run, said, sentence};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, Weak};
use tempfile::TempDir;

/// A sample notebook, and the empty home of the account that made it.
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

/// The sample notebook that all tests look at; it is made once, and goes with the last test that looks.
fn sample() -> Arc<Sample> {
    static SAMPLE: Mutex<Weak<Sample>> = Mutex::new(Weak::new());
    let mut held = SAMPLE.lock().unwrap();
    if let Some(sample) = held.upgrade() {
        return sample;
    }
    let sample = Arc::new(Sample {
        home: tempfile::tempdir().unwrap(),
    });
    said(&asked(
        sample.home(),
        &sample.folder(),
        &["demo", "--no-open"],
    ));
    *held = Arc::downgrade(&sample);
    sample
}

/// A sample notebook that a test may change.
fn own_sample() -> Sample {
    let sample = Sample {
        home: tempfile::tempdir().unwrap(),
    };
    said(&asked(
        sample.home(),
        &sample.folder(),
        &["demo", "--no-open"],
    ));
    sample
}

fn asked(home: &Path, folder: &Path, words: &[&str]) -> std::process::Output {
    run(
        home,
        &[words, &["--notebook", folder.to_str().unwrap()]].concat(),
    )
}

fn holes(value: &Value) -> Vec<Value> {
    value["castings"][0]["faces"][0]["holes"]
        .as_array()
        .unwrap()
        .clone()
}

#[test]
fn the_plan_stands_hole_by_hole() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let words = said(&asked(home, &folder, &["demo", "--no-open"]));
    assert!(words.contains("invented"), "{words}");
    for wanted in [
        "proved",
        "read, in question",
        "unread",
        "key-locking insert, thin wall, 1/2-13 UNC",
        "29/64",
        "3/8-16 UNC",
        "missing  the depth to the bottom of the hole",
        "next     Drive the keys",
    ] {
        assert!(words.contains(wanted), "{wanted} is not in\n{words}");
    }
    let numbered = words.lines().filter(|line| line.starts_with("Hole "));
    assert_eq!(numbered.count(), 14);
    let planned = words.lines().filter(|line| line.starts_with([' ', 'H']));
    for line in planned {
        assert!(
            line.chars().count() <= 80,
            "too wide for a terminal: {line}"
        );
    }
    assert!(
        !words.contains("http://"),
        "with --no-open it ends when the plan is printed"
    );
}

#[test]
fn the_json_is_that_of_list_with_more_for_each_hole() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let plan = printed(&asked(home, &folder, &["demo", "--no-open", "--json"]));
    let list = printed(&asked(home, &folder, &["list", "--json"]));
    has_keys(&list, &["castings"]);
    has_keys(&list["castings"][0], &["id", "name", "faces"]);
    has_keys(
        &list["castings"][0]["faces"][0],
        &["id", "name", "face_cut_mm", "holes"],
    );
    assert_eq!(plan["castings"][0]["faces"][0]["face_cut_mm"], 0.5);
    for (planned, listed) in holes(&plan).iter().zip(holes(&list)) {
        has_keys(
            &listed,
            &["id", "number", "thread", "state", "remedy", "in_question"],
        );
        let more = [
            "drill",
            "depth_now_mm",
            "depth_after_cut_mm",
            "missing",
            "next",
        ];
        has_keys(
            planned,
            &[
                &["id", "number", "thread", "state", "remedy", "in_question"],
                &more[..],
            ]
            .concat(),
        );
        for key in ["id", "number", "thread", "state", "remedy", "in_question"] {
            assert_eq!(planned[key], listed[key]);
        }
        if !planned["drill"].is_null() {
            has_keys(&planned["drill"], &["name", "diameter_mm"]);
            let deeper = planned["depth_now_mm"].as_f64().unwrap()
                - planned["depth_after_cut_mm"].as_f64().unwrap();
            assert!(
                (deeper - 0.5).abs() < 1e-6,
                "deeper by the face cut: {planned}"
            );
        }
        assert!(planned["missing"].is_array());
    }
    assert_eq!(holes(&plan).len(), 14);
}

#[test]
fn what_two_people_said_differently_is_in_question_and_both_stand() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let plan = printed(&asked(home, &folder, &["demo", "--no-open", "--json"]));
    let in_question: Vec<_> = holes(&plan)
        .into_iter()
        .filter(|hole| hole["in_question"] == true)
        .collect();
    assert_eq!(in_question.len(), 1);
    let report = printed(&asked(home, &folder, &["verify", "--json"]));
    assert_eq!(
        report["devices"], 2,
        "the second answer came from a second device"
    );
}

#[test]
fn a_sample_that_is_there_stays_as_it_is() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let before = printed(&asked(home, &folder, &["verify", "--json"]));
    said(&asked(home, &folder, &["demo", "--no-open"]));
    assert_eq!(
        printed(&asked(home, &folder, &["verify", "--json"])),
        before
    );
}

#[test]
fn without_a_folder_the_sample_stands_apart_from_the_persons_notebook() {
    let home = tempfile::tempdir().unwrap();
    said(&run(home.path(), &["demo", "--no-open"]));
    assert!(sentence(&run(home.path(), &["list"])).contains("there is no notebook"));
    let folders: Vec<_> = fs::read_dir(home.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    assert_eq!(folders, ["holebook-sample"]);
}

#[test]
fn another_notebook_or_folder_is_left_alone() {
    let home = tempfile::tempdir().unwrap();
    let shelf = home.path().join("shelf");
    let own = home.path().join("own");
    said(&asked(
        home.path(),
        &own,
        &["exchange", "--folder", shelf.to_str().unwrap()],
    ));
    let words = sentence(&asked(home.path(), &own, &["demo", "--no-open"]));
    assert!(words.contains("not the sample"), "{words}");
    assert_eq!(
        printed(&asked(home.path(), &own, &["list", "--json"]))["castings"],
        Value::Array(vec![])
    );

    let papers = home.path().join("papers");
    fs::create_dir(&papers).unwrap();
    fs::create_dir(papers.join("photos")).unwrap();
    fs::write(papers.join("photos/mine.jpg"), "mine").unwrap();
    sentence(&asked(home.path(), &papers, &["demo", "--no-open"]));
    assert_eq!(fs::read_dir(&papers).unwrap().count(), 1);
    assert_eq!(
        fs::read_to_string(papers.join("photos/mine.jpg")).unwrap(),
        "mine"
    );
}

#[test]
fn the_sample_travels_over_a_shelf_and_verifies() {
    let sample = own_sample();
    let (home, folder) = (sample.home(), sample.folder());
    let shelf = home.join("shelf");
    let exchange = ["exchange", "--folder", shelf.to_str().unwrap(), "--json"];
    let left = printed(&asked(home, &folder, &exchange));
    assert!(left["entries_left"].as_u64().unwrap() > 100);
    assert_eq!(left["photos_left"], 1);
    let other = home.join("other");
    let taken = printed(&asked(home, &other, &exchange));
    assert_eq!(taken["entries_taken"], left["entries_left"]);
    let again = printed(&asked(home, &other, &exchange));
    assert_eq!(
        (&again["entries_taken"], &again["entries_left"]),
        (&Value::from(0), &Value::from(0))
    );
    let lists = [&folder, &other].map(|folder| printed(&asked(home, folder, &["list", "--json"])));
    assert_eq!(
        lists[0], lists[1],
        "what the second device of the sample said too"
    );
    assert!(said(&asked(home, &other, &["verify"])).contains("Nothing is wrong"));
}

#[test]
fn verify_finds_a_photo_that_is_gone_or_not_itself() {
    let sample = own_sample();
    let (home, folder) = (sample.home(), sample.folder());
    let photo = find_photo(&folder.join("photos"));
    let whole = fs::read(&photo).unwrap();
    let mut bent = whole.clone();
    *bent.last_mut().unwrap() ^= 1;
    fs::write(&photo, bent).unwrap();
    assert_not_whole(home, &folder);
    fs::remove_file(&photo).unwrap();
    assert_not_whole(home, &folder);
    fs::write(&photo, whole).unwrap();
    assert!(said(&asked(home, &folder, &["verify"])).contains("Nothing is wrong"));
}

#[test]
fn verify_repairs_a_damaged_database_and_keeps_it() {
    let sample = own_sample();
    let (home, folder) = (sample.home(), sample.folder());
    let repair = ["verify", "--repair", "--json"];
    let sound = printed(&asked(home, &folder, &repair));
    assert!(sound["repair"]["found"].as_array().unwrap().is_empty());
    let before = printed(&asked(home, &folder, &["list", "--json"]));
    let file = folder.join("notebook.sqlite");
    let mut bytes = fs::read(&file).unwrap();
    bytes[..100].fill(0);
    fs::write(&file, &bytes).unwrap();
    let told = sentence(&asked(home, &folder, &["verify"]));
    assert!(told.contains("verify --repair"), "{told}");
    let words = said(&asked(home, &folder, &["verify", "--repair"]));
    assert!(words.contains("were saved into a new database"), "{words}");
    let aside = fs::read_dir(folder.join("aside")).unwrap().next();
    assert!(fs::read(aside.unwrap().unwrap().path()).unwrap() == bytes);
    assert_eq!(printed(&asked(home, &folder, &["list", "--json"])), before);
    let after = printed(&asked(home, &folder, &["verify", "--json"]));
    assert_eq!(after["entries"], sound["entries"]);
}

fn assert_not_whole(home: &Path, folder: &Path) {
    let output = asked(home, folder, &["verify", "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["findings"].as_array().unwrap().len(), 1);
    assert!(String::from_utf8_lossy(&output.stderr).contains("not whole"));
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
fn the_sheet_is_one_page_with_nothing_beside_it() {
    let sample = sample();
    let (home, folder) = (sample.home(), sample.folder());
    let file = home.join("sheet.html");
    let out = file.to_str().unwrap();
    said(&asked(home, &folder, &["sheet", "--out", out]));
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
        "it needs nothing beside it"
    );
    let answer = printed(&asked(
        home,
        &folder,
        &[
            "sheet",
            "--face",
            "Pump-end cover joint",
            "--out",
            out,
            "--json",
        ],
    ));
    has_keys(&answer, &["face", "name", "file"]);
    let by_id = answer["face"].as_str().unwrap();
    said(&asked(
        home,
        &folder,
        &["sheet", "--face", by_id, "--out", out],
    ));

    let words = sentence(&asked(
        home,
        &folder,
        &["sheet", "--face", "Nowhere", "--out", out],
    ));
    assert!(words.contains("Nowhere"), "{words}");
    let words = sentence(&asked(
        home,
        &folder,
        &["sheet", "--out", "/no/such/folder/sheet.html"],
    ));
    assert!(words.contains("/no/such/folder"), "{words}");
}
