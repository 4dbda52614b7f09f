//! Running histories, many at once, and cutting down one that does not hold.

use super::plan::{History, history};
use super::tally::Tally;
use super::world::World;
use super::{Done, ending};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

/// How long it is tried to cut a history down.
const PATIENCE: Duration = Duration::from_secs(60);

/// A history that does not hold.
struct Wrong {
    seed: u64,
    why: String,
}

/// Runs histories, and says what they held.
pub fn run(seeds: Range<u64>) -> Done<Tally> {
    let next = AtomicU64::new(seeds.start);
    let ended = AtomicBool::new(false);
    let work = || {
        let mut tally = Tally::default();
        while !ended.load(Ordering::Relaxed) {
            let seed = next.fetch_add(1, Ordering::Relaxed);
            if seed >= seeds.end {
                break;
            }
            match one(seed, &drawn(seed)) {
                Ok(held) => tally.add(&held),
                Err(why) => {
                    ended.store(true, Ordering::Relaxed);
                    return Err(Wrong { seed, why });
                }
            }
        }
        Ok(tally)
    };
    let threads = thread::available_parallelism().map_or(1, usize::from);
    let results: Vec<_> = thread::scope(|scope| {
        let workers: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        workers.into_iter().map(|worker| worker.join()).collect()
    });
    let mut sum = Tally::default();
    for result in results {
        let result = result.unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        sum.add(&result.map_err(|wrong| cut_down(&wrong))?);
    }
    Ok(sum)
}

/// The history of a seed.
fn drawn(seed: u64) -> History {
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    let dice = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
    let mut runner = TestRunner::new_with_rng(Config::default(), dice);
    let tree = history().new_tree(&mut runner);
    tree.expect("a history").current()
}

/// Plays a history, and judges its end.
fn one(seed: u64, history: &History) -> Done<Tally> {
    let played = catch_unwind(AssertUnwindSafe(|| {
        let mut world = World::new(seed, &history.begin)?;
        for (at, step) in history.steps.iter().enumerate() {
            world
                .step(step)
                .map_err(|why| format!("step {at}: {why}"))?;
        }
        ending::meet(&mut world, &history.roads)?;
        ending::judge(&mut world, &history.roads)?;
        world.tally.histories = 1;
        Ok(world.tally.clone())
    }));
    played.unwrap_or_else(|panic| {
        let said = panic.downcast_ref::<String>().cloned();
        let said = said.or_else(|| panic.downcast_ref::<&str>().map(|said| (*said).to_owned()));
        Err(format!("panic: {}", said.unwrap_or_default()))
    })
}

/// Leaves out of a history what can be left out of it while it still does not hold, and tells of the rest.
fn cut_down(wrong: &Wrong) -> String {
    eprintln!(
        "history {}: {}; it is being cut down",
        wrong.seed, wrong.why
    );
    let since = Instant::now();
    let mut smallest = drawn(wrong.seed);
    let mut why = wrong.why.clone();
    // Longer stretches of steps first, then single ones, until none can be left out.
    let mut length = smallest.steps.len();
    while length > 0 {
        let mut at = 0;
        let mut shorter = false;
        while at < smallest.steps.len() && since.elapsed() < PATIENCE {
            let mut tried = smallest.clone();
            tried.steps.drain(at..(at + length).min(tried.steps.len()));
            match one(wrong.seed, &tried) {
                Err(still) => (smallest, why, shorter) = (tried, still, true),
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
        roads,
    } = smallest;
    let steps: String = steps
        .iter()
        .enumerate()
        .map(|(at, step)| format!("  {at}: {step:?}\n"))
        .collect();
    format!(
        "history {seed} does not hold: {why}\n\ndevices begin {begin:?}\n{steps}and meet by {roads:?}\n\n\
         `HOLEBOOK_SEED={seed} cargo test -p holebook-core histories` plays it again",
        seed = wrong.seed
    )
}
