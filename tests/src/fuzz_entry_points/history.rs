//! Histories of several devices: chained lines with bodies of every kind, valid and mutated,
//! imported in any order.

use super::journal_writer::{self, JournalWriter, LineContent};
use super::temp_notebook::TempNotebook;
use super::{FuzzEntryPoint, entry_bodies, fixed_ids, page_checks};
use arbitrary::{Result, Unstructured};
use holebook_core::notebook::{EntryId, Finding, Line, LineHash, Notebook, NotebookError};
use holebook_core::sync::{NotebookRemote, ignore_progress, sync_with};
use holebook_screens::{Body, Request, answer};
use std::collections::{HashMap, HashSet, VecDeque};
use uuid::Uuid;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "history",
    run,
    examples,
};

/// The most entries beside the sample's.
const MAX_ENTRIES: usize = 24;

/// In whatever order and chunks lines arrive, the projection is the same and every page can be
/// rendered; a line that is rejected changes nothing; and another notebook that syncs with this one
/// ends equal.
fn run(bytes: &[u8]) {
    let mut u = Unstructured::new(bytes);
    let lines = write(&mut u).unwrap_or_default();
    let one = TempNotebook::new();
    import_in_chunks(&mut u, &one.notebook, &lines);
    let other = TempNotebook::new();
    import_shuffled(&other.notebook, mix(&mut u, &lines));
    assert_eq!(pages(&one.notebook), pages(&other.notebook));
    assert_valid(&one.notebook);
    assert_valid(&other.notebook);
    let third = TempNotebook::new();
    let report = sync_with(
        &third.notebook,
        &NotebookRemote(&one.notebook),
        &ignore_progress,
    );
    let report = report.expect("syncing with a notebook");
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    assert_eq!(heads(&third.notebook), heads(&one.notebook));
}

/// Imports lines in the order of writing, in up to three chunks. All are accepted.
fn import_in_chunks(u: &mut Unstructured<'_>, notebook: &Notebook, lines: &[Line]) {
    let mut rest = lines;
    for _ in 0..2 {
        let (chunk, behind) = rest.split_at(u.int_in_range(0..=rest.len()).unwrap_or(rest.len()));
        import_all(notebook, chunk);
        rest = behind;
    }
    import_all(notebook, rest);
    for line in lines {
        assert!(notebook.holds(line).expect("a readable notebook"));
    }
}

fn import_all(notebook: &Notebook, chunk: &[Line]) {
    let imported = notebook
        .import_lines(chunk)
        .expect("lines in order are accepted");
    assert_eq!(imported.new, chunk.len());
}

/// Imports lines one by one in any order. A line is rejected exactly while the line before it is
/// missing.
fn import_shuffled(notebook: &Notebook, mixed: Vec<Line>) {
    let mut here: HashSet<LineHash> = HashSet::new();
    let mut waiting: HashMap<LineHash, Vec<Line>> = HashMap::new();
    let mut next: VecDeque<Line> = mixed.into();
    while let Some(line) = next.pop_front() {
        let prev = line.entry().prev.filter(|prev| !here.contains(prev));
        assert_eq!(
            try_import(notebook, &line),
            prev.is_none(),
            "{}",
            line.text()
        );
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
    assert!(waiting.is_empty(), "every line has its predecessors");
}

/// Imports a line; a rejected one changes nothing.
fn try_import(notebook: &Notebook, line: &Line) -> bool {
    let before = heads(notebook);
    match notebook.import_lines(std::slice::from_ref(line)) {
        Ok(_) => {
            assert!(notebook.holds(line).expect("a readable notebook"));
            true
        }
        Err(NotebookError::RejectedLine(_)) => {
            assert_eq!(heads(notebook), before);
            false
        }
        Err(error) => panic!("a valid line is accepted or rejected: {error}"),
    }
}

pub fn heads(notebook: &Notebook) -> String {
    format!("{:?}", notebook.heads().expect("a readable notebook"))
}

/// A notebook has no findings but photos that were never here.
pub fn assert_valid(notebook: &Notebook) {
    let mut findings = notebook.verify().expect("a readable notebook").findings;
    findings.retain(|finding| !matches!(finding, Finding::PhotoMissing { .. }));
    assert!(findings.is_empty(), "{findings:?}");
}

/// Every page about the subjects of these histories.
fn pages(notebook: &Notebook) -> Vec<String> {
    let thing = fixed_ids::thing;
    let mut paths = vec![
        "/".to_owned(),
        format!("/casting/{}", thing(entry_bodies::CASTING)),
    ];
    let face = thing(entry_bodies::FACE);
    paths.extend([format!("/face/{face}"), format!("/face/{face}/sheet")]);
    paths.push(format!("/photo/{}", thing(entry_bodies::PHOTO)));
    for hole in entry_bodies::HOLE..entry_bodies::HOLE + entry_bodies::HOLES {
        let hole = thing(hole);
        paths.extend([format!("/hole/{hole}"), format!("/hole/{hole}/journal")]);
    }
    let shown = paths.iter().map(|path| {
        let request = Request::get(path);
        let response = answer(notebook, &request);
        page_checks::check(notebook, &request, &response);
        let Body::Text(text) = response.body else {
            panic!("{path} is a page");
        };
        format!("{path} {} {}", response.status, without_timestamp(&text))
    });
    shown.collect()
}

/// Removes the time at which a sheet was made.
fn without_timestamp(page: &str) -> String {
    const MADE: &str = "<dt>Printed</dt><dd>";
    match page.split_once(MADE) {
        Some((before, after)) => {
            let rest = after.split_once("</dd>").map_or("", |(_, rest)| rest);
            format!("{before}{MADE}{rest}")
        }
        None => page.to_owned(),
    }
}

/// Writes a history: the sample's entries, some mutated, by three devices of which one may have
/// been copied.
fn write(u: &mut Unstructured<'_>) -> Result<Vec<Line>> {
    let sample = entry_bodies::sample();
    let mut writers: Vec<JournalWriter> = (1..=3)
        .map(|device| JournalWriter::new(fixed_ids::device(device)))
        .collect();
    let mut lines = Vec::new();
    let mut written: Vec<EntryId> = Vec::new();
    let whole = u.int_in_range(0..=sample.len())?;
    for (kind, subject, body) in &sample[..whole] {
        let id = fixed_ids::entry(written.len() as u64 + 1);
        written.push(id);
        lines.extend(writers[0].write(LineContent {
            id,
            kind: kind.name().to_owned(),
            subject: *subject,
            body: body.clone(),
            replaces: vec![],
        }));
    }
    while !u.is_empty() && lines.len() < whole + MAX_ENTRIES {
        let (kind, subject, body) = u.choose(&sample)?;
        let mut body = body.clone();
        entry_bodies::mutate(u, &mut body)?;
        let saying = LineContent {
            id: fixed_ids::entry(written.len() as u64 + 1),
            kind: if u.ratio(1, 16)? {
                "weather"
            } else {
                kind.name()
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
        fixed_ids::thing(
            u.int_in_range(entry_bodies::CASTING..=entry_bodies::HOLE + entry_bodies::HOLES)?,
        )
    } else {
        subject
    })
}

/// The entries that one replaces: mostly none; else earlier ones, itself, or later or missing ones.
fn replaced(u: &mut Unstructured<'_>, written: &[EntryId]) -> Result<Vec<EntryId>> {
    let mut replaced = Vec::new();
    if u.ratio(1, 2)? {
        for _ in 0..u.int_in_range(1..=3)? {
            let number = u.int_in_range(1..=written.len() as u64 + 3)?;
            replaced.push(fixed_ids::entry(number));
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

/// Arbitrary input bytes: what they mean changes with this module.
fn examples() -> Vec<Vec<u8>> {
    let ends = journal_writer::sample(fixed_ids::device(1));
    let hashes = ends.iter().map(|line| line.hash().0);
    // Hashes serve as random bytes.
    let all: Vec<u8> = hashes.flatten().collect();
    let mut examples = vec![vec![0xff; 40], vec![0; 40]];
    examples.extend(all.chunks(96).map(<[u8]>::to_vec));
    examples.push(all);
    examples
}
