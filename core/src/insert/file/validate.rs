//! Validation of insert files. Impossible figures are refused with their line.

use super::error::FileProblem;
use super::position::{Located, line_number};
use super::raw::{OptionalField, RawDrill, RawFile, RawRow};
use super::size::Size;
use super::{InsertFile, MAX_ROWS, Row};
use crate::drill::{Drill, DrillKinds, between};
use crate::insert::confidence::Confidence;
use crate::insert::wire_drill::WireDrill;
use crate::insert::{Countersink, Family, wire};
use crate::length::{Length, Unit};
use crate::thread::Thread;
use std::collections::HashMap;
use std::f64::consts::PI;
use std::ops::Range;
use toml::Spanned;

/// Largest length or depth of an insert: 200 mm.
const MAX_LENGTH: Length = Length::from_nm(200_000_000);
/// Longest note or source.
const MAX_TEXT_CHARS: usize = 500;
/// Included angle of a countersink if the file gives none: 82 to 100 degrees (MS51835B).
const DEFAULT_ANGLE_DEG: [f64; 2] = [82.0, 100.0];

type Checked<T> = Result<T, Located<FileProblem>>;

pub(super) fn validate(name: &str, text: &str, raw: RawFile) -> Checked<InsertFile> {
    let rows = raw.insert.len() + raw.wire_drill.len();
    if rows == 0 {
        return Err((0..0, FileProblem::Empty));
    }
    if rows > MAX_ROWS {
        return Err((0..0, FileProblem::TooManyRows { rows }));
    }
    let unit = raw.unit.map(Unit::from);
    let common = raw.common;
    let rows = raw.insert.into_iter().map(|row| {
        let span = row.span();
        let line = line_number(text, span.start);
        validate_row(row.into_inner().with_defaults(&common), span, line, unit)
    });
    let drills = raw.wire_drill.into_iter().map(|drill| {
        let line = line_number(text, drill.span().start);
        validate_drill(drill.into_inner(), line)
    });
    let file = InsertFile {
        name: name.to_owned(),
        rows: rows.collect::<Checked<_>>()?,
        wire_drills: drills.collect::<Checked<_>>()?,
    };
    check_duplicates(&file).map_err(|(at, problem)| (line_start(text, at), problem))?;
    Ok(file)
}

/// Returns the position of the start of a line.
fn line_start(text: &str, line: usize) -> Range<usize> {
    let start = text
        .split_inclusive('\n')
        .take(line - 1)
        .map(str::len)
        .sum();
    start..start
}

fn validate_row(raw: RawRow, span: Range<usize>, line: usize, unit: Option<Unit>) -> Checked<Row> {
    let lengths = Lengths { unit, row: &span };
    let family = family(&raw, &span)?;
    let internal = internal(&raw, &span)?;
    let (outside_at, outside) = outside(&raw, &span)?;
    let length = lengths.one("length", &raw.length)?;
    let (hole_at, hole) = lengths.two("hole", &raw.hole)?;
    check_hole(outside, hole).map_err(|problem| (hole_at.clone(), problem))?;
    check_wall(&internal, hole.0).map_err(|problem| (hole_at.clone(), problem))?;
    let drill = drill(&raw.drill, hole, hole_at)?;
    let countersink = countersink(&raw, &lengths, outside)?;
    let full_thread = raw.full_thread.is_some();
    let full_thread = full_thread
        .then(|| lengths.one("full_thread", &raw.full_thread))
        .transpose()?;
    Ok(Row {
        line,
        family,
        internal,
        outside,
        length,
        hole,
        drill,
        drill_chosen: raw.drill.is_none(),
        countersink,
        full_thread,
        set_below: lengths.two("set_below", &raw.set_below)?.1,
        keys: keys(&raw.keys)?,
        shear_area_mm2: shear_area(&raw, outside_at, outside, length)?,
        source: required_text("source", &raw.source, &span)?,
        confidence: confidence(&raw.confidence)?,
        notes: notes(raw.notes, &span)?,
    })
}

fn family(raw: &RawRow, row: &Range<usize>) -> Checked<Family> {
    let (at, text) = required("family", &raw.family, row)?;
    let family: Family = text
        .parse()
        .map_err(|e| (at.clone(), FileProblem::Family(e)))?;
    if family == Family::WireThread {
        return Err((at, FileProblem::ByFormula { family }));
    }
    Ok(family)
}

fn internal(raw: &RawRow, row: &Range<usize>) -> Checked<Vec<Thread>> {
    let (at, texts) = required("internal", &raw.internal, row)?;
    let threads: Vec<Thread> = texts
        .iter()
        .map(|text| thread("internal", text, &at))
        .collect::<Checked<_>>()?;
    let once = |(i, thread): (usize, &Thread)| !threads[..i].contains(thread);
    if threads.is_empty() || !threads.iter().enumerate().all(once) {
        return Err((at, FileProblem::Internal));
    }
    Ok(threads)
}

fn outside(raw: &RawRow, row: &Range<usize>) -> Checked<(Range<usize>, Thread)> {
    let (at, text) = required("outside", &raw.outside, row)?;
    let thread = thread("outside", text, &at)?;
    Ok((at, thread))
}

fn thread(field: &'static str, text: &str, at: &Range<usize>) -> Checked<Thread> {
    Thread::parse(text)
        .and_then(Thread::not_sti)
        .map_err(|error| (at.clone(), FileProblem::Thread { field, error }))
}

/// Returns a required field with its position.
fn required<'a, T>(
    field: &'static str,
    value: &'a OptionalField<T>,
    row: &Range<usize>,
) -> Checked<(Range<usize>, &'a T)> {
    let value = value.as_ref();
    let value = value.ok_or_else(|| (row.clone(), FileProblem::Missing { field }))?;
    Ok((value.span(), value.get_ref()))
}

/// Parses lengths in the file's unit.
struct Lengths<'a> {
    unit: Option<Unit>,
    row: &'a Range<usize>,
}

impl Lengths<'_> {
    fn read(&self, field: &'static str, size: &Size, at: &Range<usize>) -> Checked<Length> {
        let problem = |error| match (self.unit, size) {
            (None, Size::Number(number)) if number.is_finite() => FileProblem::NoUnit { field },
            _ => FileProblem::Length { field, error },
        };
        let length = size.length(self.unit);
        length.map_err(|error| (at.clone(), problem(error)))
    }

    /// Parses a length above 0.
    fn one(&self, field: &'static str, size: &OptionalField<Size>) -> Checked<Length> {
        let (at, size) = required(field, size, self.row)?;
        let value = self.read(field, size, &at)?;
        if value.is_positive() && value <= MAX_LENGTH {
            return Ok(value);
        }
        let most = MAX_LENGTH;
        Err((at, FileProblem::OutOfRange { field, value, most }))
    }

    /// Parses a range of lengths, 0 or more.
    fn two(
        &self,
        field: &'static str,
        sizes: &OptionalField<[Size; 2]>,
    ) -> Checked<(Range<usize>, (Length, Length))> {
        let (at, [min, max]) = required(field, sizes, self.row)?;
        let (min, max) = (self.read(field, min, &at)?, self.read(field, max, &at)?);
        if max > MAX_LENGTH {
            let (value, most) = (max, MAX_LENGTH);
            return Err((at, FileProblem::OutOfRange { field, value, most }));
        }
        if min < Length::ZERO || max < min {
            return Err((at, FileProblem::Reversed { field, min, max }));
        }
        Ok((at, (min, max)))
    }
}

/// Checks that the hole is between the basic minor and the major diameter of the outside thread.
fn check_hole(outside: Thread, (min, max): (Length, Length)) -> Result<(), FileProblem> {
    let minor = Length::from_computed_mm(outside.basic().minor_mm);
    let major = outside.nominal();
    if minor <= min && max < major {
        return Ok(());
    }
    Err(FileProblem::HoleOutside {
        min,
        max,
        outside: outside.designation(),
        minor,
        major,
    })
}

fn check_wall(internal: &[Thread], hole: Length) -> Result<(), FileProblem> {
    let wide = internal.iter().find(|thread| thread.nominal() >= hole);
    wide.map_or(Ok(()), |thread| {
        Err(FileProblem::NoWall {
            internal: thread.designation(),
            major: thread.nominal(),
            hole,
        })
    })
}

fn drill(
    name: &OptionalField<String>,
    (min, max): (Length, Length),
    hole_at: Range<usize>,
) -> Checked<Drill> {
    let Some(name) = name else {
        let middle = (min + max) / 2;
        let found = between(min, max, middle, &DrillKinds::ALL);
        return found.ok_or((hole_at, FileProblem::NoDrill { min, max }));
    };
    let drill = parsed_drill(name)?;
    if min <= drill.diameter && drill.diameter <= max {
        return Ok(drill);
    }
    let problem = FileProblem::DrillOutside {
        drill: drill.to_string(),
        diameter: drill.diameter,
        min,
        max,
    };
    Err((name.span(), problem))
}

fn parsed_drill(name: &Spanned<String>) -> Checked<Drill> {
    Drill::parse(name.get_ref()).map_err(|error| (name.span(), error.into()))
}

fn countersink(
    raw: &RawRow,
    lengths: &Lengths<'_>,
    outside: Thread,
) -> Checked<Option<Countersink>> {
    if raw.countersink.is_none() {
        return Ok(None);
    }
    let (at, (min, max)) = lengths.two("countersink", &raw.countersink)?;
    let major = outside.nominal();
    if min < major {
        let countersink = min;
        return Err((at, FileProblem::Countersink { countersink, major }));
    }
    let angle = raw.countersink_angle_deg.as_ref();
    let [from, to] = angle.map_or(DEFAULT_ANGLE_DEG, |angle| *angle.get_ref());
    // Negated so that NaN fails too.
    if !(30.0 <= from && from <= to && to <= 150.0) {
        let at = angle.map_or(at, Spanned::span);
        return Err((at, FileProblem::Angle { min: from, max: to }));
    }
    Ok(Some(Countersink {
        min,
        max,
        angle_min_deg: from,
        angle_max_deg: to,
    }))
}

fn keys(keys: &OptionalField<i64>) -> Checked<u8> {
    let Some(keys) = keys else {
        return Ok(0);
    };
    match u8::try_from(*keys.get_ref()) {
        Ok(few @ 0..=8) => Ok(few),
        _ => {
            let many = *keys.get_ref();
            Err((keys.span(), FileProblem::Keys { keys: many }))
        }
    }
}

fn shear_area(
    raw: &RawRow,
    outside_at: Range<usize>,
    outside: Thread,
    length: Length,
) -> Checked<Option<f64>> {
    let (at, area_mm2) = match (&raw.shear_area_in2, &raw.shear_area_mm2) {
        (None, None) => return Ok(None),
        (Some(_), Some(_)) => return Err((outside_at, FileProblem::ShearAreaTwice)),
        (Some(area), None) => (area.span(), area.get_ref() * 25.4 * 25.4),
        (None, Some(area)) => (area.span(), *area.get_ref()),
    };
    let most_mm2 = PI * outside.nominal().mm() * length.mm();
    if area_mm2 > 0.0 && area_mm2 <= most_mm2 {
        return Ok(Some(area_mm2));
    }
    Err((at, FileProblem::ShearArea { area_mm2, most_mm2 }))
}

fn required_text(
    field: &'static str,
    text: &OptionalField<String>,
    row: &Range<usize>,
) -> Checked<String> {
    let (at, text) = required(field, text, row)?;
    checked_text(field, text, at)
}

fn checked_text(field: &'static str, text: &str, at: Range<usize>) -> Checked<String> {
    let text = text.trim();
    let most = MAX_TEXT_CHARS;
    if text.is_empty() || text.chars().count() > most {
        return Err((at, FileProblem::Text { field, most }));
    }
    Ok(text.to_owned())
}

fn notes(notes: Option<Vec<String>>, row: &Range<usize>) -> Checked<Vec<String>> {
    let notes = notes.unwrap_or_default();
    let short = |note: &String| checked_text("notes", note, row.clone());
    notes.iter().map(short).collect()
}

/// Defaults to `card`: shops copy the maker's sheet.
fn confidence(word: &OptionalField<String>) -> Checked<Confidence> {
    let Some(word) = word else {
        return Ok(Confidence::Card);
    };
    let input = word.get_ref();
    Confidence::from_key(input).ok_or_else(|| {
        let input = input.clone();
        (word.span(), FileProblem::Confidence { input })
    })
}

fn validate_drill(raw: RawDrill, line: usize) -> Checked<WireDrill> {
    let thread = thread("thread", raw.thread.get_ref(), &raw.thread.span())?;
    let drill = parsed_drill(&raw.drill)?;
    let (min, max) = wire::hole_limits(thread);
    if drill.diameter < min || max < drill.diameter {
        let problem = FileProblem::WireDrillOutside {
            drill: drill.to_string(),
            diameter: drill.diameter,
            thread: thread.designation(),
            min,
            max,
        };
        return Err((raw.drill.span(), problem));
    }
    Ok(WireDrill {
        line,
        thread,
        drill,
        source: checked_text("source", raw.source.get_ref(), raw.source.span())?,
        confidence: confidence(&raw.confidence)?,
    })
}

/// Checks that no insert and no wire drill is listed twice.
fn check_duplicates(file: &InsertFile) -> Result<(), (usize, FileProblem)> {
    let mut seen = HashMap::new();
    for row in &file.rows {
        for internal in &row.internal {
            let key = (row.family, *internal, row.outside, row.length);
            if let Some(first) = seen.insert(key, row.line) {
                let problem = FileProblem::Duplicate {
                    family: row.family,
                    internal: internal.designation(),
                    outside: row.outside.designation(),
                    first,
                };
                return Err((row.line, problem));
            }
        }
    }
    let mut drills = HashMap::new();
    for drill in &file.wire_drills {
        if let Some(first) = drills.insert(drill.thread, drill.line) {
            let thread = drill.thread.designation();
            return Err((drill.line, FileProblem::DuplicateDrill { thread, first }));
        }
    }
    Ok(())
}
