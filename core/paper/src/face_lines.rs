//! What the head of a sheet says of its face.

use holebook_core::hole::record::FaceRecord;
use holebook_core::length::Unit;

/// Returns the names and values, in the reader's unit.
pub fn face_lines(record: &FaceRecord, unit: Unit) -> Vec<(&'static str, String)> {
    let planned = record.planned_cut.agreed();
    let planned = match planned {
        _ if record.planned_cut.differ() => "entries disagree".to_owned(),
        Some(cut) => cut.planned.show(unit),
        None => "not planned".to_owned(),
    };
    let left = record.left_to_remove();
    let left = left.map_or_else(|| "unknown".to_owned(), |cut| cut.show(unit));
    let metal = record.metal.map(|metal| metal.to_string());
    let unknown = || "unknown; figured as ASTM A48 class 20 iron".to_owned();
    let mut lines = vec![
        ("Stock to remove", planned),
        ("Left to remove", left),
        ("Metal", metal.unwrap_or_else(unknown)),
    ];
    lines.extend(own_limits(record, unit).map(|limits| ("Judged by this shop's limits", limits)));
    lines
}

/// The limits that this shop changed; `None` if it judges by the standard ones.
fn own_limits(record: &FaceRecord, unit: Unit) -> Option<String> {
    let changed = record.limits.as_ref()?.changed();
    let shown = changed.iter().map(|(info, value)| {
        let (value, standard) = (info.show(*value, unit), info.show(info.standard, unit));
        format!("{}: {value} (standard {standard})", info.label)
    });
    let shown: Vec<String> = shown.collect();
    (!shown.is_empty()).then(|| shown.join("; "))
}
