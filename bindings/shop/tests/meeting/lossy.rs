//! Two computers on a bad network: packets are lost, held up, and come in another order.

use super::desk::{Desk, are_equal};
use holebook_tests::apart::apart;
use holebook_tests::need::{have, works};
use serde_json::Value;
use std::io::{BufRead as _, BufReader, Read as _};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

/// A helper that does its work until its input ends, and says when it is ready.
struct Helper {
    child: Child,
    input: Option<ChildStdin>,
    output: BufReader<ChildStdout>,
}

impl Helper {
    fn start(command: &mut Command) -> Self {
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let input = child.stdin.take();
        let mut output = BufReader::new(child.stdout.take().unwrap());
        let mut ready = String::new();
        output.read_line(&mut ready).unwrap();
        assert_eq!(ready, "ready\n");
        Self {
            child,
            input,
            output,
        }
    }

    /// Ends it; gives the rest of what it says.
    fn end(mut self) -> String {
        drop(self.input.take());
        let mut rest = String::new();
        self.output.read_to_string(&mut rest).unwrap();
        assert!(self.child.wait().unwrap().success());
        rest
    }
}

/// A network of its own, with nothing in it.
fn place() -> Helper {
    Helper::start(Command::new("unshare").args(["-n", "sh", "-c", "echo ready; exec cat"]))
}

#[test]
fn two_computers_on_a_network_that_loses_packets_pair_and_exchange() {
    apart(
        two_computers_on_a_network_that_loses_packets_pair_and_exchange,
        || {
            let tunnel = works("ip", &["tuntap", "add", "probe", "mode", "tun"]);
            if !have(
                tunnel && works("python3", &["-c", ""]),
                "a network tunnel, or python3,",
            ) {
                return;
            }
            let places = [place(), place()];
            let ids = places.each_ref().map(|place| place.child.id().to_string());
            let network = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/meeting/lossy.py");
            let network = Helper::start(Command::new("python3").arg(network).args(&ids));
            let desks = ids
                .each_ref()
                .map(|id| Desk::run_by(&["nsenter", "-t", id, "-n"]));
            let [shop, barn] = &desks;
            for desk in &desks {
                desk.note(50);
                desk.photograph(10);
            }
            let open = shop.open(0);
            assert_eq!(shop.address().ip().to_string(), "10.77.0.1");
            barn.pair(shop);
            let report = barn.exchange_well();
            assert_eq!(
                (&report["photos_taken"], &report["photos_left"]),
                (&10.into(), &10.into())
            );
            are_equal(&[shop, barn]);
            drop(open);
            let told: Value = serde_json::from_str(&network.end()).unwrap();
            let count = |what: &str| told[what].as_u64().unwrap();
            assert!(count("passed") > 1000, "{told}");
            assert!(count("lost") * 1000 > count("passed") * 5, "{told}");
            assert!(count("overtaken") > 10, "{told}");
        },
    );
}
