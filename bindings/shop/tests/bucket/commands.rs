//! The shelf elsewhere by the commands.

use crate::apache::apache;
use crate::common::showing::Showing;
use crate::common::{json, program, said, sentence};
use crate::desk::Server as _;
use crate::s3::store;
use crate::served::are_there;
use std::fs;
use std::path::Path;
use std::process::Output;
use std::time::{Duration, Instant};

/// Runs the program with no keys in its environment but those named.
fn exchange(home: &Path, notebook: &str, words: &[&str], environment: &[(&str, &str)]) -> Output {
    program(home)
        .env_remove("AWS_ACCESS_KEY_ID")
        .env_remove("AWS_SECRET_ACCESS_KEY")
        .env_remove("SSL_CERT_FILE")
        .env_remove("SSL_CERT_DIR")
        .envs(environment.iter().copied())
        .args(["exchange", "--notebook", notebook])
        .args(words)
        .output()
        .unwrap()
}

#[test]
fn a_bucket_is_known_from_then_on() {
    if !are_there() {
        return;
    }
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let notebooks = ["own", "other"].map(|name| home.join(name).to_str().unwrap().to_owned());
    let [own, other] = notebooks.each_ref().map(String::as_str);
    said(
        &program(home)
            .args(["demo", "--no-open", "--notebook", own])
            .output()
            .unwrap(),
    );
    let (endpoint, keys) = (store().endpoint(), store().keys());
    let words = [
        "--bucket",
        "s3://parts/barn door",
        "--endpoint",
        &endpoint,
        "--bucket-keys",
        keys.to_str().unwrap(),
    ];
    let without = sentence(&exchange(home, own, &words[..4], &[]));
    assert!(
        without.contains("there are no keys for the bucket s3://parts/barn door"),
        "{without}"
    );
    let left = said(&exchange(home, own, &words, &[]));
    assert!(
        left.contains("Left on the shelf:") && left.contains("1 photo."),
        "{left}"
    );

    let table: toml::Table = fs::read_to_string(&keys).unwrap().parse().unwrap();
    let environment = [
        ("AWS_ACCESS_KEY_ID", table["key"].as_str().unwrap()),
        ("AWS_SECRET_ACCESS_KEY", table["secret"].as_str().unwrap()),
    ];
    let taken = json(&exchange(
        home,
        other,
        &[&words[..4], &["--json"]].concat(),
        &environment,
    ));
    assert_eq!(taken["photos_taken"], 1);
    // One knows the file, the other the environment; the keys themselves are kept nowhere.
    assert!(said(&exchange(home, own, &[], &[])).contains("With the bucket s3://parts/barn door"));
    assert!(said(&exchange(home, other, &[], &environment)).contains("With the bucket"));
    assert_eq!(exchange(home, other, &[], &[]).status.code(), Some(1));
    for notebook in [own, other] {
        for file in fs::read_dir(notebook).unwrap() {
            let file = file.unwrap().path();
            let bytes = if file.is_file() {
                fs::read(&file).unwrap()
            } else {
                Vec::new()
            };
            let secret = environment[1].1.as_bytes();
            assert!(
                !bytes.windows(secret.len()).any(|window| window == secret),
                "{}",
                file.display()
            );
        }
        assert!(
            said(
                &program(home)
                    .args(["verify", "--notebook", notebook])
                    .output()
                    .unwrap()
            )
            .contains("Nothing is wrong")
        );
    }
}

#[test]
fn the_page_lists_it_exchanges_with_it_and_forgets_it() {
    if !are_there() {
        return;
    }
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let notebook = home.join("own");
    let words = [
        "demo",
        "--no-open",
        "--notebook",
        notebook.to_str().unwrap(),
    ];
    said(&program(home).args(words).output().unwrap());
    let (endpoint, keys) = (store().endpoint(), store().keys());
    let words = [
        "--bucket",
        "s3://parts/page",
        "--endpoint",
        &endpoint,
        "--bucket-keys",
        keys.to_str().unwrap(),
    ];
    said(&exchange(home, notebook.to_str().unwrap(), &words, &[]));
    let words = [
        "open",
        "--no-open",
        "--no-shelf",
        "--notebook",
        notebook.to_str().unwrap(),
    ];
    let showing = Showing::start(home, &words);
    let page = showing.get("/exchange").text();
    assert!(
        page.contains("The bucket s3://parts/page at 127.0.0.1"),
        "{page}"
    );
    let form = format!(
        "shelf={}",
        format!("s3://parts/page@{endpoint}")
            .replace(':', "%3A")
            .replace('/', "%2F")
            .replace('@', "%40")
    );
    assert_eq!(showing.post("/exchange/begin", &form).status, 303);
    let since = Instant::now();
    while !showing
        .get("/exchange")
        .text()
        .contains("Nothing was new on either side.")
    {
        assert!(
            since.elapsed() < Duration::from_secs(60),
            "{}",
            showing.get("/exchange").text()
        );
        std::thread::sleep(Duration::from_millis(50));
    }
    assert_eq!(showing.post("/exchange/forget", &form).status, 303);
    assert!(!showing.get("/exchange").text().contains("value=\"s3:"));
    assert_eq!(
        fs::read_to_string(notebook.join(".shelf-buckets.json")).unwrap(),
        "{}"
    );
}

#[test]
fn a_webdav_folder_is_trusted_by_its_certificate() {
    if !are_there() {
        return;
    }
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let notebook = home.join("own");
    let notebook = notebook.to_str().unwrap();
    let (address, keys, authority) = (
        apache().secure("tls"),
        apache().keys(),
        apache().authority(),
    );
    let words = [
        "--bucket",
        &address,
        "--bucket-keys",
        keys.to_str().unwrap(),
    ];
    let stranger = sentence(&exchange(home, notebook, &words, &[]));
    assert!(
        stranger.contains("the certificate shown there is not good"),
        "{stranger}"
    );
    let trusting = [("SSL_CERT_FILE", authority.to_str().unwrap())];
    assert!(said(&exchange(home, notebook, &words, &trusting)).contains("The shelf was new."));
    assert!(
        said(&exchange(home, notebook, &[], &trusting))
            .contains("With the WebDAV folder https://localhost")
    );
    // The certificate is for another name.
    let other = address.replace("localhost", "127.0.0.1");
    let told = sentence(&exchange(
        home,
        notebook,
        &["--bucket", &other, "--bucket-keys", keys.to_str().unwrap()],
        &trusting,
    ));
    assert!(told.contains("it is for another name"), "{told}");
}
