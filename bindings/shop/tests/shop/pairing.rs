//! Pairing, syncing and revoking by the commands, each a process of its own.

use crate::common::pairing_process::PairingProcess;
use crate::common::served_screens::ServedScreens;
use crate::common::{error_sentence, has_keys, json, run, stdout};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Output;
use tempfile::TempDir;

/// Two notebooks: the sample on the shop computer, and an empty one in the barn.
struct Shop {
    home: TempDir,
    bench: PathBuf,
    barn: PathBuf,
}

impl Shop {
    fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        let (bench, barn) = (home.path().join("bench"), home.path().join("barn"));
        let shop = Self { home, bench, barn };
        stdout(&shop.at(&shop.bench, &["demo", "--no-open"]));
        shop
    }

    fn at(&self, notebook: &Path, args: &[&str]) -> Output {
        let notebook = ["--notebook", notebook.to_str().unwrap()];
        run(self.home.path(), &[args, &notebook].concat())
    }

    fn in_barn(&self, args: &[&str]) -> Output {
        self.at(&self.barn, args)
    }

    fn at_bench(&self, args: &[&str]) -> Output {
        self.at(&self.bench, args)
    }

    /// Serves the shop computer's screens, and syncs on any free port.
    fn open(&self) -> ServedScreens {
        let bench = self.bench.to_str().unwrap();
        let args = ["open", "--no-open", "--port", "0", "--notebook", bench];
        ServedScreens::start(self.home.path(), &args)
    }

    fn devices(&self) -> Vec<Value> {
        let answer = json(&self.at_bench(&["devices", "--json"]));
        has_keys(&answer, &["devices", "shop_computers"]);
        answer["devices"].as_array().unwrap().clone()
    }
}

#[test]
fn two_notebooks_pair_sync_and_are_revoked() {
    let shop = Shop::new();
    assert!(shop.devices().is_empty());
    let none = error_sentence(&shop.in_barn(&["sync", "--shop"]));
    assert!(none.contains("pair --code"), "{none}");
    let screens = shop.open();

    let pairing = PairingProcess::start(shop.home.path(), &shop.bench);
    has_keys(&pairing.code, &["code", "address", "link", "until", "port"]);
    let typed = pairing.typed();
    let mistyped = [&["pair", "--code"], &typed[..], &["7"]].concat();
    let mistyped = error_sentence(&shop.in_barn(&mistyped));
    assert!(mistyped.contains("has 9 digits"), "{mistyped}");
    let paired = json(&shop.in_barn(&[&["pair", "--json", "--code"], &typed[..]].concat()));
    has_keys(&paired, &["remote", "name"]);
    let again = error_sentence(&shop.in_barn(&["pair", "--code", pairing.link()]));
    assert!(again.contains("was already used"), "{again}");
    assert!(pairing.wait().status.success());

    let pulled = json(&shop.in_barn(&["sync", "--shop", "--json"]));
    assert!(pulled["entries_pulled"].as_u64().unwrap() > 100);
    assert_eq!(pulled["photos_pulled"], 1);
    let lists =
        [&shop.bench, &shop.barn].map(|notebook| json(&shop.at(notebook, &["list", "--json"])));
    assert_eq!(lists[0], lists[1]);
    let all = json(&shop.in_barn(&["sync", "--json"]));
    assert_eq!(all["syncs"][0]["remote"], paired["remote"]);
    assert_eq!(all["syncs"][0]["report"]["entries_pulled"], 0);

    let devices = shop.devices();
    has_keys(
        &devices[0],
        &["id", "name", "paired_at", "revoked_at", "last_sync"],
    );
    has_keys(
        &devices[0]["last_sync"],
        &[
            "at",
            "entries_pushed",
            "photos_pushed",
            "entries_pulled",
            "photos_pulled",
        ],
    );
    let name = devices[0]["name"].as_str().unwrap().to_owned();
    assert!(screens.get("/devices").text().contains(&name));
    let shops = json(&shop.in_barn(&["devices", "--json"]));
    assert_eq!(shops["shop_computers"][0]["remote"], paired["remote"]);

    error_sentence(&shop.at_bench(&["devices", "--revoke", "nobody"]));
    let revoked = stdout(&shop.at_bench(&["devices", "--revoke", &name]));
    assert!(revoked.contains("It can no longer sync"), "{revoked}");
    let refused = error_sentence(&shop.in_barn(&["sync", "--shop"]));
    assert!(refused.contains("pair"), "{refused}");
    assert!(
        screens
            .get("/devices")
            .text()
            .contains("class=\"struck-out\"")
    );
    assert_ne!(shop.devices()[0]["revoked_at"], Value::Null);
    assert!(stdout(&shop.at_bench(&["verify"])).contains("No problems found"));
    screens.stop();
    let gone = error_sentence(&shop.in_barn(&["sync", "--shop"]));
    assert!(gone.contains("cannot be reached"), "{gone}");
}

#[test]
fn pair_serves_its_notebook_and_ctrl_c_cancels_the_code() {
    let shop = Shop::new();
    let pairing = PairingProcess::start(shop.home.path(), &shop.bench);
    let paired = stdout(&shop.in_barn(&["pair", "--code", pairing.link()]));
    assert!(paired.contains("sync --shop"), "{paired}");
    assert!(pairing.wait().status.success());

    let pairing = PairingProcess::start(shop.home.path(), &shop.bench);
    let link = pairing.link().to_owned();
    pairing.interrupt();
    let ended = pairing.wait();
    assert_eq!(ended.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&ended.stderr).contains("no longer works"));
    error_sentence(&shop.in_barn(&["pair", "--code", &link]));
    assert_eq!(shop.devices().len(), 1);
}

#[test]
fn second_program_names_the_port_of_the_first() {
    let shop = Shop::new();
    let bench = shop.bench.to_str().unwrap();
    let (first, second) = (shop.open(), shop.open());
    let page = |screens: &ServedScreens| screens.get("/pair").text();
    let place = |page: &str| {
        let after = page.split("reach this computer at ").nth(1).unwrap();
        after.split("</p>").next().unwrap().to_owned()
    };
    assert_eq!(place(&page(&first)), place(&page(&second)));
    let kept = ServedScreens::start(
        shop.home.path(),
        &["open", "--no-open", "--no-network", "--notebook", bench],
    );
    assert!(!page(&kept).contains("Make a pairing code"));

    // If another notebook has the port, the screens are served and say so.
    let port = place(&page(&first));
    let port: String = port
        .chars()
        .rev()
        .skip_while(|digit| !digit.is_ascii_digit())
        .take_while(char::is_ascii_digit)
        .collect();
    let port: String = port.chars().rev().collect();
    let barn = shop.barn.to_str().unwrap();
    let other = ServedScreens::start(
        shop.home.path(),
        &["open", "--no-open", "--port", &port, "--notebook", barn],
    );
    assert!(
        page(&other).contains(&format!("cannot open port {port}")),
        "{}",
        page(&other)
    );
}

#[test]
fn a_device_named_like_a_number_is_not_confused_with_it() {
    let shop = Shop::new();
    for name in ["barn", "yard"] {
        let pairing = PairingProcess::start(shop.home.path(), &shop.bench);
        let notebook = shop.home.path().join(name);
        stdout(&shop.at(&notebook, &["pair", "--code", pairing.link()]));
        assert!(pairing.wait().status.success());
    }
    let store = holebook_sync::PairingStore::open(&shop.bench).unwrap();
    store.rename_device(2, "1").unwrap();
    let revoke = |wanted: &str| shop.at_bench(&["devices", "--revoke", wanted]);
    let why = error_sentence(&revoke("1"));
    for shown in ["(number 1)", "1 (number 2)", "'#1'"] {
        assert!(why.contains(shown), "{shown}: {why}");
    }
    let revoked = || {
        let devices = shop.devices().into_iter();
        let revoked = devices.filter(|device| device["revoked_at"] != Value::Null);
        revoked
            .map(|device| device["id"].as_i64().unwrap())
            .collect::<Vec<_>>()
    };
    assert!(revoked().is_empty());
    let done = stdout(&revoke("#2"));
    assert!(done.contains("1 (number 2) is revoked"), "{done}");
    assert_eq!(revoked(), [2]);
    // Now the name is free, so the number is not ambiguous any more.
    stdout(&revoke("1"));
    assert_eq!(revoked(), [2, 1]);
}

#[test]
fn what_a_name_hides_is_shown() {
    let shop = Shop::new();
    let pairing = PairingProcess::start(shop.home.path(), &shop.bench);
    stdout(&shop.in_barn(&["pair", "--code", pairing.link()]));
    assert!(pairing.wait().status.success());
    let store = holebook_sync::PairingStore::open(&shop.bench).unwrap();
    store.rename_device(1, "B\u{430}rn\u{200b} phone").unwrap();
    let shown = "B[U+0430]rn[U+200B] phone (number 1)";
    let listed = stdout(&shop.at_bench(&["devices"]));
    assert!(listed.contains(shown), "{listed}");
    let screens = shop.open();
    let page = screens.get("/devices").text();
    assert!(page.contains("B[U+0430]rn[U+200B] phone") && page.contains("Number 1, paired"));
    let revoked = stdout(&shop.at_bench(&["devices", "--revoke", "1"]));
    assert!(revoked.contains(shown), "{revoked}");
}
