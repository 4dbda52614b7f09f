//! Finds castings, faces, holes and notes by words that people remember.
//!
//! There is no index: recording costs nothing, and a search reads all names, notes and holes, so it
//! takes time in proportion to the notebook (see the benchmark `notebook`).

use super::body::{CastingBody, FaceBody};
use super::entry_kind::{Body, EntryKind};
use super::error::{Fault, NotebookError};
use super::facts::recorded;
use super::id::{CastingId, FaceId, HoleId};
use super::{Notebook, load};
use crate::hole::record::Note;
use rusqlite::{Connection, OptionalExtension};
use std::collections::BTreeMap;
use std::iter;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;
use uuid::Uuid;

/// Most results of one search.
pub const MOST_RESULTS: usize = 60;
/// Most letters of what is searched for; the rest is ignored.
const MOST_LETTERS: usize = 200;
/// Most words of what is searched for.
const MOST_WORDS: usize = 8;

/// What a search found.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct SearchResult {
    /// The casting that it is, or is on; `None` if that is not here yet.
    pub casting: Option<CastingId>,
    /// That casting's name.
    pub casting_name: String,
    /// The face that it is, or is in; `None` for a casting.
    pub face: Option<FaceId>,
    /// That face's name.
    pub face_name: String,
    /// The hole that it is; `None` for a casting or face.
    pub hole: Option<HoleId>,
    /// That hole's number.
    pub number: Option<u32>,
    /// The text with the words: a name and its note, a hole's thread and remedy, or a note.
    pub text: String,
    /// Whether the text is a note that was added later.
    pub is_note: bool,
}

/// What a search found, newest first.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Default)]
pub struct SearchResults {
    /// The newest results, [`MOST_RESULTS`] at most.
    pub found: Vec<SearchResult>,
    /// Whether there are more.
    pub more: bool,
}

/// A text with the words, before it is known where it belongs.
struct Match {
    subject: Subject,
    text: String,
    is_note: bool,
}

#[derive(Clone, Copy)]
enum Subject {
    Casting(CastingId),
    Face(FaceId),
    Hole(HoleId),
}

impl Notebook {
    /// Finds castings and faces by name and note, holes by number, thread and remedy, and notes by
    /// their text, newest first.
    ///
    /// A text is found if it has every word, in any order. Case and accents do not matter: `muller`
    /// finds `Müller`. A word that is a number is found as a whole number: `7` does not find `17`.
    /// Only the first 200 letters and 8 words count.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn search(&self, text: &str) -> Result<SearchResults, NotebookError> {
        let words = words(text);
        if words.is_empty() {
            return Ok(SearchResults::default());
        }
        self.read(|conn| {
            let mut newest = Newest::default();
            search_texts(conn, &words, &mut newest)?;
            search_holes(conn, &words, &mut newest)?;
            let found = newest.matches.into_iter().rev();
            Ok(SearchResults {
                found: found
                    .filter_map(|(_, found)| locate(conn, found).transpose())
                    .collect::<Result<_, _>>()?,
                more: newest.more,
            })
        })
    }
}

/// The newest matches so far, by the ids of their entries, which grow with time.
#[derive(Default)]
struct Newest {
    matches: BTreeMap<Uuid, Match>,
    more: bool,
}

impl Newest {
    fn add(&mut self, id: Uuid, found: Match) {
        self.matches.insert(id, found);
        if self.matches.len() > MOST_RESULTS {
            self.matches.pop_first();
            self.more = true;
        }
    }
}

/// Looks through the names and notes of castings and faces, and all notes.
fn search_texts(conn: &Connection, words: &[String], newest: &mut Newest) -> Result<(), Fault> {
    let sql = "SELECT s.kind, e.subject, e.id, e.line FROM entry_status s JOIN entry e ON e.n = s.n
         WHERE s.kind IN ('casting', 'face', 'note')
         AND s.understood AND NOT s.struck_out AND NOT s.replaced";
    let mut statement = conn.prepare_cached(sql)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let kind = row.get_ref(0)?.as_str().map_err(Fault::unreadable)?;
        let line = row.get_ref(3)?.as_str().map_err(Fault::unreadable)?;
        let (text, is_note) = text_of(kind, line)?;
        if has_all(&text, words) {
            let subject = row.get(1)?;
            let found = Match {
                subject: subject_of(conn, subject)?,
                text,
                is_note,
            };
            newest.add(row.get(2)?, found);
        }
    }
    Ok(())
}

/// Returns the text of an entry about a casting or a face, or of a note.
fn text_of(kind: &str, line: &str) -> Result<(String, bool), Fault> {
    fn with_note(name: String, note: Option<String>) -> String {
        let parts = iter::once(name).chain(note);
        parts.collect::<Vec<_>>().join(": ")
    }
    Ok(match EntryKind::from_name(kind) {
        Some(CastingBody::KIND) => {
            let casting = recorded::<CastingBody>(line)?.body;
            (with_note(casting.name, casting.note), false)
        }
        Some(FaceBody::KIND) => {
            let face = recorded::<FaceBody>(line)?.body;
            (with_note(face.name, face.note), false)
        }
        _ => (recorded::<Note>(line)?.body.text, true),
    })
}

/// Returns what an entry is about: a note may be about a hole, a face or a casting.
fn subject_of(conn: &Connection, id: Uuid) -> Result<Subject, Fault> {
    let is_in = |sql: &str| -> Result<bool, Fault> { Ok(conn.prepare_cached(sql)?.exists([id])?) };
    Ok(if is_in("SELECT 1 FROM casting WHERE id = ?1")? {
        Subject::Casting(CastingId(id))
    } else if is_in("SELECT 1 FROM face WHERE id = ?1")? {
        Subject::Face(FaceId(id))
    } else {
        Subject::Hole(HoleId(id))
    })
}

/// Looks through the holes' numbers, threads and remedies.
fn search_holes(conn: &Connection, words: &[String], newest: &mut Newest) -> Result<(), Fault> {
    let mut statement = conn.prepare_cached("SELECT id, number, thread, remedy FROM hole")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let (thread, remedy): (Option<String>, Option<String>) = (row.get(2)?, row.get(3)?);
        let number = format!("Hole {}", row.get::<_, u32>(1)?);
        let remedy = remedy.map(|remedy| remedy.replace('-', " "));
        let parts = iter::once(number).chain(thread).chain(remedy);
        let text = parts.collect::<Vec<_>>().join(", ");
        if has_all(&text, words) {
            let id: Uuid = row.get(0)?;
            let found = Match {
                subject: Subject::Hole(HoleId(id)),
                text,
                is_note: false,
            };
            newest.add(id, found);
        }
    }
    Ok(())
}

/// Names the casting, face and hole of a match; `None` if it is about nothing that is here.
fn locate(conn: &Connection, found: Match) -> Result<Option<SearchResult>, Fault> {
    let mut result = SearchResult {
        casting: None,
        casting_name: String::new(),
        face: None,
        face_name: String::new(),
        hole: None,
        number: None,
        text: found.text,
        is_note: found.is_note,
    };
    let mut face = None;
    match found.subject {
        Subject::Casting(id) => result.casting = Some(id),
        Subject::Face(id) => face = Some(id),
        Subject::Hole(id) => {
            let mut statement =
                conn.prepare_cached("SELECT face, number FROM hole WHERE id = ?1")?;
            let row = statement.query_row([id.0], |row| Ok((row.get(0)?, row.get(1)?)));
            let Some((of, number)) = row.optional()? else {
                return Ok(None);
            };
            face = Some(FaceId(of));
            (result.hole, result.number) = (Some(id), Some(number));
        }
    }
    if let Some(id) = face {
        result.face = Some(id);
        let facts = load::face_on_casting(conn, id)?;
        if let Some(details) = facts.details.0.first() {
            result.face_name.clone_from(&details.body.name);
            result.casting = Some(details.body.casting);
        }
        result.casting_name = facts.casting_name.unwrap_or_default();
    } else if let Some(id) = result.casting {
        let details = load::casting(conn, id)?;
        let first = details.0.into_iter().next();
        result.casting_name = first.map(|first| first.body.name).unwrap_or_default();
    }
    Ok(Some(result))
}

/// Returns what is searched for as folded words.
fn words(text: &str) -> Vec<String> {
    let text: String = text.chars().take(MOST_LETTERS).collect();
    let folded = fold(&text);
    let words = folded.split_whitespace().map(str::to_owned);
    words.take(MOST_WORDS).collect()
}

/// Returns a text without case and accents.
fn fold(text: &str) -> String {
    if text.is_ascii() {
        return text.to_ascii_lowercase();
    }
    // Upper case first: it writes out letters that have no other case of their own.
    let upper = text.to_uppercase();
    let plain = upper.nfkd().filter(|letter| !is_combining_mark(*letter));
    plain.collect::<String>().to_lowercase()
}

fn has_all(text: &str, words: &[String]) -> bool {
    let text = fold(text);
    words.iter().all(|word| has(&text, word))
}

/// Returns whether a folded text has a word. Its digits are not part of a longer number.
fn has(text: &str, word: &str) -> bool {
    let digit = |letter: Option<char>| letter.is_some_and(|letter| letter.is_ascii_digit());
    text.match_indices(word).any(|(at, found)| {
        let (before, after) = (&text[..at], &text[at + found.len()..]);
        let starts_inside = digit(word.chars().next()) && digit(before.chars().next_back());
        let ends_inside = digit(word.chars().next_back()) && digit(after.chars().next());
        !starts_inside && !ends_inside
    })
}
