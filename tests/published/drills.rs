//! Drills, clearance holes and percent of thread.

use crate::compare::Ours;
use crate::limits::thread;
use crate::table::Row;
use holebook_core::drill::{
    ClearanceFit, Drill, clearance_hole, hole_before_tapping, mean_oversize, tap_drill,
    thread_percent,
};
use holebook_core::hole::remedies::point_length;
use holebook_core::insert::TapChamfer;
use holebook_core::length::{Length, Unit};
use holebook_core::thread::Thread;

pub fn named(row: &Row<'_>, column: &str) -> Ours {
    let drill = Drill::parse(row.input("drill")).unwrap();
    match column {
        "diameter" => drill.diameter.inches().into(),
        _ => row.unknown_column(column),
    }
}

pub fn percent(row: &Row<'_>, column: &str) -> Ours {
    let drill = Length::parse_diameter(row.input("drill"), None).unwrap();
    match column {
        "percent" => thread_percent(&thread(row), drill).into(),
        _ => row.unknown_column(column),
    }
}

pub fn clearance_inch_loose(row: &Row<'_>, column: &str) -> Ours {
    let hole = clearance_hole(&thread(row), ClearanceFit::Loose);
    let limit = hole.and_then(|hole| match column {
        "min" => hole.least,
        "max" => hole.largest,
        _ => row.unknown_column(column),
    });
    limit.map(|limit| limit.inches()).into()
}

pub fn clearance_metric(row: &Row<'_>, column: &str) -> Ours {
    let fit = ClearanceFit::ALL
        .into_iter()
        .find(|fit| fit.name() == column);
    let fit = fit.unwrap_or_else(|| row.unknown_column(column));
    clearance_hole(&thread(row), fit)
        .map(|hole| hole.aim.mm())
        .into()
}

pub fn whitworth(row: &Row<'_>, column: &str) -> Ours {
    let published = Length::parse(row.input("drill_mm"), Some(Unit::Millimeter)).unwrap();
    match column {
        "percent" => thread_percent(&thread(row), published).into(),
        "drill" => tap_drill(&thread(row)).drill.diameter.mm().into(),
        _ => row.unknown_column(column),
    }
}

/// Returns micrometers.
pub fn hole_tolerances(row: &Row<'_>, column: &str) -> Ours {
    let fit = ClearanceFit::ALL
        .into_iter()
        .find(|fit| fit.name() == column);
    let fit = fit.unwrap_or_else(|| row.unknown_column(column));
    clearance_hole(&thread(row), fit)
        .and_then(|hole| Some((hole.largest? - hole.least?).mm() * 1000.0))
        .into()
}

pub fn tap_drills_metric(row: &Row<'_>, column: &str) -> Ours {
    match column {
        "drill" => tap_drill(&thread(row)).drill.diameter.mm().into(),
        _ => row.unknown_column(column),
    }
}

/// Returns quarters of the tolerance above the least minor diameter.
pub fn hole_for_engagement(row: &Row<'_>, column: &str) -> Ours {
    let thread = Thread::parse("3/8-16").unwrap();
    let limits = thread.usual_internal();
    let diameters: f64 = row.input("engagement").parse().unwrap();
    let engagement = Length::from_mm(diameters * thread.nominal().mm()).unwrap();
    let Some((least, largest)) = hole_before_tapping(&thread, &limits, engagement) else {
        return Ours::NotIncluded;
    };
    let hole = match column {
        "least" => least,
        "largest" => largest,
        _ => row.unknown_column(column),
    };
    let quarter = (limits.minor_max - limits.minor_min) / 4;
    ((hole - limits.minor_min).mm() / quarter.mm()).into()
}

pub fn oversize(row: &Row<'_>, column: &str) -> Ours {
    let drill = Length::parse_diameter(row.input("drill"), None).unwrap();
    match column {
        "oversize" => mean_oversize(drill).map(Length::inches).into(),
        _ => row.unknown_column(column),
    }
}

pub fn point(row: &Row<'_>, column: &str) -> Ours {
    let drill = Drill::metric(1000);
    match column {
        "length" => (point_length(&drill).mm() / drill.diameter.mm()).into(),
        _ => row.unknown_column(column),
    }
}

pub fn chamfer(row: &Row<'_>, column: &str) -> Ours {
    let taps = [TapChamfer::Taper, TapChamfer::Plug, TapChamfer::Bottoming];
    let tap = taps.into_iter().find(|tap| tap.name() == row.input("tap"));
    match column {
        "longest" => tap.map(|tap| tap.threads() as f64).into(),
        _ => row.unknown_column(column),
    }
}
