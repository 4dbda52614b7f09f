//! The order of the work on many holes: in which order which tool does which steps, so that tools are
//! changed least.
//!
//! Each hole's own steps keep their order, and a face is cut once, after everything that belongs before
//! it at any of its holes: so nothing is installed before. Which holes of a run come first is
//! [`run_order`]'s.

use super::run_order::{Stop, run_order};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// When holes with hard metal get their turn with each tool.
#[derive(
    holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum HardHoles {
    /// After the others, since hard metal dulls the tool.
    #[default]
    Last,
    /// Before the others, while the tool is sharp.
    First,
}

/// What a step takes: a tool that any hole may share, or the cut of a face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Setup {
    /// A tool, numbered in the order in which the work needs tools.
    Tool(usize),
    /// The cut of a face, for all its holes at once.
    FaceCut(usize),
}

/// A hole with the steps that are left on it.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleWork {
    /// Number of its face.
    pub face: usize,
    /// Its number on that face.
    pub number: u32,
    /// Its position, in the unit of its face; `None`: not known.
    pub at: Option<(f64, f64)>,
    /// Whether it has hard metal.
    pub hard: bool,
    /// What each open step takes, first to last.
    pub steps: Vec<Setup>,
}

/// One step at one hole, by their indices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct StepAt {
    /// The hole.
    pub hole: usize,
    /// The step among those that are left on it.
    pub step: usize,
}

/// What is done in one setup, until the tool is changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetupRun {
    /// The setup.
    pub setup: Setup,
    /// Its steps, in order. The steps of a face cut are one cut.
    pub steps: Vec<StepAt>,
}

/// Most states of the work that are followed at once. With fewer different holes than fill it, the order
/// has the fewest tool changes that there are.
const MOST_STATES: usize = 256;

/// Returns the order of the work with few tool changes: never more than hole by hole.
pub fn work_order(holes: &[HoleWork], hard: HardHoles) -> Vec<SetupRun> {
    let setups = fewest_changes(holes);
    let ours = runs(holes, &setups, hard);
    let plain = hole_by_hole(holes);
    if ours.len() <= plain.len() {
        ours
    } else {
        plain
    }
}

/// Returns the work hole by hole: of each face what belongs before its cut, the cut, and the rest.
pub fn hole_by_hole(holes: &[HoleWork]) -> Vec<SetupRun> {
    let mut order: Vec<SetupRun> = Vec::new();
    let faces: BTreeSet<usize> = holes.iter().map(|hole| hole.face).collect();
    for face in faces {
        let of_face = || (0..holes.len()).filter(|hole| holes[*hole].face == face);
        let cut = Setup::FaceCut(face);
        for after in [false, true] {
            for hole in of_face() {
                let steps = &holes[hole].steps;
                let cut_at = steps.iter().position(|setup| *setup == cut);
                for (step, setup) in steps.iter().enumerate() {
                    if *setup != cut && cut_at.is_some_and(|at| step > at) == after {
                        push(&mut order, *setup, StepAt { hole, step });
                    }
                }
            }
            for hole in of_face().filter(|_| !after) {
                if let Some(step) = holes[hole].steps.iter().position(|setup| *setup == cut) {
                    push(&mut order, cut, StepAt { hole, step });
                }
            }
        }
    }
    order
}

fn push(order: &mut Vec<SetupRun>, setup: Setup, at: StepAt) {
    match order.last_mut().filter(|run| run.setup == setup) {
        Some(run) => run.steps.push(at),
        None => order.push(SetupRun {
            setup,
            steps: vec![at],
        }),
    }
}

/// The holes that need the same setups in the same order on the same face.
struct Alike<'a> {
    face: usize,
    steps: &'a [Setup],
}

/// How many steps of each kind of hole are done.
type State = Vec<usize>;

/// Returns the setups in an order with few changes that does all steps.
///
/// It follows the work breadth first, one setup at a time, so that the first state in which all is done
/// took the fewest setups. Doing everything that a setup can do, once it is there, is never worse than
/// leaving some of it for later.
fn fewest_changes(holes: &[HoleWork]) -> Vec<Setup> {
    let kinds: BTreeSet<(usize, &[Setup])> = holes
        .iter()
        .map(|hole| (hole.face, hole.steps.as_slice()))
        .collect();
    let alike: Vec<Alike<'_>> = kinds
        .into_iter()
        .map(|(face, steps)| Alike { face, steps })
        .collect();
    // Each state with the setups that led to it.
    let mut states: BTreeMap<State, Vec<Setup>> = BTreeMap::new();
    states.insert(vec![0; alike.len()], Vec::new());
    loop {
        let done = states.iter().find(|(state, _)| is_done(&alike, state));
        if let Some((_, setups)) = done {
            return setups.clone();
        }
        let mut next: BTreeMap<State, Vec<Setup>> = BTreeMap::new();
        for (state, setups) in &states {
            for setup in possible(&alike, state) {
                let mut setups = setups.clone();
                setups.push(setup);
                let known = next.entry(advance(&alike, state, setup));
                // Of ways to one state, the one in the order of the work.
                let best = known.or_insert_with(|| setups.clone());
                if setups < *best {
                    *best = setups;
                }
            }
        }
        if next.is_empty() {
            // Steps that wait for each other, which no plan has.
            return Vec::new();
        }
        states = farthest(&alike, next);
    }
}

fn is_done(alike: &[Alike<'_>], state: &State) -> bool {
    alike
        .iter()
        .zip(state)
        .all(|(kind, done)| *done == kind.steps.len())
}

/// Returns the setups that can do a step now, in the order of the work.
fn possible(alike: &[Alike<'_>], state: &State) -> BTreeSet<Setup> {
    let next = alike.iter().zip(state);
    let next = next.filter_map(|(kind, done)| kind.steps.get(*done).copied());
    next.filter(|setup| match setup {
        Setup::Tool(_) => true,
        Setup::FaceCut(face) => face_is_ready(alike, state, *face),
    })
    .collect()
}

/// Returns whether nothing is left that belongs before the cut of a face.
fn face_is_ready(alike: &[Alike<'_>], state: &State, face: usize) -> bool {
    let of_face = alike
        .iter()
        .zip(state)
        .filter(|(kind, _)| kind.face == face);
    of_face
        .filter_map(|(kind, done)| {
            let left = &kind.steps[*done..];
            left.iter().position(|setup| *setup == Setup::FaceCut(face))
        })
        .all(|ahead| ahead == 0)
}

/// Returns the state after a setup did all that it can do.
fn advance(alike: &[Alike<'_>], state: &State, setup: Setup) -> State {
    let kinds = alike.iter().zip(state);
    kinds
        .map(|(kind, done)| {
            let left = kind.steps[*done..].iter();
            done + left.take_while(|next| **next == setup).count()
        })
        .collect()
}

/// Keeps the states in which the fewest tool changes are left hole by hole.
fn farthest(
    alike: &[Alike<'_>],
    states: BTreeMap<State, Vec<Setup>>,
) -> BTreeMap<State, Vec<Setup>> {
    if states.len() <= MOST_STATES {
        return states;
    }
    let left = |state: &State| -> usize {
        let kinds = alike.iter().zip(state);
        kinds.map(|(kind, done)| kind.steps.len() - done).sum()
    };
    let mut all: Vec<(State, Vec<Setup>)> = states.into_iter().collect();
    all.sort_by_cached_key(|(state, _)| left(state));
    all.truncate(MOST_STATES);
    all.into_iter().collect()
}

/// Returns the runs of setups in this order, each with all steps that it can do.
fn runs(holes: &[HoleWork], setups: &[Setup], hard: HardHoles) -> Vec<SetupRun> {
    let visited = visiting_order(holes, hard);
    let mut done = vec![0; holes.len()];
    let mut order = Vec::with_capacity(setups.len());
    for setup in setups {
        let mut steps = Vec::new();
        for &hole in &visited {
            while holes[hole].steps.get(done[hole]) == Some(setup) {
                steps.push(StepAt {
                    hole,
                    step: done[hole],
                });
                done[hole] += 1;
            }
        }
        order.push(SetupRun {
            setup: *setup,
            steps,
        });
    }
    order
}

/// Returns the order in which each tool visits the holes: face by face, the nearest one next, hard ones
/// last or first in all.
fn visiting_order(holes: &[HoleWork], hard: HardHoles) -> Vec<usize> {
    let faces: BTreeSet<usize> = holes.iter().map(|hole| hole.face).collect();
    let mut order = Vec::with_capacity(holes.len());
    for face in faces {
        let of_face: Vec<usize> = (0..holes.len())
            .filter(|hole| holes[*hole].face == face)
            .collect();
        let stops: Vec<Stop> = of_face
            .iter()
            .map(|hole| stop(&holes[*hole], hard))
            .collect();
        order.extend(run_order(&stops).into_iter().map(|index| of_face[index]));
    }
    let is_late = |hole: &usize| stop(&holes[*hole], hard).hard;
    order.sort_by_key(is_late);
    order
}

/// Returns a hole as a stop. [`run_order`] visits hard ones last, so where they are wanted first the
/// others pass for hard.
fn stop(hole: &HoleWork, hard: HardHoles) -> Stop {
    Stop {
        number: hole.number,
        at: hole.at,
        hard: hole.hard == (hard == HardHoles::Last),
    }
}

#[cfg(test)]
mod tests;
