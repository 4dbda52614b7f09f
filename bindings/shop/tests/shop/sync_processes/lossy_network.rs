//! Two computers on a bad network: packets are lost, delayed, and reordered.

use super::test_device::{TestDevice, assert_equal};
use holebook_test_support::namespaces::isolated;
use holebook_test_support::requirements::{have, works};
use serde_json::Value;
use std::io::{BufRead as _, BufReader, Read as _};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

/// A program that prints `ready` and runs until its input is closed.
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

    /// Stops it, and returns the rest of its output.
    fn stop(mut self) -> String {
        drop(self.input.take());
        let mut rest = String::new();
        self.output.read_to_string(&mut rest).unwrap();
        assert!(self.child.wait().unwrap().success());
        rest
    }
}

/// A process in a network namespace of its own, with nothing in it.
fn network_namespace() -> Helper {
    Helper::start(Command::new("unshare").args(["-n", "sh", "-c", "echo ready; exec cat"]))
}

#[test]
fn two_computers_on_a_lossy_network_pair_and_sync() {
    isolated(two_computers_on_a_lossy_network_pair_and_sync, || {
        let tunnel = works("ip", &["tuntap", "add", "probe", "mode", "tun"]);
        if !have(
            tunnel && works("python3", &["-c", ""]),
            "a network tunnel, or python3,",
        ) {
            return;
        }
        let namespaces = [network_namespace(), network_namespace()];
        let ids = namespaces
            .each_ref()
            .map(|namespace| namespace.child.id().to_string());
        let network = concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/tests/shop/sync_processes/lossy.py"
        );
        let network = Helper::start(Command::new("python3").arg(network).args(&ids));
        let devices = ids
            .each_ref()
            .map(|id| TestDevice::run_by(&["nsenter", "-t", id, "-n"]));
        let [shop, barn] = &devices;
        for device in &devices {
            device.add_holes(50);
            device.add_photos(10);
        }
        let open = shop.open(0);
        assert_eq!(shop.address().ip().to_string(), "10.77.0.1");
        barn.pair(shop);
        let report = barn.sync();
        assert_eq!(
            (&report["photos_pulled"], &report["photos_pushed"]),
            (&10.into(), &10.into())
        );
        assert_equal(&[shop, barn]);
        drop(open);
        let counts: Value = serde_json::from_str(&network.stop()).unwrap();
        let count = |what: &str| counts[what].as_u64().unwrap();
        assert!(count("forwarded") > 1000, "{counts}");
        assert!(count("lost") * 1000 > count("forwarded") * 5, "{counts}");
        assert!(count("overtaken") > 10, "{counts}");
    });
}
