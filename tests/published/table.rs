//! Reads the data files.
//!
//! A file begins with lines behind `# `: the first is its title, the others say the source and what to know. Then
//! the names of the columns and the rows, cells parted by `|`. What stands before `||` is asked for, what stands
//! behind it is published. A line behind `! ` explains a difference: row, column, ours, and the reason. With `*` for the
//! row and `within N` for ours it explains all of a column that differ by no more than N.

use std::path::{Path, PathBuf};

/// One published table.
pub struct Table {
    pub name: String,
    pub title: String,
    /// Source and remarks, in one paragraph.
    pub about: String,
    /// Whether ours must be the figure itself, as where a standard lays it down, and not only agree to half of the
    /// last place printed.
    pub exactly: bool,
    asked: Vec<String>,
    pub published: Vec<String>,
    rows: Vec<Cells>,
    pub explained: Vec<Explanation>,
}

struct Cells {
    asked: Vec<String>,
    published: Vec<String>,
}

/// Why ours may differ, where, and of which figures of ours that was said.
pub struct Explanation {
    pub row: String,
    pub column: String,
    pub ours: String,
    pub reason: String,
}

impl Explanation {
    /// Whether it speaks of this cell and this figure of ours.
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

pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("published")
}

impl Table {
    pub fn read(name: &str) -> Table {
        let path = folder().join("data").join(format!("{name}.txt"));
        let text =
            std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        Table::from_text(name, &text)
    }

    pub fn from_text(name: &str, text: &str) -> Table {
        let head: Vec<&str> = text.lines().filter_map(|l| l.strip_prefix("# ")).collect();
        let [title, about @ ..] = head.as_slice() else {
            panic!("{name}: a title must stand at the head");
        };
        let about = about.join(" ");
        assert!(
            about.contains("Source: "),
            "{name}: the source must stand at the head, behind `Source: `"
        );
        let mut lines = text
            .lines()
            .filter(|l| !l.starts_with(['#', '!']) && !l.is_empty());
        let columns = cells(name, lines.next().unwrap_or(""));
        let rows: Vec<Cells> = lines.map(|line| cells(name, line)).collect();
        assert!(!rows.is_empty(), "{name}: empty");
        for row in &rows {
            assert!(
                row.asked.len() == columns.asked.len()
                    && row.published.len() == columns.published.len(),
                "{name}: row {} has too few or too many cells",
                row.asked.join(" ")
            );
        }
        let explained = text.lines().filter_map(|l| l.strip_prefix("! "));
        Table {
            name: name.to_owned(),
            title: (*title).to_owned(),
            exactly: about.contains("Compared exactly."),
            about,
            asked: columns.asked,
            published: columns.published,
            rows,
            explained: explained.map(|line| explanation(name, line)).collect(),
        }
    }

    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row { table: self, cells })
    }
}

fn cells(name: &str, line: &str) -> Cells {
    let split = |part: &str| part.split('|').map(|c| c.trim().to_owned()).collect();
    let (asked, published) = line
        .split_once("||")
        .unwrap_or_else(|| panic!("{name}: no `||` in `{line}`"));
    Cells {
        asked: split(asked),
        published: split(published),
    }
}

fn explanation(name: &str, line: &str) -> Explanation {
    let parts: Vec<&str> = line.splitn(4, '|').map(str::trim).collect();
    let [row, column, ours, reason] = parts.as_slice() else {
        panic!("{name}: an explanation wants row | column | ours | reason, not `{line}`");
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
    /// What is asked for, in one line.
    pub fn key(&self) -> String {
        self.cells.asked.join(" ")
    }

    /// One of the cells that are asked for.
    pub fn asked(&self, column: &str) -> &str {
        let index = self.table.asked.iter().position(|c| c == column);
        &self.cells.asked[index.unwrap_or_else(|| self.unknown(column))]
    }

    /// One of the published cells; `-` where nothing is published.
    pub fn published(&self, column: &str) -> &str {
        let index = self.table.published.iter().position(|c| c == column);
        &self.cells.published[index.unwrap_or_else(|| self.unknown(column))]
    }

    /// For a column that nobody knows how to compare.
    pub fn unknown(&self, column: &str) -> ! {
        panic!("{}: nothing is known of column `{column}`", self.table.name)
    }
}
