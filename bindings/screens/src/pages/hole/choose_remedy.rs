//! The chosen remedy, and all remedies with their reasons to choose from.

use super::{HolePage, on_hand, remedy_card, remedy_table};
use crate::carrier::Request;
use crate::form::{FormError, hidden, replaces};
use crate::form_names::{Field, FormName};
use crate::labels::{count, quantity, sentence};
use crate::newest::SHOWN;
use holebook_core::hole::caution::Caution;
use holebook_core::hole::record::{Choice, HoleRecord, Remedy};
use holebook_core::hole::remedies::{Assessment, Verdict, assessments};
use holebook_core::hole::situation::situation_of;
use holebook_core::length::in_unit;
use holebook_core::notebook::{HoleEntry, HoleId, Notebook};
use maud::{Markup, html};

/// How many remedies are offered at once; the rest is folded.
const OFFERED: usize = 3;

/// The chosen remedy, and all others folded; nothing while the remedy is the next thing to do.
pub fn section(page: &HolePage<'_>) -> Markup {
    let choice = page.hole.record.choice.agreed();
    let open = page.context.was_rejected(FormName::Remedy);
    html! {
        @if !page.is_next(FormName::Remedy) && (choice.is_some() || !page.plan.assessments.is_empty()) {
            section.panel aria-labelledby="remedy" {
                h2 #remedy { "Remedy" }
                @match choice {
                    Some(choice) => (chosen(choice, page)),
                    None => p.faint { "Not chosen yet." },
                }
                @if !page.plan.assessments.is_empty() {
                    details open[open || page.shortages.is_limited()] {
                        summary { "Show all remedies" }
                        (on_hand::switch(page))
                        (comparison(page, &[]))
                    }
                }
            }
        }
    }
}

fn chosen(choice: &Choice, page: &HolePage<'_>) -> Markup {
    html! {
        p.big { (page.remedy_label(&choice.spec)) }
        @if let Some(reason) = &choice.reason { p { "Reason: " (reason) } }
    }
}

/// At most three remedies to choose from, least invasive first; the rest folded.
pub fn choosing(page: &HolePage<'_>) -> Markup {
    let choice = page.hole.record.choice.agreed();
    let offered = offered(page);
    let open = page.context.was_rejected(FormName::Remedy);
    html! {
        @if let Some(choice) = choice { (chosen(choice, page)) }
        @if let Err(missing) = &page.plan.situation { p { (sentence(&in_unit(&missing.to_string(), page.context.unit))) } }
        (leave(page))
        @if !is_left(page) { (on_hand::switch(page)) }
        (not_measured_above(&offered, page))
        div.remedy-cards { @for &index in &offered { (card(index, &page.plan.assessments[index], page)) } }
        @if !page.plan.assessments.is_empty() {
            details open[open] {
                summary { "All remedies, least invasive first" }
                (comparison(page, &offered))
            }
        }
    }
}

/// The places of the remedies to offer: the first of each kind, so that one insert in three lengths
/// does not take the place of three remedies; none for a sound hole.
fn offered(page: &HolePage<'_>) -> Vec<usize> {
    if is_left(page) {
        return Vec::new();
    }
    let mut kinds = Vec::new();
    let fitting = page.plan.assessments.iter().enumerate();
    let fitting = fitting
        .filter(|(index, one)| one.verdict != Verdict::DoesNotFit && page.shortages.shows(*index));
    let first_of_kind = fitting.filter(|(_, one)| {
        let kind = (one.remedy, one.family());
        let is_new = !kinds.contains(&kind);
        kinds.push(kind);
        is_new
    });
    first_of_kind
        .map(|(index, _)| index)
        .take(OFFERED)
        .collect()
}

/// Whether the next thing is to leave the hole as it is: nobody found anything wrong with it.
pub fn is_left(page: &HolePage<'_>) -> bool {
    let record = &page.hole.record;
    record.choice.0.is_empty() && record.is_sound() && leave_of(page).is_some()
}

fn leave_of<'a>(page: &'a HolePage<'_>) -> Option<&'a Assessment> {
    let mut all = page.plan.assessments.iter();
    all.find(|one| one.remedy == Remedy::Leave)
}

/// The one button of a sound hole: it is left as is and judged by its check.
fn leave(page: &HolePage<'_>) -> Markup {
    let leave = leave_of(page).filter(|_| is_left(page));
    html! {
        @if let Some(leave) = leave {
            p.why { "Nothing is cut. Its final check decides whether it passes; what was not measured stays unknown." }
            form method="post" action=(page.address(FormName::Remedy)) {
                (page.replaces(&page.hole.record.choice.0))
                (hidden(Field::Remedy, value(leave)))
                p { button.main { "Leave as is" } }
            }
        }
    }
}

/// The remedies without the first few, and what they have in common.
fn comparison(page: &HolePage<'_>, shown: &[usize]) -> Markup {
    let (fitting, not): (Vec<_>, Vec<_>) = page
        .plan
        .assessments
        .iter()
        .enumerate()
        .filter(|(index, _)| page.shortages.shows(*index))
        .partition(|(_, assessment)| assessment.verdict != Verdict::DoesNotFit);
    let shared = shared_cautions(page);
    html! {
        (remedy_table::table(&fitting, page.context.unit))
        (remedy_card::shared(&shared, page.context.unit))
        div.remedy-cards { @for (index, assessment) in fitting.into_iter().filter(|(index, _)| !shown.contains(index)) { (card(index, assessment, page)) } }
        @if !not.is_empty() {
            details {
                summary { (count(not.len(), "remedy that does not fit", "remedies that do not fit")) }
                div.remedy-cards { @for (index, assessment) in not { (card(index, assessment, page)) } }
            }
        }
        (remedy_card::about_strength())
    }
}

/// Cautions at the steps, which are on the page already.
fn at_steps(page: &HolePage<'_>) -> Vec<Caution> {
    let steps = page.plan.steps.iter();
    steps.flat_map(|step| step.cautions.clone()).collect()
}

/// Cautions that several remedies share, without those at the steps.
fn shared_cautions(page: &HolePage<'_>) -> Vec<Caution> {
    let at_steps = at_steps(page);
    let mut shared = remedy_card::shared_cautions(&page.plan.assessments);
    shared.retain(|caution| !at_steps.contains(caution));
    shared
}

fn card(index: usize, assessment: &Assessment, page: &HolePage<'_>) -> Markup {
    let unit = page.context.unit;
    let choice = page.hole.record.choice.agreed();
    let chosen = choice.is_some_and(|choice| choice.spec == assessment.spec());
    let elsewhere = [shared_cautions(page), at_steps(page)].concat();
    html! {
        article.remedy-card.chosen[chosen].first[index == 0] id=(remedy_table::card_id(index)) {
            h3 { (remedy_card::title(assessment, unit)) }
            (remedy_card::brief(assessment, chosen, unit))
            (page.shortages.line(index, unit))
            @if page.hole.record.choice.0.len() > SHOWN { p.faint { "Resolve the conflict above first." } }
            @else if !chosen { (choose_form(index, assessment, page)) }
            details {
                summary { "Numbers, cautions" }
                (not_measured(assessment, page))
                (remedy_card::in_full(assessment, &elsewhere, unit))
            }
        }
    }
}

/// Whether a remedy leaves a hole as is that is sound as far as anyone said: its check decides, so no
/// reason is asked for.
fn is_left_sound(assessment: &Assessment, record: &HoleRecord) -> bool {
    assessment.remedy == Remedy::Leave
        && assessment.verdict == Verdict::Unknown
        && record.is_sound()
}

/// The usual values that required checks of a remedy rest on: nobody measured them at this hole.
fn not_measured(assessment: &Assessment, page: &HolePage<'_>) -> Markup {
    if assessment.verdict == Verdict::DoesNotFit {
        return html! {};
    }
    let bases = page.plan.unmeasured_bases(assessment, page.catalog);
    html! {
        @if !bases.is_empty() {
            p { b { "Not measured at this hole, and what it decides" } }
            ul { @for basis in &bases {
                li { b { (quantity(basis.quantity)) } ": " (basis.checks.join(", ")) }
            } }
        }
    }
}

/// The same for the remedies that are offered, once above them.
fn not_measured_above(offered: &[usize], page: &HolePage<'_>) -> Markup {
    let offered = offered.iter().map(|index| &page.plan.assessments[*index]);
    let bases = offered.flat_map(|one| page.plan.unmeasured_bases(one, page.catalog));
    let mut names: Vec<&str> = bases.map(|basis| quantity(basis.quantity)).collect();
    names.sort_unstable();
    names.dedup();
    let names = names.join(", ").to_lowercase();
    html! {
        @if !names.is_empty() {
            p.caution { b { "Not measured at this hole: " } (names) ". The face's usual value decides here: measure before you cut." }
        }
    }
}

/// Whether choosing a remedy of this verdict needs a reason.
fn needs_reason(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::DoesNotFit | Verdict::Unknown)
}

fn choose_form(index: usize, assessment: &Assessment, page: &HolePage<'_>) -> Markup {
    let id = format!("reason-{index}");
    let needed = needs_reason(assessment.verdict) && !is_left_sound(assessment, &page.hole.record);
    let typed = typed_reason(assessment, page);
    let title = remedy_card::title(assessment, page.context.unit);
    let reason = html! {
        div.field {
            label for=(id) { "Reason" @if !needed { " (optional)" } }
            input id=(id) name=(Field::Reason.name()) autocomplete="off" value=[typed];
        }
    };
    html! {
        form method="post" action=(page.address(FormName::Remedy)) {
            (page.replaces(&page.hole.record.choice.0))
            (hidden(Field::Remedy, value(assessment)))
            @if needed || typed.is_some() { (reason) }
            p { button.main[index == 0] { "Choose" span.visually-hidden { ": " (title) } } }
            @if !needed && typed.is_none() { details { summary { "Give a reason" } (reason) } }
        }
    }
}

/// The reason that was typed, if this remedy's form was the rejected one.
fn typed_reason<'a>(assessment: &Assessment, page: &HolePage<'a>) -> Option<&'a str> {
    let rejected = page
        .context
        .rejected
        .filter(|rejected| rejected.form == Some(FormName::Remedy))?;
    let same = rejected.request.field(Field::Remedy) == Some(value(assessment).as_str());
    rejected.request.field(Field::Reason).filter(|_| same)
}

/// A remedy's value in its form: the same JSON as in the journal.
fn value(assessment: &Assessment) -> String {
    serde_json::to_string(&assessment.spec()).unwrap_or_default()
}

/// Records the chosen remedy; one whose checks do not pass needs a reason.
pub fn record_choice(
    notebook: &Notebook,
    hole: HoleId,
    request: &Request,
) -> Result<(), FormError> {
    let view = notebook.hole(hole)?;
    let situation = situation_of(&view.record, &view.face_record)
        .map_err(|error| FormError::new(error.to_string()))?;
    let all = assessments(&situation, &*notebook.catalog()?);
    let asked = request.field(Field::Remedy);
    let assessment = all
        .iter()
        .find(|assessment| asked == Some(value(assessment).as_str()));
    let assessment = assessment.ok_or_else(|| {
        FormError::new("That remedy is no longer in the list; look at the remedies again.")
    })?;
    let reason = request.field(Field::Reason).map(str::to_owned);
    let left = is_left_sound(assessment, &view.record);
    if reason.is_none() && needs_reason(assessment.verdict) && !left {
        return Err(FormError::new(
            "The checks do not pass this remedy. To choose it anyway, enter a reason.",
        ));
    }
    let choice = Choice {
        spec: assessment.spec(),
        reason,
        // The notebook adds it.
        basis: None,
    };
    notebook.record(hole, HoleEntry::Remedy(choice), &replaces(request)?)?;
    Ok(())
}
