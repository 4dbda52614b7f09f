//! Whoever is not let in, and what each is told. `bindings/link/tests` has what a stranger's bytes come to; `pairing` has the device that
//! is revoked and the code that is used twice, by the commands.

use super::common::{json, sentence};
use super::desk::{Code, Desk, are_equal};
use holebook_tests::apart::apart;
use holebook_tests::lan::quiet_port;
use holebook_tests::need::{have, works};
use serde_json::Value;
use std::fs;
use std::process::Command;

#[test]
fn another_computer_at_the_shop_computers_address_is_told_nothing() {
    apart(
        another_computer_at_the_shop_computers_address_is_told_nothing,
        || {
            let (shop, other, barn) = (Desk::new(), Desk::new(), Desk::new());
            let port = quiet_port();
            let open = shop.open(port);
            barn.pair(&shop);
            barn.note(3);
            let code = Code::of(&shop);
            let (link, words) = (code.link.clone(), code.words());
            drop((code, open));
            let open = other.open(port);
            let (before, late) = (other.ends(), Desk::new());
            let why = barn.is_refused();
            assert!(
                why.contains("another computer answers at its address, and it was told nothing"),
                "{why}"
            );
            for code in [link, words] {
                let why = sentence(&late.run(&["pair", "--code", &code]));
                assert!(why.contains("so it was told nothing"), "{why}");
            }
            assert_eq!(other.ends(), before);
            drop(open);
            let _open = shop.open(port);
            barn.exchange_well();
            are_equal(&[&shop, &barn]);
        },
    );
}

#[test]
fn a_device_with_a_wrong_token_is_not_known() {
    apart(a_device_with_a_wrong_token_is_not_known, || {
        let (shop, barn) = (Desk::new(), Desk::new());
        let _open = shop.open(0);
        barn.pair(&shop);
        barn.note(3);
        let before = shop.ends();
        let pairings = rusqlite::Connection::open(barn.folder().join("link.sqlite")).unwrap();
        let changed = pairings.execute("UPDATE shop SET token = randomblob(32)", []);
        assert_eq!(changed.unwrap(), 1);
        let why = barn.is_refused();
        assert!(
            why.contains("does not know this device; pair it again"),
            "{why}"
        );
        assert_eq!(shop.ends(), before);
        barn.pair(&shop);
        barn.exchange_well();
        are_equal(&[&shop, &barn]);
    });
}

const GUESSES: usize = 10_000;

/// What curl is to do: so many guesses of a link's secret, each given up after some seconds. Secrets of this length are a code's.
fn guesses(port: u16) -> String {
    let guess = |number| {
        format!(
            "url = \"https://127.0.0.1:{port}/pair\"\ninsecure\nsilent\nnoproxy = \"*\"\nmax-time = 8\n\
             output = /dev/null\nwrite-out = \"%{{http_code}}\\n\"\n\
             data = \"{{\\\"secret\\\":\\\"{number:021}A\\\",\\\"name\\\":\\\"guess\\\"}}\"\n"
        )
    };
    let all: Vec<String> = (0..GUESSES).map(guess).collect();
    all.join("next\n")
}

/// By another program, a dozen at a time, with the limits that the program has.
#[test]
fn ten_thousand_guesses_at_an_open_code_let_nobody_in() {
    apart(ten_thousand_guesses_at_an_open_code_let_nobody_in, || {
        if !have(works("curl", &["--version"]), "curl") {
            return;
        }
        let (shop, barn) = (Desk::new(), Desk::new());
        let _open = shop.open(0);
        let code = Code::of(&shop);
        let asked = shop.folder().with_file_name("guesses");
        fs::write(&asked, guesses(code.address().port())).unwrap();
        let mut curl = Command::new("curl");
        curl.args(["--parallel", "--parallel-max", "12", "--config"]);
        let answers = curl.arg(&asked).output().unwrap().stdout;
        let answers = String::from_utf8(answers).unwrap();
        let count = |status| answers.lines().filter(|line| *line == status).count();
        // Wrong, turned away, or held back for longer than was waited.
        let (wrong, turned_away, held_back) = (count("403"), count("429"), count("000"));
        assert_eq!(wrong + turned_away + held_back, GUESSES, "{answers}");
        assert!(turned_away > GUESSES - 100, "{turned_away} turned away");
        let link = code.link.clone();
        let ended = sentence(&code.end());
        assert!(ended.contains("too many wrong codes were tried"), "{ended}");
        let late = sentence(&barn.run(&["pair", "--code", &link]));
        let told = ["too many wrong codes", "no longer good"];
        assert!(told.iter().any(|told| late.contains(told)), "{late}");
        let devices = json(&shop.run(&["devices", "--json"]));
        assert_eq!(devices["devices"], Value::Array(Vec::new()));
    });
}
