//! Damage at random places: flipped bits, zeroed pages, a truncated file.

use super::*;
use proptest::prelude::*;
use std::ops::Range;
use std::sync::OnceLock;

fn sample() -> &'static Sample {
    static SAMPLE: OnceLock<Sample> = OnceLock::new();
    SAMPLE.get_or_init(Sample::new)
}

/// Damage to bytes of the file, or of the log behind it.
#[derive(Debug, Clone)]
enum Damage {
    Flip { at: f64, bit: u8 },
    Empty { page: f64 },
    Noise { at: f64, seed: u8 },
}

impl Damage {
    /// The bytes that it changes, and the new value of each.
    fn on(&self, length: usize) -> (Range<usize>, impl Fn(usize, u8) -> u8 + use<'_>) {
        let place = |at: f64| ((length - 1) as f64 * at) as usize;
        let range = match self {
            Self::Flip { at, .. } => place(*at)..place(*at) + 1,
            Self::Empty { page } => place(*page) / 4096 * 4096..(place(*page) / 4096 + 1) * 4096,
            Self::Noise { at, .. } => place(*at)..place(*at) + 300,
        };
        let range = range.start..range.end.min(length);
        (range, move |at, byte| match self {
            Self::Flip { bit, .. } => byte ^ 1 << bit,
            Self::Empty { .. } => 0,
            Self::Noise { seed, .. } => (at as u8).wrapping_mul(151).wrapping_add(*seed),
        })
    }
}

fn damage() -> impl Strategy<Value = Damage> {
    prop_oneof![
        3 => (0.0..1.0, 0..8_u8).prop_map(|(at, bit)| Damage::Flip { at, bit }),
        2 => (0.0..1.0).prop_map(|page| Damage::Empty { page }),
        2 => (0.0..1.0, any::<u8>()).prop_map(|(at, seed)| Damage::Noise { at, seed }),
    ]
}

/// The lines that have at least one record without a changed byte, including its header. Lines that
/// continue in other pages are left out.
fn untouched(bytes: &[u8], touched: &[Range<usize>]) -> BTreeSet<String> {
    let is_whole = |line: &&Line| {
        let places = memchr::memmem::find_iter(bytes, line.text());
        let mut records = places.map(|at| at.saturating_sub(150)..at + line.text().len());
        records.any(|record| {
            !touched
                .iter()
                .any(|range| range.start < record.end && record.start < range.end)
        })
    };
    let whole = sample().lines.iter().filter(is_whole);
    whole.map(|line| line.text().to_owned()).collect()
}

/// The layout in the header says which version wrote it; a small number is believed.
fn says_newer(error: &NotebookError) -> bool {
    matches!(error, NotebookError::Newer { .. })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn everything_readable_is_recovered_whatever_is_damaged(
        in_log in prop::bool::weighted(0.3),
        damages in prop::collection::vec(damage(), 1..6),
    ) {
        let sample = sample();
        let (mut file, mut log) = (sample.file.clone(), sample.log.clone());
        let bytes = if in_log { &mut log } else { &mut file };
        let mut touched = Vec::new();
        for damage in &damages {
            let (range, to) = damage.on(bytes.len());
            range.clone().for_each(|at| bytes[at] = to(at, bytes[at]));
            touched.push(range);
        }
        let dir = put(&file, &log);
        let repaired = match repair(dir.path()) {
            Err(error) if says_newer(&error) => return Ok(()),
            repaired => repaired.unwrap(),
        };
        let recovered_lines = check(sample, dir.path(), &repaired);
        let mut whole = untouched(&sample.file, if in_log { &[] } else { &touched });
        // If the header of a frame is damaged, its page number is lost.
        if !in_log {
            whole.extend(untouched(&sample.log, &[]));
        }
        let lost: Vec<_> = whole.difference(&recovered_lines).collect();
        prop_assert!(lost.is_empty(), "{lost:?}");
        if repaired.recovered.is_some() {
            let aside = repaired.moved.iter().find(|place| place.to_string_lossy().ends_with(FILE));
            prop_assert!(fs::read(dir.path().join(aside.unwrap())).unwrap() == file);
        } else {
            prop_assert!(recovered_lines == texts(&sample.lines));
        }
    }

    #[test]
    fn everything_left_is_recovered_from_a_truncated_file_or_log(
        of_file in 0.0..1.0_f64,
        of_log in 0.0..1.2_f64,
    ) {
        let sample = sample();
        let part = |bytes: &[u8], part: f64| (bytes.len() as f64 * part.min(1.0)) as usize;
        let file = &sample.file[..part(&sample.file, of_file)];
        let log = &sample.log[..part(&sample.log, of_log)];
        let dir = put(file, log);
        let repaired = repair(dir.path()).unwrap();
        let recovered_lines = check(sample, dir.path(), &repaired);
        let cut = file.len()..sample.file.len();
        let whole = untouched(&sample.file, &[cut]);
        let lost: Vec<_> = whole.difference(&recovered_lines).collect();
        prop_assert!(lost.is_empty(), "{lost:?}");
    }
}
