//! Every figure of a file, looked at: what cannot be is refused with its line.

use super::error::FileFault;
use super::place::{At, line};
use super::raw::{Field, RawDrill, RawFile, RawRow};
use super::size::Size;
use super::{InsertFile, MOST_ROWS, Row, WireDrill};
use crate::drill::{Drawer, Drill, between};
use crate::insert::confidence::Confidence;
use crate::insert::{Countersink, Family, wire};
use crate::length::{Length, Unit};
use crate::thread::Thread;
use std::collections::HashMap;
use std::f64::consts::PI;
use std::ops::Range;
use toml::Spanned;

/// No insert here is longer, and none sits deeper: 200 mm.
const LONGEST: Length = Length::from_nm(200_000_000);
/// The longest note or source.
const MOST_LETTERS: usize = 500;
/// Included angle of a countersink where a file gives none: 82 to 100 degrees (MS51835B).
const USUAL_ANGLE_DEG: [f64; 2] = [82.0, 100.0];

type Checked<T> = Result<T, At<FileFault>>;

pub(super) fn file(name: &str, text: &str, raw: RawFile) -> Checked<InsertFile> {
    let rows = raw.insert.len() + raw.wire_drill.len();
    if rows == 0 {
        return Err((0..0, FileFault::Empty));
    }
    if rows > MOST_ROWS {
        return Err((0..0, FileFault::TooManyRows { rows }));
    }
    let unit = raw.unit.map(Unit::from);
    let common = raw.common;
    let rows = raw.insert.into_iter().map(|row| {
        let span = row.span();
        let line = line(text, span.start);
        row_of(row.into_inner().over(&common), span, line, unit)
    });
    let drills = raw.wire_drill.into_iter().map(|drill| {
        let line = line(text, drill.span().start);
        drill_of(drill.into_inner(), line)
    });
    let file = InsertFile {
        name: name.to_owned(),
        rows: rows.collect::<Checked<_>>()?,
        wire_drills: drills.collect::<Checked<_>>()?,
    };
    none_twice(&file).map_err(|(at, fault)| (start_of(text, at), fault))?;
    Ok(file)
}

/// Where a line starts, as a place.
fn start_of(text: &str, line: usize) -> Range<usize> {
    let start = text
        .split_inclusive('\n')
        .take(line - 1)
        .map(str::len)
        .sum();
    start..start
}

fn row_of(raw: RawRow, span: Range<usize>, line: usize, unit: Option<Unit>) -> Checked<Row> {
    let lengths = Lengths { unit, row: &span };
    let family = family(&raw, &span)?;
    let internal = internal(&raw, &span)?;
    let (outside_at, outside) = outside(&raw, &span)?;
    let length = lengths.one("length", &raw.length)?;
    let (hole_at, hole) = lengths.two("hole", &raw.hole)?;
    hole_in(outside, hole).map_err(|fault| (hole_at.clone(), fault))?;
    inside(&internal, hole.0).map_err(|fault| (hole_at.clone(), fault))?;
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
        source: words("source", &raw.source, &span)?,
        confidence: confidence(&raw.confidence)?,
        notes: notes(raw.notes, &span)?,
    })
}

fn family(raw: &RawRow, row: &Range<usize>) -> Checked<Family> {
    let (at, text) = said("family", &raw.family, row)?;
    let family: Family = text
        .parse()
        .map_err(|e| (at.clone(), FileFault::Family(e)))?;
    if family == Family::WireThread {
        return Err((at, FileFault::ByFormula { family }));
    }
    Ok(family)
}

fn internal(raw: &RawRow, row: &Range<usize>) -> Checked<Vec<Thread>> {
    let (at, texts) = said("internal", &raw.internal, row)?;
    let threads: Vec<Thread> = texts
        .iter()
        .map(|text| thread("internal", text, &at))
        .collect::<Checked<_>>()?;
    let once = |(i, thread): (usize, &Thread)| !threads[..i].contains(thread);
    if threads.is_empty() || !threads.iter().enumerate().all(once) {
        return Err((at, FileFault::Internal));
    }
    Ok(threads)
}

fn outside(raw: &RawRow, row: &Range<usize>) -> Checked<(Range<usize>, Thread)> {
    let (at, text) = said("outside", &raw.outside, row)?;
    let thread = thread("outside", text, &at)?;
    Ok((at, thread))
}

fn thread(field: &'static str, text: &str, at: &Range<usize>) -> Checked<Thread> {
    Thread::parse(text).map_err(|error| (at.clone(), FileFault::Thread { field, error }))
}

/// A field that must be there.
fn said<'a, T>(
    field: &'static str,
    value: &'a Field<T>,
    row: &Range<usize>,
) -> Checked<(Range<usize>, &'a T)> {
    let value = value.as_ref();
    let value = value.ok_or_else(|| (row.clone(), FileFault::Missing { field }))?;
    Ok((value.span(), value.get_ref()))
}

/// Reads lengths in the file's unit.
struct Lengths<'a> {
    unit: Option<Unit>,
    row: &'a Range<usize>,
}

impl Lengths<'_> {
    fn read(&self, field: &'static str, size: &Size, at: &Range<usize>) -> Checked<Length> {
        let fault = |error| match (self.unit, size) {
            (None, Size::Number(number)) if number.is_finite() => FileFault::NoUnit { field },
            _ => FileFault::Length { field, error },
        };
        let length = size.length(self.unit);
        length.map_err(|error| (at.clone(), fault(error)))
    }

    /// More than 0.
    fn one(&self, field: &'static str, size: &Field<Size>) -> Checked<Length> {
        let (at, size) = said(field, size, self.row)?;
        let value = self.read(field, size, &at)?;
        if value.is_positive() && value <= LONGEST {
            return Ok(value);
        }
        let most = LONGEST;
        Err((at, FileFault::OutOfRange { field, value, most }))
    }

    /// From one, 0 or more, to another.
    fn two(
        &self,
        field: &'static str,
        sizes: &Field<[Size; 2]>,
    ) -> Checked<(Range<usize>, (Length, Length))> {
        let (at, [min, max]) = said(field, sizes, self.row)?;
        let (min, max) = (self.read(field, min, &at)?, self.read(field, max, &at)?);
        if max > LONGEST {
            let (value, most) = (max, LONGEST);
            return Err((at, FileFault::OutOfRange { field, value, most }));
        }
        if min < Length::ZERO || max < min {
            return Err((at, FileFault::Backwards { field, min, max }));
        }
        Ok((at, (min, max)))
    }
}

/// Above the basic minor diameter there is room for the tap, below the major there is thread.
fn hole_in(outside: Thread, (min, max): (Length, Length)) -> Result<(), FileFault> {
    let minor = Length::computed_mm(outside.basic().minor_mm);
    let major = outside.nominal();
    if minor <= min && max < major {
        return Ok(());
    }
    Err(FileFault::HoleOutside {
        min,
        max,
        outside: outside.designation(),
        minor,
        major,
    })
}

fn inside(internal: &[Thread], hole: Length) -> Result<(), FileFault> {
    let wide = internal.iter().find(|thread| thread.nominal() >= hole);
    wide.map_or(Ok(()), |thread| {
        Err(FileFault::NoWall {
            internal: thread.designation(),
            major: thread.nominal(),
            hole,
        })
    })
}

fn drill(
    name: &Field<String>,
    (min, max): (Length, Length),
    hole_at: Range<usize>,
) -> Checked<Drill> {
    let Some(name) = name else {
        let middle = (min + max) / 2;
        let found = between(min, max, middle, &Drawer::ALL);
        return found.ok_or((hole_at, FileFault::NoDrill { min, max }));
    };
    let drill = parsed_drill(name)?;
    if min <= drill.diameter && drill.diameter <= max {
        return Ok(drill);
    }
    let fault = FileFault::DrillOutside {
        drill: drill.to_string(),
        diameter: drill.diameter,
        min,
        max,
    };
    Err((name.span(), fault))
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
        return Err((at, FileFault::Countersink { countersink, major }));
    }
    let angle = raw.countersink_angle_deg.as_ref();
    let [from, to] = angle.map_or(USUAL_ANGLE_DEG, |angle| *angle.get_ref());
    // Written so that a number that is none fails too.
    if !(30.0 <= from && from <= to && to <= 150.0) {
        let at = angle.map_or(at, Spanned::span);
        return Err((at, FileFault::Angle { min: from, max: to }));
    }
    Ok(Some(Countersink {
        min,
        max,
        angle_min_deg: from,
        angle_max_deg: to,
    }))
}

fn keys(keys: &Field<i64>) -> Checked<u8> {
    let Some(keys) = keys else {
        return Ok(0);
    };
    match u8::try_from(*keys.get_ref()) {
        Ok(few @ 0..=8) => Ok(few),
        _ => {
            let many = *keys.get_ref();
            Err((keys.span(), FileFault::Keys { keys: many }))
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
        (Some(_), Some(_)) => return Err((outside_at, FileFault::ShearAreaTwice)),
        (Some(area), None) => (area.span(), area.get_ref() * 25.4 * 25.4),
        (None, Some(area)) => (area.span(), *area.get_ref()),
    };
    let most_mm2 = PI * outside.nominal().mm() * length.mm();
    if area_mm2 > 0.0 && area_mm2 <= most_mm2 {
        return Ok(Some(area_mm2));
    }
    Err((at, FileFault::ShearArea { area_mm2, most_mm2 }))
}

fn words(field: &'static str, text: &Field<String>, row: &Range<usize>) -> Checked<String> {
    let (at, text) = said(field, text, row)?;
    short(field, text, at)
}

fn short(field: &'static str, text: &str, at: Range<usize>) -> Checked<String> {
    let text = text.trim();
    let most = MOST_LETTERS;
    if text.is_empty() || text.chars().count() > most {
        return Err((at, FileFault::Words { field, most }));
    }
    Ok(text.to_owned())
}

fn notes(notes: Option<Vec<String>>, row: &Range<usize>) -> Checked<Vec<String>> {
    let notes = notes.unwrap_or_default();
    let short = |note: &String| short("notes", note, row.clone());
    notes.iter().map(short).collect()
}

/// What a shop writes down comes off the card in its hand, unless it says otherwise.
fn confidence(word: &Field<String>) -> Checked<Confidence> {
    let Some(word) = word else {
        return Ok(Confidence::Card);
    };
    let asked = word.get_ref();
    Confidence::from_word(asked).ok_or_else(|| {
        let asked = asked.clone();
        (word.span(), FileFault::Confidence { asked })
    })
}

fn drill_of(raw: RawDrill, line: usize) -> Checked<WireDrill> {
    let thread = thread("thread", raw.thread.get_ref(), &raw.thread.span())?;
    let drill = parsed_drill(&raw.drill)?;
    let (min, max) = wire::window(thread);
    if drill.diameter < min || max < drill.diameter {
        let fault = FileFault::WireDrillOutside {
            drill: drill.to_string(),
            diameter: drill.diameter,
            thread: thread.designation(),
            min,
            max,
        };
        return Err((raw.drill.span(), fault));
    }
    Ok(WireDrill {
        line,
        thread,
        drill,
        source: short("source", raw.source.get_ref(), raw.source.span())?,
        confidence: confidence(&raw.confidence)?,
    })
}

/// The same insert, or a drill for the same thread, stands once.
fn none_twice(file: &InsertFile) -> Result<(), (usize, FileFault)> {
    let mut seen = HashMap::new();
    for row in &file.rows {
        for internal in &row.internal {
            let key = (row.family, *internal, row.outside, row.length);
            if let Some(first) = seen.insert(key, row.line) {
                let fault = FileFault::Twice {
                    family: row.family,
                    internal: internal.designation(),
                    outside: row.outside.designation(),
                    first,
                };
                return Err((row.line, fault));
            }
        }
    }
    let mut drills = HashMap::new();
    for drill in &file.wire_drills {
        if let Some(first) = drills.insert(drill.thread, drill.line) {
            let thread = drill.thread.designation();
            return Err((drill.line, FileFault::DrillTwice { thread, first }));
        }
    }
    Ok(())
}
