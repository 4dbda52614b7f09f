//! The bucket remote from the command line.

use super::apache::apache;
use super::s3::store;
use super::server_process::are_available;
use super::test_notebook::Server as _;
use crate::common::served_screens::ServedScreens;
use crate::common::{error_sentence, json, program, stdout};
use std::fs;
use std::path::Path;
use std::process::Output;
use std::time::{Duration, Instant};

/// Runs the program with no keys in its environment but those given.
fn run_sync(home: &Path, notebook: &str, args: &[&str], environment: &[(&str, &str)]) -> Output {
    program(home)
        .env_remove("AWS_ACCESS_KEY_ID")
        .env_remove("AWS_SECRET_ACCESS_KEY")
        .env_remove("SSL_CERT_FILE")
        .env_remove("SSL_CERT_DIR")
        .envs(environment.iter().copied())
        .args(["sync", "--notebook", notebook])
        .args(args)
        .output()
        .unwrap()
}

#[test]
fn bucket_is_remembered() {
    if !are_available() {
        return;
    }
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let notebooks = ["own", "other"].map(|name| home.join(name).to_str().unwrap().to_owned());
    let [own, other] = notebooks.each_ref().map(String::as_str);
    stdout(
        &program(home)
            .args(["demo", "--no-open", "--notebook", own])
            .output()
            .unwrap(),
    );
    let (endpoint, keys) = (store().endpoint(), store().keys());
    let args = [
        "--bucket",
        "s3://parts/barn door",
        "--endpoint",
        &endpoint,
        "--bucket-keys",
        keys.to_str().unwrap(),
    ];
    let without = error_sentence(&run_sync(home, own, &args[..4], &[]));
    assert!(
        without.contains("there are no keys for the bucket s3://parts/barn door"),
        "{without}"
    );
    let synced = stdout(&run_sync(home, own, &args, &[]));
    assert!(
        synced.contains("Pushed:") && synced.contains("1 photo."),
        "{synced}"
    );

    let table: toml::Table = fs::read_to_string(&keys).unwrap().parse().unwrap();
    let environment = [
        ("AWS_ACCESS_KEY_ID", table["key"].as_str().unwrap()),
        ("AWS_SECRET_ACCESS_KEY", table["secret"].as_str().unwrap()),
    ];
    let pulled = json(&run_sync(
        home,
        other,
        &[&args[..4], &["--json"]].concat(),
        &environment,
    ));
    assert_eq!(pulled["photos_pulled"], 1);
    // One knows the file, the other the environment; the keys themselves are stored nowhere.
    assert!(
        stdout(&run_sync(home, own, &[], &[])).contains("With the bucket s3://parts/barn door")
    );
    assert!(stdout(&run_sync(home, other, &[], &environment)).contains("With the bucket"));
    assert_eq!(run_sync(home, other, &[], &[]).status.code(), Some(1));
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
            stdout(
                &program(home)
                    .args(["verify", "--notebook", notebook])
                    .output()
                    .unwrap()
            )
            .contains("No problems found")
        );
    }
}

#[test]
fn page_lists_syncs_and_forgets_a_bucket() {
    if !are_available() {
        return;
    }
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let notebook = home.join("own");
    let args = [
        "demo",
        "--no-open",
        "--notebook",
        notebook.to_str().unwrap(),
    ];
    stdout(&program(home).args(args).output().unwrap());
    let (endpoint, keys) = (store().endpoint(), store().keys());
    let args = [
        "--bucket",
        "s3://parts/page",
        "--endpoint",
        &endpoint,
        "--bucket-keys",
        keys.to_str().unwrap(),
    ];
    stdout(&run_sync(home, notebook.to_str().unwrap(), &args, &[]));
    let args = [
        "open",
        "--no-open",
        "--no-network",
        "--notebook",
        notebook.to_str().unwrap(),
    ];
    let screens = ServedScreens::start(home, &args);
    let page = screens.get("/sync").text();
    assert!(
        page.contains("The bucket s3://parts/page at 127.0.0.1"),
        "{page}"
    );
    let form = format!(
        "remote={}",
        format!("s3://parts/page@{endpoint}")
            .replace(':', "%3A")
            .replace('/', "%2F")
            .replace('@', "%40")
    );
    assert_eq!(screens.post("/sync/start", &form).status, 303);
    let since = Instant::now();
    while !screens
        .get("/sync")
        .text()
        .contains("Nothing new on either side.")
    {
        assert!(
            since.elapsed() < Duration::from_secs(60),
            "{}",
            screens.get("/sync").text()
        );
        std::thread::sleep(Duration::from_millis(50));
    }
    assert_eq!(screens.post("/sync/forget", &form).status, 303);
    assert!(!screens.get("/sync").text().contains("value=\"s3:"));
    assert_eq!(
        fs::read_to_string(notebook.join(".shelf-buckets.json")).unwrap(),
        "{}"
    );
}

#[test]
fn webdav_certificate_is_verified() {
    if !are_available() {
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
    let args = [
        "--bucket",
        &address,
        "--bucket-keys",
        keys.to_str().unwrap(),
    ];
    let untrusted = error_sentence(&run_sync(home, notebook, &args, &[]));
    assert!(
        untrusted.contains("its certificate is not valid"),
        "{untrusted}"
    );
    let trusting = [("SSL_CERT_FILE", authority.to_str().unwrap())];
    assert!(
        stdout(&run_sync(home, notebook, &args, &trusting)).contains("The remote was created.")
    );
    assert!(
        stdout(&run_sync(home, notebook, &[], &trusting))
            .contains("With the WebDAV folder https://localhost")
    );
    // The certificate is for another name.
    let other = address.replace("localhost", "127.0.0.1");
    let message = error_sentence(&run_sync(
        home,
        notebook,
        &["--bucket", &other, "--bucket-keys", keys.to_str().unwrap()],
        &trusting,
    ));
    assert!(message.contains("it is for another name"), "{message}");
}
