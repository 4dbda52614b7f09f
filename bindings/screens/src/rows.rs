//! Readings typed or pasted as lines: a hole's number and lengths, one place a line.

use crate::carrier::Request;
use crate::form::FormError;
use crate::form_names::Field;
use holebook_core::length::{Length, Unit};

/// The most lines that are read.
const MOST_LINES: usize = 1_000;

/// One line.
pub struct Row {
    /// The hole's number, if lines begin with one.
    pub hole: u32,
    /// The other hole's number, if lines name two.
    pub other: u32,
    /// The lengths.
    pub lengths: Vec<Length>,
    /// The same, mm.
    pub mm: Vec<f64>,
}

/// How a line looks.
#[derive(Clone, Copy)]
pub struct Layout {
    /// How many numbers of holes it begins with, up to two.
    pub numbers: usize,
    /// How many lengths it has at least.
    pub least: usize,
    /// How many it has at most.
    pub most: usize,
    /// A line as it should be, in words.
    pub sample: &'static str,
}

impl Layout {
    /// A hole with its place.
    pub const HOLE: Layout = Layout {
        numbers: 1,
        least: 2,
        most: 2,
        sample: "hole, X, Y: 7 4.250 1.500",
    };
}

/// Reads the lines of a field. Empty lines are skipped; words are divided by blanks, tabs, or
/// semicolons. A length without a unit is in the reader's.
pub fn read(
    request: &Request,
    unit: Unit,
    field: Field,
    label: &str,
    layout: Layout,
) -> Result<Vec<Row>, FormError> {
    let text = request.field(field).unwrap_or_default();
    let lines = text.lines().zip(1_usize..);
    let lines: Vec<_> = lines.filter(|(line, _)| !line.trim().is_empty()).collect();
    if lines.len() > MOST_LINES {
        let message = format!("more than {MOST_LINES} lines; split the job");
        return Err(FormError::of(field, label, message));
    }
    let read = |(line, number): &(&str, usize)| {
        row(line, layout, unit)
            .map_err(|why| FormError::of(field, label, format!("line {number}: {why}")))
    };
    lines.iter().map(read).collect()
}

fn row(line: &str, layout: Layout, unit: Unit) -> Result<Row, String> {
    let words = line.split(|sign: char| sign.is_whitespace() || sign == ';');
    let mut words = words.filter(|word| !word.is_empty());
    let mut number = |at: usize| match at < layout.numbers {
        false => Ok(0),
        true => {
            let word = words.next().unwrap_or_default();
            let number = word.trim_end_matches([':', '.', ',']).parse();
            number.map_err(|_| format!("\"{word}\" is not a hole number; write {}", layout.sample))
        }
    };
    let (hole, other) = (number(0)?, number(1)?);
    let lengths =
        words.map(|word| Length::parse(word, Some(unit)).map_err(|error| error.to_string()));
    let lengths: Vec<Length> = lengths.collect::<Result<_, String>>()?;
    if !(layout.least..=layout.most).contains(&lengths.len()) {
        return Err(format!(
            "{} lengths found; write {}",
            lengths.len(),
            layout.sample
        ));
    }
    Ok(Row {
        hole,
        other,
        mm: lengths.iter().copied().map(Length::mm).collect(),
        lengths,
    })
}
