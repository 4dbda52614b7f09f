//! One way to make a hole hold again: what tells it apart, its reasons, its checks and its cautions.

use crate::lengths::{drill, force, measure, now_and_after};
use crate::words::{count, remedy, sentence_case, verdict};
use holebook_core::hole::remedies::{Assessment, Check, Verdict, Weight};
use holebook_core::length::Unit;
use maud::{Markup, html};

/// All that a card says of a way, under its heading; `chosen` where it is the one taken.
pub fn body(way: &Assessment, chosen: bool, unit: Unit) -> Markup {
    html! {
        p.verdict { (verdict_mark(way.verdict)) " " (verdict(way.verdict)) @if chosen { ", chosen" } }
        (facts(way, unit))
        (reasons(way, unit))
        (in_full(way, unit))
        @if !way.cautions.is_empty() { (cautions(way)) }
    }
}

/// Belongs to every figure of strength on a card.
pub fn safe_side() -> Markup {
    html! {
        p.faint { "Strength ratio: the load that strips the casting over the load that breaks the bolt. It counts the flank height that the damage leaves, "
            "a judgement on the safe side: a thread's shear strength falls later than its flank height." }
    }
}

/// A way by its name and, for an insert, its length.
pub fn title(way: &Assessment, unit: Unit) -> String {
    match &way.insert {
        Some(insert) => format!(
            "{}, {} long",
            sentence_case(insert.family.name()),
            insert.length.show(unit)
        ),
        None => remedy(way.remedy).to_owned(),
    }
}

/// A sign beside the word, so that the eye finds it; the word carries the meaning.
pub fn verdict_mark(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "●",
        Verdict::FitsWithCare => "◐",
        Verdict::NotKnown => "?",
        Verdict::DoesNotFit => "✗",
    }
}

/// What tells the ways apart at a glance.
fn facts(way: &Assessment, unit: Unit) -> Markup {
    html! {
        dl.facts {
            @if let Some(outside) = &way.outside_thread { dt { "In the casting" } dd { (outside) } }
            @if let Some(with) = &way.drill { dt { "Drill" } dd { (drill(with, unit)) } }
            @if let Some(depths) = &way.depths {
                dt { "Drill to" } dd { (now_and_after(depths.drill, depths.drill_after_cut, unit)) }
            }
            @if let Some(ratio) = way.strength_ratio { dt { "Strength ratio" } dd { (format!("{ratio:.2}")) } }
        }
    }
}

/// Why it stands where it does: what speaks for it, and every check that it does not simply pass.
fn reasons(way: &Assessment, unit: Unit) -> Markup {
    html! {
        ul.checks {
            @for because in &way.because { li { (sentence_case(because)) } }
            @for hangs in &way.depends_on { li { (sentence_case(&hangs.words(unit))) } }
            @for check in way.checks.iter().filter(|check| check.passes != Some(true)) { li { (check_words(check, unit)) } }
            @for missing in &way.not_on_hand { li { "Not on hand: " (missing) } }
        }
    }
}

/// All numbers, and every check with where its limit comes from.
fn in_full(way: &Assessment, unit: Unit) -> Markup {
    html! {
        @if !way.checks.is_empty() || way.insert.is_some() {
            details {
                summary { "All numbers, checks, sources" }
                dl.facts {
                    @if let Some(tap) = &way.tap { dt { "Tap" } dd { (tap) } }
                    @if let Some(engaged) = way.effective_engagement { dt { "Thread that holds" } dd { (engaged.show(unit)) } }
                    @if let Some(load) = way.parent_strength_n { dt { "Casting strips at" } dd { (force(load, unit)) } }
                    @if let Some(load) = way.bolt_strength_n { dt { "Bolt breaks at" } dd { (force(load, unit)) } }
                    @if let Some(first) = way.fails.as_ref().and_then(|fails| fails.weakest) { dt { "Fails first" } dd { (first) } }
                    @if let Some(name) = way.bolt.as_ref().and_then(|bolt| bolt.name.as_ref()) { dt { "Bolt" } dd { (name) } }
                }
                @if let Some(insert) = &way.insert { p.source { "Its hole from: " (insert.source) } }
                ul.checks { @for check in &way.checks { (check_line(check, unit)) } }
            }
        }
    }
}

/// A check with both its numbers and where the limit comes from.
fn check_line(check: &Check, unit: Unit) -> Markup {
    html! {
        li { (check_words(check, unit)) span.source { " (" (check.limit_from) ")" } }
    }
}

/// A check with both its numbers.
fn check_words(check: &Check, unit: Unit) -> Markup {
    let sign = match check.passes {
        Some(true) => "✓ passes",
        Some(false) if check.passes_as_read => "◐ fails only at the worst of the readings",
        Some(false) if check.weight == Weight::Preferred => "◐ with care",
        Some(false) => "✗ fails",
        None => "? not known",
    };
    html! {
        b { (sign) } ", " (check.check) ": "
        @if let Some(has) = check.has { "there is " (measure(has, check.unit, unit)) @if check.needs.is_some() { ", " } }
        @if let Some(needs) = check.needs { (check.limit(&measure(needs, check.unit, unit))) }
        @if let Some(lack) = check.lacks { ", say " (lack) }
    }
}

fn cautions(way: &Assessment) -> Markup {
    html! {
        details {
            summary { (count(way.cautions.len(), "caution", "cautions")) }
            @for caution in &way.cautions { p.caution { b { "Care. " } (caution) } }
        }
    }
}
