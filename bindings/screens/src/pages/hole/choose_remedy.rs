//! The chosen remedy, and all remedies with their reasons to choose from.

use super::{HolePage, remedy_card, remedy_table};
use crate::carrier::Request;
use crate::form::{FormError, hidden, replaces};
use crate::form_names::{Field, FormName};
use crate::labels::{count, sentence};
use crate::newest::SHOWN;
use holebook_core::hole::caution::Caution;
use holebook_core::hole::record::Choice;
use holebook_core::hole::remedies::{Assessment, Verdict, assessments};
use holebook_core::hole::situation::situation_of;
use holebook_core::length::in_unit;
use holebook_core::notebook::{HoleEntry, HoleId, Notebook};
use maud::{Markup, html};

/// The section.
pub fn section(page: &HolePage<'_>) -> Markup {
    let choice = page.hole.record.choice.agreed();
    let next = page.is_next(FormName::Remedy);
    let open = next || page.context.was_rejected(FormName::Remedy);
    html! {
        h3 { "Remedy" }
        @match choice {
            Some(choice) => {
                p.big { (page.remedy_label(&choice.spec)) }
                @if let Some(reason) = &choice.reason { p { "Reason: " (reason) } }
            }
            None => p.faint { "Not chosen yet." },
        }
        @match &page.plan.situation {
            Err(missing) => p { (sentence(&in_unit(&missing.to_string(), page.context.unit))) },
            Ok(_) => details id=[next.then_some("next")] open[open] {
                summary { @if choice.is_some() { "Show all remedies" } @else { "Remedies, least invasive first" } }
                (comparison(page))
            }
        }
    }
}

fn comparison(page: &HolePage<'_>) -> Markup {
    let (fitting, not): (Vec<_>, Vec<_>) = page
        .plan
        .assessments
        .iter()
        .enumerate()
        .partition(|(_, assessment)| assessment.verdict != Verdict::DoesNotFit);
    let steps = page.plan.steps.iter();
    let at_steps: Vec<Caution> = steps.flat_map(|step| step.cautions.clone()).collect();
    let mut shared = remedy_card::shared_cautions(&page.plan.assessments);
    shared.retain(|caution| !at_steps.contains(caution));
    let elsewhere = [shared.clone(), at_steps].concat();
    html! {
        (remedy_table::table(&page.plan.assessments, page.context.unit))
        (remedy_card::shared(&shared, page.context.unit))
        div.remedy-cards { @for (index, assessment) in fitting { (card(index, assessment, &elsewhere, page)) } }
        @if !not.is_empty() {
            details {
                summary { (count(not.len(), "remedy that does not fit", "remedies that do not fit")) }
                div.remedy-cards { @for (index, assessment) in not { (card(index, assessment, &elsewhere, page)) } }
            }
        }
        (remedy_card::about_strength())
    }
}

fn card(
    index: usize,
    assessment: &Assessment,
    elsewhere: &[Caution],
    page: &HolePage<'_>,
) -> Markup {
    let unit = page.context.unit;
    let choice = page.hole.record.choice.agreed();
    let chosen = choice.is_some_and(|choice| choice.spec == assessment.spec());
    html! {
        article.remedy-card.chosen[chosen].first[index == 0] id=(remedy_table::card_id(index)) {
            h3 { (remedy_card::title(assessment, unit)) }
            (remedy_card::body(assessment, chosen, elsewhere, unit))
            @if page.hole.record.choice.0.len() > SHOWN { p.faint { "Resolve the conflict above first." } }
            @else if !chosen { (choose_form(index, assessment, page)) }
        }
    }
}

/// Whether choosing a remedy of this verdict needs a reason.
fn needs_reason(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::DoesNotFit | Verdict::Unknown)
}

fn choose_form(index: usize, assessment: &Assessment, page: &HolePage<'_>) -> Markup {
    let id = format!("reason-{index}");
    html! {
        form method="post" action=(page.address(FormName::Remedy)) {
            (page.replaces(&page.hole.record.choice.0))
            (hidden(Field::Remedy, value(assessment)))
            div.field {
                label for=(id) { "Reason" @if !needs_reason(assessment.verdict) { " (optional)" } }
                input id=(id) name=(Field::Reason.name()) autocomplete="off" value=[typed_reason(assessment, page)];
            }
            p { button.main[index == 0] { "Choose" span.visually-hidden { ": " (remedy_card::title(assessment, page.context.unit)) } } }
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
    if reason.is_none() && needs_reason(assessment.verdict) {
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
