//! `holebook insert`: the inserts that give a thread, and the shop's own files of them.

use super::look::{Look, distinct, drill_words, span};
use super::{existing, number};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::place;
use crate::table::{Side, Table, item};
use holebook_core::insert::{Catalogue, Family, Insert, InsertFile, LARGEST_FILE, report};
use holebook_core::length::Unit;
use holebook_core::notebook::Notebook;
use holebook_core::thread::Thread;
use serde_json::json;
use std::fs;
use std::io::Read as _;
use std::path::Path;
use std::sync::Arc;

/// Says which inserts give a thread, or takes a file of the shop's own.
///
/// # Errors
/// No such thread, or a file or notebook that cannot be read.
pub fn run(asked: &cli::Insert, notebook: &Path, named: bool, look: Look) -> Result<(), Failure> {
    match (&asked.thread(), &asked.add, &asked.check, &asked.remove) {
        (_, Some(file), _, _) => add(file, notebook, look),
        (_, _, Some(file), _) => check(file, look),
        (_, _, _, Some(name)) => remove(name, notebook, look),
        (Some(thread), ..) => show(thread, notebook, named, look),
        _ => files(&existing(notebook)?, look),
    }
}

/// All inserts: with the shop's own where there is a notebook. One that was named must be there.
///
/// # Errors
/// Where the notebook cannot be read.
pub fn catalogue(notebook: &Path, named: bool) -> Result<Arc<Catalogue>, Failure> {
    if named || place::is_notebook(notebook) {
        return Ok(existing(notebook)?.catalogue()?);
    }
    Ok(Arc::new(Catalogue::standard().clone()))
}

fn show(thread: &str, notebook: &Path, named: bool, look: Look) -> Result<(), Failure> {
    let thread = Thread::parse(thread)?;
    let catalogue = catalogue(notebook, named)?;
    if look.json {
        return out::json(&report(&catalogue, &thread));
    }
    let inserts = catalogue.inserts_for(&thread);
    let mut text = if inserts.is_empty() {
        format!(
            "No insert for {} is kept here; `holebook insert --add FILE` takes the shop's own.\n",
            thread.designation()
        )
    } else {
        words(thread, &inserts, look.unit_for(thread))
    };
    for error in catalogue.not_read() {
        let left_out = format!("A file of the shop's own is left out: {error}.");
        text.push_str(&item(&left_out));
    }
    out::say(&text)
}

/// A table for each kind and tap, since they differ in what there is to say.
fn words(thread: Thread, inserts: &[Arc<Insert>], unit: Unit) -> String {
    let mut text = format!("Inserts that give {}\n", thread.designation());
    let kind = |insert: &Insert| (insert.family, insert.tap.clone());
    for of in distinct(inserts.iter().map(|insert| kind(insert))) {
        let own = inserts.iter().map(|insert| &**insert);
        let own: Vec<&Insert> = own.filter(|insert| kind(insert) == of).collect();
        text.push_str(&of_kind(&of, &own, unit));
    }
    text.push_str(&format!("\n{CAUTION}\n"));
    text
}

/// Belongs to every hole that is cut for an insert.
const CAUTION: &str = "The card that came with the insert in hand decides over these numbers; the machine's\n\
                       manual, local rules and licensed practice come before both.";

fn of_kind((family, tap): &(Family, String), inserts: &[&Insert], unit: Unit) -> String {
    let mut text = format!("\nThe {family}, {tap}\n\n{}", table(inserts, unit));
    if let Some(coils) = coils(inserts, unit) {
        text.push_str(&format!("\n{coils}"));
    }
    text.push('\n');
    for insert in inserts.iter().filter(|insert| insert.shop_file.is_some()) {
        text.push_str(&item(&format!(
            "Shop's own: {} long, from {}",
            insert.length.show(unit),
            insert.source
        )));
    }
    for note in distinct(
        inserts
            .iter()
            .flat_map(|insert| insert.notes.iter().map(String::as_str)),
    ) {
        text.push_str(&item(note));
    }
    let sources = inserts
        .iter()
        .map(|insert| format!("Source: {} (figures: {})", insert.source, insert.confidence));
    for source in distinct(sources) {
        text.push_str(&item(&source));
    }
    text
}

fn table(inserts: &[&Insert], unit: Unit) -> Table {
    let mut table = Table::new(&[
        ("length", Side::Right),
        ("drill", Side::Left),
        ("full thread", Side::Right),
        ("countersink", Side::Right),
        ("below the face", Side::Right),
        ("keys", Side::Right),
    ]);
    for insert in inserts {
        table.row([
            insert.length.show(unit),
            drill_words(&insert.drill, unit),
            insert.full_thread_needed().show(unit),
            insert.countersink.map_or_else(String::new, |countersink| {
                span(countersink.min, countersink.max, unit)
            }),
            span(insert.set_below_min, insert.set_below_max, unit),
            insert.keys.to_string(),
        ]);
    }
    table
}

/// What becomes of a coil when it is set; none for other kinds.
fn coils(inserts: &[&Insert], unit: Unit) -> Option<Table> {
    let mut table = Table::new(&[
        ("length", Side::Right),
        ("once set", Side::Right),
        ("turns", Side::Right),
        ("uncountersunk, below", Side::Right),
        ("drill to, plug tap", Side::Right),
    ]);
    for insert in inserts {
        let coil = insert.coil.as_ref()?;
        table.row([
            insert.length.show(unit),
            span(coil.set_length_min, coil.set_length_max, unit),
            format!("{:.1} to {:.1}", coil.turns_min, coil.turns_max),
            span(coil.plain_below_min, coil.plain_below_max, unit),
            insert
                .drill_depth_min(holebook_core::insert::TapChamfer::Plug)
                .show(unit),
        ]);
    }
    Some(table)
}

fn read(file: &Path) -> Result<(String, String), Failure> {
    let fault = |error| Failure::file("reading inserts from", file, &error);
    // One byte more than may be there, so that what is too large shows.
    let most = LARGEST_FILE as u64 + 1;
    let mut bytes = Vec::new();
    let opened = fs::File::open(file).map_err(fault)?;
    opened.take(most).read_to_end(&mut bytes).map_err(fault)?;
    let name = file.file_name().map(|name| name.to_string_lossy());
    let name = name.map_or_else(String::new, |name| name.into_owned());
    let text = String::from_utf8(bytes).map_err(|_| {
        Failure::Said(format!(
            "`{name}` is not text in UTF-8; save it as plain text"
        ))
    })?;
    Ok((name, text))
}

fn check(file: &Path, look: Look) -> Result<(), Failure> {
    let (name, text) = read(file)?;
    let read = InsertFile::read(&name, &text)?;
    if look.json {
        return out::json(&json!({"file": name, "rows": read.len()}));
    }
    let rows = number(read.len() as u64, "row", "rows");
    out::say(&format!(
        "{name}: {rows}, all in order. Nothing was recorded.\n"
    ))
}

fn add(file: &Path, notebook: &Path, look: Look) -> Result<(), Failure> {
    let (name, text) = read(file)?;
    let read = InsertFile::read(&name, &text)?;
    let entry = existing(notebook)?.add_inserts(&name, &text)?;
    if look.json {
        return out::json(&json!({"file": name, "rows": read.len(), "entry": entry.to_string()}));
    }
    let rows = number(read.len() as u64, "row", "rows");
    out::say(&format!(
        "{name}: {rows} recorded in the notebook, in place of what stood under that name.\n"
    ))
}

fn remove(name: &str, notebook: &Path, look: Look) -> Result<(), Failure> {
    let struck = existing(notebook)?.remove_inserts(name, "taken out of the shop's drawer")?;
    if look.json {
        return out::json(&json!({"file": name, "struck": struck}));
    }
    out::say(&format!(
        "{name}: struck in the notebook, and its inserts are offered no more.\n"
    ))
}

fn files(notebook: &Notebook, look: Look) -> Result<(), Failure> {
    let files = notebook.inserts()?;
    if look.json {
        let files: Vec<_> = files
            .iter()
            .map(|said| json!({"file": said.body.name, "entry": said.entry.to_string(), "by": said.by}))
            .collect();
        return out::json(&files);
    }
    if files.is_empty() {
        return out::say(
            "The notebook has no inserts of the shop's own; `holebook insert --add FILE` takes some.\n",
        );
    }
    let mut text = "The shop's own files of inserts\n".to_owned();
    for said in &files {
        let doubled = files
            .iter()
            .filter(|other| other.body.name == said.body.name);
        let both = if doubled.count() > 1 {
            "; two stand under this name, so add it once more to settle which holds"
        } else {
            ""
        };
        text.push_str(&item(&format!("{}{both}", said.body.name)));
    }
    out::say(&text)
}
