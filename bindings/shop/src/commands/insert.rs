//! `holebook insert`: shows the inserts for a thread, and manages your own insert files.

use super::output::{OutputOptions, distinct};
use super::phrases::short_length;
use super::{count_of, name_given, open_existing};
use crate::cli;
use crate::failure::Failure;
use crate::folders;
use crate::out;
use crate::table::{Side, Table, item, paragraph};
use holebook_core::insert::{Catalog, Family, Insert, InsertFile, MAX_FILE_BYTES, report};
use holebook_core::length::{Rounding, Unit, in_unit, show_range};
use holebook_core::notebook::Notebook;
use holebook_core::thread::Thread;
use serde_json::json;
use std::fs;
use std::io::Read as _;
use std::path::Path;
use std::sync::Arc;

/// Prints the inserts for a thread, or adds, validates, removes, or lists insert files.
///
/// # Errors
/// If there is no such thread, or the file or notebook cannot be read.
pub fn run(
    args: &cli::Insert,
    notebook: &Path,
    named: bool,
    output: OutputOptions,
) -> Result<(), Failure> {
    match (&args.thread(), &args.add, &args.check, &args.remove) {
        (_, Some(file), _, _) => add(file, notebook, output),
        (_, _, Some(file), _) => check(file, output),
        (_, _, _, Some(name)) => remove(name, notebook, output),
        (Some(thread), ..) => show(thread, notebook, named, output),
        _ => files(&open_existing(notebook)?, output),
    }
}

/// Loads all inserts, including the shop's own if there is a notebook. A named notebook must exist.
///
/// # Errors
/// If the notebook cannot be read.
pub fn catalog(notebook: &Path, named: bool) -> Result<Arc<Catalog>, Failure> {
    if named || folders::is_notebook(notebook) {
        return Ok(open_existing(notebook)?.catalog()?);
    }
    Ok(Arc::new(Catalog::standard().clone()))
}

fn show(thread: &str, notebook: &Path, named: bool, output: OutputOptions) -> Result<(), Failure> {
    let thread = Thread::parse(thread)?;
    let catalog = catalog(notebook, named)?;
    if output.json {
        return out::print_json(&report(&catalog, &thread));
    }
    let inserts = catalog.inserts_for(&thread);
    let mut text = if inserts.is_empty() {
        format!(
            "No insert for {} is on file. Add your own with `holebook insert --add FILE`.\n",
            thread.designation()
        )
    } else {
        inserts_text(thread, &inserts, output.unit_for_thread(thread))
    };
    for error in catalog.unread_files() {
        let left_out = format!("One of your insert files was skipped: {error}.");
        text.push_str(&item(&left_out));
    }
    out::print(&text)
}

/// Formats one table per family and tap, since their columns differ.
fn inserts_text(thread: Thread, inserts: &[Arc<Insert>], unit: Unit) -> String {
    let mut text = format!("Inserts for {}\n", thread.designation());
    let kind = |insert: &Insert| (insert.family, insert.tap.clone());
    for group in distinct(inserts.iter().map(|insert| kind(insert))) {
        let own = inserts.iter().map(|insert| &**insert);
        let own: Vec<&Insert> = own.filter(|insert| kind(insert) == group).collect();
        text.push_str(&family_text(&group, &own, unit));
    }
    text.push_str(&format!("\n{}", paragraph(CAUTION)));
    text
}

/// Shown with every answer.
const CAUTION: &str = "Caution: the insert maker's sheet overrides these numbers; the machine's manual, local \
                       codes, and licensed practice come before both.";

fn family_text((family, tap): &(Family, String), inserts: &[&Insert], unit: Unit) -> String {
    let mut text = format!("\n{family}, {tap}\n\n{}", table(inserts, unit));
    if let Some(coils) = coils(inserts, unit) {
        text.push_str(&format!("\n{coils}"));
    }
    text.push('\n');
    for insert in inserts.iter().filter(|insert| insert.shop_file.is_some()) {
        text.push_str(&item(&format!(
            "Your own: {} long, from {}",
            insert.show_length(unit),
            insert.source
        )));
    }
    for note in distinct(
        inserts
            .iter()
            .flat_map(|insert| insert.notes.iter().map(String::as_str)),
    ) {
        text.push_str(&item(&in_unit(note, unit)));
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
            insert.show_length(unit),
            insert.drill.show(unit),
            insert.full_thread_needed().rounded(unit, Rounding::Up),
            insert.countersink.map_or_else(String::new, |countersink| {
                show_range(countersink.min, countersink.max, unit)
            }),
            show_range(insert.set_below_min, insert.set_below_max, unit),
            insert.keys.to_string(),
        ]);
    }
    table
}

/// Formats the sizes of an installed coil; `None` for other families.
fn coils(inserts: &[&Insert], unit: Unit) -> Option<Table> {
    let mut table = Table::new(&[
        ("length", Side::Right),
        ("installed", Side::Right),
        ("turns", Side::Right),
        ("below, no countersink", Side::Right),
        ("drill depth, plug tap", Side::Right),
    ]);
    for insert in inserts {
        let coil = insert.coil.as_ref()?;
        table.row([
            short_length(insert, unit),
            show_range(coil.set_length_min, coil.set_length_max, unit),
            format!("{:.1}-{:.1}", coil.turns_min, coil.turns_max),
            show_range(coil.plain_below_min, coil.plain_below_max, unit),
            insert
                .drill_depth_min(holebook_core::insert::TapChamfer::Plug)
                .rounded(unit, Rounding::Up),
        ]);
    }
    Some(table)
}

fn read(file: &Path) -> Result<(String, String), Failure> {
    let fault = |error| Failure::file("reading inserts from", file, &error);
    // One byte over the limit, so that a file that is too large is noticed.
    let most = MAX_FILE_BYTES as u64 + 1;
    let mut bytes = Vec::new();
    let opened = fs::File::open(file).map_err(fault)?;
    opened.take(most).read_to_end(&mut bytes).map_err(fault)?;
    let name = file.file_name().map(|name| name.to_string_lossy());
    let name = name.map_or_else(String::new, |name| name.into_owned());
    let text = String::from_utf8(bytes).map_err(|_| {
        Failure::Message(format!(
            "`{name}` is not text in UTF-8; save it as plain text"
        ))
    })?;
    Ok((name, text))
}

fn check(file: &Path, output: OutputOptions) -> Result<(), Failure> {
    let (name, text) = read(file)?;
    let read = InsertFile::parse(&name, &text)?;
    if output.json {
        return out::print_json(&json!({"file": name, "rows": read.len()}));
    }
    let rows = count_of(read.len() as u64, "row", "rows");
    out::print(&format!(
        "{name}: {rows}, all valid. Nothing was recorded.\n"
    ))
}

fn add(file: &Path, notebook: &Path, output: OutputOptions) -> Result<(), Failure> {
    let (name, text) = read(file)?;
    let read = InsertFile::parse(&name, &text)?;
    let entry = open_existing(notebook)?.add_inserts(&name, &text)?;
    if output.json {
        return out::print_json(
            &json!({"file": name, "rows": read.len(), "entry": entry.to_string()}),
        );
    }
    let rows = count_of(read.len() as u64, "row", "rows");
    out::print(&format!(
        "{name}: {rows} recorded in the notebook, replacing any file with that name.\n"
    ))
}

fn remove(name: &str, notebook: &Path, output: OutputOptions) -> Result<(), Failure> {
    let names = "`holebook insert` lists their names";
    name_given("name of the file", name, names)?;
    let struck = open_existing(notebook)?.remove_inserts(name, "removed from the drawer")?;
    if output.json {
        return out::print_json(&json!({"file": name, "struck": struck}));
    }
    out::print(&format!(
        "{name}: struck out. Its inserts are no longer offered.\n"
    ))
}

fn files(notebook: &Notebook, output: OutputOptions) -> Result<(), Failure> {
    let files = notebook.inserts()?;
    if output.json {
        let files: Vec<_> = files
            .iter()
            .map(|file| json!({"file": file.body.name, "entry": file.entry.to_string(), "by": file.by}))
            .collect();
        return out::print_json(&files);
    }
    if files.is_empty() {
        return out::print(
            "The notebook has no insert files of its own. Add one with `holebook insert --add FILE`.\n",
        );
    }
    let mut text = "Your own insert files\n".to_owned();
    for file in &files {
        let doubled = files
            .iter()
            .filter(|other| other.body.name == file.body.name);
        let both = if doubled.count() > 1 {
            "; conflict: two files have this name, so add it once more to resolve it"
        } else {
            ""
        };
        text.push_str(&item(&format!("{}{both}", file.body.name)));
    }
    out::print(&text)
}
