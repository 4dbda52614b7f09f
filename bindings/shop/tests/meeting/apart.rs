//! Tests in namespaces of their own: no other network, no other mounts, no other processes.

use holebook_tests::need::{have, works};
use std::any::type_name;
use std::env;
use std::io::{self, Write as _};
use std::process::Command;

/// Says inside that the namespaces are there.
const INSIDE: &str = "HOLEBOOK_APART";
/// A network, mounts and processes of one's own; all that was started ends with the first process.
const OWN: [&str; 3] = ["-rnmpf", "--mount-proc", "--kill-child"];

/// Runs `body`, the whole of the test function `test`, in namespaces with nothing but loopback.
pub fn apart<Test>(_test: Test, body: impl FnOnce()) {
    if env::var_os(INSIDE).is_some() {
        run("ip", &["link", "set", "lo", "up"]);
        return body();
    }
    let probe = [&OWN[..], &["ip", "link", "set", "lo", "up"]].concat();
    if !have(
        works("unshare", &probe),
        "a network of its own by unshare and ip",
    ) {
        return;
    }
    let (_, name) = type_name::<Test>().split_once("::").unwrap();
    let output = Command::new("unshare")
        .args(OWN)
        .arg(env::current_exe().unwrap())
        .args(["--exact", name, "--nocapture"])
        .env(INSIDE, "1")
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stdout);
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{said}{told}");
    // A name that is no test's would pass, too.
    assert!(said.contains("1 passed"), "{said}{told}");
    let unchecked = told
        .lines()
        .filter(|line| line.starts_with("not checked: "));
    for line in unchecked {
        let _ = writeln!(io::stderr(), "{line}");
    }
}

/// Runs a command to its end.
pub fn run(command: &str, words: &[&str]) {
    let output = Command::new(command).args(words).output().unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command} {words:?}: {told}");
}
