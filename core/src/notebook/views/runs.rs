//! Tool runs: which tools the open steps of a face's or casting's holes need next, and for each tool
//! the holes that want it.

use super::faces::{photos_of, where_marked};
use crate::hole::caution::Caution;
use crate::hole::next::NextAction;
use crate::hole::plan::Plan;
use crate::hole::record::FaceRecord;
use crate::hole::run_order::{Stop, run_order};
use crate::hole::steps::{
    NotAsPlanned, Step, StepKey, StepTool, blocked_by, cautions as cautions_of,
};
use crate::insert::Catalog;
use crate::length::Unit;
use crate::notebook::error::{Fault, NotebookError};
use crate::notebook::planned::PlannedRecord;
use crate::notebook::{CastingId, FaceId, HoleId, Notebook, load};
use rusqlite::Connection;
use std::collections::BTreeMap;

/// A hole in a list of runs.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct RunHole {
    /// Its id.
    pub hole: HoleId,
    /// Its number.
    pub number: u32,
    /// Its face.
    pub face: FaceId,
    /// That face's name.
    pub face_name: String,
}

/// A hole that wants the tool now.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct ReadyHole {
    /// The hole.
    pub at: RunHole,
    /// The step, with its numbers.
    pub step: Step,
    /// What one tap records, the usual way first; empty if a value has to be measured.
    pub ways: Vec<PlannedRecord>,
}

/// A hole that will want the tool, and what comes first.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct WaitingHole {
    /// The hole.
    pub at: RunHole,
    /// What has to be done first, as a short instruction. Lengths are in both units.
    pub first: String,
}

/// One tool, and the holes that want it.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct ToolRun {
    /// The tool.
    pub tool: StepTool,
    /// The holes that want it now, in the order of [`run_order`]; those of one face together.
    pub ready: Vec<ReadyHole>,
    /// The holes that will want it.
    pub waiting: Vec<WaitingHole>,
    /// Number of holes that it is done with.
    pub done: u32,
    /// The cautions of all steps that are ready, each once.
    pub cautions: Vec<Caution>,
}

impl ToolRun {
    /// Returns whether any hole still wants it.
    pub fn is_open(&self) -> bool {
        !self.ready.is_empty() || !self.waiting.is_empty()
    }
}

/// The runs of a face or casting.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Default)]
pub struct ToolRuns {
    /// The runs, in the order of the work; also those that are done.
    pub runs: Vec<ToolRun>,
    /// The holes whose next step is the face cut.
    pub before_face_cut: Vec<RunHole>,
    /// The holes whose next action is none of the steps, and what it is.
    pub others: Vec<WaitingHole>,
}

impl Notebook {
    /// Returns the tool runs of a face. Lengths that one tap records are those shown in `unit`. The
    /// cost grows with the holes of the face.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is no such face; also if the notebook cannot be read.
    pub fn tool_runs(&self, face: FaceId, unit: Unit) -> Result<ToolRuns, NotebookError> {
        let catalog = self.catalog()?;
        self.read(|conn| {
            crate::notebook::require::face(conn, face)?;
            let mut all = RunsOf::new(unit, &catalog);
            all.add_face(conn, face)?;
            Ok(all.finish())
        })
    }

    /// Returns the tool runs of all faces of a casting. The cost grows with its holes.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is no such casting; also if the notebook cannot be read.
    pub fn tool_runs_of_casting(
        &self,
        casting: CastingId,
        unit: Unit,
    ) -> Result<ToolRuns, NotebookError> {
        let catalog = self.catalog()?;
        self.read(|conn| {
            if load::casting(conn, casting)?.0.is_empty() {
                return Err(Fault::no_such("casting", casting));
            }
            let mut all = RunsOf::new(unit, &catalog);
            for face in super::castings::faces_of(conn, casting)? {
                all.add_face(conn, face.id)?;
            }
            Ok(all.finish())
        })
    }
}

/// Collects the runs of faces.
struct RunsOf<'c> {
    unit: Unit,
    catalog: &'c Catalog,
    /// By the place of their first step in the work, and their tool's name.
    runs: BTreeMap<(usize, String), ToolRun>,
    before_face_cut: Vec<RunHole>,
    others: Vec<WaitingHole>,
}

/// A hole of a face with its plan.
struct PlannedHole {
    at: RunHole,
    plan: Plan,
}

impl<'c> RunsOf<'c> {
    fn new(unit: Unit, catalog: &'c Catalog) -> RunsOf<'c> {
        RunsOf {
            unit,
            catalog,
            runs: BTreeMap::new(),
            before_face_cut: Vec::new(),
            others: Vec::new(),
        }
    }

    fn add_face(&mut self, conn: &Connection, face: FaceId) -> Result<(), Fault> {
        let facts = load::face_on_casting(conn, face)?;
        let name = facts.details.0.first().map(|face| face.body.name.clone());
        let name = name.unwrap_or_default();
        let marked = where_marked(&photos_of(conn, face)?);
        let mut holes = Vec::new();
        let mut stops = Vec::new();
        for hole in super::holes_of(conn, face)? {
            let record = load::hole(conn, hole.id)?.record;
            let plan = Plan::of_chosen(&record, &facts.record, self.catalog);
            stops.push(stop(hole.number, marked.get(&hole.id), &plan));
            let at = RunHole {
                hole: hole.id,
                number: hole.number,
                face,
                face_name: name.clone(),
            };
            holes.push(PlannedHole { at, plan });
        }
        for index in run_order(&stops) {
            self.add_hole(&holes[index], &facts.record);
        }
        Ok(())
    }

    fn add_hole(&mut self, hole: &PlannedHole, face: &FaceRecord) {
        let plan = &hole.plan;
        let is_step = match plan.next {
            NextAction::Step {
                step: StepKey::FaceCut,
                ..
            } => {
                self.before_face_cut.push(hole.at.clone());
                true
            }
            NextAction::Step { .. } => true,
            NextAction::Done => return self.add_done(hole),
            _ => {
                self.others.push(WaitingHole {
                    at: hole.at.clone(),
                    first: plan.next.to_string(),
                });
                false
            }
        };
        for (index, step) in plan.steps.iter().enumerate() {
            if step.key != StepKey::FaceCut {
                self.add_step(hole, face, index, is_step);
            }
        }
    }

    fn add_done(&mut self, hole: &PlannedHole) {
        for step in &hole.plan.steps {
            if step.key != StepKey::FaceCut {
                self.run(step).done += 1;
            }
        }
    }

    fn add_step(&mut self, hole: &PlannedHole, face: &FaceRecord, index: usize, is_step: bool) {
        let step = &hole.plan.steps[index];
        let at = hole.at.clone();
        let first = match blocked_by(&hole.plan.steps, index) {
            Some(earlier) => Some(earlier.title.clone()),
            None if is_step => None,
            None => Some(hole.plan.next.to_string()),
        };
        if step.done.is_some() {
            self.run(step).done += 1;
            return;
        }
        let planned = hole.plan.as_planned(face, step.key, self.unit);
        let (ways, first) = match (planned, first) {
            (_, Some(first)) => (Vec::new(), Some(first)),
            (Err(NotAsPlanned::OutOfOrder(why)), None) => (Vec::new(), Some(why)),
            (planned, None) => (planned.unwrap_or_default(), None),
        };
        let work = hole.plan.work(face);
        let cautions = work.map(|work| cautions_of(step.key, &work));
        let run = self.run(step);
        if let Some(first) = first {
            run.waiting.push(WaitingHole { at, first });
            return;
        }
        for caution in cautions.unwrap_or_else(|| step.cautions.clone()) {
            if !run.cautions.contains(&caution) {
                run.cautions.push(caution);
            }
        }
        run.ready.push(ReadyHole {
            at,
            step: step.clone(),
            ways: ways.into_iter().map(PlannedRecord::from).collect(),
        });
    }

    /// Returns the run of a step's tool. A drill in the chuck drills plugs too, so a run is found by
    /// its tool, and stands where it is needed first.
    fn run(&mut self, step: &Step) -> &mut ToolRun {
        let place = StepKey::ALL.iter().position(|key| *key == step.key);
        let word = &step.tool.word;
        let known = self.runs.keys().find(|(_, known)| known == word).cloned();
        let key = known.unwrap_or((place.unwrap_or(StepKey::ALL.len()), word.clone()));
        self.runs.entry(key).or_insert_with(|| ToolRun {
            tool: step.tool.clone(),
            ready: Vec::new(),
            waiting: Vec::new(),
            done: 0,
            cautions: Vec::new(),
        })
    }

    fn finish(self) -> ToolRuns {
        ToolRuns {
            runs: self.runs.into_values().collect(),
            before_face_cut: self.before_face_cut,
            others: self.others,
        }
    }
}

/// Returns a hole as a stop of a tool.
fn stop(number: u32, at: Option<&(f64, f64)>, plan: &Plan) -> Stop {
    let situation = plan.situation.as_ref().ok();
    Stop {
        number,
        at: at.copied(),
        hard: situation
            .is_some_and(|situation| situation.may_be_hard || !situation.damage.hard.is_empty()),
    }
}
