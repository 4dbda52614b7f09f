//! The remedies side by side, each with its reasons, and choosing one.

use super::{Leaf, compared, way};
use crate::carrier::Request;
use crate::form::{Refusal, over};
use crate::words::{count, sentence_case, work};
use holebook_core::hole::record::Choice;
use holebook_core::hole::remedies::{Assessment, Verdict, remedies};
use holebook_core::hole::situation::situation_of;
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
        (compared::table(&leaf.plan.ways, leaf.desk.unit))
        div.ways { @for (place, way) in fitting { (card(place, way, leaf)) } }
        @if !not.is_empty() {
            details {
                summary { (count(not.len(), "way that does not fit", "ways that do not fit")) }
                div.ways { @for (place, way) in not { (card(place, way, leaf)) } }
            }
        }
        (way::safe_side())
    }
}

fn card(place: usize, way: &Assessment, leaf: &Leaf<'_>) -> Markup {
    let unit = leaf.desk.unit;
    let choice = leaf.hole.record.choice.settled();
    let chosen = choice.is_some_and(|choice| choice.work == way.work());
    html! {
        article.way.chosen[chosen].first[place == 0] id=(compared::place_of(place)) {
            h3 { (way::title(way, unit)) }
            (way::body(way, chosen, unit))
            @if !chosen { (choose_form(place, way, leaf)) }
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
            p { button.main[place == 0] { "Choose" span.hidden { ": " (way::title(way, leaf.desk.unit)) } } }
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
