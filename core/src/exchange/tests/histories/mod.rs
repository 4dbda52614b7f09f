//! Laws 1 to 4 over random histories: three to five devices that meet or do not, are cut off, killed, copied and restored,
//! with clocks wrong by years and lines of other versions among them.
//!
//! `HOLEBOOK_HISTORIES=100000` plays more of them; `HOLEBOOK_SEED=17` plays one again, or with the other begins there.

mod beginning;
mod ending;
mod interrupted;
mod look;
mod lying;
mod plan;
mod recording;
mod run;
mod stranger;
mod tally;
mod world;

use std::path::Path;
use tempfile::TempDir;

/// What was done, or what was wrong.
type Done<T = ()> = Result<T, String>;

const THREADS: [&str; 3] = ["3/8-16", "M10", "1/2-13"];
/// How many are played where nobody says.
const HISTORIES: u64 = 1000;
/// So many hold all that histories are to hold.
const ENOUGH: usize = 1000;

/// A folder in memory where there is such a thing: nothing here is about the disk itself.
fn folder() -> TempDir {
    let memory = Path::new("/dev/shm");
    TempDir::new_in(memory)
        .or_else(|_| TempDir::new())
        .expect("a folder")
}

fn asked(name: &str) -> Option<u64> {
    let text = std::env::var(name).ok()?;
    Some(
        text.parse()
            .unwrap_or_else(|_| panic!("{name} is {text:?}, which is no number")),
    )
}

#[test]
fn whatever_happens_to_several_devices_they_end_equal_and_nothing_acknowledged_is_lost() {
    let seed = asked("HOLEBOOK_SEED");
    let histories =
        asked("HOLEBOOK_HISTORIES").unwrap_or(if seed.is_some() { 1 } else { HISTORIES });
    let begin = seed.unwrap_or(1);
    let tally =
        run::run(begin..begin.saturating_add(histories)).unwrap_or_else(|wrong| panic!("{wrong}"));
    eprintln!("{tally:?}");
    assert!(
        tally.histories < ENOUGH || tally.is_full(),
        "something never happened: {tally:?}"
    );
}
