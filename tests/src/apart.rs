//! Tests in namespaces of their own: no other network, no other mounts, no other processes. What they do to these is gone with them.

use super::need::{have, works};
use std::any::type_name;
use std::env;
use std::io::{self, Write as _};
use std::process::Command;

/// Says inside that the namespaces are there.
const INSIDE: &str = "HOLEBOOK_APART";
/// A network, mounts and processes of one's own; all that was started ends with the first process.
const OWN: [&str; 3] = ["-rnmpf", "--mount-proc", "--kill-child"];
/// Mounts of one's own.
const OWN_DISKS: [&str; 1] = ["-rm"];

/// Runs `body`, the whole of the test function `test`, in namespaces with nothing but loopback.
///
/// # Panics
/// Where the test fails inside.
pub fn apart<Test>(_test: Test, body: impl FnOnce()) {
    let up = ["ip", "link", "set", "lo", "up"];
    let body = || {
        run(up[0], &up[1..]);
        body();
    };
    let what = "a network of its own by unshare and ip";
    inside::<Test>(&OWN, (&up, what), body);
}

/// Runs `body`, the whole of the test function `test`, where it may mount disks that nobody else sees.
///
/// # Panics
/// Where the test fails inside.
pub fn with_own_disks<Test>(_test: Test, body: impl FnOnce()) {
    let mount = ["mount", "-t", "tmpfs", "none", "/mnt"];
    let what = "mounting a small disk with unshare";
    inside::<Test>(&OWN_DISKS, (&mount, what), body);
}

/// Runs the test's program again inside, for this test only, where `probe` ends well there.
fn inside<Test>(own: &[&str], (probe, what): (&[&str], &str), body: impl FnOnce()) {
    if env::var_os(INSIDE).is_some() {
        return body();
    }
    if !have(works("unshare", &[own, probe].concat()), what) {
        return;
    }
    let (_, name) = type_name::<Test>()
        .split_once("::")
        .expect("the test's name begins with its program's");
    let output = Command::new("unshare")
        .args(own)
        .arg(env::current_exe().expect("the test's program has a place"))
        .args(["--exact", name, "--nocapture"])
        .env(INSIDE, "1")
        .output()
        .expect("it ran a moment ago");
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
///
/// # Panics
/// Where it cannot be run, or fails.
pub fn run(command: &str, words: &[&str]) {
    let output = Command::new(command)
        .args(words)
        .output()
        .expect("the command can be run");
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command} {words:?}: {told}");
}
