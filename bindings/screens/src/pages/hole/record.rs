//! Recording what was done to a hole: the forms of the steps, read back and written to the journal.

use super::work::form_of;
use super::{damage, done, number, readings, shall, ways};
use crate::carrier::Request;
use crate::form::{Refusal, length, needed_text, over};
use crate::said::after;
use crate::words::sentence_case;
use holebook_core::hole::record::{Checked, Cut, DryFit, Keys, Note, Proof, Set, Work};
use holebook_core::hole::remedies::{assessment_of, remedies};
use holebook_core::hole::situation::situation_of;
use holebook_core::hole::steps::{StepKey, out_of_order, steps};
use holebook_core::insert::Catalogue;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{HoleId, HoleView, Notebook, Saying};

/// Takes one of the page's forms; `None` where the page has no such form.
pub fn take(
    notebook: &Notebook,
    hole: HoleId,
    form: &str,
    request: &Request,
    unit: Unit,
) -> Option<Result<String, Refusal>> {
    let taken = match form {
        "reading" => readings::record(notebook, hole, request, unit),
        "damage" => damage::record(notebook, hole, request, unit),
        "wanted" => shall::record_wanted(notebook, hole, request),
        "choose" => ways::record_choice(notebook, hole, request),
        "settle" => settle(notebook, hole, request),
        "cut" | "dry-fit" | "set" | "keys" | "check" | "prove" => {
            record_step(notebook, hole, form, request, unit)
        }
        "number" => number::record(notebook, hole, request),
        "note" => note(notebook, hole, request),
        "strike" => return Some(done::strike(notebook, hole, request)),
        _ => return None,
    };
    Some(taken.map(|()| format!("{}#next", after(&format!("/hole/{hole}"), form))))
}

fn note(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), Refusal> {
    let text = needed_text(request, "text", "A note")?.to_owned();
    notebook.say(hole, Saying::Note(Note { text }), &[])?;
    Ok(())
}

/// Lets one of several answers stand, in place of all that the page showed.
fn settle(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), Refusal> {
    let record = notebook.hole(hole)?.record;
    let stands = request.field("stands");
    let named = |entry: &uuid::Uuid| stands == Some(entry.to_string().as_str());
    let saying = match request.field("kind") {
        Some("wanted") => record
            .wanted
            .0
            .into_iter()
            .find(|said| named(&said.entry))
            .map(|said| Saying::Wanted(said.body)),
        Some("damage") => record
            .damage
            .0
            .into_iter()
            .find(|said| named(&said.entry))
            .map(|said| Saying::Damage(said.body)),
        Some("remedy") => record
            .choice
            .0
            .into_iter()
            .find(|said| named(&said.entry))
            .map(|said| Saying::Choice(said.body)),
        _ => None,
    };
    let saying = saying.ok_or_else(|| {
        Refusal::new("That answer does not stand any more; look at the page anew.".to_owned())
    })?;
    notebook.say(hole, saying, &over(request)?)?;
    Ok(())
}

/// Records a step, with a reason where it comes out of the planned order.
fn record_step(
    notebook: &Notebook,
    hole: HoleId,
    form: &str,
    request: &Request,
    unit: Unit,
) -> Result<(), Refusal> {
    let view = notebook.hole(hole)?;
    let work = chosen_work(&view, request)?;
    let key = request
        .field("step")
        .and_then(StepKey::from_word)
        .filter(|key| form_of(*key) == form);
    let key = key.ok_or_else(|| {
        Refusal::new("Which step it was can't be read; open the page again.".to_owned())
    })?;
    let reason = request.field("reason").map(str::to_owned);
    if reason.is_none()
        && let Some(why) = asks_reason(&view, &work, key, &*notebook.catalogue()?)?
    {
        return Err(
            Refusal::new(format!("{}; write it under this step", sentence_case(&why))).at("reason"),
        );
    }
    let saying = match key {
        StepKey::Cut(step) => Saying::Cut(Cut {
            work,
            step,
            depth: length(request, "depth", "Depth reached", unit)?,
            tool: request.field("tool").map(str::to_owned),
            reason,
        }),
        StepKey::DryFit => Saying::DryFit(DryFit {
            work,
            fits: passes(request)?,
            below_face: length(request, "below", "Its top below the face", unit)?,
            note: request.field("note").map(str::to_owned),
        }),
        StepKey::Set => Saying::Set(Set {
            work,
            below_face: length(request, "below", "Its top below the face", unit)?,
            after_face_cut: view.face_record.cut_to_come() == Some(Length::ZERO),
            reason,
        }),
        StepKey::Keys => Saying::Keys(Keys {
            work,
            driven: driven(request)?,
            reason,
        }),
        StepKey::Check(check) => Saying::Check(Checked {
            check,
            passes: passes(request)?,
            reading: length(request, "reading", "Reading", unit)?,
            instrument: request.field("instrument").map(str::to_owned),
        }),
        StepKey::Prove => Saying::Proof(proof(work, request, unit)?),
        StepKey::FaceCut => {
            return Err(Refusal::new(
                "The face cut is recorded on its face's page.".to_owned(),
            ));
        }
    };
    notebook.say(hole, saying, &[])?;
    Ok(())
}

/// The chosen work, if it is still the one that the page showed.
fn chosen_work(view: &HoleView, request: &Request) -> Result<Work, Refusal> {
    let shown: Vec<&str> = request.fields("choice").collect();
    let standing: Vec<String> = view
        .record
        .choice
        .0
        .iter()
        .map(|said| said.entry.to_string())
        .collect();
    if shown != standing {
        return Err(Refusal::new("The chosen remedy changed since this page was opened; look at the steps again, then record.".to_owned()));
    }
    let choice = view.record.choice.settled();
    choice
        .map(|choice| choice.work.clone())
        .ok_or_else(|| Refusal::new("No remedy is chosen yet; choose one first.".to_owned()))
}

/// Why a reason is asked for doing the step now.
fn asks_reason(
    view: &HoleView,
    work: &Work,
    key: StepKey,
    catalogue: &Catalogue,
) -> Result<Option<String>, Refusal> {
    let situation = situation_of(&view.record, &view.face_record)
        .map_err(|error| Refusal::new(error.to_string()))?;
    let ways = remedies(&situation, catalogue);
    let Some(chosen) = assessment_of(&ways, work) else {
        return Ok(Some("the chosen remedy is not among the ways any more; look at them again, or say why it is done all the same".to_owned()));
    };
    let done = steps(&situation, chosen, &view.record)
        .into_iter()
        .any(|step| step.key == key && step.done.is_some());
    Ok(out_of_order(&situation, chosen, &view.record, key).filter(|_| !done))
}

fn passes(request: &Request) -> Result<bool, Refusal> {
    match request.field("passes") {
        Some("yes") => Ok(true),
        Some("no") => Ok(false),
        _ => Err(Refusal::new("Say whether it passes or not.".to_owned()).at("passes")),
    }
}

fn driven(request: &Request) -> Result<u8, Refusal> {
    let text = needed_text(request, "driven", "Keys driven")?;
    text.parse()
        .ok()
        .filter(|driven| (1..=8).contains(driven))
        .ok_or_else(|| {
            Refusal::of(
                "Keys driven",
                format!("'{text}' is not a number of keys from 1 to 8"),
            )
            .at("driven")
        })
}

fn proof(work: Work, request: &Request, unit: Unit) -> Result<Proof, Refusal> {
    Ok(Proof {
        work,
        passes: passes(request)?,
        how: needed_text(request, "how", "How it was proved")?.to_owned(),
        torque_nm: crate::form::torque(request, "torque", "Torque held", unit)?,
        engaged: length(request, "engaged", "Thread engaged", unit)?,
    })
}
