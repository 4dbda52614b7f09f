//! Damage at random places: bytes flipped, pages emptied, the file cut off.

use super::*;
use proptest::prelude::*;
use std::ops::Range;
use std::sync::OnceLock;

fn laid() -> &'static Laid {
    static LAID: OnceLock<Laid> = OnceLock::new();
    LAID.get_or_init(Laid::out)
}

/// Damage to bytes of the file, or of the log behind it.
#[derive(Debug, Clone)]
enum Damage {
    Flip { at: f64, bit: u8 },
    Empty { page: f64 },
    Noise { at: f64, seed: u8 },
}

impl Damage {
    /// The bytes that it touches, and what becomes of each.
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

/// The lines of which not a byte of one record at least, up to the start of its header, was touched. A line that goes on in other
/// pages is not looked for.
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
    let whole = laid().lines.iter().filter(is_whole);
    whole.map(|line| line.text().to_owned()).collect()
}

/// The layout in the header says which version wrote it: a small number that is not ours is believed.
fn says_newer(error: &NotebookError) -> bool {
    matches!(error, NotebookError::Newer { .. })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_damaged_all_that_reads_is_saved(
        in_log in prop::bool::weighted(0.3),
        damages in prop::collection::vec(damage(), 1..6),
    ) {
        let laid = laid();
        let (mut file, mut log) = (laid.file.clone(), laid.log.clone());
        let bytes = if in_log { &mut log } else { &mut file };
        let mut touched = Vec::new();
        for damage in &damages {
            let (range, to) = damage.on(bytes.len());
            range.clone().for_each(|at| bytes[at] = to(at, bytes[at]));
            touched.push(range);
        }
        let dir = put(&file, &log);
        let mended = match mend(dir.path()) {
            Err(error) if says_newer(&error) => return Ok(()),
            mended => mended.unwrap(),
        };
        let saved = check(laid, dir.path(), &mended);
        let mut whole = untouched(&laid.file, if in_log { &[] } else { &touched });
        // Where the header of a frame is damaged, nobody can tell which page it was.
        if !in_log {
            whole.extend(untouched(&laid.log, &[]));
        }
        let lost: Vec<_> = whole.difference(&saved).collect();
        prop_assert!(lost.is_empty(), "{lost:?}");
        if mended.saved.is_some() {
            let aside = mended.moved.iter().find(|place| place.to_string_lossy().ends_with(FILE));
            prop_assert!(fs::read(dir.path().join(aside.unwrap())).unwrap() == file);
        } else {
            prop_assert!(saved == texts(&laid.lines));
        }
    }

    #[test]
    fn wherever_the_file_or_its_log_is_cut_off_what_is_there_is_saved(
        of_file in 0.0..1.0_f64,
        of_log in 0.0..1.2_f64,
    ) {
        let laid = laid();
        let part = |bytes: &[u8], part: f64| (bytes.len() as f64 * part.min(1.0)) as usize;
        let file = &laid.file[..part(&laid.file, of_file)];
        let log = &laid.log[..part(&laid.log, of_log)];
        let dir = put(file, log);
        let mended = mend(dir.path()).unwrap();
        let saved = check(laid, dir.path(), &mended);
        let cut = file.len()..laid.file.len();
        let whole = untouched(&laid.file, &[cut]);
        let lost: Vec<_> = whole.difference(&saved).collect();
        prop_assert!(lost.is_empty(), "{lost:?}");
    }
}
