//! One table as CSV (RFC 4180), which a spreadsheet opens without harm.

use super::sink::{Failed, Sink};
use crate::csv_text::not_a_formula;
use crate::length::Length;
use chrono::{DateTime, FixedOffset};
use std::fmt::Display;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cells {
    /// Text, a number without a unit, or `yes` and `no`.
    Plain,
    /// A length: two columns, `_mm` and `_in`.
    Length,
}

/// A column, or the two columns of a length.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    /// Its name without the unit.
    pub name: &'static str,
    /// What it holds.
    pub cells: Cells,
    /// What it means.
    pub meaning: &'static str,
}

/// A column of text or numbers.
pub(super) const fn plain(name: &'static str, meaning: &'static str) -> Column {
    Column {
        name,
        cells: Cells::Plain,
        meaning,
    }
}

/// The two columns of a length.
pub(super) const fn length(name: &'static str, meaning: &'static str) -> Column {
    Column {
        name,
        cells: Cells::Length,
        meaning,
    }
}

/// A table: its file, what a row is, and its columns.
#[derive(Debug, Clone, Copy)]
pub(super) struct TableInfo {
    /// The file.
    pub file: &'static str,
    /// What a row is.
    pub rows: &'static str,
    /// The columns.
    pub columns: &'static [Column],
}

impl TableInfo {
    /// Returns the names in the first row.
    pub fn header(&self) -> Vec<String> {
        let names = self.columns.iter().flat_map(|column| match column.cells {
            Cells::Plain => vec![column.name.to_owned()],
            Cells::Length => vec![format!("{}_mm", column.name), format!("{}_in", column.name)],
        });
        names.collect()
    }
}

/// The byte order mark: without it some spreadsheets read names that are not ASCII wrong.
pub(super) const BYTE_ORDER_MARK: &str = "\u{feff}";

/// A table being written.
pub(super) struct Table<'a> {
    csv: csv::Writer<&'a mut dyn Sink>,
}

impl<'a> Table<'a> {
    /// Begins the table's file, and writes its first row.
    pub fn begin(info: &TableInfo, sink: &'a mut dyn Sink) -> Result<Self, Failed> {
        sink.begin(info.file)?;
        sink.write_all(BYTE_ORDER_MARK.as_bytes())?;
        let mut csv = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .from_writer(sink);
        csv.write_record(info.header())?;
        Ok(Self { csv })
    }

    /// Writes a row. It must have the cells of all columns.
    pub fn row(&mut self, row: Row) -> Result<(), Failed> {
        Ok(self.csv.write_record(row.0)?)
    }

    /// Ends the file.
    pub fn end(mut self) -> Result<(), Failed> {
        Ok(self.csv.flush()?)
    }
}

/// The cells of one row, in the order of the columns.
#[derive(Debug, Default)]
pub(super) struct Row(Vec<String>);

impl Row {
    /// Adds a text that a spreadsheet does not take for a formula.
    pub fn text(mut self, text: impl AsRef<str>) -> Self {
        self.0.push(not_a_formula(text.as_ref()));
        self
    }

    /// Adds something that is shown as text; an empty cell if there is nothing.
    pub fn shown(self, value: Option<impl Display>) -> Self {
        self.text(value.map(|value| value.to_string()).unwrap_or_default())
    }

    /// Adds a number.
    pub fn number(mut self, number: Option<impl Into<f64>>) -> Self {
        let number: Option<f64> = number.map(Into::into);
        self.0
            .push(number.map(|it| it.to_string()).unwrap_or_default());
        self
    }

    /// Adds `yes` or `no`.
    pub fn yes(mut self, yes: bool) -> Self {
        self.0.push(if yes { "yes" } else { "no" }.to_owned());
        self
    }

    /// Adds a time as RFC 3339 writes it.
    pub fn time(mut self, at: DateTime<FixedOffset>) -> Self {
        self.0.push(at.to_rfc3339());
        self
    }

    /// Adds the two cells of a length: exact millimeters, and inches to the nearest millionth.
    pub fn length(mut self, length: Option<Length>) -> Self {
        let mm = length.map(|length| decimal(i128::from(length.nm()), 6));
        let inches = length.map(|length| {
            let micro = i128::from(length.nm()) * 10;
            let half = 127 * micro.signum();
            decimal((micro + half) / 254, 6)
        });
        self.0.push(mm.unwrap_or_default());
        self.0.push(inches.unwrap_or_default());
        self
    }
}

/// Writes a whole number of units of the last place as a decimal, without trailing zeros.
fn decimal(units: i128, places: usize) -> String {
    let sign = if units < 0 { "-" } else { "" };
    let digits = format!("{:0>1$}", units.unsigned_abs(), places + 1);
    let (whole, rest) = digits.split_at(digits.len() - places);
    match rest.trim_end_matches('0') {
        "" => format!("{sign}{whole}"),
        rest => format!("{sign}{whole}.{rest}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_exact_in_millimeters_and_rounded_in_inches() {
        let row = |nm| Row::default().length(Some(Length::from_nm(nm))).0;
        assert_eq!(row(9_921_875), ["9.921875", "0.390625"]);
        assert_eq!(row(25_400_000), ["25.4", "1"]);
        assert_eq!(row(-1), ["-0.000001", "0"]);
        // 0.5 mm is 0.019 685 039... in.
        assert_eq!(row(500_000), ["0.5", "0.019685"]);
        assert_eq!(row(-500_000), ["-0.5", "-0.019685"]);
        assert_eq!(row(0), ["0", "0"]);
        assert_eq!(Row::default().length(None).0, ["", ""]);
    }
}
