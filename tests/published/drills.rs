//! Drills and percent of thread.

use crate::compare::Ours;
use crate::limits::thread;
use crate::table::Row;
use holebook_core::drill::{Drill, thread_percent};
use holebook_core::length::Length;

pub fn named(row: &Row<'_>, column: &str) -> Ours {
    let drill = Drill::parse(row.asked("drill")).unwrap();
    match column {
        "diameter" => drill.diameter.inches().into(),
        _ => row.unknown(column),
    }
}

pub fn percent(row: &Row<'_>, column: &str) -> Ours {
    let drill = Length::parse(row.asked("drill"), None).unwrap();
    match column {
        "percent" => thread_percent(&thread(row), drill).into(),
        _ => row.unknown(column),
    }
}
