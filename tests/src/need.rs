//! What a test needs of the machine beside the Rust toolchain, and saying so where it is not there.

use std::io::{self, Write as _};
use std::process::Command;

/// Whether something a test needs is there. Where it is not, that is said past what the test runner keeps to itself, so that
/// `tests/all` counts the test as skipped; with `CI` set the test fails.
///
/// # Panics
/// Where it is not there and `CI` is set.
#[must_use]
pub fn have(there: bool, what: &str) -> bool {
    assert!(
        there || std::env::var_os("CI").is_none(),
        "{what} is missing or not allowed"
    );
    if !there {
        let _ = writeln!(
            io::stderr(),
            "not checked: {what} is missing or not allowed"
        );
    }
    there
}

/// Whether a command can be run and ends well.
#[must_use]
pub fn works(command: &str, words: &[&str]) -> bool {
    let run = Command::new(command).args(words).output();
    run.is_ok_and(|output| output.status.success())
}
