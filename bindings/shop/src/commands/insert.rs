//! `holebook insert`: the inserts that give a thread.

use super::look::{Look, distinct, drill_words, span};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, item};
use holebook_core::insert::{Catalogue, Insert, report};
use holebook_core::length::Unit;
use holebook_core::thread::Thread;
use std::sync::Arc;

/// Says which inserts give a thread.
///
/// # Errors
/// No such thread, or no insert for it.
pub fn run(asked: &cli::Insert, look: Look) -> Result<(), Failure> {
    let thread = Thread::parse(&asked.thread)?;
    if look.json {
        return out::json(&report(Catalogue::standard(), &thread));
    }
    let inserts = Catalogue::standard().inserts_for(&thread);
    if inserts.is_empty() {
        let words = format!(
            "No insert for {} is kept here: its tables lie between 1/4 and 3/4 in, and M6 and M20.\n",
            thread.designation()
        );
        return out::say(&words);
    }
    out::say(&words(thread, inserts, look.unit_for(thread)))
}

fn words(thread: Thread, inserts: &[Arc<Insert>], unit: Unit) -> String {
    let mut text = format!(
        "Inserts that give {}\n\n{}",
        thread.designation(),
        table(inserts, unit)
    );
    for family in distinct(inserts.iter().map(|insert| insert.family)) {
        let own = || inserts.iter().filter(move |insert| insert.family == family);
        text.push_str(&format!("\nThe {family}:\n"));
        for note in distinct(own().flat_map(|insert| insert.notes.iter().map(String::as_str))) {
            text.push_str(&item(note));
        }
        for source in distinct(own().map(|insert| insert.source.as_str())) {
            text.push_str(&item(&format!("Source: {source}")));
        }
    }
    text
}

fn table(inserts: &[Arc<Insert>], unit: Unit) -> Table {
    let mut table = Table::new(&[
        ("insert", Side::Left),
        ("length", Side::Right),
        ("drill", Side::Left),
        ("tap", Side::Left),
        ("full thread", Side::Right),
        ("countersink", Side::Right),
        ("set below face", Side::Right),
        ("keys", Side::Right),
    ]);
    for insert in inserts {
        table.row([
            insert.family.to_string(),
            insert.length.show(unit),
            drill_words(&insert.drill, unit),
            insert.outside.designation.clone(),
            insert.full_thread_min.show(unit),
            insert.countersink.map_or_else(String::new, |countersink| {
                span(countersink.min, countersink.max, unit)
            }),
            span(insert.set_below_min, insert.set_below_max, unit),
            insert.keys.to_string(),
        ]);
    }
    table
}
