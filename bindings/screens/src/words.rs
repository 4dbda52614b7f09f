//! The words for what the core knows, as they stand on the screens.

use chrono::{DateTime, FixedOffset};
use holebook_core::cutting::{Feed, Per};
use holebook_core::hole::record::{CheckKind, CutStep, Quantity, Remedy, Work};
use holebook_core::hole::remedies::Verdict;
use holebook_core::hole::state::State;
use holebook_core::length::Unit;
use holebook_core::strength::POUND_FOOT_NM_TORQUE;

/// What is measured.
pub fn quantity(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Depth => "Depth to the bottom",
        Quantity::Floor => "Metal under the bottom",
        Quantity::NearestEdge => "Centre to the nearest edge",
        Quantity::NearestHole => "Centre to the nearest hole",
        Quantity::Bore => "Bore across what is left",
        Quantity::MatingHole => "Hole in the part bolted on",
        Quantity::Grip => "Thickness bolted on",
    }
}

/// How it is measured, in a few words.
pub fn quantity_hint(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Depth => "from the face of today",
        Quantity::Floor => "down to the passage or the far side",
        Quantity::NearestEdge => "edge, port or passage, from the intended centre",
        Quantity::NearestHole => "centre to centre",
        Quantity::Bore => "the smallest way across",
        Quantity::MatingHole => "its diameter, where the bolt passes",
        Quantity::Grip => "part, gasket and washer under the bolt's head",
    }
}

/// Every quantity, in the order a person measures.
pub const QUANTITIES: [Quantity; 7] = [
    Quantity::Depth,
    Quantity::Floor,
    Quantity::NearestEdge,
    Quantity::NearestHole,
    Quantity::Bore,
    Quantity::MatingHole,
    Quantity::Grip,
];

/// The name of a form field for a quantity.
pub fn quantity_key(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Depth => "depth",
        Quantity::Floor => "floor",
        Quantity::NearestEdge => "nearest-edge",
        Quantity::NearestHole => "nearest-hole",
        Quantity::Bore => "bore",
        Quantity::MatingHole => "mating-hole",
        Quantity::Grip => "grip",
    }
}

/// A remedy.
pub fn remedy(remedy: Remedy) -> &'static str {
    match remedy {
        Remedy::Leave => "Leave as it is",
        Remedy::Chase => "Chase the thread",
        Remedy::WireInsert => "Wire thread insert",
        Remedy::KeyLockingInsert => "Key-locking insert",
        Remedy::Bushing => "Threaded bushing",
        Remedy::SteppedStud => "Stepped stud",
        Remedy::LargerBolt => "Next larger bolt",
        Remedy::ThreadedPlug => "Threaded plug",
        Remedy::Specialist => "Hand to a specialist",
    }
}

/// A remedy with the insert or thread it takes.
pub fn work(work: &Work, unit: Unit) -> String {
    let mut words = match &work.family {
        Some(family) => sentence_case(&family.to_string()),
        None => remedy(work.remedy).to_owned(),
    };
    if let Some(outside) = &work.outside_thread {
        words.push_str(&format!(", {outside} in the casting"));
    }
    if let Some(length) = work.length {
        words.push_str(&format!(", {} long", length.show(unit)));
    }
    words
}

/// A verdict.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "Fits",
        Verdict::FitsWithCare => "Fits with care",
        Verdict::DoesNotFit => "Does not fit",
        Verdict::NotKnown => "Not known yet",
    }
}

/// A state of a hole.
pub fn state(state: State) -> String {
    state.to_string()
}

/// A step of cutting.
pub fn cut_step(step: CutStep) -> &'static str {
    match step {
        CutStep::ClearBroken => "Broken piece taken out",
        CutStep::RelieveHard => "Hard metal relieved",
        CutStep::Centre => "Centred by end mill",
        CutStep::Drill => "Drilled",
        CutStep::Countersink => "Countersunk",
        CutStep::Tap => "Tapped",
        CutStep::Plug => "Plug fitted and locked",
        CutStep::DrillPlug => "Plug drilled",
        CutStep::TapPlug => "Plug tapped",
    }
}

/// A check.
pub fn check(kind: CheckKind) -> &'static str {
    match kind {
        CheckKind::RuleAcross => "Rule laid across the face",
        CheckKind::RunsIn => "Bolt or gauge runs in by hand",
        CheckKind::Square => "Bolt stands square",
    }
}

/// Who wrote something, where they said who they are.
pub fn writer(name: &str) -> &str {
    if name.is_empty() {
        "nobody named"
    } else {
        name
    }
}

/// Date and time as a person writes them, at the writer's own clock.
pub fn when(at: &DateTime<FixedOffset>) -> String {
    at.format("%-d %b %Y, %H:%M").to_string()
}

/// The first letter large.
pub fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// A count with its word.
pub fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// How many entries lie on this device and nowhere else that is known.
pub fn on_this_device_alone(entries: u64) -> String {
    match entries {
        1 => "One entry is on this device alone".to_owned(),
        several => format!("{several} entries are on this device alone"),
    }
}

/// Turns a minute between two limits, rounded as a dial can be set.
pub fn turns(least: f64, most: f64) -> String {
    let round = |turns: f64| {
        let step = match turns {
            few if few < 100.0 => 5.0,
            some if some < 1000.0 => 10.0,
            _ => 50.0,
        };
        (turns / step).round().max(1.0) * step
    };
    let (least, most) = (round(least), round(most));
    if least < most {
        format!("{least:.0} to {most:.0}")
    } else {
        format!("{least:.0}")
    }
}

/// A feed by the turn or the tooth, in the reader's unit: thousandths of an inch, or hundredths of a millimetre.
pub fn feed(feed: &Feed, unit: Unit) -> String {
    let per = match feed.per {
        Per::Turn => "a turn",
        Per::Tooth => "a tooth",
    };
    match unit {
        Unit::Inch => format!(
            "{:.4} in to {:.4} in {per}",
            feed.least.inches(),
            feed.most.inches()
        ),
        Unit::Millimetre => format!(
            "{:.2} mm to {:.2} mm {per}",
            feed.least.mm(),
            feed.most.mm()
        ),
    }
}

/// A torque, in the unit that goes with the reader's lengths.
pub fn torque(newton_metres: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{:.0} lb·ft", newton_metres / POUND_FOOT_NM_TORQUE),
        Unit::Millimetre => format!("{newton_metres:.0} N·m"),
    }
}

/// The short name of the unit of torque that goes with the reader's lengths.
pub fn torque_unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "lb·ft",
        Unit::Millimetre => "N·m",
    }
}
