//! Labels of what the core knows, as screens and sheets show them.
//!
//! Plain text in the reader's unit, without markup, so that a screen and a sheet say the same.

mod clock;
mod damage;
mod entry;
mod joint;
mod text;

pub use clock::{o_clock, parse_clock, show_clock};
pub use damage::{NO_DAMAGE, damage_lines};
pub use entry::{entry_text, planned_text, show_minutes};
pub use joint::{
    CURED, DRAWING_NOTE, GRIP_NOTE, PASSES_SOURCE, SEALER, TABLE_NOTE, WARM_UP, bolt_lines,
    engaged, failure, full_torque, pass_aim, tightened_to, tightening_warnings, weakest,
};
pub use text::{Span, Text};

use crate::display_name::shown;
use crate::hole::record::{CheckKind, CutStep, Quantity, Remedy, RemedySpec};
use crate::hole::remedies::{Assessment, Verdict};
use crate::hole::steps::{Number, Value};
use crate::length::{Unit, in_unit, show_range};
use crate::strength::{show_load, show_torque};
use chrono::{DateTime, FixedOffset};

/// A measured quantity.
pub fn quantity(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Depth => "Hole depth",
        Quantity::Floor => "Floor thickness",
        Quantity::NearestEdge => "Edge distance",
        Quantity::NearestHole => "Nearest hole",
        Quantity::Bore => "Bore, smallest",
        Quantity::MatingHole => "Clearance hole in mating part",
        Quantity::Grip => "Grip (part + gasket + washer)",
        Quantity::FullThread => "Full thread depth",
        Quantity::FullDiameter => "Depth to full diameter",
        Quantity::NeighborDiameter => "Nearest hole, outside diameter",
        Quantity::BoltLength => "Bolt in hand, length",
        Quantity::BoltThreadLength => "Bolt in hand, thread length",
    }
}

/// From where to where it is measured.
pub fn quantity_hint(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Depth => "to the bottom, from the face as is",
        Quantity::Floor => "metal below the hole, to the passage or far side",
        Quantity::NearestEdge => "intended center to edge, port or passage",
        Quantity::NearestHole => "center to center",
        Quantity::Bore => "across the thread that is left",
        Quantity::MatingHole => "diameter",
        Quantity::Grip => "everything the bolt clamps",
        Quantity::FullThread => "to the last whole thread, from the face as is",
        Quantity::FullDiameter => "to where the drill's cone starts, from the face as is",
        Quantity::NeighborDiameter => "of its thread, or of its insert",
        Quantity::BoltLength => "under the head",
        Quantity::BoltThreadLength => "the same as its length if threaded to the head",
    }
}

/// All quantities, in the order they are measured.
pub const QUANTITIES: [Quantity; 12] = [
    Quantity::Depth,
    Quantity::Floor,
    Quantity::NearestEdge,
    Quantity::NearestHole,
    Quantity::Bore,
    Quantity::MatingHole,
    Quantity::Grip,
    Quantity::FullThread,
    Quantity::FullDiameter,
    Quantity::NeighborDiameter,
    Quantity::BoltLength,
    Quantity::BoltThreadLength,
];

/// A remedy.
pub fn remedy(remedy: Remedy) -> String {
    sentence_case(&remedy.to_string())
}

/// A remedy with its thread and length: `Key-locking insert, 1/2-13 in the casting, .562 in long`.
pub fn remedy_spec(spec: &RemedySpec, unit: Unit) -> String {
    let length = spec
        .length
        .map(|length| format!("{} long", length.show(unit)));
    remedy_label(spec, length)
}

/// The same for a assessed remedy, with an insert's length as it is ordered: `1-1/2 D (.469 set)`.
pub fn assessed_remedy(assessment: &Assessment, unit: Unit) -> String {
    remedy_label(&assessment.spec(), insert_length(assessment, unit))
}

/// Length of a assessed remedy's insert, as it is ordered.
pub fn insert_length(assessment: &Assessment, unit: Unit) -> Option<String> {
    let insert = assessment.insert.as_ref()?;
    let length = insert.show_length(unit);
    Some(if length.contains(" D ") {
        length
    } else {
        format!("{length} long")
    })
}

fn remedy_label(spec: &RemedySpec, length: Option<String>) -> String {
    let mut label = match &spec.family {
        Some(family) => sentence_case(&family.to_string()),
        None => remedy(spec.remedy),
    };
    if let Some(outside) = &spec.outside_thread {
        label.push_str(&format!(", {outside} in the casting"));
    }
    if let Some(length) = length {
        label.push_str(&format!(", {length}"));
    }
    label
}

/// A verdict.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "Fits",
        Verdict::Marginal => "Marginal",
        Verdict::DoesNotFit => "Does not fit",
        Verdict::Unknown => "Unknown",
    }
}

/// A cutting step that was done.
pub fn cut_step(step: CutStep) -> &'static str {
    match step {
        CutStep::ClearBroken => "Broken piece removed",
        CutStep::RelieveHard => "Hard metal relieved",
        CutStep::Center => "Centered with an end mill",
        CutStep::Drill => "Drilled",
        CutStep::Countersink => "Countersunk",
        CutStep::Tap => "Tapped",
        CutStep::Plug => "Plug fitted and locked",
        CutStep::DrillPlug => "Plug drilled",
        CutStep::TapPlug => "Plug tapped",
        CutStep::MakeBushing => "Bushing made",
        CutStep::BroachSlots => "Key slots broached",
    }
}

/// A check.
pub fn check(kind: CheckKind) -> &'static str {
    match kind {
        CheckKind::StakeCheck => "Stake check with a straightedge",
        CheckKind::RunsInByHand => "Bolt or gauge runs in by hand",
        CheckKind::Square => "Bolt square to the face",
    }
}

/// Who recorded something.
pub fn author(name: &str) -> String {
    match name.is_empty() {
        true => "no name".to_owned(),
        false => shown(name),
    }
}

/// Date and time by the author's clock: `25 Nov 2026, 14:02`.
pub fn date_time(at: &DateTime<FixedOffset>) -> String {
    at.format("%-d %b %Y, %H:%M").to_string()
}

/// Shows the day of a time.
pub fn date(at: &DateTime<FixedOffset>) -> String {
    at.format("%-d %b %Y").to_string()
}

/// Shows the time of the day.
pub fn time(at: &DateTime<FixedOffset>) -> String {
    at.format("%H:%M").to_string()
}

/// Capitalizes the first letter.
pub fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// A sentence of what the core wrote without a capital and a period.
pub fn sentence(text: &str) -> String {
    format!("{}.", sentence_case(text.trim_end_matches('.')))
}

/// A count with its noun.
pub fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// A range of spindle speeds, rounded to what a machine can be set to: `300-400`.
pub fn rpm(least: f64, most: f64) -> String {
    let round = |turns: f64| {
        let step = match turns {
            slow if slow < 100.0 => 5.0,
            medium if medium < 1000.0 => 10.0,
            _ => 50.0,
        };
        (turns / step).round().max(1.0) * step
    };
    let (least, most) = (round(least), round(most));
    if least < most {
        format!("{least:.0}-{most:.0}")
    } else {
        format!("{least:.0}")
    }
}

/// How sure a source is, as the core's texts say it in parentheses, at the end of a clause.
const SOURCE_TAGS: [&str; 5] = [
    "judgement",
    "judgment",
    "secondary source",
    "from memory",
    "common practice",
];

/// A text without such clauses in parentheses; those belong under Sources.
pub fn without_source_tags(text: &str) -> String {
    let mut kept = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, inside)) = rest.split_once(" (") {
        match inside.split_once(')') {
            Some((clauses, after)) if is_tagged(clauses) => {
                kept.push_str(before);
                let others: Vec<&str> = clauses
                    .split("; ")
                    .filter(|clause| !is_tagged(clause))
                    .collect();
                if !others.is_empty() {
                    kept.push_str(&format!(" ({})", others.join("; ")));
                }
                rest = after;
            }
            _ => {
                kept.push_str(before);
                kept.push_str(" (");
                rest = inside;
            }
        }
    }
    kept + rest
}

fn is_tagged(clause: &str) -> bool {
    SOURCE_TAGS.iter().any(|tag| clause.contains(tag))
}

/// A number of a step in the reader's unit.
pub fn number_value(number: &Number, unit: Unit) -> String {
    let text = match &number.value {
        Value::Length(length) => length.show(unit),
        Value::Computed { length, rounding } => length.rounded(unit, *rounding),
        Value::Range { least, most } => show_range(*least, *most, unit),
        Value::Drill(drill) => drill.show(unit),
        Value::Degrees { least, most } if least == most => format!("{least}°"),
        Value::Degrees { least, most } => format!("{least}-{most}°"),
        Value::Count(count) => count.to_string(),
        Value::TorqueNm(torque_nm) => show_torque(*torque_nm, unit),
        Value::ForceN(force_n) => show_load(*force_n, unit),
        Value::Rpm { least, most } => rpm(*least, *most),
        Value::Feed(feed) => feed.show(unit),
        Value::Text(text) => return in_unit(text, unit),
    };
    no_break(&text)
}

/// A text that never breaks between a number and its unit.
pub fn no_break(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn source_tags_are_left_out_and_other_parentheses_stay() {
        assert_eq!(
            without_source_tags(
                "Have 2 taps (judgement): iron (gray) is hard (secondary sources)."
            ),
            "Have 2 taps: iron (gray) is hard."
        );
        assert_eq!(without_source_tags("drill (13/32"), "drill (13/32");
        assert_eq!(
            without_source_tags("a file cuts (class 30; machining table, secondary source)"),
            "a file cuts (class 30)"
        );
    }
}
