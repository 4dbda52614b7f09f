//! One line of text for a journal entry.

use super::{Text, check, count, cut_step, date_time, quantity, remedy_spec};
use crate::display_name::shown;
use crate::drawer::ItemCount;
use crate::hole::bolt_up::BoltTightened;
use crate::hole::face_setup::MeasuringTools;
use crate::hole::limits::Limits;
use crate::hole::record::{
    CheckKind, CheckResult, Choice, Cut, CutStep, FinalCheck, FitCheck, Install, Reading,
    StakeKeys, TrialFit,
};
use crate::hole::tries::Try;
use crate::length::{Length, Unit, in_unit};
use crate::notebook::{EntryBody, HoleEntry, JournalLine, ReminderBody};
use crate::strength::{Lubrication, show_torque};

/// Returns what an entry says: the label of its kind with the details. An entry that this version
/// does not understand is named by its kind.
pub fn entry_text(line: &JournalLine, unit: Unit) -> Text {
    match line.entry_body() {
        Some(body) => body_text(&body, unit),
        None => Text::plain("Not understood by this version, kept as received: ")
            .and_strong(line.kind.as_str()),
    }
}

fn body_text(body: &EntryBody, unit: Unit) -> Text {
    let label = body.kind().label();
    match body {
        EntryBody::Device(device) => labeled(label, shown(&device.name)),
        EntryBody::Casting(casting) => labeled(label, &casting.name),
        EntryBody::Face(face) => labeled(label, &face.name),
        EntryBody::FaceCut(cut) => labeled(label, cut.planned.show(unit)),
        EntryBody::FaceMilled(milled) => labeled(label, milled.removed.show(unit)),
        EntryBody::Hole(hole) => labeled(label, hole.number.to_string()),
        EntryBody::Inserts(file) => labeled(label, &file.name),
        EntryBody::DrawerItem(count) => drawer_text(label, count, unit),
        EntryBody::Limits(limits) => labeled(label, limits_text(limits, unit)),
        EntryBody::Condition(look) => labeled(label, look.condition.label()),
        EntryBody::WantedThread(wanted) => labeled(label, wanted.thread.designation()),
        EntryBody::UsualThread(usual) => labeled(label, usual.wanted.thread.designation()),
        EntryBody::UsualReading(usual) => {
            Text::plain(format!("{label}: ")).and_text(reading_text(&usual.reading, unit))
        }
        EntryBody::MeasuringTools(in_use) => labeled(label, tools_text(in_use, unit)),
        EntryBody::Remedy(choice) => remedy_text(label, choice, unit),
        EntryBody::Reading(reading) => reading_text(reading, unit),
        EntryBody::Cut(cut) => cut_text(cut, unit),
        EntryBody::TrialFit(fit) => trial_fit_text(label, fit, unit),
        EntryBody::Install(install) => install_text(label, install, unit),
        EntryBody::StakeKeys(keys) => stake_keys_text(label, keys),
        EntryBody::Check(result) => check_text(result, unit),
        EntryBody::FinalCheck(check) => final_check_text(label, check, unit),
        EntryBody::WantedPattern(pattern) => {
            let holes = count(pattern.holes.len(), "hole", "holes");
            labeled(label, format!("{holes}, {}", pattern.source))
        }
        EntryBody::GoodHoles(good) => labeled(label, numbers(&good.holes)),
        EntryBody::FaceHeights(heights) => {
            labeled(label, count(heights.points.len(), "reading", "readings"))
        }
        EntryBody::KnownPlace(known) => {
            let (x, y) = (known.x.show(unit), known.y.show(unit));
            labeled(label, format!("{x} right, {y} up"))
        }
        EntryBody::MillSetup(mill) => labeled(label, mill.name.as_deref().unwrap_or("no name")),
        EntryBody::Note(note) => Text::plain(format!("“{}”", note.text)),
        EntryBody::Try(tried) => try_text(label, tried),
        EntryBody::ToolTrouble(it) => {
            labeled(label, &it.tool).and(format!(", {}", it.trouble.label()))
        }
        EntryBody::TimeSpent(time) => labeled(label, show_minutes(time.minutes.into())),
        EntryBody::BoltTightened(bolt) => tightened_text(label, bolt, unit),
        EntryBody::ToolRenewed(renewed) => labeled(label, in_unit(&renewed.tool, unit)),
        EntryBody::Reminder(reminder) => reminder_text(label, reminder),
        EntryBody::Photo(_)
        | EntryBody::Mark(_)
        | EntryBody::Damage(_)
        | EntryBody::StrikeOut(_) => Text::plain(label),
    }
}

fn numbers(holes: &[u32]) -> String {
    let numbers: Vec<String> = holes.iter().map(u32::to_string).collect();
    numbers.join(", ")
}

/// How many of an item there are.
fn drawer_text(label: &str, count: &ItemCount, unit: Unit) -> Text {
    let worn = (count.worn > 0).then(|| count.worn.to_string());
    let checked = count.checked.map(|date| date.to_string());
    labeled(label, count.item.label(unit))
        .and(format!(", {}", count.count))
        .and(detail(", ", worn, " worn"))
        .and(detail(", checked ", checked, ""))
}

fn try_text(label: &str, tried: &Try) -> Text {
    let note = tried.note.as_deref();
    match (tried.way, note) {
        (Some(way), Some(note)) => labeled(label, way.name()).and(format!(". {note}")),
        (Some(way), None) => labeled(label, way.name()),
        (None, note) => labeled(label, note.unwrap_or_default()),
    }
}

fn tightened_text(label: &str, bolt: &BoltTightened, unit: Unit) -> Text {
    let text = labeled(label, bolt.pass.label());
    let text = match bolt.torque_nm {
        Some(torque) => text.and(format!(", {}", show_torque(torque, unit))),
        None => text.and(", torque not measured"),
    };
    let lubrication = bolt.lubrication.map(Lubrication::name);
    text.and(detail(", ", lubrication, ""))
        .and(reason(&bolt.reason))
}

fn reminder_text(label: &str, reminder: &ReminderBody) -> Text {
    let text = labeled(label, &reminder.text);
    let text = match &reminder.due {
        Some(due) => text.and(format!(", {}", date_time(due))),
        None => text,
    };
    match reminder.done {
        true => text.and(", done"),
        false => text,
    }
}

/// Formats minutes: `45 min`, `1 h 20 min`.
pub fn show_minutes(minutes: u64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// Returns what one tap records of a step done as planned.
pub fn planned_text(entry: &HoleEntry, unit: Unit) -> Text {
    let body = match entry {
        HoleEntry::Cut(cut) => EntryBody::Cut(cut.clone()),
        HoleEntry::TrialFit(fit) => EntryBody::TrialFit(fit.clone()),
        HoleEntry::Install(install) => EntryBody::Install(install.clone()),
        HoleEntry::StakeKeys(keys) => EntryBody::StakeKeys(keys.clone()),
        HoleEntry::Check(check) => EntryBody::Check(check.clone()),
        HoleEntry::FinalCheck(check) => EntryBody::FinalCheck(check.clone()),
        other => return Text::plain(other.kind().label()),
    };
    let text = body_text(&body, unit);
    match not_measured(entry) {
        true => text.and(", within limits, not measured"),
        false => text,
    }
}

/// Whether a value that the plan gives as a range is recorded as not measured.
fn not_measured(entry: &HoleEntry) -> bool {
    match entry {
        HoleEntry::Install(install) => install.below_face.is_none(),
        HoleEntry::Cut(cut) => cut.step == CutStep::Countersink && cut.diameter.is_none(),
        HoleEntry::Check(check) => check.check != CheckKind::RunsInByHand,
        _ => false,
    }
}

/// The limits that differ from the standard ones.
fn limits_text(limits: &Limits, unit: Unit) -> String {
    let changed = limits.changed();
    if changed.is_empty() {
        return "the standard ones".to_owned();
    }
    let shown = changed
        .iter()
        .map(|(info, value)| format!("{} {}", info.label, info.show(*value, unit)));
    shown.collect::<Vec<_>>().join("; ")
}

fn labeled(label: &str, value: impl Into<String>) -> Text {
    Text::plain(format!("{label}: ")).and_strong(value)
}

/// A detail, if it is known: `, ` and what precedes it, the value, and what follows.
fn detail(before: &str, value: Option<impl AsRef<str>>, after: &str) -> String {
    value.map_or(String::new(), |value| {
        format!("{before}{}{after}", value.as_ref())
    })
}

fn reason(reason: &Option<String>) -> String {
    detail(". Reason: ", reason.as_deref(), "")
}

fn below_face(depth: Option<Length>, unit: Unit) -> String {
    let depth = depth.map(|depth| depth.show(unit));
    detail(", ", depth, " below the face as it was")
}

fn reading_text(reading: &Reading, unit: Unit) -> Text {
    let value = match reading.tolerance {
        Some(tolerance) => reading.value.show_tolerance(tolerance, unit),
        None if reading.is_at_least() => format!("{} or more", reading.value.show(unit)),
        None => reading.value.show(unit),
    };
    labeled(quantity(reading.quantity), value).and(detail(", ", reading.instrument.as_deref(), ""))
}

/// The tools with their tolerances.
fn tools_text(in_use: &MeasuringTools, unit: Unit) -> String {
    if in_use.tools.is_empty() {
        return "none".to_owned();
    }
    let named = in_use.tools.iter().map(|tool| match tool.tolerance {
        Some(tolerance) => format!("{} ±{}", tool.name, tolerance.show(unit)),
        None => tool.name.clone(),
    });
    named.collect::<Vec<_>>().join(", ")
}

fn remedy_text(label: &str, choice: &Choice, unit: Unit) -> Text {
    labeled(label, remedy_spec(&choice.spec, unit)).and(reason(&choice.reason))
}

fn cut_text(cut: &Cut, unit: Unit) -> Text {
    let depth = cut.depth.map(|depth| depth.show(unit));
    let diameter = cut.diameter.map(|diameter| diameter.show(unit));
    Text::strong(cut_step(cut.step))
        .and(detail(", ", cut.tool.as_deref(), ""))
        .and(detail(", to ", depth, " deep"))
        .and(detail(", to ", diameter, " dia."))
        .and(reason(&cut.reason))
}

fn trial_fit_text(label: &str, fit: &TrialFit, unit: Unit) -> Text {
    let gauged = fit.spec.remedy.fit_check() == Some(FitCheck::Gauge);
    let label = if gauged { "Gauge check" } else { label };
    labeled(label, if fit.fits { "fits" } else { "does not fit" })
        .and(below_face(fit.below_face, unit))
        .and(detail(". ", fit.note.as_deref(), ""))
}

fn install_text(label: &str, install: &Install, unit: Unit) -> Text {
    let when = if install.after_face_cut {
        " after the face cut"
    } else {
        " before the face cut"
    };
    Text::strong(label)
        .and(when)
        .and(below_face(install.below_face, unit))
        .and(reason(&install.reason))
}

fn stake_keys_text(label: &str, keys: &StakeKeys) -> Text {
    labeled(label, keys.driven.to_string()).and(reason(&keys.reason))
}

fn check_text(result: &CheckResult, unit: Unit) -> Text {
    let reading = result.reading.map(|reading| reading.show(unit));
    let text = labeled(check(result.check), pass_or_fail(result.passes))
        .and(detail(", ", reading, ""))
        .and(detail(", ", result.instrument.as_deref(), ""));
    match result.locking {
        true => text.and(", locking insert run in with a wrench"),
        false => text,
    }
}

fn final_check_text(label: &str, check: &FinalCheck, unit: Unit) -> Text {
    let engaged = check.engaged.map(|engaged| engaged.show(unit));
    let torque = check.torque_nm.map(|torque| show_torque(torque, unit));
    labeled(label, pass_or_fail(check.passes))
        .and(format!(", {}", check.how))
        .and(detail(", ", engaged, " engaged"))
        .and(detail(", ", torque, ""))
}

fn pass_or_fail(passes: bool) -> &'static str {
    if passes { "pass" } else { "fail" }
}
