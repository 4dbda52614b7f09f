//! The kit of some holes, and the order of their work.

use super::planned_holes::{LoadedHole, WorkScope, load_holes};
use crate::hole::kit::{HoleName, Kit, OpenHole, PlannedHole};
use crate::hole::next::NextAction;
use crate::hole::steps::{Step, StepKey, StepTool};
use crate::hole::tool_use::{ToolUse, tool_use};
use crate::hole::work_order::{HardHoles, HoleWork, Setup, SetupRun, hole_by_hole, work_order};
use crate::notebook::{Notebook, NotebookError, drawer};
use std::collections::{BTreeMap, BTreeSet};

/// One step in the order of the work.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct OrderedStep {
    /// The hole.
    pub at: HoleName,
    /// The step, with its numbers.
    pub step: Step,
}

/// What is done until the tool is changed.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct OrderRun {
    /// The tool.
    pub tool: StepTool,
    /// Whether it is the cut of a face: once, for all its holes.
    pub is_face_cut: bool,
    /// The steps, in order.
    pub steps: Vec<OrderedStep>,
}

/// The order of the work on some holes.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Default)]
pub struct WorkOrder {
    /// What is done with one tool after the other.
    pub runs: Vec<OrderRun>,
    /// Number of tools in a row that the same work takes hole by hole.
    pub hole_by_hole: u32,
    /// The holes whose work is not in the order, and what comes first.
    pub others: Vec<OpenHole>,
}

impl Notebook {
    /// Returns the kit of some holes: what their open work takes, counted against the drawer. The cost
    /// grows with these holes.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is no such casting or face; also if the notebook cannot be
    /// read.
    pub fn kit(&self, scope: &WorkScope) -> Result<Kit, NotebookError> {
        let catalog = self.catalog()?;
        self.read(|conn| {
            let holes = load_holes(conn, scope, &catalog)?.into_iter();
            let holes: Vec<PlannedHole> = holes.map(|hole| hole.planned).collect();
            Ok(Kit::of(&holes, &drawer::on_hand(conn)?))
        })
    }

    /// Returns how far drills and taps are worn by some holes, the most worn first; see [`tool_use`].
    /// The cost grows with these holes.
    ///
    /// # Errors
    /// As for [`Notebook::kit`].
    pub fn tool_use(&self, scope: &WorkScope) -> Result<Vec<ToolUse>, NotebookError> {
        let catalog = self.catalog()?;
        self.read(|conn| {
            let holes = load_holes(conn, scope, &catalog)?;
            let holes = holes
                .iter()
                .map(|hole| (&hole.planned.at, &hole.planned.plan));
            Ok(tool_use(holes, &drawer::renewed(conn)?))
        })
    }

    /// Returns the order of the work on some holes that changes tools least. The cost grows with these
    /// holes.
    ///
    /// # Errors
    /// As for [`Notebook::kit`].
    pub fn work_order(
        &self,
        scope: &WorkScope,
        hard: HardHoles,
    ) -> Result<WorkOrder, NotebookError> {
        let catalog = self.catalog()?;
        self.read(|conn| {
            let holes = load_holes(conn, scope, &catalog)?;
            Ok(Ordering::of(holes).order(hard))
        })
    }
}

/// The holes whose next action is a step, with their open steps, and the others.
struct Ordering {
    holes: Vec<(LoadedHole, Vec<Step>)>,
    others: Vec<OpenHole>,
}

impl Ordering {
    fn of(all: Vec<LoadedHole>) -> Ordering {
        let (mut holes, mut others) = (Vec::new(), Vec::new());
        for mut hole in all {
            match hole.planned.plan.next {
                NextAction::Done => {}
                NextAction::Step { .. } => {
                    let steps = std::mem::take(&mut hole.planned.plan.steps);
                    holes.push((hole, open_steps(steps)));
                }
                ref next => others.push(OpenHole {
                    at: hole.planned.at.clone(),
                    why: next.to_string(),
                }),
            }
        }
        Ordering { holes, others }
    }

    fn order(self, hard: HardHoles) -> WorkOrder {
        let tools = tools(self.holes.iter().flat_map(|(_, steps)| steps));
        let mut faces = BTreeMap::new();
        let work: Vec<HoleWork> = self
            .holes
            .iter()
            .map(|(hole, steps)| {
                let new = faces.len();
                let face = *faces.entry(hole.planned.at.face).or_insert(new);
                hole_work(hole, steps, face, &tools)
            })
            .collect();
        let plain = hole_by_hole(&work).len();
        let runs = work_order(&work, hard).into_iter();
        WorkOrder {
            runs: runs.filter_map(|run| self.run(&run)).collect(),
            hole_by_hole: u32::try_from(plain).unwrap_or(u32::MAX),
            others: self.others,
        }
    }

    fn run(&self, run: &SetupRun) -> Option<OrderRun> {
        let steps: Vec<OrderedStep> = run
            .steps
            .iter()
            .map(|at| {
                let (hole, steps) = &self.holes[at.hole];
                OrderedStep {
                    at: hole.planned.at.clone(),
                    step: steps[at.step].clone(),
                }
            })
            .collect();
        Some(OrderRun {
            tool: steps.first()?.step.tool.clone(),
            is_face_cut: matches!(run.setup, Setup::FaceCut(_)),
            steps,
        })
    }
}

/// Returns the open steps of a hole in the order in which they are done. An insert that is installed
/// already went in before the face cut on purpose: its keys are staked before the cut, not after.
fn open_steps(steps: Vec<Step>) -> Vec<Step> {
    let installed = steps
        .iter()
        .any(|step| step.key == StepKey::Install && step.done.is_some());
    let mut open: Vec<Step> = steps
        .into_iter()
        .filter(|step| step.done.is_none())
        .collect();
    let cut = open.iter().position(|step| step.key == StepKey::FaceCut);
    if let Some(cut) = cut.filter(|_| installed) {
        let cut = open.remove(cut);
        let last = open.iter().position(|step| step.key == StepKey::FinalCheck);
        open.insert(last.unwrap_or(open.len()), cut);
    }
    open
}

/// Returns the tools in the order in which the work needs them first.
fn tools<'a>(steps: impl Iterator<Item = &'a Step>) -> BTreeMap<String, usize> {
    let mut first: BTreeMap<&str, usize> = BTreeMap::new();
    for step in steps {
        let place = StepKey::ALL.iter().position(|key| *key == step.key);
        let place = place.unwrap_or(StepKey::ALL.len());
        let known = first.entry(&step.tool.word).or_insert(place);
        *known = place.min(*known);
    }
    let sorted: BTreeSet<(usize, &str)> = first
        .into_iter()
        .map(|(word, place)| (place, word))
        .collect();
    let words = sorted.into_iter().map(|(_, word)| word.to_owned());
    words.zip(0..).collect()
}

fn hole_work(
    hole: &LoadedHole,
    steps: &[Step],
    face: usize,
    tools: &BTreeMap<String, usize>,
) -> HoleWork {
    let situation = hole.planned.plan.situation.as_ref().ok();
    let setup = |step: &Step| match step.key {
        StepKey::FaceCut => Setup::FaceCut(face),
        _ => Setup::Tool(tools.get(&step.tool.word).copied().unwrap_or(tools.len())),
    };
    HoleWork {
        face,
        number: hole.planned.at.number,
        at: hole.position,
        hard: situation.is_some_and(|situation| !situation.damage.hard.is_empty()),
        steps: steps.iter().map(setup).collect(),
    }
}
