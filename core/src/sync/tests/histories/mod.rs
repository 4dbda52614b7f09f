//! Laws 1 to 4 over random histories: three to five devices that sync or do not, get interrupted,
//! killed, copied and restored, with clocks wrong by years and lines of other versions among them.
//!
//! `HOLEBOOK_HISTORIES=100000` runs more of them; `HOLEBOOK_SEED=17` repeats one, or starts there
//! if both are set.

mod coverage;
mod final_checks;
mod initial_notebooks;
mod interruption;
mod other_version;
mod plan;
mod queries;
mod recordings;
mod runner;
mod stored_content;
mod world;

use std::path::Path;
use tempfile::TempDir;

/// Success, or a sentence that says what failed.
type CheckResult<T = ()> = Result<T, String>;

const THREADS: [&str; 3] = ["3/8-16", "M10", "1/2-13"];
/// Number of histories run by default.
const HISTORIES: u64 = 1000;
/// From this many histories on, everything that can happen must have happened.
const MIN_FOR_COVERAGE: usize = 1000;

/// A folder in memory if possible: nothing here tests the disk itself.
fn folder() -> TempDir {
    let memory = Path::new("/dev/shm");
    TempDir::new_in(memory)
        .or_else(|_| TempDir::new())
        .expect("a folder")
}

fn env_number(name: &str) -> Option<u64> {
    let text = std::env::var(name).ok()?;
    Some(
        text.parse()
            .unwrap_or_else(|_| panic!("{name} is {text:?}, not a number")),
    )
}

#[test]
fn all_notebooks_end_equal_and_nothing_acknowledged_is_lost() {
    let seed = env_number("HOLEBOOK_SEED");
    let histories =
        env_number("HOLEBOOK_HISTORIES").unwrap_or(if seed.is_some() { 1 } else { HISTORIES });
    let begin = seed.unwrap_or(1);
    let coverage = runner::run(begin..begin.saturating_add(histories))
        .unwrap_or_else(|failure| panic!("{failure}"));
    eprintln!("{coverage:?}");
    assert!(
        coverage.histories < MIN_FOR_COVERAGE || coverage.is_complete(),
        "something never happened: {coverage:?}"
    );
}
