//! Clients and servers that are rejected, and their errors. `bindings/sync/tests` has those of
//! malformed requests; `pairing` has revoked devices and used codes, by the commands.

use super::test_device::{Code, TestDevice, assert_equal};
use crate::common::{error_sentence, json};
use holebook_test_support::lan::unused_port;
use holebook_test_support::namespaces::isolated;
use holebook_test_support::requirements::{have, works};
use serde_json::Value;
use std::fs;
use std::process::Command;

#[test]
fn another_computer_at_the_shop_computers_address_gets_no_secret() {
    isolated(
        another_computer_at_the_shop_computers_address_gets_no_secret,
        || {
            let (shop, other, barn) = (TestDevice::new(), TestDevice::new(), TestDevice::new());
            let port = unused_port();
            let open = shop.open(port);
            barn.pair(&shop);
            barn.add_holes(3);
            let code = Code::of(&shop);
            let link = code.link.clone();
            drop((code, open));
            let open = other.open(port);
            let (before, late) = (other.contents(), TestDevice::new());
            let why = barn.sync_error();
            assert!(
                why.contains(
                    "a different computer answers at its address, and nothing was sent to it"
                ),
                "{why}"
            );
            let why = error_sentence(&late.run(&["pair", "--code", &link]));
            assert!(why.contains("so nothing was sent"), "{why}");
            assert_eq!(other.contents(), before);
            drop(open);
            let _open = shop.open(port);
            barn.sync();
            assert_equal(&[&shop, &barn]);
        },
    );
}

#[test]
fn device_with_a_wrong_token_is_rejected() {
    isolated(device_with_a_wrong_token_is_rejected, || {
        let (shop, barn) = (TestDevice::new(), TestDevice::new());
        let _open = shop.open(0);
        barn.pair(&shop);
        barn.add_holes(3);
        let before = shop.contents();
        let pairings = rusqlite::Connection::open(barn.folder().join("link.sqlite")).unwrap();
        let changed = pairings.execute("UPDATE shop SET token = randomblob(32)", []);
        assert_eq!(changed.unwrap(), 1);
        let why = barn.sync_error();
        assert!(
            why.contains("does not know this device; pair it again"),
            "{why}"
        );
        assert_eq!(shop.contents(), before);
        barn.pair(&shop);
        barn.sync();
        assert_equal(&[&shop, &barn]);
    });
}

const GUESSES: usize = 10_000;

/// curl's configuration: guesses of a link's secret, each with a timeout of some seconds. They have
/// the length of a real secret.
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

/// By another program, a dozen at a time, with the program's own limits. A link's secret has 128 bits,
/// so guesses of it need no limit, and nobody is kept out by them.
#[test]
fn ten_thousand_guesses_of_a_link_pair_nothing_and_keep_nobody_out() {
    isolated(
        ten_thousand_guesses_of_a_link_pair_nothing_and_keep_nobody_out,
        || {
            if !have(works("curl", &["--version"]), "curl") {
                return;
            }
            let (shop, barn) = (TestDevice::new(), TestDevice::new());
            let _open = shop.open(0);
            let code = Code::of(&shop);
            let config = shop.folder().with_file_name("guesses");
            fs::write(&config, guesses(code.address().port())).unwrap();
            let mut curl = Command::new("curl");
            curl.args(["--parallel", "--parallel-max", "12", "--config"]);
            let answers = curl.arg(&config).output().unwrap().stdout;
            let answers = String::from_utf8(answers).unwrap();
            let count = |status| answers.lines().filter(|line| *line == status).count();
            assert_eq!(count("403"), GUESSES, "{answers}");
            let devices = || json(&shop.run(&["devices", "--json"]))["devices"].clone();
            assert_eq!(devices(), Value::Array(Vec::new()));
            let paired = barn.run(&["pair", "--code", &code.link]);
            assert!(paired.status.success(), "{paired:?}");
            assert!(code.wait().status.success());
            assert_eq!(devices().as_array().unwrap().len(), 1);
        },
    );
}
