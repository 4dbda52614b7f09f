//! Parser for the data files.
//!
//! A file starts with `# ` lines: the title, then source and remarks. The column names and rows
//! follow, with cells separated by `|`. Cells before `||` are the input, cells after it the
//! published values. A `! ` line explains a difference: row | column | ours | reason. `*` as row
//! with `within N` as ours explains all differences of a column up to N.

use std::path::{Path, PathBuf};

/// One published table.
pub struct Table {
    pub name: String,
    pub title: String,
    /// Source and remarks, in one paragraph.
    pub about: String,
    /// Whether ours must equal the published value, not only agree to half of its last place.
    pub exact: bool,
    input_columns: Vec<String>,
    pub published_columns: Vec<String>,
    rows: Vec<Cells>,
    pub explanations: Vec<Explanation>,
}

struct Cells {
    input: Vec<String>,
    published: Vec<String>,
}

/// The reason for a difference between a published value and ours.
pub struct Explanation {
    pub row: String,
    pub column: String,
    pub ours: String,
    pub reason: String,
}

impl Explanation {
    /// Whether it explains this cell with this value of ours.
    pub fn covers(&self, row: &str, column: &str, ours: &str, published: &str) -> bool {
        if self.column != column {
            return false;
        }
        match self.ours.strip_prefix("within ") {
            Some(most) if self.row == "*" => {
                let number = |text: &str| text.parse::<f64>().ok();
                let apart = number(ours)
                    .zip(number(published))
                    .map(|(a, b)| (a - b).abs());
                apart
                    .zip(number(most))
                    .is_some_and(|(apart, most)| apart <= most + 1e-9)
            }
            _ => self.row == row && self.ours == ours,
        }
    }
}

/// One row of a table.
pub struct Row<'a> {
    table: &'a Table,
    cells: &'a Cells,
}

pub fn published_dir() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("published")
}

impl Table {
    pub fn read(name: &str) -> Table {
        let path = published_dir().join("data").join(format!("{name}.txt"));
        let text =
            std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        Table::parse(name, &text)
    }

    pub fn parse(name: &str, text: &str) -> Table {
        let head: Vec<&str> = text.lines().filter_map(|l| l.strip_prefix("# ")).collect();
        let [title, about @ ..] = head.as_slice() else {
            panic!("{name}: the title is missing; add it as the first `# ` line");
        };
        let about = about.join(" ");
        assert!(
            about.contains("Source: "),
            "{name}: the source is missing; add a `# Source: ` line"
        );
        let mut lines = text
            .lines()
            .filter(|l| !l.starts_with(['#', '!']) && !l.is_empty());
        let columns = split_cells(name, lines.next().unwrap_or(""));
        let rows: Vec<Cells> = lines.map(|line| split_cells(name, line)).collect();
        assert!(!rows.is_empty(), "{name}: no rows");
        for row in &rows {
            assert!(
                row.input.len() == columns.input.len()
                    && row.published.len() == columns.published.len(),
                "{name}: row {} has too few or too many cells",
                row.input.join(" ")
            );
        }
        let explanations = text.lines().filter_map(|l| l.strip_prefix("! "));
        Table {
            name: name.to_owned(),
            title: (*title).to_owned(),
            exact: about.contains("Compared exactly."),
            about,
            input_columns: columns.input,
            published_columns: columns.published,
            rows,
            explanations: explanations
                .map(|line| parse_explanation(name, line))
                .collect(),
        }
    }

    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { table: self, cells })
    }
}

fn split_cells(name: &str, line: &str) -> Cells {
    let split = |part: &str| part.split('|').map(|c| c.trim().to_owned()).collect();
    let (input, published) = line
        .split_once("||")
        .unwrap_or_else(|| panic!("{name}: no `||` in `{line}`"));
    Cells {
        input: split(input),
        published: split(published),
    }
}

fn parse_explanation(name: &str, line: &str) -> Explanation {
    let parts: Vec<&str> = line.splitn(4, '|').map(str::trim).collect();
    let [row, column, ours, reason] = parts.as_slice() else {
        panic!("{name}: `{line}` is not row | column | ours | reason");
    };
    assert!(
        reason.len() > 20,
        "{name}: `{reason}` is too short for a reason"
    );
    Explanation {
        row: (*row).to_owned(),
        column: (*column).to_owned(),
        ours: (*ours).to_owned(),
        reason: (*reason).to_owned(),
    }
}

impl Row<'_> {
    /// Returns the input cells joined in one line.
    pub fn key(&self) -> String {
        self.cells.input.join(" ")
    }

    /// Returns an input cell.
    pub fn input(&self, column: &str) -> &str {
        let index = self.table.input_columns.iter().position(|c| c == column);
        &self.cells.input[index.unwrap_or_else(|| self.unknown_column(column))]
    }

    /// Returns a published cell; `-` where nothing is published.
    pub fn published(&self, column: &str) -> &str {
        let index = self
            .table
            .published_columns
            .iter()
            .position(|c| c == column);
        &self.cells.published[index.unwrap_or_else(|| self.unknown_column(column))]
    }

    /// Panics: the column has no comparison.
    pub fn unknown_column(&self, column: &str) -> ! {
        panic!("{}: unknown column `{column}`", self.table.name)
    }
}
