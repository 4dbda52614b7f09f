//! `holebook demo` with its screens: the plan, then pages, pictures and changes as from a browser.

use crate::common::served_screens::ServedScreens;
use holebook_test_support::http_client::send;
use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

/// Fills a folder with the commands by which desktops open a browser; each writes what it was to
/// open to a file. Returns a `PATH` with them.
fn fake_browsers(folder: &Path) -> String {
    let log = folder.join("opened");
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
                log.display()
            ),
        )
        .unwrap();
        fs::set_permissions(&command, fs::Permissions::from_mode(0o755)).unwrap();
    }
    format!("{}:{}", folder.display(), std::env::var("PATH").unwrap())
}

#[test]
fn demo_prints_its_plan_and_opens_the_browser_with_a_one_time_address() {
    let home = tempfile::tempdir().unwrap();
    let commands = tempfile::tempdir().unwrap();
    let path = fake_browsers(commands.path());
    let screens = ServedScreens::start_with(home.path(), &["demo"], &[("PATH", &path)]);
    assert!(
        screens.printed.contains("invented") && screens.printed.contains("key-locking insert"),
        "{}",
        screens.printed
    );
    let log = commands.path().join("opened");
    let opened = (0..1200).find_map(|_| {
        std::thread::sleep(std::time::Duration::from_millis(50));
        fs::read_to_string(&log)
            .ok()
            .filter(|opened| opened.ends_with('\n'))
    });
    let opened = opened.expect("a browser was opened");
    let target = opened
        .trim()
        .strip_prefix(&format!("http://127.0.0.1:{}", screens.port))
        .expect("this run's address");
    assert!(
        !target.contains(&screens.key),
        "the browser's command line, which others can read, does not hold the key"
    );
    let led = send(screens.port, "GET", target, &[], b"");
    let own = format!("http://{}/?key=", screens.host);
    assert_eq!(led.status, 303);
    assert!(led.header("location").unwrap().starts_with(&own));
    assert!(!opened.contains(".localhost"), "nor the host name");
    assert_eq!(
        send(screens.port, "GET", target, &[], b"").status,
        403,
        "it opens once"
    );

    let casting = first_link(&screens.get("/").text(), "/casting/");
    let face = first_link(&screens.get(&casting).text(), "/face/");
    let page = screens.get(&face);
    assert_eq!(page.status, 200);
    let photo = first_link(&page.text(), "/photo/");
    check_pictures(&screens, photo.split('/').nth(2).unwrap());
    check_hole(&screens, &first_link(&page.text(), "/hole/"));
}

fn check_pictures(screens: &ServedScreens, photo: &str) {
    for name in ["view.jpg", "thumb.jpg", "original"] {
        let answer = screens.get(&format!("/photo/{photo}/{name}"));
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

fn check_hole(screens: &ServedScreens, hole: &str) {
    let page = screens.get(hole).text();
    assert!(page.contains("3/8-16 UNC"));
    let answer = screens.post(&format!("{hole}/note"), "text=Sent+by+a+form");
    assert_eq!(answer.status, 303, "{}", answer.text());
    assert!(screens.get(hole).text().contains("Sent by a form"));
}

fn first_link(page: &str, to: &str) -> String {
    let (_, rest) = page.split_once(&format!("href=\"{to}")).expect("a link");
    format!("{to}{}", rest.split(['"', '#', '?']).next().unwrap())
}

#[test]
fn json_has_the_plan_and_the_address() {
    let home = tempfile::tempdir().unwrap();
    let commands = tempfile::tempdir().unwrap();
    let path = fake_browsers(commands.path());
    let screens = ServedScreens::start_with(home.path(), &["demo", "--json"], &[("PATH", &path)]);
    // Nothing but the closing brace comes after the line with the address.
    let value: serde_json::Value = serde_json::from_str(&format!("{}}}", screens.printed)).unwrap();
    assert_eq!(
        value["castings"][0]["faces"][0]["holes"]
            .as_array()
            .unwrap()
            .len(),
        14
    );
    assert!(value["address"].as_str().unwrap().contains(&screens.key));
    assert_eq!(screens.get("/").status, 200);
}
