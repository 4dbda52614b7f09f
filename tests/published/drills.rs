//! Drills and percent of thread.

use crate::compare::Ours;
use crate::limits::thread;
use crate::table::Row;
use holebook_core::drill::{Drill, Fit, clearance_hole, tap_drill, thread_percent};
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

pub fn clearance_inch_loose(row: &Row<'_>, column: &str) -> Ours {
    let hole = clearance_hole(&thread(row), Fit::Loose);
    let limit = hole.and_then(|hole| match column {
        "min" => hole.least,
        "max" => hole.largest,
        _ => row.unknown(column),
    });
    limit.map(|limit| limit.inches()).into()
}

pub fn clearance_metric(row: &Row<'_>, column: &str) -> Ours {
    let fit = Fit::ALL.into_iter().find(|fit| fit.name() == column);
    let fit = fit.unwrap_or_else(|| row.unknown(column));
    clearance_hole(&thread(row), fit)
        .map(|hole| hole.aim.mm())
        .into()
}

pub fn tap_drills_metric(row: &Row<'_>, column: &str) -> Ours {
    match column {
        "drill" => tap_drill(&thread(row)).drill.diameter.mm().into(),
        _ => row.unknown(column),
    }
}
