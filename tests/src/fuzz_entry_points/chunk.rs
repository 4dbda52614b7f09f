//! A chunk of a segment as another device pushes it: chained lines, then mutated.

use super::history::{assert_valid, heads};
use super::journal_writer::{JournalWriter, LineContent};
use super::temp_notebook::TempNotebook;
use super::{FuzzEntryPoint, entry_bodies, fixed_ids, journal_writer};
use arbitrary::{Result, Unstructured};
use holebook_core::notebook::{DeviceId, Head, Line, Notebook};
use holebook_core::sync::{NotebookRemote, Remote as _, Segment, SyncError};
use std::ops::Range;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "chunk",
    run,
    examples,
};

/// What is accepted is stored byte for byte; what is rejected changes nothing and gives a reason.
fn run(bytes: &[u8]) {
    let mut u = Unstructured::new(bytes);
    let here = TempNotebook::new();
    let own = here.notebook.device().expect("a readable notebook");
    let Ok(chunks) = made(&mut u, own) else {
        return;
    };
    let remote = NotebookRemote(&here.notebook);
    for (segment, bytes) in chunks {
        let before = heads(&here.notebook);
        match remote.push_lines(&segment, &bytes) {
            Ok(()) => assert_stored(&here.notebook, &segment, &bytes),
            Err(SyncError::File(problem)) => {
                assert_eq!(heads(&here.notebook), before, "{segment}: {problem}");
                assert!(!problem.reason.is_empty() && !problem.reason.contains('\n'));
                assert_eq!(problem.file, segment.to_string());
            }
            Err(error) => panic!("a chunk is accepted or rejected: {error}"),
        }
    }
    assert_valid(&here.notebook);
}

/// Every line is in the journal, and if the chunk reaches the segment's end the remote returns the
/// same bytes.
fn assert_stored(notebook: &Notebook, segment: &Segment, bytes: &[u8]) {
    let text = std::str::from_utf8(bytes).expect("accepted lines are text");
    let lines: Vec<Line> = text
        .lines()
        .map(|line| Line::read(line.to_owned()).expect("an accepted line parses"))
        .collect();
    for line in &lines {
        assert!(notebook.holds(line).expect("a readable notebook"));
    }
    if lines
        .last()
        .is_some_and(|last| last.entry().seq == segment.last)
    {
        let remote = NotebookRemote(notebook);
        let bytes_back = remote
            .pull_lines(segment, segment.first)
            .expect("lines that are here");
        assert_eq!(bytes_back, bytes, "{segment}");
    }
}

/// Chunks of one or two devices, including this notebook's own.
fn made(u: &mut Unstructured<'_>, own: DeviceId) -> Result<Vec<(Segment, Vec<u8>)>> {
    let sample = entry_bodies::sample();
    let mut chunks = Vec::new();
    for number in 0..u.int_in_range(1..=3_u64)? {
        let device = if u.ratio(1, 4)? {
            own
        } else {
            fixed_ids::device(number % 2)
        };
        let mut writer = JournalWriter::new(device);
        let mut lines: Vec<Line> = Vec::new();
        for at in 0..u.int_in_range(1..=6_u64)? {
            let (kind, subject, body) = u.choose(&sample)?.clone();
            let content = LineContent {
                id: fixed_ids::entry(number * 8 * u64::from(u.ratio(7, 8)?) + at + 1),
                kind: kind.name().to_owned(),
                subject,
                body,
                replaces: vec![],
            };
            lines.extend(writer.write(content));
        }
        let from = u.int_in_range(0..=lines.len() / 2)?;
        let Some(segment) = segment_of(device, &lines, from..lines.len()) else {
            continue;
        };
        chunks.push((
            segment.clone(),
            journal_writer::text_of(&lines[..from]).into_bytes(),
        ));
        let text = journal_writer::text_of(&lines[from..]).into_bytes();
        chunks.push(mutated(u, segment, text)?);
        chunks.extend(
            segment_of(device, &lines, 0..lines.len())
                .map(|whole| (whole, journal_writer::text_of(&lines).into_bytes())),
        );
    }
    Ok(chunks)
}

fn segment_of(device: DeviceId, lines: &[Line], range: Range<usize>) -> Option<Segment> {
    let last = lines.get(range.clone())?.last()?;
    let end = Head {
        device,
        seq: last.entry().seq,
        hash: last.hash(),
    };
    Some(Segment::ending_at(&end, range.start as u64 + 1))
}

/// Mutates the name or the bytes, or neither.
fn mutated(
    u: &mut Unstructured<'_>,
    mut segment: Segment,
    mut text: Vec<u8>,
) -> Result<(Segment, Vec<u8>)> {
    for _ in 0..u.int_in_range(0..=3)? {
        let at = u.choose_index(text.len().max(1))?;
        match u.int_in_range(0..=7)? {
            0 => text.truncate(at),
            1 => text.iter_mut().skip(at).take(1).for_each(|byte| *byte ^= 1),
            2 => {
                let more = u.arbitrary::<&[u8]>()?;
                text.splice(at.min(text.len())..at.min(text.len()), more.iter().copied());
            }
            3 => text.extend_from_within(..at.min(text.len())),
            4 => {
                text.drain(..at.min(text.len()));
            }
            5 => segment.first = u.int_in_range(1..=segment.last)?,
            6 => segment.last = segment.last.saturating_add(u.arbitrary::<u8>()?.into()),
            _ => text = u.arbitrary::<&[u8]>()?.to_vec(),
        }
    }
    Ok((segment, text))
}

fn examples() -> Vec<Vec<u8>> {
    (super::history::ENTRY_POINT.examples)()
}
