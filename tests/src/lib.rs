//! Fuzz entry points, and helpers of the benchmarks.

pub mod fuzz_entry_points;

use std::time::Duration;

/// The median of some times.
///
/// # Panics
/// If there are none.
#[must_use]
pub fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

/// Prints a result in the form that `tests/bench/run` collects: our time, the other's, and the ratio.
#[allow(clippy::print_stdout)]
pub fn print_ratio(what: &str, ours: Duration, (other, theirs): (&str, Duration)) {
    let ratio = ours.as_secs_f64() / theirs.as_secs_f64();
    println!("ratio: {what} | {ours:.1?} | {other}: {theirs:.1?} | {ratio:.2}");
}

/// The peak memory of a process, as Linux reports it.
#[must_use]
pub fn peak(process: u32) -> String {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM"));
    let kib = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<u64>().ok());
    kib.map_or("peak memory unknown".to_owned(), |kib| {
        format!("peak {} MB", kib * 1024 / 1_000_000)
    })
}
