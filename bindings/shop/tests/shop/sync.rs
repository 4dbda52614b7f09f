//! `holebook sync` with every known remote, and with bundles.

use crate::common::{error_sentence, has_keys, json, one_line, program, run, stdout};
use holebook_test_support::requirements::have;
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

fn sync(home: &Path, notebook: &str, args: &[&str]) -> Output {
    run(home, &[&["sync", "--notebook", notebook], args].concat())
}

#[test]
fn every_known_remote_is_synced_with() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let own = home.join("own");
    let none = error_sentence(&sync(home, own.to_str().unwrap(), &[]));
    assert!(none.contains("--folder"), "{none}");

    let sample = home.join("sample");
    stdout(&run(
        home,
        &["demo", "--no-open", "--notebook", sample.to_str().unwrap()],
    ));
    let sample = sample.to_str().unwrap();
    let (first, second) = (home.join("first"), home.join("second"));
    for remote in [&first, &second] {
        let args = ["--create", "--folder", remote.to_str().unwrap()];
        assert!(stdout(&sync(home, sample, &args)).contains("The remote was created."));
    }
    let both = json(&sync(home, sample, &["--json"]));
    has_keys(&both, &["syncs"]);
    let syncs = both["syncs"].as_array().unwrap();
    assert_eq!(syncs.len(), 2);
    for sync in syncs {
        has_keys(sync, &["remote", "name", "report", "error"]);
        assert_eq!(sync["report"]["entries_pushed"], 0);
        assert_eq!(sync["error"], Value::Null);
    }

    // A missing stick is not created, and the other remotes are synced with.
    fs::remove_dir_all(&first).unwrap();
    let output = sync(home, sample, &["--json"]);
    assert_eq!(output.status.code(), Some(1));
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    let failed: Vec<_> = report["syncs"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|sync| sync["error"] != Value::Null)
        .collect();
    assert_eq!(failed.len(), 1);
    assert_eq!(failed[0]["report"], Value::Null);
    let why = failed[0]["error"].as_str().unwrap();
    assert!(
        why.contains("first") && why.contains("was not found"),
        "{why}"
    );
    assert!(!first.exists());
    let text = one_line(&String::from_utf8(sync(home, sample, &[]).stdout).unwrap());
    assert!(
        text.contains("With the folder") && text.contains("plug in the stick"),
        "{text}"
    );
}

#[test]
fn bundle_is_imported_once() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let path = |name: &str| home.join(name).to_str().unwrap().to_owned();
    let (sample, barn, file) = (path("sample"), path("barn"), path("all.zip"));
    stdout(&run(home, &["demo", "--no-open", "--notebook", &sample]));
    let bundle = |args: &[&str]| {
        let all = [&["bundle", "--notebook", &sample, "--out"], args].concat();
        run(home, &all)
    };
    let written = json(&bundle(&[&file, "--json"]));
    has_keys(
        &written,
        &["file", "entries", "photos", "bytes", "photos_missing"],
    );
    assert_eq!(written["photos"], 1);
    assert_eq!(written["bytes"], fs::metadata(&file).unwrap().len());
    let there = error_sentence(&bundle(&[&file]));
    assert!(there.contains("already exists"), "{there}");
    assert!(there.contains("add --replace"), "{there}");
    let text = one_line(&stdout(&bundle(&[&file, "--replace"])));
    assert!(text.contains("do not count as synced"), "{text}");

    let imported = json(&sync(home, &barn, &["--bundle", &file, "--json"]));
    assert_eq!(imported["entries_pulled"], written["entries"]);
    assert_eq!(imported["photos_pulled"], 1);
    let again = stdout(&sync(home, &barn, &["--bundle", &file]));
    assert!(
        again.contains("Pulled from the bundle: 0 entries and 0 photos."),
        "{again}"
    );
    assert!(!again.contains("Pushed"), "{again}");
    let lists = [&sample, &barn]
        .map(|notebook| json(&run(home, &["list", "--json", "--notebook", notebook])));
    assert_eq!(lists[0], lists[1]);
    assert!(stdout(&run(home, &["verify", "--notebook", &barn])).contains("No problems found"));

    let junk = path("junk.zip");
    fs::write(&junk, "no bundle").unwrap();
    let refused = error_sentence(&sync(home, &barn, &["--bundle", &junk]));
    assert!(refused.contains("junk.zip"), "{refused}");
    // A failed import leaves no notebook: of a file that is no bundle, and of one whose content is
    // damaged.
    let damaged = path("damaged.zip");
    let mut bytes = fs::read(&file).unwrap();
    let is_journal = |at: &usize| {
        bytes[*at..].starts_with(b"PK\x03\x04") && bytes[at + 30..].starts_with(b"journal/")
    };
    let headers: Vec<usize> = (0..bytes.len() - 40).filter(is_journal).collect();
    for at in headers {
        let length = |at: usize| usize::from(bytes[at]) + 256 * usize::from(bytes[at + 1]);
        let content = at + 30 + length(at + 26) + length(at + 28);
        bytes[content + 9] ^= 0xff;
    }
    fs::write(&damaged, bytes).unwrap();
    for (nth, bad) in [&junk, &damaged].into_iter().enumerate() {
        let new = path(&format!("new{nth}"));
        assert!(!sync(home, &new, &["--bundle", bad]).status.success());
        assert!(!home.join(&new).join("notebook.sqlite").exists(), "{bad}");
    }
    // Writing a bundle does not make its entries synced; syncing with a folder does.
    let remote = path("remote");
    stdout(&sync(home, &sample, &["--create", "--folder", &remote]));
    let nothing = error_sentence(&bundle(&[&path("new.zip"), "--not-synced"]));
    assert!(nothing.contains("nothing to send"), "{nothing}");
}

#[test]
fn a_missing_folder_is_created_only_if_asked() {
    let home = tempfile::tempdir().unwrap();
    let path = |name: &str| home.path().join(name).to_str().unwrap().to_owned();
    let (own, folder) = (path("own"), path("mistyped"));
    let why = error_sentence(&sync(home.path(), &own, &["--folder", &folder]));
    assert!(
        why.contains("does not exist") && why.contains("--create"),
        "{why}"
    );
    assert!(!Path::new(&folder).exists());
    let deep = path("none/mistyped");
    let why = error_sentence(&sync(home.path(), &own, &["--create", "--folder", &deep]));
    assert!(why.contains("was not found"), "{why}");
    stdout(&sync(home.path(), &own, &["--create", "--folder", &folder]));
    stdout(&sync(home.path(), &own, &["--folder", &folder]));
}

#[test]
fn thousands_of_junk_files_print_one_sum() {
    let home = tempfile::tempdir().unwrap();
    let path = |name: &str| home.path().join(name).to_str().unwrap().to_owned();
    let (own, folder) = (path("own"), path("remote"));
    let device = "0197a5a0-0000-7000-8000-000000000001";
    let journal = Path::new(&folder).join("journal").join(device);
    fs::create_dir_all(&journal).unwrap();
    for at in 1..=3000 {
        let name = format!("{at:012}-{at:012}-0123456789abcdef.jsonl");
        fs::write(journal.join(name), "junk\n".repeat(5)).unwrap();
    }
    let output = sync(home.path(), &own, &["--folder", &folder]);
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.lines().count() < 60, "{text}");
    assert!(
        one_line(&text).contains("2,990 more files were skipped")
            || one_line(&text).contains("2990 more files were skipped"),
        "{text}"
    );
}

/// A file system that never answers, as on a dead network mount: a tracer delays the calls of the
/// program on the folder for an hour.
#[test]
fn a_file_system_that_does_not_answer_does_not_hold_the_program() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("mount");
    fs::create_dir(&folder).unwrap();
    let trace = |args: &[&str]| {
        let mut traced = Command::new("strace");
        let delay = "--inject=openat,open,newfstatat,statx:delay_enter=3600s";
        traced.args([
            "-f",
            "-qq",
            "-o",
            "/dev/null",
            "-P",
            folder.to_str().unwrap(),
            delay,
        ]);
        traced.args(args);
        traced
    };
    let probe = trace(&["true"])
        .output()
        .is_ok_and(|run| run.status.success());
    if !have(probe, "delaying system calls by strace") {
        return;
    }
    let program = program(home.path());
    let mut traced = trace(&[program.get_program().to_str().unwrap()]);
    traced
        .args(["sync", "--notebook"])
        .arg(home.path().join("own"));
    let said = home.path().join("said");
    traced.arg("--folder").arg(&folder);
    traced.stdout(Stdio::null());
    traced.stderr(fs::File::create(&said).unwrap());
    traced.envs(
        program
            .get_envs()
            .filter_map(|(name, value)| Some((name, value?))),
    );
    let mut child = traced.spawn().unwrap();
    let since = Instant::now();
    // The program runs, and waits for the folder.
    std::thread::sleep(Duration::from_secs(5));
    assert!(child.try_wait().unwrap().is_none(), "it waits");
    let children = format!("/proc/{0}/task/{0}/children", child.id());
    let children = fs::read_to_string(children).unwrap();
    let id = children.split_whitespace().next().unwrap();
    assert!(
        Command::new("kill")
            .args(["-INT", id])
            .status()
            .unwrap()
            .success()
    );
    // The tracer still delays the call, so the program's end shows in what it said.
    let ended = || fs::read_to_string(&said).unwrap().contains("canceled");
    while !ended() && since.elapsed() < Duration::from_secs(20) {
        std::thread::sleep(Duration::from_millis(100));
    }
    assert!(ended(), "{}", fs::read_to_string(&said).unwrap());
    child.kill().unwrap();
    let _ = child.wait();
}
