//! The next question about a hole, with its likely answers and the tools to measure with.

use super::holes::HoleView;
use crate::hole::face_setup::MeasuringTool;
use crate::hole::next_question::{NextQuestion, Topic, next_question, share_decided_by_depth};
use crate::hole::plan::Plan;
use crate::hole::record::{HoleRecord, Quantity, Reading, WantedThread};
use crate::insert::Catalog;
use crate::length::Length;
use crate::notebook::error::NotebookError;
use crate::notebook::{EntryId, HoleEntry, HoleId, Notebook};
use std::collections::BTreeSet;

/// The next question about a hole.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct AskedQuestion {
    /// The question.
    pub question: NextQuestion,
    /// Answers of the holes beside it, the previous one first.
    pub likely: Vec<LikelyAnswer>,
    /// The tools to measure with, the likely one first; empty if nothing is measured.
    pub tools: Vec<MeasuringTool>,
    /// Whether the first tool is there because the likely one might be too coarse to decide.
    pub closer_tool: bool,
    /// The entries that an answer replaces: the reading that is taken more closely, or the fact that
    /// is changed.
    pub replaces: Vec<EntryId>,
}

/// An answer that another hole of the face has.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct LikelyAnswer {
    /// That hole's number.
    pub number: u32,
    /// What to record if it is the same here.
    pub entry: HoleEntry,
}

/// Tools with their usual tolerances: 1/64 in by rule, .001 in by caliper, .002 in by depth gauge,
/// 1/32 in by rod and rule (common practice, no source).
const USUAL_TOOLS: [(&str, i64); 4] = [
    ("6 in rule", 396_875),
    ("caliper", 25_400),
    ("depth gauge", 50_800),
    ("rod and rule", 793_750),
];

impl Notebook {
    /// Returns the next question about a hole, with likely answers; `None` if nothing that could be
    /// asked would change what is done to it. Topics in `skipped` are not asked.
    ///
    /// # Errors
    /// If there is no such hole, or the notebook cannot be read.
    pub fn next_question(
        &self,
        hole: HoleId,
        skipped: &BTreeSet<Topic>,
    ) -> Result<Option<AskedQuestion>, NotebookError> {
        let view = self.hole(hole)?;
        let catalog = self.catalog()?;
        let plan = Plan::of(&view.record, &view.face_record, &catalog);
        self.ask_about(&view, &plan, &catalog, skipped)
    }

    /// The same for a hole that is loaded, with its plan.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn ask_about(
        &self,
        hole: &HoleView,
        plan: &Plan,
        catalog: &Catalog,
        skipped: &BTreeSet<Topic>,
    ) -> Result<Option<AskedQuestion>, NotebookError> {
        let Some(question) = next_question(plan, &hole.record, catalog, skipped) else {
            return Ok(None);
        };
        let beside = [hole.previous, hole.next].into_iter().flatten();
        let beside = beside.map(|id| self.hole(id));
        let beside = beside.collect::<Result<Vec<HoleView>, _>>()?;
        let mut tools = tools(&question, hole, &beside);
        Ok(Some(AskedQuestion {
            likely: likely(&question, &plan.record, &beside),
            closer_tool: prefer_close_enough(&mut tools, &question, hole, plan, catalog),
            tools,
            replaces: replaced(question.topic, &hole.record),
            question,
        }))
    }
}

/// Returns the answers of other holes, each once. A reading that is to be taken more closely has
/// none: it is measured here.
fn likely(question: &NextQuestion, record: &HoleRecord, beside: &[HoleView]) -> Vec<LikelyAnswer> {
    let mut answers: Vec<LikelyAnswer> = Vec::new();
    if question.measure_to.is_some() {
        return answers;
    }
    for other in beside {
        let Some(entry) = answer_of(question.topic, record, other) else {
            continue;
        };
        if answers.iter().all(|answer| !is_same(&answer.entry, &entry)) {
            let number = other.number;
            answers.push(LikelyAnswer { number, entry });
        }
    }
    answers
}

/// Returns what another hole answers, as an entry about this one.
fn answer_of(topic: Topic, record: &HoleRecord, other: &HoleView) -> Option<HoleEntry> {
    let theirs = other.record.wanted.agreed();
    let changed = |change: fn(&mut WantedThread, &WantedThread)| {
        let mut wanted = record.wanted.agreed()?.clone();
        let before = wanted.clone();
        change(&mut wanted, theirs?);
        (wanted != before).then_some(HoleEntry::WantedThread(wanted))
    };
    match topic {
        Topic::Thread => Some(HoleEntry::WantedThread(theirs?.clone())),
        Topic::Through => changed(|mine, theirs| mine.through = theirs.through),
        Topic::BoltGrade => changed(|mine, theirs| mine.bolt = theirs.bolt),
        Topic::Measure(quantity) => {
            let reading = last_reading(&other.record, quantity)?;
            Some(HoleEntry::Reading(Reading {
                instrument: Some(format!("not measured, as hole {}", other.number)),
                ..reading.clone()
            }))
        }
        Topic::Damage | Topic::FaceCut => None,
    }
}

fn is_same(one: &HoleEntry, other: &HoleEntry) -> bool {
    match (one, other) {
        (HoleEntry::Reading(one), HoleEntry::Reading(other)) => {
            one.value == other.value && one.tolerance == other.tolerance
        }
        _ => one == other,
    }
}

fn last_reading(record: &HoleRecord, quantity: Quantity) -> Option<&Reading> {
    let readings = record.readings.iter().rev().map(|entry| &entry.body);
    readings
        .into_iter()
        .find(|reading| reading.quantity == quantity)
}

/// Returns the tools to measure with: first the one that was used for this quantity, here or at the
/// hole beside it, then those of the face's setup, then the others that were used, then the usual ones.
/// For a closer reading, those that are close enough come before all others.
fn tools(question: &NextQuestion, hole: &HoleView, beside: &[HoleView]) -> Vec<MeasuringTool> {
    let quantity = match question.topic {
        Topic::Measure(quantity) => quantity,
        Topic::Damage => Quantity::Bore,
        _ => return Vec::new(),
    };
    let records = std::iter::once(&hole.record).chain(beside.iter().map(|other| &other.record));
    let used = records.flat_map(|record| record.readings.iter().rev());
    let used: Vec<&Reading> = used.map(|entry| &entry.body).collect();
    let (same, others): (Vec<&Reading>, Vec<&Reading>) = used
        .iter()
        .partition(|reading| reading.quantity == quantity);
    let usual = usual_tools(quantity);
    let mut owned: Vec<MeasuringTool> = hole
        .face_record
        .setup
        .tools()
        .into_iter()
        .cloned()
        .collect();
    // Of several tools at hand, the one that suits the quantity.
    owned.sort_by_key(|tool| {
        usual
            .first()
            .is_none_or(|usual| !usual.is_named(&tool.name))
    });
    let tool = |reading: &&Reading| tool_of(reading);
    let mut tools = unique(
        same.iter()
            .filter_map(tool)
            .chain(owned)
            .chain(usual.first().cloned())
            .chain(others.iter().filter_map(tool))
            .chain(usual.iter().cloned()),
    );
    if let Some(measure_to) = question.measure_to {
        let is_close = |tool: &MeasuringTool| tool.tolerance.is_some_and(|it| it <= measure_to);
        tools.sort_by_key(|tool| !is_close(tool));
    }
    tools
}

/// Puts the closest tool of the face's setup first where the likely one would leave open at some likely
/// depth what is done, so that the depth is asked once; returns whether it did.
fn prefer_close_enough(
    tools: &mut [MeasuringTool],
    question: &NextQuestion,
    hole: &HoleView,
    plan: &Plan,
    catalog: &Catalog,
) -> bool {
    let asks_depth = question.topic == Topic::Measure(Quantity::Depth);
    let (Ok(situation), Some(likely)) = (&plan.situation, tools.first()) else {
        return false;
    };
    if !asks_depth || question.measure_to.is_some() || !situation.damage_described {
        return false;
    }
    let tolerance = |tool: &MeasuringTool| tool.tolerance.unwrap_or_default();
    let owned = hole.face_record.setup.tools().into_iter();
    // A depth gauge before a caliper: its foot rests on the face.
    let closer = owned
        .filter(|tool| tool.tolerance.is_some_and(|it| it < tolerance(likely)))
        .min_by_key(|tool| (!tool.name.contains("depth"), tolerance(tool)));
    let Some(closest) = closer else {
        return false;
    };
    let prefers = share_decided_by_depth(situation, catalog, tolerance(likely)) < 1.0;
    if prefers {
        tools.sort_by_key(|tool| tool.name != closest.name);
    }
    prefers
}

fn tool_of(reading: &Reading) -> Option<MeasuringTool> {
    let name = reading.instrument.clone()?;
    let measured = !name.starts_with("not measured");
    measured.then_some(MeasuringTool {
        name,
        tolerance: reading.tolerance,
    })
}

/// Returns the usual tools, the one that suits a quantity first (common practice, no source).
fn usual_tools(quantity: Quantity) -> Vec<MeasuringTool> {
    let first = match quantity {
        Quantity::Depth | Quantity::FullThread | Quantity::FullDiameter | Quantity::Floor => {
            "rod and rule"
        }
        Quantity::Bore | Quantity::MatingHole | Quantity::NeighborDiameter => "caliper",
        _ => "6 in rule",
    };
    let tool = |(name, nm): &(&str, i64)| MeasuringTool {
        name: (*name).to_owned(),
        tolerance: Some(Length::from_nm(*nm)),
    };
    let mut tools: Vec<MeasuringTool> = USUAL_TOOLS.iter().map(tool).collect();
    tools.sort_by_key(|tool| tool.name != first);
    tools
}

/// Returns the first tool of each name.
fn unique(tools: impl Iterator<Item = MeasuringTool>) -> Vec<MeasuringTool> {
    let mut known: Vec<MeasuringTool> = Vec::new();
    for tool in tools {
        if known.iter().all(|other| other.name != tool.name) {
            known.push(tool);
        }
    }
    known
}

/// Returns the entries that an answer replaces.
fn replaced(topic: Topic, record: &HoleRecord) -> Vec<EntryId> {
    match topic {
        Topic::Thread | Topic::Through | Topic::BoltGrade => {
            record.wanted.0.iter().map(|entry| entry.entry).collect()
        }
        Topic::Damage => record.damage.0.iter().map(|entry| entry.entry).collect(),
        Topic::Measure(quantity) => {
            let readings = record.readings.iter();
            let same = readings.filter(|reading| reading.body.quantity == quantity);
            same.map(|reading| reading.entry).collect()
        }
        Topic::FaceCut => Vec::new(),
    }
}
