//! One line of text for a journal entry.

use crate::labels::{check, cut_step, quantity, remedy_spec};
use holebook_core::display_name::shown;
use holebook_core::hole::face_setup::MeasuringTools;
use holebook_core::hole::limits::Limits;
use holebook_core::hole::record::{
    CheckKind, CheckResult, Choice, Cut, CutStep, FinalCheck, FitCheck, Install, Reading,
    StakeKeys, TrialFit,
};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{EntryBody, HoleEntry, JournalLine};
use holebook_core::strength::show_torque;
use maud::{Markup, html};

/// Returns what an entry says: the label of its kind with the details. An entry that this version
/// does not understand is named by its kind.
pub fn entry_text(line: &JournalLine, unit: Unit) -> Markup {
    match line.entry_body() {
        Some(body) => body_text(&body, unit),
        None => html! { "Not understood by this version, kept as received: " code { (line.kind) } },
    }
}

fn body_text(body: &EntryBody, unit: Unit) -> Markup {
    let label = body.kind().label();
    match body {
        EntryBody::Device(device) => labeled(label, &shown(&device.name)),
        EntryBody::Casting(casting) => labeled(label, &casting.name),
        EntryBody::Face(face) => labeled(label, &face.name),
        EntryBody::FaceCut(cut) => labeled(label, &cut.planned.show(unit)),
        EntryBody::FaceMilled(milled) => labeled(label, &milled.removed.show(unit)),
        EntryBody::Hole(hole) => labeled(label, &hole.number.to_string()),
        EntryBody::Inserts(file) => labeled(label, &file.name),
        EntryBody::Limits(limits) => labeled(label, &limits_text(limits, unit)),
        EntryBody::Condition(look) => labeled(label, look.condition.label()),
        EntryBody::WantedThread(wanted) => labeled(label, &wanted.thread.designation()),
        EntryBody::UsualThread(usual) => labeled(label, &usual.wanted.thread.designation()),
        EntryBody::UsualReading(usual) => {
            html! { (label) ": " (reading_text(&usual.reading, unit)) }
        }
        EntryBody::MeasuringTools(in_use) => labeled(label, &tools_text(in_use, unit)),
        EntryBody::Remedy(choice) => remedy_text(label, choice, unit),
        EntryBody::Reading(reading) => reading_text(reading, unit),
        EntryBody::Cut(cut) => cut_text(cut, unit),
        EntryBody::TrialFit(fit) => trial_fit_text(label, fit, unit),
        EntryBody::Install(install) => install_text(label, install, unit),
        EntryBody::StakeKeys(keys) => stake_keys_text(label, keys),
        EntryBody::Check(result) => check_text(result, unit),
        EntryBody::FinalCheck(check) => final_check_text(label, check, unit),
        EntryBody::Note(note) => html! { "“" (note.text) "”" },
        EntryBody::Photo(_)
        | EntryBody::Mark(_)
        | EntryBody::Damage(_)
        | EntryBody::StrikeOut(_) => html! { (label) },
    }
}

/// What one tap records of a step done as planned.
pub fn planned_text(entry: &HoleEntry, unit: Unit) -> Markup {
    let body = match entry {
        HoleEntry::Cut(cut) => EntryBody::Cut(cut.clone()),
        HoleEntry::TrialFit(fit) => EntryBody::TrialFit(fit.clone()),
        HoleEntry::Install(install) => EntryBody::Install(install.clone()),
        HoleEntry::StakeKeys(keys) => EntryBody::StakeKeys(keys.clone()),
        HoleEntry::Check(check) => EntryBody::Check(check.clone()),
        HoleEntry::FinalCheck(check) => EntryBody::FinalCheck(check.clone()),
        other => return html! { (other.kind().label()) },
    };
    html! {
        (body_text(&body, unit))
        @if not_measured(entry) { ", within limits, not measured" }
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

fn labeled(label: &str, value: &str) -> Markup {
    html! { (label) ": " b { (value) } }
}

fn reason_text(reason: Option<&str>) -> Markup {
    html! { @if let Some(reason) = reason { ". Reason: " (reason) } }
}

fn below_face(depth: Option<Length>, unit: Unit) -> Markup {
    html! { @if let Some(depth) = depth { ", " (depth.show(unit)) " below the face as it was" } }
}

fn reading_text(reading: &Reading, unit: Unit) -> Markup {
    let value = match reading.tolerance {
        Some(tolerance) => reading.value.show_tolerance(tolerance, unit),
        None => reading.value.show(unit),
    };
    html! {
        (labeled(quantity(reading.quantity), &value))
        @if let Some(instrument) = &reading.instrument { ", " (instrument) }
    }
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

fn remedy_text(label: &str, choice: &Choice, unit: Unit) -> Markup {
    html! {
        (labeled(label, &remedy_spec(&choice.spec, unit)))
        (reason_text(choice.reason.as_deref()))
    }
}

fn cut_text(cut: &Cut, unit: Unit) -> Markup {
    html! {
        b { (cut_step(cut.step)) }
        @if let Some(tool) = &cut.tool { ", " (tool) }
        @if let Some(depth) = cut.depth { ", to " (depth.show(unit)) " deep" }
        @if let Some(diameter) = cut.diameter { ", to " (diameter.show(unit)) " dia." }
        (reason_text(cut.reason.as_deref()))
    }
}

fn trial_fit_text(label: &str, fit: &TrialFit, unit: Unit) -> Markup {
    let gauged = fit.spec.remedy.fit_check() == Some(FitCheck::Gauge);
    let label = if gauged { "Gauge check" } else { label };
    html! {
        (labeled(label, if fit.fits { "fits" } else { "does not fit" }))
        (below_face(fit.below_face, unit))
        @if let Some(note) = &fit.note { ". " (note) }
    }
}

fn install_text(label: &str, install: &Install, unit: Unit) -> Markup {
    html! {
        b { (label) }
        @if install.after_face_cut { " after the face cut" } @else { " before the face cut" }
        (below_face(install.below_face, unit))
        (reason_text(install.reason.as_deref()))
    }
}

fn stake_keys_text(label: &str, keys: &StakeKeys) -> Markup {
    html! {
        (labeled(label, &keys.driven.to_string()))
        (reason_text(keys.reason.as_deref()))
    }
}

fn check_text(result: &CheckResult, unit: Unit) -> Markup {
    html! {
        (labeled(check(result.check), pass_or_fail(result.passes)))
        @if let Some(reading) = result.reading { ", " (reading.show(unit)) }
        @if let Some(instrument) = &result.instrument { ", " (instrument) }
        @if result.locking { ", locking insert run in with a wrench" }
    }
}

fn final_check_text(label: &str, check: &FinalCheck, unit: Unit) -> Markup {
    html! {
        (labeled(label, pass_or_fail(check.passes))) ", " (check.how)
        @if let Some(engaged) = check.engaged { ", " (engaged.show(unit)) " engaged" }
        @if let Some(torque) = check.torque_nm { ", " (show_torque(torque, unit)) }
    }
}

fn pass_or_fail(passes: bool) -> &'static str {
    if passes { "pass" } else { "fail" }
}
