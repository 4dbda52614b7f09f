//! Drills and percent of thread against tables.

use crate::table::Table;
use holebook_core::drill::{Drill, thread_percent};
use holebook_core::length::Length;
use holebook_core::thread::Thread;

#[test]
fn number_and_letter_drills() {
    let table = Table::read("named_drills");
    for row in table.rows() {
        let drill = Drill::parse(row.text("drill")).unwrap();
        row.compare("diameter", drill.diameter.inches(), 0.0);
        row.same("drill", &drill.to_string());
    }
    assert_eq!(table.rows().count(), 80 + 26);
    table.finish();
}

#[test]
fn percent_of_thread() {
    let table = Table::read("thread_percent");
    for row in table.rows() {
        let thread = Thread::parse(row.text("size")).unwrap();
        let drill = Length::parse(row.text("drill"), None).unwrap();
        row.compare("percent", thread_percent(&thread, drill), 0.6);
    }
    table.finish();
}
