//! Two notebooks on one network, by the commands: paired, exchanged, revoked, each a process of its own.
#![cfg(unix)]
#![allow(clippy::unwrap_used)]

mod common;

use common::pairing::Pairing;
use common::showing::Showing;
use common::{has_keys, json, run, said, sentence};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Output;
use tempfile::TempDir;

/// A computer with two notebooks: the sample at the bench, and a new one for the barn.
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
        said(&shop.at(&shop.bench, &["demo", "--no-open"]));
        shop
    }

    fn at(&self, notebook: &Path, words: &[&str]) -> Output {
        let notebook = ["--notebook", notebook.to_str().unwrap()];
        run(self.home.path(), &[words, &notebook].concat())
    }

    fn in_barn(&self, words: &[&str]) -> Output {
        self.at(&self.barn, words)
    }

    fn at_bench(&self, words: &[&str]) -> Output {
        self.at(&self.bench, words)
    }

    /// The bench's screens, and its shelf on any free port.
    fn open(&self) -> Showing {
        let bench = self.bench.to_str().unwrap();
        let words = ["open", "--no-open", "--port", "0", "--notebook", bench];
        Showing::start(self.home.path(), &words)
    }

    fn devices(&self) -> Vec<Value> {
        let answer = json(&self.at_bench(&["devices", "--json"]));
        has_keys(&answer, &["devices", "shop_computers"]);
        answer["devices"].as_array().unwrap().clone()
    }
}

#[test]
fn two_notebooks_pair_exchange_and_part() {
    let shop = Shop::new();
    assert!(shop.devices().is_empty());
    let none = sentence(&shop.in_barn(&["exchange", "--shop"]));
    assert!(none.contains("pair --code"), "{none}");
    let showing = shop.open();

    let pairing = Pairing::start(shop.home.path(), &shop.bench);
    has_keys(&pairing.code, &["words", "link", "until", "port"]);
    let mistyped = format!("{} abandon", pairing.words());
    sentence(&shop.in_barn(&["pair", "--code", &mistyped]));
    let words: Vec<&str> = pairing.words().split(' ').collect();
    let paired = json(&shop.in_barn(&[&["pair", "--json", "--code"], &words[..]].concat()));
    has_keys(&paired, &["shelf", "name"]);
    let again = sentence(&shop.in_barn(&["pair", "--code", pairing.words()]));
    assert!(again.contains("has been used"), "{again}");
    assert!(pairing.end().status.success());

    let taken = json(&shop.in_barn(&["exchange", "--shop", "--json"]));
    assert!(taken["entries_taken"].as_u64().unwrap() > 100);
    assert_eq!(taken["photos_taken"], 1);
    let lists =
        [&shop.bench, &shop.barn].map(|notebook| json(&shop.at(notebook, &["list", "--json"])));
    assert_eq!(lists[0], lists[1]);
    let every = json(&shop.in_barn(&["exchange", "--json"]));
    assert_eq!(every["exchanges"][0]["shelf"], paired["shelf"]);
    assert_eq!(every["exchanges"][0]["report"]["entries_taken"], 0);

    let devices = shop.devices();
    has_keys(
        &devices[0],
        &["id", "name", "paired_at", "revoked_at", "last_exchange"],
    );
    has_keys(
        &devices[0]["last_exchange"],
        &[
            "at",
            "entries_brought",
            "photos_brought",
            "entries_taken",
            "photos_taken",
        ],
    );
    let name = devices[0]["name"].as_str().unwrap().to_owned();
    assert!(showing.get("/devices").text().contains(&name));
    let shops = json(&shop.in_barn(&["devices", "--json"]));
    assert_eq!(shops["shop_computers"][0]["shelf"], paired["shelf"]);

    sentence(&shop.at_bench(&["devices", "--revoke", "nobody"]));
    let revoked = said(&shop.at_bench(&["devices", "--revoke", &name]));
    assert!(revoked.contains("takes nothing from now on"), "{revoked}");
    let refused = sentence(&shop.in_barn(&["exchange", "--shop"]));
    assert!(refused.contains("pair"), "{refused}");
    assert!(showing.get("/devices").text().contains("class=\"struck\""));
    assert_ne!(shop.devices()[0]["revoked_at"], Value::Null);
    assert!(said(&shop.at_bench(&["verify"])).contains("Nothing is wrong"));
    showing.stop();
    let gone = sentence(&shop.in_barn(&["exchange", "--shop"]));
    assert!(gone.contains("cannot be reached"), "{gone}");
}

#[test]
fn a_code_alone_serves_its_notebook_and_goes_with_ctrl_c() {
    let shop = Shop::new();
    let pairing = Pairing::start(shop.home.path(), &shop.bench);
    let paired = said(&shop.in_barn(&["pair", "--code", pairing.link()]));
    assert!(paired.contains("exchange --shop"), "{paired}");
    assert!(pairing.end().status.success());

    let pairing = Pairing::start(shop.home.path(), &shop.bench);
    let link = pairing.link().to_owned();
    pairing.interrupt();
    let ended = pairing.end();
    assert_eq!(ended.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&ended.stderr).contains("good no more"));
    sentence(&shop.in_barn(&["pair", "--code", &link]));
    assert_eq!(shop.devices().len(), 1);
}

#[test]
fn one_program_serves_a_notebook_and_a_second_says_the_same_port() {
    let shop = Shop::new();
    let bench = shop.bench.to_str().unwrap();
    let (first, second) = (shop.open(), shop.open());
    let page = |showing: &Showing| showing.get("/pair").text();
    let place = |page: &str| {
        let after = page.split("reach this computer at ").nth(1).unwrap();
        after.split("</p>").next().unwrap().to_owned()
    };
    assert_eq!(place(&page(&first)), place(&page(&second)));
    let kept = Showing::start(
        shop.home.path(),
        &["open", "--no-open", "--no-shelf", "--notebook", bench],
    );
    assert!(!page(&kept).contains("Make a code"));

    // A port that another notebook has is no failure: the screens are shown, and say so.
    let port = place(&page(&first));
    let port: String = port
        .chars()
        .rev()
        .skip_while(|digit| !digit.is_ascii_digit())
        .take_while(char::is_ascii_digit)
        .collect();
    let port: String = port.chars().rev().collect();
    let barn = shop.barn.to_str().unwrap();
    let other = Showing::start(
        shop.home.path(),
        &["open", "--no-open", "--port", &port, "--notebook", barn],
    );
    assert!(
        page(&other).contains(&format!("port {port} could not be opened")),
        "{}",
        page(&other)
    );
}
