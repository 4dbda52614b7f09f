//! A piece of a stretch as another device leaves it: lines in a chain, then changed here and there.

use super::chain::{Saying, Writer};
use super::history::{heads, is_sound};
use super::scratch::Scratch;
use super::{Reader, chain, names, shapes};
use arbitrary::{Result, Unstructured};
use holebook_core::exchange::{ExchangeError, NotebookShelf, Shelf as _, Stretch};
use holebook_core::notebook::{DeviceId, Head, Line, Notebook};
use std::ops::Range;

pub const READER: Reader = Reader {
    name: "piece",
    give,
    examples,
};

/// What is taken lies there byte for byte as it came; what is refused changes nothing, and says why.
fn give(bytes: &[u8]) {
    let mut u = Unstructured::new(bytes);
    let here = Scratch::new();
    let own = here.notebook.device().expect("a notebook that reads");
    let Ok(pieces) = made(&mut u, own) else {
        return;
    };
    let shelf = NotebookShelf(&here.notebook);
    for (stretch, bytes) in pieces {
        let before = heads(&here.notebook);
        match shelf.leave_lines(&stretch, &bytes) {
            Ok(()) => lies_there(&here.notebook, &stretch, &bytes),
            Err(ExchangeError::File(problem)) => {
                assert_eq!(heads(&here.notebook), before, "{stretch}: {problem}");
                assert!(!problem.why.is_empty() && !problem.why.contains('\n'));
                assert_eq!(problem.file, stretch.to_string());
            }
            Err(error) => panic!("a piece is taken or refused: {error}"),
        }
    }
    is_sound(&here.notebook);
}

/// Every line is in the journal, and where they reach the stretch's end the shelf gives them as they came.
fn lies_there(notebook: &Notebook, stretch: &Stretch, bytes: &[u8]) {
    let text = std::str::from_utf8(bytes).expect("what was taken is text");
    let lines: Vec<Line> = text
        .lines()
        .map(|line| Line::read(line.to_owned()).expect("what was taken is a line"))
        .collect();
    for line in &lines {
        assert!(notebook.holds(line).expect("a notebook that reads"));
    }
    if lines
        .last()
        .is_some_and(|last| last.entry().seq == stretch.last)
    {
        let shelf = NotebookShelf(notebook);
        let given = shelf
            .lines(stretch, stretch.first)
            .expect("lines that are here");
        assert_eq!(given, bytes, "{stretch}");
    }
}

/// Pieces of one or two devices, this notebook's own among them.
fn made(u: &mut Unstructured<'_>, own: DeviceId) -> Result<Vec<(Stretch, Vec<u8>)>> {
    let sample = shapes::sample();
    let mut pieces = Vec::new();
    for number in 0..u.int_in_range(1..=3_u64)? {
        let device = if u.ratio(1, 4)? {
            own
        } else {
            names::device(number % 2)
        };
        let mut writer = Writer::new(device);
        let mut lines: Vec<Line> = Vec::new();
        for at in 0..u.int_in_range(1..=6_u64)? {
            let (kind, subject, body) = u.choose(&sample)?.clone();
            let said = Saying {
                id: names::entry(number * 8 * u64::from(u.ratio(7, 8)?) + at + 1),
                kind: kind.word().to_owned(),
                subject,
                body,
                replaces: vec![],
            };
            lines.extend(writer.write(said));
        }
        let from = u.int_in_range(0..=lines.len() / 2)?;
        let Some(stretch) = stretch_of(device, &lines, from..lines.len()) else {
            continue;
        };
        pieces.push((stretch.clone(), chain::text_of(&lines[..from]).into_bytes()));
        let text = chain::text_of(&lines[from..]).into_bytes();
        pieces.push(bent(u, stretch, text)?);
        pieces.extend(
            stretch_of(device, &lines, 0..lines.len())
                .map(|whole| (whole, chain::text_of(&lines).into_bytes())),
        );
    }
    Ok(pieces)
}

fn stretch_of(device: DeviceId, lines: &[Line], range: Range<usize>) -> Option<Stretch> {
    let last = lines.get(range.clone())?.last()?;
    let end = Head {
        device,
        seq: last.entry().seq,
        hash: last.hash(),
    };
    Some(Stretch::to(&end, range.start as u64 + 1))
}

/// Changes the name or the bytes, or neither.
fn bent(
    u: &mut Unstructured<'_>,
    mut stretch: Stretch,
    mut text: Vec<u8>,
) -> Result<(Stretch, Vec<u8>)> {
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
            5 => stretch.first = u.int_in_range(1..=stretch.last)?,
            6 => stretch.last = stretch.last.saturating_add(u.arbitrary::<u8>()?.into()),
            _ => text = u.arbitrary::<&[u8]>()?.to_vec(),
        }
    }
    Ok((stretch, text))
}

fn examples() -> Vec<Vec<u8>> {
    (super::history::READER.examples)()
}
