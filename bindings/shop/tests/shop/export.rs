//! `holebook export`: read back by Python (Debian: python3), and on a full disk.

use crate::common::{error_sentence, json as printed, one_line, run, stdout};
use holebook_test_support::requirements::{have, works};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;
use tempfile::TempDir;

/// A sample notebook in `HOME/sample`.
fn sample() -> TempDir {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("sample");
    let folder = folder.to_str().unwrap();
    stdout(&run(
        home.path(),
        &["demo", "--no-open", "--notebook", folder],
    ));
    home
}

fn run_in(home: &Path, args: &[&str]) -> std::process::Output {
    let folder = home.join("sample");
    run(
        home,
        &[args, &["--notebook", folder.to_str().unwrap()]].concat(),
    )
}

#[test]
fn python_reads_an_export_and_works_out_its_hash_chain() {
    let home = sample();
    let out = home.path().join("export");
    let to = out.to_str().unwrap();
    let text = one_line(&stdout(&run_in(home.path(), &["export", "--out", to])));
    assert!(text.contains("README.txt"), "{text}");
    let answer = printed(&run_in(
        home.path(),
        &["export", "--out", to, "--replace", "--json"],
    ));
    if !have(works("python3", &["--version"]), "python3") {
        return;
    }
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/shop/export.py");
    let output = Command::new("python3").args([script, to]).output().unwrap();
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{error}");
    let found: Value = serde_json::from_slice(&output.stdout).unwrap();
    for key in ["entries", "photos"] {
        assert_eq!(answer[key], found[key], "{key}");
    }
    assert_eq!(answer["holes"], found["rows"]["holes.csv"]);
    assert_eq!(found["rows"]["log.csv"], found["entries"]);
    assert_eq!(found["rows"]["readings.csv"], found["readings"]);
}

#[test]
fn an_export_never_overwrites_silently() {
    let home = sample();
    let out = home.path().join("export");
    let to = out.to_str().unwrap();
    fs::create_dir(&out).unwrap();
    fs::write(out.join("letter.txt"), "mine").unwrap();
    let text = error_sentence(&run_in(home.path(), &["export", "--out", to]));
    assert!(text.contains("already exists"), "{text}");
    assert!(text.contains("add --replace"), "{text}");
    let text = error_sentence(&run_in(home.path(), &["export", "--out", to, "--replace"]));
    assert!(text.contains("letter.txt"), "{text}");
    assert_eq!(fs::read_dir(&out).unwrap().count(), 1);
    let text = error_sentence(&run_in(home.path(), &["export", "--out", "/no/such/dir/x"]));
    assert!(text.contains("/no/such/dir/x"), "{text}");
}

#[test]
fn one_casting_is_one_page_without_scripts_and_addresses() {
    let home = sample();
    let file = home.path().join("casting.html");
    let to = file.to_str().unwrap();
    let name = "Sample engine No. 7, water jacket";
    let args = ["export", "--casting", name, "--out", to];
    stdout(&run_in(home.path(), &args));
    let page = fs::read_to_string(&file).unwrap();
    for wanted in [name, "data:image/jpeg;base64,", "As found"] {
        assert!(page.contains(wanted), "{wanted} is not in the page");
    }
    for address in [
        "<script", "src=\"/", "href=\"/", "http://", "https://", "url(",
    ] {
        assert!(!page.contains(address), "{address} is in the page");
    }
    assert_eq!(page.matches("<b>Caution: </b>").count(), 1);
    let holes = printed(&run_in(home.path(), &["list", "--json"]));
    for hole in holes["castings"][0]["faces"][0]["holes"]
        .as_array()
        .unwrap()
    {
        let id = format!("id=\"hole-{}\"", hole["id"].as_str().unwrap());
        assert!(page.contains(&id), "{id}");
    }
    let text = error_sentence(&run_in(home.path(), &args));
    assert!(text.contains("--replace"), "{text}");
    stdout(&run_in(home.path(), &[&args[..], &["--replace"]].concat()));
    let nobody = ["export", "--casting", "Nobody", "--out", to, "--replace"];
    let text = error_sentence(&run_in(home.path(), &nobody));
    assert!(text.contains("Nobody"), "{text}");
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_leaves_no_export() {
    let home = sample();
    let disk = home.path().join("disk");
    fs::create_dir(&disk).unwrap();
    let Some(_disk) = crate::folders::SmallDisk::mount(&disk, "300k") else {
        let _ = have(false, "mounting a small disk");
        return;
    };
    let to = disk.join("export");
    let to = to.to_str().unwrap();
    for args in [
        &["export", "--out", to] as &[&str],
        &[
            "export",
            "--out",
            to,
            "--casting",
            "Sample engine No. 7, water jacket",
        ],
    ] {
        let text = error_sentence(&run_in(home.path(), args));
        assert!(
            text.contains("full") || text.contains("no space left"),
            "{text}"
        );
        let left: Vec<_> = fs::read_dir(&disk).unwrap().collect();
        assert!(left.is_empty(), "{left:?}");
    }
}
