//! Reads the setup form and records what was changed.

use super::tools;
use crate::carrier::Request;
use crate::form::{FormError, ask, replaces};
use crate::form_names::Field;
use crate::pages::hole::readings::read_quantity;
use crate::pages::hole::unusual::questions;
use crate::pages::hole::wanted_thread::{THREAD, parse_thread, read_grade, read_through};
use holebook_core::hole::face_setup::{
    FaceSetup, MeasuringTools, USUAL_QUANTITIES, UsualReading, UsualThread,
};
use holebook_core::hole::plausibility::{self, Known};
use holebook_core::hole::record::{FaceRecord, Quantity, Reading, Recorded, WantedThread};
use holebook_core::length::Unit;
use holebook_core::notebook::{EntryId, FaceId, Notebook, SetupChange};

/// Records what differs from the setup that the form showed.
pub fn save(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let face = notebook.face(id)?.record;
    let shown = replaces(request)?;
    let wanted = read_wanted(request)?;
    let in_use = tools::read(request, unit)?;
    let known = Known {
        thread: wanted.as_ref().map(|wanted| wanted.thread),
        depth: None,
        limits: face.limits().clone(),
    };
    let mut changes = thread_changes(&face.setup, &shown, wanted);
    let mut unusual = Vec::new();
    for quantity in USUAL_QUANTITIES {
        let read = read_quantity(quantity, request, unit)?;
        let read = read.map(|reading| in_use.complete(reading));
        let changed = reading_changes(&face, &shown, quantity, read.clone());
        if !changed.is_empty() {
            unusual.extend(
                read.iter()
                    .flat_map(|reading| plausibility::reading(reading, &known)),
            );
        }
        changes.extend(changed);
    }
    changes.extend(tool_changes(&face.setup, &shown, in_use));
    ask(request, questions(unusual, (&[], &[])))?;
    notebook.change_setup(id, &changes)?;
    Ok(())
}

/// Reads the usual thread; `None` if the holes have none in common.
fn read_wanted(request: &Request) -> Result<Option<WantedThread>, FormError> {
    let other = request
        .field(Field::OtherThread)
        .map(|text| (Field::OtherThread, text));
    let picked = request
        .field(Field::Thread)
        .map(|text| (Field::Thread, text));
    let Some((field, text)) = other.or(picked) else {
        let bolt = request.field(Field::Bolt).is_some();
        if bolt || read_through(request).is_some() || request.field(Field::Pressure).is_some() {
            let why = "pick the thread that goes with the bolt and the hole, or clear them";
            return Err(FormError::of(Field::OtherThread, THREAD, why));
        }
        return Ok(None);
    };
    Ok(Some(WantedThread {
        thread: parse_thread(text, field)?,
        bolt: read_grade(request)?,
        through: read_through(request),
        pressure: request.field(Field::Pressure).is_some(),
    }))
}

/// The entries among those in force that the form showed.
fn among<'e, T: 'e>(
    entries: impl IntoIterator<Item = &'e Recorded<T>>,
    shown: &[EntryId],
) -> Vec<&'e Recorded<T>> {
    let entries = entries.into_iter();
    entries
        .filter(|entry| shown.contains(&entry.entry))
        .collect()
}

fn ids<T>(entries: &[&Recorded<T>]) -> Vec<EntryId> {
    entries.iter().map(|entry| entry.entry).collect()
}

fn removals<T>(entries: &[&Recorded<T>]) -> Vec<SetupChange> {
    let entries = ids(entries).into_iter();
    entries.map(|entry| SetupChange::Remove { entry }).collect()
}

fn thread_changes(
    setup: &FaceSetup,
    shown: &[EntryId],
    read: Option<WantedThread>,
) -> Vec<SetupChange> {
    let before = among(&setup.thread.0, shown);
    let Some(wanted) = read else {
        return removals(&before);
    };
    if !before.is_empty() && before.iter().all(|entry| entry.body == wanted) {
        return Vec::new();
    }
    vec![SetupChange::Thread {
        usual: UsualThread { wanted },
        replaces: ids(&before),
    }]
}

/// A depth that reads the same from the face as is was not changed.
fn reading_changes(
    face: &FaceRecord,
    shown: &[EntryId],
    quantity: Quantity,
    read: Option<Reading>,
) -> Vec<SetupChange> {
    let before = among(face.setup.usual(quantity), shown);
    let Some(reading) = read else {
        return removals(&before);
    };
    let is_same = |entry: &&Recorded<Reading>| {
        let as_is = Reading {
            value: entry.value_as_is(face),
            ..entry.body.clone()
        };
        as_is == reading
    };
    if !before.is_empty() && before.iter().all(is_same) {
        return Vec::new();
    }
    vec![SetupChange::Reading {
        usual: UsualReading { reading },
        replaces: ids(&before),
    }]
}

fn tool_changes(setup: &FaceSetup, shown: &[EntryId], read: MeasuringTools) -> Vec<SetupChange> {
    let before = among(&setup.tools.0, shown);
    let is_same = match before.as_slice() {
        [] => read.tools.is_empty(),
        entries => entries.iter().all(|entry| entry.body == read),
    };
    if is_same {
        return Vec::new();
    }
    vec![SetupChange::Tools {
        in_use: read,
        replaces: ids(&before),
    }]
}
