//! Many chunks of lines at once: each is imported all or none, whatever becomes of the others.

use super::*;
use crate::notebook::{Entry, EntryId, ImportedLines, RejectedLine};
use uuid::Uuid;

/// The lines of a notebook with `holes` holes.
fn journal(holes: u32) -> Vec<Line> {
    let (bench, _, holes) = Bench::with_holes(holes);
    for hole in holes {
        bench.notebook.record(hole, depth_of(20.0), &[]).unwrap();
        bench.notebook.record(hole, wanted("M10"), &[]).unwrap();
    }
    lines(&bench.notebook)
}

fn import(bench: &Bench, chunks: Vec<Vec<Line>>) -> Vec<Result<ImportedLines, RejectedLine>> {
    let mut results = Vec::new();
    let imported = bench
        .notebook
        .import_chunks(chunks, |result| results.push(result));
    imported.unwrap();
    results
}

fn new(new: usize) -> Result<ImportedLines, RejectedLine> {
    Ok(ImportedLines {
        new,
        ..ImportedLines::default()
    })
}

#[test]
fn a_chunk_after_a_gap_leaves_nothing() {
    let (first, second) = (journal(3), journal(2));
    let bench = Bench::new();
    // The third line is missing when the fourth arrives, together with lines that are fine.
    let broken = [&second[..], &first[3..]].concat();
    let chunks = vec![first[..2].to_vec(), broken, second[..4].to_vec()];
    let gap = RejectedLine::Gap {
        device: first[0].entry().device,
        seq: 4,
    };
    assert_eq!(import(&bench, chunks), [new(2), Err(gap), new(4)]);
    let there = lines(&bench.notebook);
    assert_eq!(there.len(), 6);
    assert!(
        first[..2]
            .iter()
            .chain(&second[..4])
            .all(|line| there.contains(line))
    );
    assert_eq!(bench.notebook.verify().unwrap().findings, []);

    let chunks = vec![first[1..].to_vec(), second];
    let results = import(&bench, chunks);
    let known: Vec<_> = results
        .iter()
        .flatten()
        .map(|imported| imported.known)
        .collect();
    assert_eq!(known, [1, 4]);
    assert_eq!(bench.notebook.repair().unwrap(), []);
}

#[test]
fn a_chunk_with_an_id_that_is_taken_leaves_nothing() {
    let first = journal(1);
    let taken = first[1].entry();
    let of_another = |id| {
        Line::write(&Entry {
            id,
            seq: 1,
            prev: None,
            device: crate::notebook::DeviceId::fresh(),
            subject: Uuid::now_v7(),
            ..taken.clone()
        })
    };
    let same = of_another(taken.id).unwrap();
    let other = of_another(EntryId::fresh()).unwrap();
    let bench = Bench::new();
    let chunks = vec![
        first.clone(),
        vec![other.clone(), same.clone()],
        vec![other],
    ];
    let in_use = RejectedLine::IdTaken {
        device: same.entry().device,
        seq: 1,
        id: taken.id,
    };
    let results = import(&bench, chunks);
    assert_eq!(results, [new(first.len()), Err(in_use), new(1)]);
    assert_eq!(bench.notebook.repair().unwrap(), []);
}

#[test]
fn a_line_that_is_twice_in_a_chunk_is_imported_once() {
    let first = journal(1);
    let bench = Bench::new();
    let twice = [&first[..], &first[..]].concat();
    let imported = bench.notebook.import_lines(&twice).unwrap();
    assert_eq!((imported.new, imported.known), (first.len(), first.len()));
    assert_eq!(lines(&bench.notebook), first);
    assert_eq!(bench.notebook.repair().unwrap(), []);
}
