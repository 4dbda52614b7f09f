//! `holebook demo` with its screens: the plan first, then pages, pictures and changes as a browser makes them.

#![cfg(unix)]
#![allow(clippy::unwrap_used)]

mod common;

use common::http::send;
use common::showing::Showing;
use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

/// A folder with commands that open a browser, as desktops have them; they write down what they were asked to open.
fn browser(folder: &Path) -> String {
    let note = folder.join("asked");
    for name in [
        "xdg-open",
        "gio",
        "gnome-open",
        "kde-open",
        "wslview",
        "open",
    ] {
        let command = folder.join(name);
        fs::write(
            &command,
            format!(
                "#!/bin/sh\nfor word; do :; done\necho \"$word\" > '{}'\n",
                note.display()
            ),
        )
        .unwrap();
        fs::set_permissions(&command, fs::Permissions::from_mode(0o755)).unwrap();
    }
    format!("{}:{}", folder.display(), std::env::var("PATH").unwrap())
}

#[test]
fn the_demo_prints_its_plan_and_opens_the_browser_with_an_address_for_once() {
    let home = tempfile::tempdir().unwrap();
    let commands = tempfile::tempdir().unwrap();
    let path = browser(commands.path());
    let showing = Showing::start_with(home.path(), &["demo"], &[("PATH", &path)]);
    assert!(
        showing.said.contains("invented") && showing.said.contains("key-locking insert"),
        "{}",
        showing.said
    );
    let note = commands.path().join("asked");
    let asked = (0..1200).find_map(|_| {
        std::thread::sleep(std::time::Duration::from_millis(50));
        fs::read_to_string(&note)
            .ok()
            .filter(|asked| asked.ends_with('\n'))
    });
    let asked = asked.expect("a browser was asked");
    let target = asked
        .trim()
        .strip_prefix(&format!("http://127.0.0.1:{}", showing.port))
        .expect("this run's address");
    assert!(
        !target.contains(&showing.key),
        "the browser's command line, which others can read, does not hold the key"
    );
    assert_eq!(send(showing.port, "GET", target, &[], b"").status, 303);
    assert_eq!(
        send(showing.port, "GET", target, &[], b"").status,
        403,
        "it opens once"
    );

    let casting = first_link(&showing.get("/").text(), "/casting/");
    let face = first_link(&showing.get(&casting).text(), "/face/");
    let page = showing.get(&face);
    assert_eq!(page.status, 200);
    let photo = first_link(&page.text(), "/photo/");
    check_pictures(&showing, photo.split('/').nth(2).unwrap());
    check_hole(&showing, &first_link(&page.text(), "/hole/"));
}

fn check_pictures(showing: &Showing, photo: &str) {
    for name in ["view.jpg", "thumb.jpg", "original"] {
        let answer = showing.get(&format!("/photo/{photo}/{name}"));
        assert_eq!(
            (answer.status, answer.header("content-type")),
            (200, Some("image/jpeg")),
            "{name}"
        );
        assert_eq!(&answer.body[..2], b"\xff\xd8", "{name} is a JPEG");
        assert_eq!(
            answer.header("content-length"),
            Some(answer.body.len().to_string().as_str())
        );
    }
}

fn check_hole(showing: &Showing, hole: &str) {
    let page = showing.get(hole).text();
    assert!(page.contains("3/8-16 UNC"));
    let answer = showing.post(&format!("{hole}/note"), "text=Said+over+the+wire");
    assert_eq!(answer.status, 303, "{}", answer.text());
    assert!(showing.get(hole).text().contains("Said over the wire"));
}

fn first_link(page: &str, to: &str) -> String {
    let (_, rest) = page.split_once(&format!("href=\"{to}")).expect("a link");
    format!("{to}{}", rest.split(['"', '#', '?']).next().unwrap())
}

#[test]
fn as_json_the_plan_and_the_address_are_one_value() {
    let home = tempfile::tempdir().unwrap();
    let commands = tempfile::tempdir().unwrap();
    let path = browser(commands.path());
    let showing = Showing::start_with(home.path(), &["demo", "--json"], &[("PATH", &path)]);
    // Nothing but the closing brace comes after the line with the address.
    let value: serde_json::Value = serde_json::from_str(&format!("{}}}", showing.said)).unwrap();
    assert_eq!(
        value["castings"][0]["faces"][0]["holes"]
            .as_array()
            .unwrap()
            .len(),
        14
    );
    assert!(value["address"].as_str().unwrap().contains(&showing.key));
    assert_eq!(showing.get("/").status, 200);
}
