//! Many pieces of lines at once: each is taken whole or not at all, whatever becomes of those beside it.

use super::*;
use crate::notebook::{Entry, EntryId, NotTaken, Taken};
use uuid::Uuid;

/// The lines of a notebook with so many holes.
fn journal(holes: u32) -> Vec<Line> {
    let (bench, _, holes) = Bench::with_holes(holes);
    for hole in holes {
        bench.notebook.say(hole, depth_of(20.0), &[]).unwrap();
        bench.notebook.say(hole, wanted("M10"), &[]).unwrap();
    }
    lines(&bench.notebook)
}

fn take(bench: &Bench, pieces: Vec<Vec<Line>>) -> Vec<Result<Taken, NotTaken>> {
    let mut became = Vec::new();
    let taken = bench
        .notebook
        .take_pieces(pieces, |piece| became.push(piece));
    taken.unwrap();
    became
}

fn new(new: usize) -> Result<Taken, NotTaken> {
    Ok(Taken {
        new,
        ..Taken::default()
    })
}

#[test]
fn a_piece_whose_line_before_is_lacking_leaves_nothing() {
    let (first, second) = (journal(3), journal(2));
    let bench = Bench::new();
    // The third line is not there when the fourth comes. It comes with lines that could be taken.
    let broken = [&second[..], &first[3..]].concat();
    let pieces = vec![first[..2].to_vec(), broken, second[..4].to_vec()];
    let gap = NotTaken::Gap {
        device: first[0].entry().device,
        seq: 4,
    };
    assert_eq!(take(&bench, pieces), [new(2), Err(gap), new(4)]);
    let there = lines(&bench.notebook);
    assert_eq!(there.len(), 6);
    assert!(
        first[..2]
            .iter()
            .chain(&second[..4])
            .all(|line| there.contains(line))
    );
    assert_eq!(bench.notebook.verify().unwrap().findings, []);

    let pieces = vec![first[1..].to_vec(), second];
    let became = take(&bench, pieces);
    let known: Vec<_> = became.iter().flatten().map(|taken| taken.known).collect();
    assert_eq!(known, [1, 4]);
    assert_eq!(bench.notebook.repair().unwrap(), []);
}

#[test]
fn a_piece_with_an_id_that_is_in_use_leaves_nothing() {
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
    let sound = of_another(EntryId::fresh()).unwrap();
    let bench = Bench::new();
    let pieces = vec![
        first.clone(),
        vec![sound.clone(), same.clone()],
        vec![sound],
    ];
    let in_use = NotTaken::IdTaken {
        device: same.entry().device,
        seq: 1,
        id: taken.id,
    };
    let became = take(&bench, pieces);
    assert_eq!(became, [new(first.len()), Err(in_use), new(1)]);
    assert_eq!(bench.notebook.repair().unwrap(), []);
}

#[test]
fn the_same_line_twice_in_a_piece_is_taken_once() {
    let first = journal(1);
    let bench = Bench::new();
    let twice = [&first[..], &first[..]].concat();
    let taken = bench.notebook.take(&twice).unwrap();
    assert_eq!((taken.new, taken.known), (first.len(), first.len()));
    assert_eq!(lines(&bench.notebook), first);
    assert_eq!(bench.notebook.repair().unwrap(), []);
}
