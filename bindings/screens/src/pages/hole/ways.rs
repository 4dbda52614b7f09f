//! The remedies side by side, each with its reasons, and choosing one.

use super::Leaf;
use crate::carrier::Request;
use crate::form::{Refusal, over};
use crate::lengths::{drill, force, measure, now_and_after};
use crate::words::{count, remedy, sentence_case, verdict, work};
use holebook_core::hole::record::Choice;
use holebook_core::hole::remedies::{Assessment, Check, Verdict, Weight, remedies};
use holebook_core::hole::situation::situation_of;
use holebook_core::length::Unit;
use holebook_core::notebook::{HoleId, Notebook, Saying};
use maud::{Markup, html};

/// The chosen remedy, and every way to choose from.
pub fn choose(leaf: &Leaf<'_>) -> Markup {
    let choice = leaf.hole.record.choice.settled();
    let open = leaf.is_next("choose") || leaf.desk.was_refused("choose");
    html! {
        h3 { "Remedy" }
        @match choice {
            Some(choice) => {
                p.big { (work(&choice.work, leaf.desk.unit)) }
                @if let Some(reason) = &choice.reason { p { "Because " (reason) } }
            }
            None => p.faint { "None is chosen yet." },
        }
        @match &leaf.plan.situation {
            Err(sentence) => p { (sentence_case(&sentence.to_string())) },
            Ok(_) => details id=[(leaf.is_next("choose")).then_some("next")] open[open] {
                summary { @if choice.is_some() { "Look at every way" } @else { "The ways, the least that fits first" } }
                (side_by_side(leaf))
            }
        }
    }
}

fn side_by_side(leaf: &Leaf<'_>) -> Markup {
    let (fitting, not): (Vec<_>, Vec<_>) = leaf
        .plan
        .ways
        .iter()
        .enumerate()
        .partition(|(_, way)| way.verdict != Verdict::DoesNotFit);
    html! {
        div.ways { @for (place, way) in fitting { (card(place, way, leaf)) } }
        @if !not.is_empty() {
            details {
                summary { (count(not.len(), "way that does not fit", "ways that do not fit")) }
                div.ways { @for (place, way) in not { (card(place, way, leaf)) } }
            }
        }
        p.faint { "Strength ratio: the load that strips the casting over the load that breaks the bolt. It counts the flank height that the damage leaves, "
            "a judgement on the safe side: a thread's shear strength falls later than its flank height." }
    }
}

fn card(place: usize, way: &Assessment, leaf: &Leaf<'_>) -> Markup {
    let unit = leaf.desk.unit;
    let choice = leaf.hole.record.choice.settled();
    let chosen = choice.is_some_and(|choice| choice.work == way.work());
    html! {
        article.way.chosen[chosen].first[place == 0] {
            h3 { (title(way, unit)) }
            p.verdict { (verdict_mark(way.verdict)) " " (verdict(way.verdict)) @if chosen { ", chosen" } }
            (facts(way, unit))
            (reasons(way, unit))
            (in_full(way, unit))
            @if !way.cautions.is_empty() { (cautions(way)) }
            @if !chosen { (choose_form(place, way, leaf)) }
        }
    }
}

/// A way by its name and, for an insert, its length.
fn title(way: &Assessment, unit: Unit) -> String {
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
fn verdict_mark(verdict: Verdict) -> &'static str {
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

fn choose_form(place: usize, way: &Assessment, leaf: &Leaf<'_>) -> Markup {
    let needed = matches!(way.verdict, Verdict::DoesNotFit | Verdict::NotKnown);
    let id = format!("why-{place}");
    html! {
        form method="post" action=(leaf.path("choose")) {
            (leaf.over(&leaf.hole.record.choice.0))
            input type="hidden" name="way" value=(way_key(way));
            div.field {
                label for=(id) { "Why this one" @if !needed { " (if you like)" } }
                input id=(id) name="reason" autocomplete="off" value=[typed_reason(way, leaf)];
            }
            p { button.main[place == 0] { "Choose" span.hidden { ": " (title(way, leaf.desk.unit)) } } }
        }
    }
}

/// The reason that was typed, where it was this way's form that was refused.
fn typed_reason<'a>(way: &Assessment, leaf: &Leaf<'a>) -> Option<&'a str> {
    let refused = leaf
        .desk
        .refused
        .filter(|refused| refused.form == "choose")?;
    let same = refused.request.field("way") == Some(way_key(way).as_str());
    refused.request.field("reason").filter(|_| same)
}

/// A way's name in its form: its work as the journal writes it.
fn way_key(way: &Assessment) -> String {
    serde_json::to_string(&way.work()).unwrap_or_default()
}

/// Records the chosen remedy. One that the checks do not pass is taken with a reason.
pub fn record_choice(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), Refusal> {
    let view = notebook.hole(hole)?;
    let situation = situation_of(&view.record, &view.face_record)
        .map_err(|error| Refusal::new(error.to_string()))?;
    let ways = remedies(&situation, &*notebook.catalogue()?);
    let asked = request.field("way");
    let way = ways.iter().find(|way| asked == Some(way_key(way).as_str()));
    let way = way.ok_or_else(|| {
        Refusal::new("That way is not among the remedies any more; look at them anew.".to_owned())
    })?;
    let reason = request.field("reason").map(str::to_owned);
    if reason.is_none() && matches!(way.verdict, Verdict::DoesNotFit | Verdict::NotKnown) {
        return Err(Refusal::new(
            "The checks do not pass this remedy; to choose it all the same, write why.".to_owned(),
        ));
    }
    let choice = Choice {
        work: way.work(),
        reason,
    };
    notebook.say(hole, Saying::Choice(choice), &over(request)?)?;
    Ok(())
}
