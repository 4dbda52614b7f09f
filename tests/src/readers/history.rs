//! Histories of several devices: chained lines with bodies of every kind, whole and bent, taken in any order.

use super::chain::{self, Saying, Writer};
use super::scratch::Scratch;
use super::{Reader, names, page, shapes};
use arbitrary::{Result, Unstructured};
use holebook_core::exchange::{NotebookShelf, exchange_over, unwatched};
use holebook_core::notebook::{EntryId, Finding, Line, LineHash, Notebook, NotebookError};
use holebook_screens::{Body, Request, answer};
use std::collections::{HashMap, HashSet, VecDeque};
use uuid::Uuid;

pub const READER: Reader = Reader {
    name: "history",
    give,
    examples,
};

/// So many entries at most, beside the sample's.
const MOST_ENTRIES: usize = 24;

/// In whatever order and pieces lines come, the same is worked out of them and every page can be shown; a line that cannot be taken
/// changes nothing; and another notebook that exchanges with this one has the same.
fn give(bytes: &[u8]) {
    let mut u = Unstructured::new(bytes);
    let lines = write(&mut u).unwrap_or_default();
    let one = Scratch::new();
    take_in_pieces(&mut u, &one.notebook, &lines);
    let other = Scratch::new();
    take_mixed(&other.notebook, mix(&mut u, &lines));
    assert_eq!(pages(&one.notebook), pages(&other.notebook));
    is_sound(&one.notebook);
    is_sound(&other.notebook);
    let third = Scratch::new();
    let report = exchange_over(&third.notebook, &NotebookShelf(&one.notebook), &unwatched);
    let report = report.expect("an exchange with a notebook");
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    assert_eq!(heads(&third.notebook), heads(&one.notebook));
}

/// Takes lines in the order of their writing, in up to three pieces. All are taken.
fn take_in_pieces(u: &mut Unstructured<'_>, notebook: &Notebook, lines: &[Line]) {
    let mut rest = lines;
    for _ in 0..2 {
        let (piece, behind) = rest.split_at(u.int_in_range(0..=rest.len()).unwrap_or(rest.len()));
        take_all(notebook, piece);
        rest = behind;
    }
    take_all(notebook, rest);
    for line in lines {
        assert!(notebook.holds(line).expect("a notebook that reads"));
    }
}

fn take_all(notebook: &Notebook, piece: &[Line]) {
    let taken = notebook
        .take(piece)
        .expect("lines in the order of writing are taken");
    assert_eq!(taken.new, piece.len());
}

/// Takes lines one by one in any order. One is refused just as long as the line before it is not here.
fn take_mixed(notebook: &Notebook, mixed: Vec<Line>) {
    let mut here: HashSet<LineHash> = HashSet::new();
    let mut waiting: HashMap<LineHash, Vec<Line>> = HashMap::new();
    let mut next: VecDeque<Line> = mixed.into();
    while let Some(line) = next.pop_front() {
        let prev = line.entry().prev.filter(|prev| !here.contains(prev));
        assert_eq!(is_taken(notebook, &line), prev.is_none(), "{}", line.text());
        match prev {
            Some(prev) => waiting.entry(prev).or_default().push(line),
            None => {
                let hash = line.hash();
                here.insert(hash);
                waiting
                    .remove(&hash)
                    .unwrap_or_default()
                    .into_iter()
                    .for_each(|line| next.push_front(line));
            }
        }
    }
    assert!(waiting.is_empty(), "every line has all that are before it");
}

/// Takes a line; a refused one changes nothing.
fn is_taken(notebook: &Notebook, line: &Line) -> bool {
    let before = heads(notebook);
    match notebook.take(std::slice::from_ref(line)) {
        Ok(_) => {
            assert!(notebook.holds(line).expect("a notebook that reads"));
            true
        }
        Err(NotebookError::NotTaken(_)) => {
            assert_eq!(heads(notebook), before);
            false
        }
        Err(error) => panic!("a sound line is taken or refused: {error}"),
    }
}

pub fn heads(notebook: &Notebook) -> String {
    format!("{:?}", notebook.heads().expect("a notebook that reads"))
}

/// Nothing is wrong with a notebook but photos that were never here.
pub fn is_sound(notebook: &Notebook) {
    let mut findings = notebook.verify().expect("a notebook that reads").findings;
    findings.retain(|finding| !matches!(finding, Finding::PhotoMissing { .. }));
    assert!(findings.is_empty(), "{findings:?}");
}

/// Every page of the things that these histories are about.
fn pages(notebook: &Notebook) -> Vec<String> {
    let thing = names::thing;
    let mut paths = vec![
        "/".to_owned(),
        format!("/casting/{}", thing(shapes::CASTING)),
    ];
    let face = thing(shapes::FACE);
    paths.extend([format!("/face/{face}"), format!("/face/{face}/sheet")]);
    paths.push(format!("/photo/{}", thing(shapes::PHOTO)));
    for hole in shapes::HOLE..shapes::HOLE + shapes::HOLES {
        let hole = thing(hole);
        paths.extend([format!("/hole/{hole}"), format!("/hole/{hole}/journal")]);
    }
    let shown = paths.iter().map(|path| {
        let request = Request::get(path);
        let response = answer(notebook, &request);
        page::check(notebook, &request, &response);
        let Body::Text(text) = response.body else {
            panic!("{path} is a page");
        };
        format!("{path} {} {}", response.status, without_the_minute(&text))
    });
    shown.collect()
}

/// A sheet says when it was made.
fn without_the_minute(page: &str) -> String {
    const MADE: &str = "<dt>Sheet made</dt><dd>";
    match page.split_once(MADE) {
        Some((before, after)) => {
            let rest = after.split_once("</dd>").map_or("", |(_, rest)| rest);
            format!("{before}{MADE}{rest}")
        }
        None => page.to_owned(),
    }
}

/// Writes a history: the sample's entries, some bent, by three devices of which one may have been copied.
fn write(u: &mut Unstructured<'_>) -> Result<Vec<Line>> {
    let sample = shapes::sample();
    let mut writers: Vec<Writer> = (1..=3)
        .map(|device| Writer::new(names::device(device)))
        .collect();
    let mut lines = Vec::new();
    let mut written: Vec<EntryId> = Vec::new();
    let whole = u.int_in_range(0..=sample.len())?;
    for (kind, subject, body) in &sample[..whole] {
        let id = names::entry(written.len() as u64 + 1);
        written.push(id);
        lines.extend(writers[0].write(Saying {
            id,
            kind: kind.word().to_owned(),
            subject: *subject,
            body: body.clone(),
            replaces: vec![],
        }));
    }
    while !u.is_empty() && lines.len() < whole + MOST_ENTRIES {
        let (kind, subject, body) = u.choose(&sample)?;
        let mut body = body.clone();
        shapes::bend(u, &mut body)?;
        let saying = Saying {
            id: names::entry(written.len() as u64 + 1),
            kind: if u.ratio(1, 16)? {
                "weather"
            } else {
                kind.word()
            }
            .to_owned(),
            subject: another(u, *subject)?,
            body,
            replaces: replaced(u, &written)?,
        };
        written.push(saying.id);
        let at = u.choose_index(writers.len())?;
        if u.ratio(1, 16)? {
            let copy = writers[at].clone();
            writers.push(copy);
        }
        lines.extend(writers[at].write(saying));
    }
    Ok(lines)
}

/// What an entry is about: mostly what it should be.
fn another(u: &mut Unstructured<'_>, subject: Uuid) -> Result<Uuid> {
    Ok(if u.ratio(1, 3)? {
        names::thing(u.int_in_range(shapes::CASTING..=shapes::HOLE + shapes::HOLES)?)
    } else {
        subject
    })
}

/// The entries that one replaces: none mostly, earlier ones, itself, one that comes later or never.
fn replaced(u: &mut Unstructured<'_>, written: &[EntryId]) -> Result<Vec<EntryId>> {
    let mut replaced = Vec::new();
    if u.ratio(1, 2)? {
        for _ in 0..u.int_in_range(1..=3)? {
            let number = u.int_in_range(1..=written.len() as u64 + 3)?;
            replaced.push(names::entry(number));
        }
    }
    Ok(replaced)
}

/// The same lines in another order.
fn mix(u: &mut Unstructured<'_>, lines: &[Line]) -> Vec<Line> {
    let mut mixed = lines.to_vec();
    mixed.reverse();
    for at in (1..mixed.len()).rev() {
        let with = u.int_in_range(0..=at).unwrap_or(at);
        mixed.swap(at, with);
    }
    mixed
}

/// Bytes to choose by; what they mean changes with this module, so they are any.
fn examples() -> Vec<Vec<u8>> {
    let ends = chain::sample(names::device(1));
    let hashes = ends.iter().map(|line| line.hash().0);
    // Hashes are as good as dice.
    let all: Vec<u8> = hashes.flatten().collect();
    let mut examples = vec![vec![0xff; 40], vec![0; 40]];
    examples.extend(all.chunks(96).map(<[u8]>::to_vec));
    examples.push(all);
    examples
}
