//! Runs histories in parallel, and shrinks one that fails.

use super::coverage::Coverage;
use super::plan::{History, history};
use super::world::World;
use super::{CheckResult, final_checks};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

/// Time limit for shrinking a history.
const SHRINK_TIMEOUT: Duration = Duration::from_secs(60);

/// A history that fails.
struct Failure {
    seed: u64,
    reason: String,
}

/// Runs histories; returns what they covered.
pub fn run(seeds: Range<u64>) -> CheckResult<Coverage> {
    let next = AtomicU64::new(seeds.start);
    let ended = AtomicBool::new(false);
    let work = || {
        let mut coverage = Coverage::default();
        while !ended.load(Ordering::Relaxed) {
            let seed = next.fetch_add(1, Ordering::Relaxed);
            if seed >= seeds.end {
                break;
            }
            match run_one(seed, &history_of_seed(seed)) {
                Ok(held) => coverage.add(&held),
                Err(reason) => {
                    ended.store(true, Ordering::Relaxed);
                    return Err(Failure { seed, reason });
                }
            }
        }
        Ok(coverage)
    };
    let threads = thread::available_parallelism().map_or(1, usize::from);
    let results: Vec<_> = thread::scope(|scope| {
        let workers: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        workers.into_iter().map(|worker| worker.join()).collect()
    });
    let mut sum = Coverage::default();
    for result in results {
        let result = result.unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        sum.add(&result.map_err(|failure| shrink(&failure))?);
    }
    Ok(sum)
}

/// The history of a seed.
fn history_of_seed(seed: u64) -> History {
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let tree = history().new_tree(&mut runner);
    tree.expect("a history").current()
}

/// Runs a history and checks its final state.
fn run_one(seed: u64, history: &History) -> CheckResult<Coverage> {
    let played = catch_unwind(AssertUnwindSafe(|| {
        let mut world = World::new(seed, &history.begin)?;
        for (at, step) in history.steps.iter().enumerate() {
            world
                .step(step)
                .map_err(|reason| format!("step {at}: {reason}"))?;
        }
        final_checks::sync_everything(&mut world, &history.routes)?;
        final_checks::check_final_state(&mut world, &history.routes)?;
        world.coverage.histories = 1;
        Ok(world.coverage.clone())
    }));
    played.unwrap_or_else(|panic| {
        let said = panic.downcast_ref::<String>().cloned();
        let said = said.or_else(|| panic.downcast_ref::<&str>().map(|said| (*said).to_owned()));
        Err(format!("panic: {}", said.unwrap_or_default()))
    })
}

/// Removes steps from a history while it still fails, and describes the rest.
fn shrink(failure: &Failure) -> String {
    eprintln!("history {}: {}; shrinking it", failure.seed, failure.reason);
    let since = Instant::now();
    let mut smallest = history_of_seed(failure.seed);
    let mut reason = failure.reason.clone();
    // Longer runs of steps first, then single ones, until none can be removed.
    let mut length = smallest.steps.len();
    while length > 0 {
        let mut at = 0;
        let mut shorter = false;
        while at < smallest.steps.len() && since.elapsed() < SHRINK_TIMEOUT {
            let mut tried = smallest.clone();
            tried.steps.drain(at..(at + length).min(tried.steps.len()));
            match run_one(failure.seed, &tried) {
                Err(still) => (smallest, reason, shorter) = (tried, still, true),
                Ok(_) => at += length,
            }
        }
        if length > 1 || !shorter {
            length /= 2;
        }
    }
    let History {
        begin,
        steps,
        routes,
    } = smallest;
    let steps: String = steps
        .iter()
        .enumerate()
        .map(|(at, step)| format!("  {at}: {step:?}\n"))
        .collect();
    format!(
        "history {seed} fails: {reason}\n\ndevices begin as {begin:?}\n{steps}and meet by {routes:?}\n\n\
         `HOLEBOOK_SEED={seed} cargo test -p holebook-core histories` runs it again",
        seed = failure.seed
    )
}
