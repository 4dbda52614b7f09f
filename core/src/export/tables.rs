//! The tables of an export: their columns, and what goes into them.

use super::Export;
use super::sink::{Failed, Sink};
use super::table::{Row, Table, TableInfo, length, plain};
use crate::hole::plan::Plan;
use crate::hole::record::Reading;
use crate::labels::entry_text;
use crate::length::{Length, Unit, in_unit};
use crate::notebook::{EntryBody, HoleView, JournalLine, Notebook, NotebookError};
use crate::photo::Format;
use std::fmt::Display;

/// Every table.
pub(super) const TABLES: [&TableInfo; 6] = [&CASTINGS, &FACES, &HOLES, &READINGS, &LOG, &PHOTOS];

/// The files of an export beside its README and its photos.
pub(super) const FILES: [&str; 7] = [
    "journal.jsonl",
    CASTINGS.file,
    FACES.file,
    HOLES.file,
    READINGS.file,
    LOG.file,
    PHOTOS.file,
];

const CASTINGS: TableInfo = TableInfo {
    file: "castings.csv",
    rows: "one casting",
    columns: &[
        plain("casting_id", "its id"),
        plain("casting", "its name"),
        plain("note", "its note"),
        plain("metal", "its metal; empty: not known"),
        plain(
            "conflict",
            "yes: entries about it disagree, and the first is shown",
        ),
        plain("faces", "how many joint faces it has"),
    ],
};

const FACES: TableInfo = TableInfo {
    file: "faces.csv",
    rows: "one joint face",
    columns: &[
        plain("face_id", "its id"),
        plain("casting", "the casting it is on"),
        plain("face", "its name"),
        length(
            "stock_to_remove",
            "the planned face cut; empty: none is planned, or plans disagree",
        ),
        length("removed", "what was milled off so far"),
        length("left_to_remove", "what is still to be milled off"),
        plain("holes", "how many threaded holes it has"),
    ],
};

const HOLES: TableInfo = TableInfo {
    file: "holes.csv",
    rows: "one threaded hole as it is judged today. Depths 'as_is' count from the face as it is now, \
           'finished' from the face after the planned cut",
    columns: &[
        plain("hole_id", "its id"),
        plain("casting", "the casting it is in"),
        plain("face", "the face it is in"),
        plain("hole", "its number on that face"),
        length(
            "x",
            "its position along the face's x axis; empty: not measured",
        ),
        length(
            "y",
            "its position along the face's y axis; empty: not measured",
        ),
        plain("thread", "the thread that the finished hole must have"),
        plain("bolt", "the bolt's strength grade"),
        plain("condition", "what a first look said of it"),
        plain(
            "stage",
            "how far the work is: not measured, measured, planned, cut, trial-fitted, installed, passed",
        ),
        plain(
            "conflict",
            "yes: entries about it disagree, and a person must pick one",
        ),
        plain(
            "open_problems",
            "recorded work that does not hold, or no longer holds",
        ),
        plain("remedy", "the chosen way to make it hold"),
        plain("insert", "the insert's family"),
        length("insert_length", "the insert's nominal length"),
        plain(
            "thread_in_casting",
            "the thread cut into the casting for it",
        ),
        plain("verdict", "whether the remedy fits by what was measured"),
        plain("drill", "the drill that the remedy takes"),
        plain("tap", "the tap that the remedy takes"),
        length("drill_depth_as_is", "drill to this depth, full diameter"),
        length("drill_depth_finished", "the same, from the finished face"),
        length("thread_depth_as_is", "full thread to this depth"),
        length("thread_depth_finished", "the same, from the finished face"),
        length("top_below_as_is", "the insert's top below the face"),
        length("top_below_finished", "the same, from the finished face"),
        length("drilled", "the depth that was drilled, from the face as is"),
        length("tapped", "the depth that was tapped, from the face as is"),
        length(
            "top",
            "where the installed insert's top is, below the face as is",
        ),
        plain("next", "what to do next"),
        plain("missing", "what is still to be measured for that"),
    ],
};

const READINGS: TableInfo = TableInfo {
    file: "readings.csv",
    rows: "one measured value, oldest first, also those struck out or replaced",
    columns: &[
        plain("entry_id", "the entry's id in journal.jsonl"),
        plain("casting", "the casting"),
        plain("face", "the face"),
        plain(
            "hole",
            "the hole's number; empty: the value is usual for all holes of the face",
        ),
        plain("quantity", "what was measured"),
        length(
            "value",
            "the value; depths count from the face as it was then",
        ),
        length("tolerance", "plus or minus; empty: not given"),
        plain("instrument", "the measuring tool"),
        plain("by", "who recorded it"),
        plain("at", "when, by the clock of that device"),
        plain("status", "in force, replaced, or struck out"),
    ],
};

const LOG: TableInfo = TableInfo {
    file: "log.csv",
    rows: "one entry, oldest first, also those struck out or replaced",
    columns: &[
        plain("entry_id", "the entry's id in journal.jsonl"),
        plain("at", "when, by the clock of that device"),
        plain("by", "who recorded it"),
        plain("device", "the device's name"),
        plain("device_id", "the device's id"),
        plain("number", "its number among the entries of that device"),
        plain("kind", "the kind of entry, as journal.jsonl names it"),
        plain("what", "what it says in words"),
        plain(
            "casting",
            "the casting that it is about; empty: none, or struck out",
        ),
        plain("face", "the face"),
        plain("hole", "the hole's number"),
        plain("status", "in force, replaced, or struck out"),
        plain("struck_out_by", "who struck it out"),
        plain("struck_out_because", "why"),
        plain("replaces", "the ids of the entries that it replaces"),
        plain(
            "content",
            "what it says, as JSON: lengths in mm, torques in N·m",
        ),
    ],
};

const PHOTOS: TableInfo = TableInfo {
    file: "photos.csv",
    rows: "one hole marked in a photo, or one photo without marks",
    columns: &[
        plain("photo_id", "the photo's id"),
        plain("casting", "the casting it shows"),
        plain("face", "the face it shows"),
        plain("file", "its file; empty: the photo is not on this device"),
        plain("name", "the name of the file that was added"),
        plain("taken", "when it was taken, by the camera's clock"),
        plain("width_px", "width of the upright picture, pixels"),
        plain("height_px", "height of the upright picture, pixels"),
        plain("hole", "the number of the hole that is marked"),
        plain("hole_x_px", "where the hole is, pixels from the left"),
        plain("hole_y_px", "where the hole is, pixels from the top"),
    ],
};

/// Returns the ending of a photo's file.
pub(super) const fn file_ending(format: Format) -> &'static str {
    match format {
        Format::Jpeg => ".jpg",
        Format::Png => ".png",
    }
}

/// Writes every table, and returns how many holes there are.
pub(super) fn write(export: &mut Export<'_>, sink: &mut dyn Sink) -> Result<u64, Failed> {
    castings(export, sink)?;
    faces(export, sink)?;
    let holes = holes(export, sink)?;
    readings(export, sink)?;
    log(export, sink)?;
    photos(export, sink)?;
    Ok(holes)
}

fn castings(export: &Export<'_>, sink: &mut dyn Sink) -> Result<(), Failed> {
    let mut table = Table::begin(&CASTINGS, sink)?;
    for id in &export.places.castings {
        let casting = export.notebook.casting(*id)?;
        let first = casting.details.0.first().map(|first| &first.body);
        let row = Row::default()
            .shown(Some(id))
            .text(&casting.name)
            .shown(first.and_then(|body| body.note.as_ref()))
            .shown(first.and_then(|body| body.metal))
            .yes(casting.details.differ())
            .number(Some(casting.faces.len() as u32));
        table.row(row)?;
    }
    table.end()
}

fn faces(export: &Export<'_>, sink: &mut dyn Sink) -> Result<(), Failed> {
    let mut table = Table::begin(&FACES, sink)?;
    for face in &export.places.faces {
        let record = export.notebook.face(face.id)?.record;
        let planned = record.planned_cut.agreed().map(|cut| cut.planned);
        let row = Row::default()
            .shown(Some(face.id))
            .text(&face.place.casting)
            .text(&face.place.face)
            .length(planned)
            .length(Some(record.removed()))
            .length(record.left_to_remove())
            .number(Some(face.holes.len() as u32));
        table.row(row)?;
    }
    table.end()
}

fn holes(export: &mut Export<'_>, sink: &mut dyn Sink) -> Result<u64, Failed> {
    let catalog = export.notebook.catalog()?;
    let unit = export.notebook.settings()?.unit;
    let mut table = Table::begin(&HOLES, sink)?;
    let mut count = 0;
    for face in export.places.faces.clone() {
        for id in &face.holes {
            let hole = export.notebook.hole(*id)?;
            let plan = Plan::of_chosen(&hole.record, &hole.face_record, &catalog);
            table.row(hole_row(&hole, &plan, unit))?;
            count += 1;
        }
        // Judging takes longest, so this is where a person may lose patience.
        export.report(|_| ())?;
    }
    table.end()?;
    Ok(count)
}

fn hole_row(hole: &HoleView, plan: &Plan, unit: Unit) -> Row {
    let wanted = plan.record.wanted.agreed();
    let look = hole.record.condition.agreed();
    let problems = plan.status.problems.iter();
    let row = Row::default()
        .shown(Some(hole.id))
        .text(&hole.casting_name)
        .text(&hole.face_name)
        .number(Some(hole.number))
        .length(hole.at.map(|(x, _)| x))
        .length(hole.at.map(|(_, y)| y))
        .shown(wanted.map(|wanted| wanted.thread.designation()))
        .shown(wanted.and_then(|wanted| wanted.bolt.as_ref()))
        .shown(look.map(|look| look.condition))
        .text(plan.status.stage.label())
        .yes(hole.conflict)
        .text(joined(
            problems.map(|problem| in_unit(&problem.to_string(), unit)),
        ));
    let row = remedy_cells(row, hole, plan, unit);
    let next = &plan.next;
    let missing = plan.chosen().map(|chosen| &chosen.missing_readings);
    let missing = missing.into_iter().flatten();
    row.shown(Some(next)).text(joined(missing))
}

/// The cells from the remedy to the depths.
fn remedy_cells(row: Row, hole: &HoleView, plan: &Plan, unit: Unit) -> Row {
    let spec = hole.record.choice.agreed().map(|choice| &choice.spec);
    // Nobody is to follow numbers for a wall with a crack.
    let chosen = plan.chosen().filter(|_| !plan.stopped_by_crack());
    let depths = chosen.and_then(|chosen| chosen.depths);
    let depth = |of: fn(crate::hole::depths::Depths) -> Option<Length>| depths.and_then(of);
    row.shown(spec.map(|spec| spec.remedy))
        .shown(spec.and_then(|spec| spec.family.as_ref()))
        .length(spec.and_then(|spec| spec.length))
        .shown(spec.and_then(|spec| spec.outside_thread.as_ref()))
        .shown(chosen.map(|chosen| chosen.verdict))
        .shown(chosen.and_then(|chosen| Some(chosen.drill.as_ref()?.show(unit))))
        .shown(chosen.and_then(|chosen| chosen.tap.as_ref()))
        .length(depth(|depths| depths.drill))
        .length(depth(|depths| Some(depths.drill_after_cut)))
        .length(depth(|depths| depths.full_thread))
        .length(depth(|depths| Some(depths.full_thread_after_cut)))
        .length(depth(|depths| depths.install_now))
        .length(depth(|depths| depths.install_after_cut))
        .length(plan.reached.drilled)
        .length(plan.reached.tapped)
        .length(plan.reached.top)
}

fn joined(parts: impl Iterator<Item = impl Display>) -> String {
    let parts: Vec<String> = parts.map(|part| part.to_string()).collect();
    parts.join("; ")
}

fn readings(export: &Export<'_>, sink: &mut dyn Sink) -> Result<(), Failed> {
    let mut table = Table::begin(&READINGS, sink)?;
    export.notebook.each_entry(|line| {
        let reading = match line.entry_body() {
            Some(EntryBody::Reading(reading)) => reading,
            Some(EntryBody::UsualReading(usual)) => usual.reading,
            _ => return Ok(()),
        };
        table.row(reading_row(export, line, &reading))
    })??;
    table.end()
}

fn reading_row(export: &Export<'_>, line: &JournalLine, reading: &Reading) -> Row {
    let place = export.places.name(line.subject);
    Row::default()
        .shown(Some(line.entry))
        .text(place.casting)
        .text(place.face)
        .number(place.hole)
        .shown(Some(reading.quantity))
        .length(Some(reading.value))
        .length(reading.tolerance)
        .shown(reading.instrument.as_ref())
        .text(&line.by)
        .time(line.at)
        .text(status(line))
}

fn log(export: &Export<'_>, sink: &mut dyn Sink) -> Result<(), Failed> {
    let unit = export.notebook.settings()?.unit;
    let mut table = Table::begin(&LOG, sink)?;
    export
        .notebook
        .each_entry(|line| table.row(log_row(export, line, unit)))??;
    table.end()
}

fn log_row(export: &Export<'_>, line: &JournalLine, unit: Unit) -> Row {
    let place = export.places.name(line.subject);
    let struck_out = line.struck_out_by.as_ref();
    Row::default()
        .shown(Some(line.entry))
        .time(line.at)
        .text(&line.by)
        .shown(line.device_name.as_ref())
        .shown(Some(line.device))
        .shown(Some(line.seq))
        .text(&line.kind)
        .text(in_words(line, unit))
        .text(place.casting)
        .text(place.face)
        .number(place.hole)
        .text(status(line))
        .shown(struck_out.map(|struck| &struck.by))
        .shown(struck_out.map(|struck| &struck.reason))
        .text(joined(line.replaces.iter()))
        .text(line.body.to_string())
}

fn in_words(line: &JournalLine, unit: Unit) -> String {
    let text = entry_text(line, unit);
    text.spans().iter().map(|span| &*span.text).collect()
}

fn status(line: &JournalLine) -> &'static str {
    match line {
        _ if line.struck_out_by.is_some() => "struck out",
        _ if line.replaced => "replaced",
        _ => "in force",
    }
}

fn photos(export: &Export<'_>, sink: &mut dyn Sink) -> Result<(), Failed> {
    let mut table = Table::begin(&PHOTOS, sink)?;
    for face in &export.places.faces {
        for row in photo_rows(export, export.notebook, &face.photos)? {
            table.row(row)?;
        }
    }
    table.end()
}

fn photo_rows(
    export: &Export<'_>,
    notebook: &Notebook,
    photos: &[crate::notebook::PhotoId],
) -> Result<Vec<Row>, NotebookError> {
    let mut rows = Vec::new();
    for id in photos {
        let photo = notebook.photo(*id)?;
        let place = export.places.name(id.0);
        let about = || {
            Row::default()
                .shown(Some(id))
                .text(&place.casting)
                .text(&place.face)
                .shown(export.photos.get(&photo.hash))
                .shown(photo.name.as_ref())
                .shown(photo.taken_at)
                .number(Some(photo.width_px))
                .number(Some(photo.height_px))
        };
        for mark in &photo.marks {
            let at = mark.entries.0.first().map(|first| first.body);
            let row = about()
                .number(Some(mark.number))
                .number(at.map(|at| at.x_px))
                .number(at.map(|at| at.y_px));
            rows.push(row);
        }
        if photo.marks.is_empty() {
            let nothing = None::<u32>;
            rows.push(about().number(nothing).number(nothing).number(nothing));
        }
    }
    Ok(rows)
}
