//! Tests in Linux namespaces of their own: another network, other mounts, other processes; or without
//! the superuser's rights over files. What a test does to these ends with it.

use crate::requirements::{have, works};
use std::any::type_name;
use std::io::{self, Write as _};
use std::os::unix::fs::PermissionsExt as _;
use std::process::Command;
use std::{env, fs};

/// Set inside the namespaces.
const INSIDE: &str = "HOLEBOOK_NAMESPACES";
/// A private network, private mounts and processes; all processes end with the first.
const ALL: [&str; 3] = ["-rnmpf", "--mount-proc", "--kill-child"];
/// Private mounts.
const MOUNTS: [&str; 1] = ["-rm"];
/// Without the superuser's rights to read and write every file.
const ORDINARY: [&str; 1] = ["--bounding-set=-dac_override,-dac_read_search"];

/// Runs `body`, the whole body of the test function `test`, with no network but loopback.
///
/// # Panics
/// If the test fails inside.
pub fn isolated<Test>(_test: Test, body: impl FnOnce()) {
    let up = ["ip", "link", "set", "lo", "up"];
    let body = || {
        run(up[0], &up[1..]);
        body();
    };
    let what = "a network of its own by unshare and ip";
    run_inside::<Test>("unshare", &ALL, (&up, what), body);
}

/// Runs `body`, the whole body of the test function `test`, where it may mount disks that no other
/// process sees.
///
/// # Panics
/// If the test fails inside.
pub fn with_private_mounts<Test>(_test: Test, body: impl FnOnce()) {
    let mount = ["mount", "-t", "tmpfs", "none", "/mnt"];
    let what = "mounting a small disk with unshare";
    run_inside::<Test>("unshare", &MOUNTS, (&mount, what), body);
}

/// Runs `body`, the whole body of the test function `test`, where file permissions apply, whoever runs
/// the test.
///
/// # Panics
/// If the test fails inside.
pub fn with_file_permissions<Test>(_test: Test, body: impl FnOnce()) {
    if permissions_apply() {
        return body();
    }
    let what = "giving up rights over files by setpriv";
    run_inside::<Test>("setpriv", &ORDINARY, (&["true"], what), || {
        assert!(permissions_apply());
        body();
    });
}

/// Whether a file that nobody may read cannot be read.
fn permissions_apply() -> bool {
    let file = tempfile::NamedTempFile::new().unwrap();
    fs::set_permissions(file.path(), fs::Permissions::from_mode(0o000)).unwrap();
    fs::read(file.path()).is_err()
}

/// Runs the test's program again inside `wrapper`, for this test only, if `probe` succeeds there.
fn run_inside<Test>(
    wrapper: &str,
    kinds: &[&str],
    (probe, what): (&[&str], &str),
    body: impl FnOnce(),
) {
    if env::var_os(INSIDE).is_some() {
        return body();
    }
    if !have(works(wrapper, &[kinds, probe].concat()), what) {
        return;
    }
    let output = Command::new(wrapper)
        .args(kinds)
        .arg(env::current_exe().unwrap())
        .args(["--exact", test_name::<Test>(), "--nocapture"])
        .env(INSIDE, "1")
        .output()
        .unwrap();
    let stdout = String::from_utf8_lossy(&output.stdout);
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{stdout}{stderr}");
    // With a name that is no test's, the runner would pass too.
    assert!(stdout.contains("1 passed"), "{stdout}{stderr}");
    let unchecked = stderr
        .lines()
        .filter(|line| line.starts_with("not checked: "));
    for line in unchecked {
        let _ = writeln!(io::stderr(), "{line}");
    }
}

/// The name of a test function as the test runner has it: its path without the crate.
fn test_name<Test>() -> &'static str {
    let (_, name) = type_name::<Test>().split_once("::").unwrap();
    name
}

/// Runs a command.
///
/// # Panics
/// If it cannot be run, or fails.
pub fn run(command: &str, args: &[&str]) {
    let output = Command::new(command).args(args).output().unwrap();
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command} {args:?}: {stderr}");
}

#[cfg(test)]
mod tests {
    use super::{INSIDE, isolated, test_name, with_file_permissions, with_private_mounts};
    use std::net::TcpListener;
    use std::{env, fs};

    fn name_of<Test>(_: Test) -> &'static str {
        test_name::<Test>()
    }

    #[test]
    fn test_name_is_its_path_without_the_crate() {
        let name = name_of(test_name_is_its_path_without_the_crate);
        let expected = "namespaces::tests::test_name_is_its_path_without_the_crate";
        assert_eq!(name, expected);
    }

    #[test]
    fn isolated_test_has_loopback_only() {
        isolated(isolated_test_has_loopback_only, || {
            let cards = fs::read_to_string("/proc/net/dev").unwrap();
            let cards: Vec<_> = cards
                .lines()
                .filter_map(|line| line.split_once(':'))
                .map(|(card, _)| card.trim())
                .filter(|card| !card.contains("tunl") && !card.contains("sit"))
                .collect();
            assert_eq!(cards, ["lo"]);
            TcpListener::bind("127.0.0.1:0").unwrap();
        });
    }

    #[test]
    fn file_permissions_apply() {
        with_file_permissions(file_permissions_apply, || {
            assert!(super::permissions_apply());
        });
    }

    #[test]
    fn mounts_of_a_test_are_private() {
        with_private_mounts(mounts_of_a_test_are_private, || {
            super::run("mount", &["-t", "tmpfs", "none", "/mnt"]);
            fs::write("/mnt/private", "x").unwrap();
        });
        if env::var_os(INSIDE).is_none() {
            assert!(!fs::exists("/mnt/private").unwrap());
        }
    }
}
