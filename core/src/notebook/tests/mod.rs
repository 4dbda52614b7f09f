//! Tests of the notebook as a whole.
#![allow(clippy::unwrap_used)]

mod any_order;
mod basics;
mod chunks;
mod drawer;
mod face_cuts;
mod face_setup;
mod faults;
mod inserts;
mod limits;
mod migration;
mod next_question;
mod next_tasks;
mod opening;
pub(crate) mod photos;
mod place_changes;
mod places;
mod query_plans;
mod recent;
mod removed_photos;
mod runs;
mod search;
pub(crate) mod test_clock;
mod undo;
mod unknown;

use super::{CastingBody, FaceBody, FaceId, HoleId, Line, Notebook};
use crate::hole::record::{Quantity, Reading, WantedThread};
use crate::length::Length;
use crate::notebook::HoleEntry;
use crate::thread::Thread;
use rusqlite::types::Value;
use tempfile::TempDir;

/// A notebook in a folder of its own.
pub(crate) struct Bench {
    pub notebook: Notebook,
    pub dir: TempDir,
}

impl Bench {
    pub fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(dir.path()).unwrap();
        Self { notebook, dir }
    }

    /// A casting with one face and `holes` holes.
    pub fn with_holes(holes: u32) -> (Self, FaceId, Vec<HoleId>) {
        let bench = Self::new();
        let (face, holes) = lay_out(&bench.notebook, holes);
        (bench, face, holes)
    }
}

pub(crate) fn lay_out(notebook: &Notebook, holes: u32) -> (FaceId, Vec<HoleId>) {
    let body = CastingBody {
        name: "pump end".into(),
        note: None,
        metal: None,
    };
    let casting = notebook.add_casting(&body).unwrap();
    let body = FaceBody {
        casting,
        name: "cover joint".into(),
        note: None,
    };
    let face = notebook.add_face(&body).unwrap();
    let holes = (0..holes)
        .map(|_| notebook.add_hole(face, None, None).unwrap())
        .collect();
    (face, holes)
}

pub(crate) fn wanted(thread: &str) -> HoleEntry {
    HoleEntry::WantedThread(WantedThread {
        thread: Thread::parse(thread).unwrap(),
        bolt: None,
        through: None,
        pressure: false,
    })
}

pub(crate) fn depth_of(mm: f64) -> HoleEntry {
    HoleEntry::Reading(Reading {
        quantity: Quantity::Depth,
        value: Length::from_mm(mm).unwrap(),
        tolerance: None,
        instrument: Some("depth rod".into()),
    })
}

/// Every line of the journal, each after the one that it names.
pub(crate) fn lines(notebook: &Notebook) -> Vec<Line> {
    let conn = notebook.connection();
    let mut statement = conn
        .prepare("SELECT line FROM entry ORDER BY device, seq")
        .unwrap();
    let lines = statement.query_map([], |row| row.get(0)).unwrap();
    lines
        .map(|line| Line::read(line.unwrap()).unwrap())
        .collect()
}

/// All rows of the derived tables, without this notebook's own row numbers.
pub(crate) fn derived_tables(notebook: &Notebook) -> Vec<(&'static str, Vec<Vec<Value>>)> {
    let conn = notebook.connection();
    let rows = |table: &crate::notebook::rebuild::Table| {
        let sql = match table.name {
            "entry_status" => "SELECT e.id, s.kind, s.slot, s.understood, s.struck_out, s.replaced
                 FROM entry_status s JOIN entry e ON e.n = s.n ORDER BY e.id"
                .to_owned(),
            name => format!("SELECT * FROM {name} ORDER BY {}", table.key),
        };
        let mut statement = conn.prepare(&sql).unwrap();
        let columns = statement.column_count();
        let rows = statement.query_map([], |row| (0..columns).map(|at| row.get(at)).collect());
        rows.unwrap().map(Result::unwrap).collect()
    };
    let tables = super::rebuild::TABLES.iter();
    tables.map(|table| (table.name, rows(table))).collect()
}
