//! Reads the data files, and compares with them.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::path::Path;

/// One published table: its rows by column name.
pub struct Table {
    name: String,
    columns: Vec<String>,
    rows: Vec<Vec<String>>,
    failures: RefCell<Vec<String>>,
    explained: RefCell<BTreeSet<(String, String)>>,
}

/// One row of it.
pub struct Row<'a> {
    table: &'a Table,
    cells: &'a [String],
}

impl Table {
    pub fn read(name: &str) -> Table {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("published/data")
            .join(format!("{name}.txt"));
        let text =
            std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        assert!(
            text.starts_with("# "),
            "{name}: the source must stand at the head"
        );
        let mut lines = text
            .lines()
            .filter(|l| !l.starts_with("# ") && !l.is_empty());
        let split = |line: &str| {
            line.split('|')
                .map(|c| c.trim().to_owned())
                .collect::<Vec<_>>()
        };
        let columns = split(lines.next().unwrap());
        let rows: Vec<Vec<String>> = lines.map(split).collect();
        assert!(
            rows.iter().all(|r| r.len() == columns.len()),
            "{name}: a row has too few or too many cells"
        );
        Table {
            name: name.to_owned(),
            columns,
            rows,
            failures: RefCell::default(),
            explained: RefCell::default(),
        }
    }

    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        assert!(!self.rows.is_empty(), "{}: empty", self.name);
        self.rows.iter().map(|cells| Row { table: self, cells })
    }

    /// Fails on every difference that `disagrees.txt` does not explain, and on every line there
    /// that explains nothing.
    pub fn finish(self) {
        let mut failures = self.failures.into_inner();
        let explained = self.explained.into_inner();
        if self.name != "disagrees" {
            for known in Table::read("disagrees")
                .rows
                .iter()
                .filter(|r| r[0] == self.name)
            {
                if !explained.contains(&(known[1].clone(), known[2].clone())) {
                    failures.push(format!(
                        "{} {}: listed in disagrees.txt, but agrees",
                        known[1], known[2]
                    ));
                }
            }
        }
        assert!(
            failures.is_empty(),
            "{}:\n{}",
            self.name,
            failures.join("\n")
        );
    }

    fn explains(&self, size: &str, column: &str, ours: f64) -> bool {
        let known = Table::read("disagrees");
        let found = known.rows.iter().any(|r| {
            r[0] == self.name
                && r[1] == size
                && r[2] == column
                && (number(&r[4]) - ours).abs() < 1e-6
                && r[5].len() > 20
        });
        if found {
            self.explained
                .borrow_mut()
                .insert((size.to_owned(), column.to_owned()));
        }
        found
    }
}

impl Row<'_> {
    pub fn text(&self, column: &str) -> &str {
        let index = self.table.columns.iter().position(|c| c == column);
        &self.cells[index.unwrap_or_else(|| panic!("{}: no column {column}", self.table.name))]
    }

    pub fn number(&self, column: &str) -> f64 {
        number(self.text(column))
    }

    /// Ours against the cell, within a tolerance.
    pub fn compare(&self, column: &str, ours: f64, tolerance: f64) {
        let theirs = self.number(column);
        if (ours - theirs).abs() > tolerance + 1e-9
            && !self.table.explains(&self.cells[0], column, ours)
        {
            let failure = format!(
                "{} {column}: published {theirs}, ours {ours}",
                self.cells[0]
            );
            self.table.failures.borrow_mut().push(failure);
        }
    }

    /// Ours against the cell, word for word.
    pub fn same(&self, column: &str, ours: &str) {
        if self.text(column) != ours {
            let failure = format!(
                "{} {column}: published {}, ours {ours}",
                self.cells[0],
                self.text(column)
            );
            self.table.failures.borrow_mut().push(failure);
        }
    }
}

fn number(text: &str) -> f64 {
    text.parse()
        .unwrap_or_else(|_| panic!("`{text}` is not a number"))
}
