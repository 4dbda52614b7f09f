//! What a test requires of the machine besides the Rust toolchain.

use std::io::{self, Write as _};
use std::process::Command;

/// Returns `available`. If it is false, prints `not checked` and what is missing, past the output
/// that the test runner captures, so that `tests/all` counts the test as skipped.
///
/// # Panics
/// If it is false and `CI` is set.
#[must_use]
pub fn have(available: bool, what: &str) -> bool {
    assert!(
        available || std::env::var_os("CI").is_none(),
        "{what} is missing or not allowed"
    );
    if !available {
        let _ = writeln!(
            io::stderr(),
            "not checked: {what} is missing or not allowed"
        );
    }
    available
}

/// Whether a command can be run and succeeds.
#[must_use]
pub fn works(command: &str, args: &[&str]) -> bool {
    let run = Command::new(command).args(args).output();
    run.is_ok_and(|output| output.status.success())
}

/// Whether `convert` is ImageMagick's. Other programs have that name too.
#[must_use]
pub fn have_imagemagick() -> bool {
    let run = Command::new("convert").arg("-version").output();
    run.is_ok_and(|output| String::from_utf8_lossy(&output.stdout).contains("ImageMagick"))
}

#[cfg(test)]
mod tests {
    use super::{have, works};

    #[test]
    fn command_that_fails_or_is_missing_does_not_work() {
        assert!(works("true", &[]));
        assert!(!works("false", &[]));
        assert!(!works("no-such-command-anywhere", &[]));
    }

    #[test]
    fn what_is_available_is_not_reported() {
        assert!(have(true, "nothing"));
    }
}
