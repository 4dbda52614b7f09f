//! A line of the journal in words.

use crate::words::{check, cut_step, quantity, work};
use holebook_core::hole::record::{
    Checked, Choice, Cut, DryFit, Keys, Note, Proof, Reading, Set, Wanted,
};
use holebook_core::length::Unit;
use holebook_core::notebook::{InsertsBody, JournalLine};
use maud::{Markup, html};
use serde::de::DeserializeOwned;

/// What the line says. A kind that this version does not know is named and shown as it is.
pub fn words(line: &JournalLine, unit: Unit) -> Markup {
    let said = match line.kind.as_str() {
        "hole" => Some(html! { "Hole written down" }),
        "mark" => Some(html! { "Marked on a photo" }),
        "wanted" => read(line).map(|wanted: Wanted| html! { "Wanted: " b { (wanted.thread.designation()) } }),
        "reading" => read(line).map(|reading| reading_words(&reading, unit)),
        "damage" => Some(html! { "Damage described" }),
        "remedy" => read(line).map(|choice| choice_words(&choice, unit)),
        "cut" => read(line).map(|cut| cut_words(&cut, unit)),
        "dry-fit" => read(line).map(|fit| dry_fit_words(&fit, unit)),
        "set" => read(line).map(|set| set_words(&set, unit)),
        "keys" => read(line).map(|keys: Keys| html! { b { "Keys driven: " (keys.driven) } (because(keys.reason.as_deref())) }),
        "check" => read(line).map(|checked| check_words(&checked, unit)),
        "prove" => read(line).map(|proof| proof_words(&proof, unit)),
        "note" => read(line).map(|note: Note| html! { "“" (note.text) "”" }),
        "inserts" => read(line).map(|file: InsertsBody| html! { "The shop's own inserts, file " b { (file.name) } }),
        "strike" => Some(html! { "An entry struck" }),
        _ => None,
    };
    said.unwrap_or_else(|| html! {
        "A kind of entry that this version does not know, kept as it came: " code { (line.kind) }
    })
}

fn read<T: DeserializeOwned>(line: &JournalLine) -> Option<T> {
    T::deserialize(&line.body).ok()
}

fn because(reason: Option<&str>) -> Markup {
    html! { @if let Some(reason) = reason { " – because " (reason) } }
}

fn reading_words(reading: &Reading, unit: Unit) -> Markup {
    html! {
        (quantity(reading.quantity)) ": " b { (reading.value.show(unit)) }
        @if let Some(error) = reading.error { " ± " (error.show(unit)) }
        @if let Some(instrument) = &reading.instrument { ", " (instrument) }
    }
}

fn choice_words(choice: &Choice, unit: Unit) -> Markup {
    html! { "Remedy chosen: " b { (work(&choice.work, unit)) } (because(choice.reason.as_deref())) }
}

fn cut_words(cut: &Cut, unit: Unit) -> Markup {
    html! {
        b { (cut_step(cut.step)) }
        @if let Some(tool) = &cut.tool { ", " (tool) }
        @if let Some(depth) = cut.depth { ", to " (depth.show(unit)) " deep" }
        (because(cut.reason.as_deref()))
    }
}

fn dry_fit_words(fit: &DryFit, unit: Unit) -> Markup {
    html! {
        b { "Dry fit: " @if fit.fits { "goes in as it should" } @else { "does not fit" } }
        @if let Some(below) = fit.below_face { ", " (below.show(unit)) " below the face" }
        @if let Some(note) = &fit.note { ", " (note) }
    }
}

fn set_words(set: &Set, unit: Unit) -> Markup {
    html! {
        b { "Set" } @if set.after_face_cut { " after the face cut" } @else { " before the face cut" }
        @if let Some(below) = set.below_face { ", " (below.show(unit)) " below the face of then" }
        (because(set.reason.as_deref()))
    }
}

fn check_words(checked: &Checked, unit: Unit) -> Markup {
    html! {
        (check(checked.check)) ": " b { (pass(checked.passes)) }
        @if let Some(reading) = checked.reading { ", " (reading.show(unit)) }
        @if let Some(instrument) = &checked.instrument { ", " (instrument) }
    }
}

fn proof_words(proof: &Proof, unit: Unit) -> Markup {
    html! {
        "Proof by " (proof.how) ": " b { (pass(proof.passes)) }
        @if let Some(engaged) = proof.engaged { ", " (engaged.show(unit)) " engaged" }
        @if let Some(torque) = proof.torque_nm { ", " (crate::words::torque(torque, unit)) }
    }
}

fn pass(passes: bool) -> &'static str {
    if passes { "passes" } else { "fails" }
}
