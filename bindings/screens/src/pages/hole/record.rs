//! Processes the forms of a hole's page and records what they say.

use super::conflicts::fact_of;
use super::steps::{check_reading, label};
use super::{
    SKIP, choose_remedy, damage, log, number, readings, skip_words, skipped, tries, wanted_thread,
};
use crate::carrier::Request;
use crate::form::{FormError, ask, back, length, replaces, required_text, torque};
use crate::form_names::{Field, FormName};
use crate::labels::sentence_case;
use crate::notices::{Notice, with_notice};
use crate::pages::face_cut;
use crate::pages::photo::upload;
use holebook_core::hole::condition::{Condition, FirstLook};
use holebook_core::hole::plan::Plan;
use holebook_core::hole::problem::Problem;
use holebook_core::hole::question::Question;
use holebook_core::hole::record::{
    CheckResult, Cut, CutStep, FactEntries, FinalCheck, FitCheck, Install, Note, Remedy,
    RemedySpec, StakeKeys, TrialFit,
};
use holebook_core::hole::removal::Removal;
use holebook_core::hole::stage::Fact;
use holebook_core::hole::steps::{SOFT_ENOUGH, StepKey, out_of_order};
use holebook_core::insert::Catalog;
use holebook_core::length::{Length, Unit, in_unit};
use holebook_core::notebook::{HoleEntry, HoleId, HoleView, Notebook};
use std::path::Path;

/// Processes a form and returns the address of the next page.
pub fn submit(
    notebook: &Notebook,
    hole: HoleId,
    form: FormName,
    request: &Request,
    unit: Unit,
) -> Result<String, FormError> {
    let notice = match form {
        FormName::Readings => {
            readings::record(notebook, hole, request, unit)?;
            Notice::Readings
        }
        FormName::CorrectReading => {
            readings::correct(notebook, hole, request, unit)?;
            Notice::Corrected
        }
        FormName::UseReading => {
            readings::use_one(notebook, hole, request)?;
            Notice::Resolved
        }
        FormName::Damage => {
            damage::record(notebook, hole, request, unit)?;
            Notice::Damage
        }
        FormName::Condition => {
            condition(notebook, hole, request)?;
            Notice::Condition
        }
        FormName::PlanCutHere => {
            let face = notebook.hole(hole)?.face;
            face_cut::plan(notebook, face, request, unit)?;
            Notice::CutPlanned
        }
        FormName::WantedThread => {
            wanted_thread::record_wanted(notebook, hole, request)?;
            Notice::WantedThread
        }
        FormName::Remedy => {
            choose_remedy::record_choice(notebook, hole, request)?;
            Notice::Remedy
        }
        FormName::Resolve => {
            resolve(notebook, hole, request)?;
            Notice::Resolved
        }
        FormName::Number => {
            number::record(notebook, hole, request)?;
            Notice::Number
        }
        FormName::Note => {
            note(notebook, hole, request)?;
            Notice::Note
        }
        FormName::HolePhoto => {
            let add = |path: &Path, name: &str| notebook.add_photo_of_hole(hole, path, Some(name));
            upload::add(request, add)?.1
        }
        FormName::Try | FormName::ToolTrouble | FormName::TimeSpent => {
            tries::record(notebook, hole, form, request)?
        }
        FormName::StrikeOut => return log::strike_out(notebook, hole, request),
        FormName::AsPlanned => record_as_planned(notebook, hole, request, unit)?,
        step => record_step(notebook, hole, step, request, unit)?,
    };
    let page = with_notice(&format!("/hole/{hole}"), notice);
    let skipped = skipped(request);
    Ok(match back(request) {
        Some(page) => with_notice(page, notice),
        None if skipped.is_empty() => format!("{page}#next"),
        None => format!("{page}&{SKIP}={}#next", skip_words(&skipped)),
    })
}

/// Records a step as planned: one of the ways that the page showed.
fn record_as_planned(
    notebook: &Notebook,
    hole: HoleId,
    request: &Request,
    unit: Unit,
) -> Result<Notice, FormError> {
    let key = request.field(Field::Step).and_then(StepKey::from_word);
    let key =
        key.ok_or_else(|| FormError::new("This page names no known step; reload the page."))?;
    let way = request.field(Field::Planned).unwrap_or_default();
    notebook.record_as_planned(hole, key, unit, way)?;
    let gauged = || {
        let record = notebook.hole(hole)?.record;
        let remedy = record.choice.agreed().map(|choice| choice.spec.remedy);
        Ok::<_, FormError>(remedy.and_then(Remedy::fit_check) == Some(FitCheck::Gauge))
    };
    Ok(match key {
        StepKey::Cut(_) | StepKey::FaceCut => Notice::Cut,
        StepKey::TrialFit if gauged()? => Notice::Check,
        StepKey::TrialFit => Notice::TrialFit,
        StepKey::Install => Notice::Install,
        StepKey::StakeKeys => Notice::StakeKeys,
        StepKey::Check(_) => Notice::Check,
        StepKey::FinalCheck => Notice::FinalCheck,
    })
}

/// Records what a first look says.
fn condition(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), FormError> {
    let condition = request
        .field(Field::Condition)
        .and_then(Condition::from_name);
    let condition = condition
        .ok_or_else(|| FormError::new("This page names no known condition; reload the page."))?;
    let entry = HoleEntry::Condition(FirstLook { condition });
    notebook.record(hole, entry, &replaces(request)?)?;
    Ok(())
}

fn note(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), FormError> {
    let text = required_text(request, Field::Text, "Note")?.to_owned();
    notebook.record(hole, HoleEntry::Note(Note { text }), &[])?;
    Ok(())
}

/// Records one of several entries again, in place of all that the page showed.
fn resolve(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), FormError> {
    fn picked<T: Clone>(entries: &FactEntries<T>, request: &Request) -> Option<T> {
        let id = request.field(Field::Entry)?;
        let mut entries = entries.0.iter();
        let entry = entries.find(|entry| entry.entry.to_string() == id)?;
        Some(entry.body.clone())
    }
    let record = notebook.hole(hole)?.record;
    let fact = request.field(Field::Kind).and_then(fact_of);
    let entry = fact.and_then(|fact| match fact {
        Fact::Wanted => picked(&record.wanted, request).map(HoleEntry::WantedThread),
        Fact::Condition => picked(&record.condition, request).map(HoleEntry::Condition),
        Fact::Damage => picked(&record.damage, request).map(HoleEntry::Damage),
        Fact::Choice => picked(&record.choice, request).map(HoleEntry::Remedy),
    });
    let entry = entry.ok_or_else(|| {
        FormError::new("That entry is no longer in the conflict; look at the page again.")
    })?;
    notebook.record(hole, entry, &replaces(request)?)?;
    Ok(())
}

/// Records a step; one out of the planned order needs a reason.
fn record_step(
    notebook: &Notebook,
    hole: HoleId,
    form: FormName,
    request: &Request,
    unit: Unit,
) -> Result<Notice, FormError> {
    let view = notebook.hole(hole)?;
    let spec = chosen_remedy(&view, request)?;
    let key = request
        .field(Field::Step)
        .and_then(StepKey::from_word)
        .filter(|key| FormName::of_step(*key) == Some(form));
    let key =
        key.ok_or_else(|| FormError::new("This page names no known step; reload the page."))?;
    let reason = request.field(Field::Reason).map(str::to_owned);
    if reason.is_none()
        && let Some(why) = reason_needed(&view, key, &*notebook.catalog()?)?
    {
        let message = format!("{}; enter a reason", sentence_case(&in_unit(&why, unit)));
        return Err(FormError::new(message).at(Field::Reason));
    }
    let below_face = || length(request, Field::BelowFace, label::BELOW_FACE, unit);
    let (entry, notice) = match key {
        StepKey::Cut(step) => {
            let not_needed = step == CutStep::BroachSlots && !passes(request)?;
            let cut = Cut {
                diameter: length(request, Field::Diameter, label::DIAMETER, unit)?,
                spec,
                step,
                depth: length(request, Field::Depth, label::DEPTH, unit)?,
                tool: request.field(Field::Tool).map(str::to_owned),
                removal: removal(step, request)?,
                reason: reason.or_else(|| not_needed.then(|| SOFT_ENOUGH.to_owned())),
            };
            (HoleEntry::Cut(cut), Notice::Cut)
        }
        StepKey::TrialFit => {
            let gauged = spec.remedy.fit_check() == Some(FitCheck::Gauge);
            let notice = if gauged {
                Notice::Check
            } else {
                Notice::TrialFit
            };
            let trial_fit = TrialFit {
                spec,
                fits: passes(request)?,
                below_face: below_face()?,
                note: request.field(Field::Note).map(str::to_owned),
            };
            (HoleEntry::TrialFit(trial_fit), notice)
        }
        StepKey::Install => {
            let install = Install {
                spec,
                below_face: below_face()?,
                after_face_cut: view.face_record.left_to_remove() == Some(Length::ZERO),
                reason,
            };
            (HoleEntry::Install(install), Notice::Install)
        }
        StepKey::StakeKeys => {
            let keys = StakeKeys {
                spec,
                driven: keys_staked(request)?,
                reason,
            };
            (HoleEntry::StakeKeys(keys), Notice::StakeKeys)
        }
        StepKey::Check(check) => {
            let result = CheckResult {
                check,
                passes: passes(request)?,
                reading: length(request, Field::CheckReading, check_reading(check), unit)?,
                instrument: request.field(Field::MeasuredWith).map(str::to_owned),
                locking: request.field(Field::Locking).is_some(),
                reason,
            };
            (HoleEntry::Check(result), Notice::Check)
        }
        StepKey::FinalCheck => {
            let check = FinalCheck {
                reason,
                ..final_check(spec, request, unit)?
            };
            (HoleEntry::FinalCheck(check), Notice::FinalCheck)
        }
        StepKey::FaceCut => {
            return Err(FormError::new("Record the face cut on the face's page."));
        }
    };
    let problems = notebook.problems_if_recorded(hole, &entry)?;
    let questions = problems.iter().map(|problem| {
        let field = value_field(problem);
        (Question::about(problem, true), field)
    });
    ask(request, questions)?;
    notebook.record(hole, entry, &[])?;
    Ok(notice)
}

/// The field of the value that is out of its limits.
fn value_field(problem: &Problem) -> Option<Field> {
    match problem {
        Problem::TooShallow { .. } | Problem::TappedDeeperThanDrilled { .. } => Some(Field::Depth),
        Problem::InstallDepth { .. } => Some(Field::BelowFace),
        Problem::KeysMissing { .. } => Some(Field::KeysStaked),
        Problem::CheckReading { .. } => Some(Field::CheckReading),
        Problem::TorqueAboveLimit { .. } => Some(Field::Torque),
        Problem::EngagementShort { .. } => Some(Field::Engagement),
        _ => None,
    }
}

/// How a broken piece came out, which is asked only where one was removed.
fn removal(step: CutStep, request: &Request) -> Result<Option<Removal>, FormError> {
    if step != CutStep::ClearBroken {
        return Ok(None);
    }
    let word = required_text(request, Field::Removal, label::REMOVAL)?;
    let found = Removal::ALL.into_iter().find(|way| way.name() == word);
    let unknown = || FormError::of(Field::Removal, label::REMOVAL, "pick one from the list");
    found.map(Some).ok_or_else(unknown)
}

/// Removing a broken piece, which may come before a remedy is chosen: it counts for any.
const CLEAR: StepKey = StepKey::Cut(CutStep::ClearBroken);

/// The chosen remedy, if it is still the one that the page showed.
fn chosen_remedy(view: &HoleView, request: &Request) -> Result<RemedySpec, FormError> {
    let shown: Vec<&str> = request.fields(Field::Choice).collect();
    let active: Vec<String> = view
        .record
        .choice
        .0
        .iter()
        .map(|entry| entry.entry.to_string())
        .collect();
    if shown != active {
        return Err(FormError::new(
            "The chosen remedy has changed since this page was opened. Look at the steps again, \
             then record.",
        ));
    }
    if view.record.choice.0.is_empty() && request.field(Field::Step) == Some(CLEAR.word()) {
        return Ok(RemedySpec::BEFORE_CHOICE);
    }
    let choice = view.record.choice.agreed();
    choice
        .map(|choice| choice.spec.clone())
        .ok_or_else(|| FormError::new("No remedy is chosen yet; choose one first."))
}

/// Why the step needs a reason now; `None` if it is in order.
fn reason_needed(
    view: &HoleView,
    key: StepKey,
    catalog: &Catalog,
) -> Result<Option<String>, FormError> {
    let plan = Plan::of(&view.record, &view.face_record, catalog);
    let Some(work) = plan.work(&view.face_record) else {
        if key == CLEAR && view.record.choice.0.is_empty() {
            return Ok(None);
        }
        let why = match plan.situation {
            Err(error) => return Err(FormError::new(error.to_string())),
            Ok(_) => "the chosen remedy is no longer in the list; choose again",
        };
        return Ok(Some(why.to_owned()));
    };
    let done = plan
        .steps
        .iter()
        .any(|step| step.key == key && step.done.is_some());
    Ok(out_of_order(&work, key).filter(|_| !done))
}

fn passes(request: &Request) -> Result<bool, FormError> {
    match request.field(Field::Result) {
        Some("yes") => Ok(true),
        Some("no") => Ok(false),
        _ => Err(FormError::of(
            Field::Result,
            label::RESULT,
            "choose pass or fail",
        )),
    }
}

fn keys_staked(request: &Request) -> Result<u8, FormError> {
    let text = required_text(request, Field::KeysStaked, label::KEYS)?;
    text.parse()
        .ok()
        .filter(|staked| (1..=8).contains(staked))
        .ok_or_else(|| {
            let message = format!("'{text}' is not a number of keys from 1 to 8");
            FormError::of(Field::KeysStaked, label::KEYS, message)
        })
}

fn final_check(spec: RemedySpec, request: &Request, unit: Unit) -> Result<FinalCheck, FormError> {
    Ok(FinalCheck {
        spec,
        passes: passes(request)?,
        how: required_text(request, Field::CheckedBy, label::CHECKED_BY)?.to_owned(),
        torque_nm: torque(request, Field::Torque, label::TORQUE, unit)?,
        engaged: length(request, Field::Engagement, label::ENGAGEMENT, unit)?,
        reason: None,
    })
}
