//! What holes are told apart by: the condition, the next task, its tool, the stage, what is missing.

use crate::labels::sentence_case;
use holebook_core::hole::next::NextAction;
use holebook_core::hole::remedies::MissingReading;
use holebook_core::hole::stage::Stage;
use holebook_core::length::Unit;
use holebook_core::notebook::HoleSummary;
use serde_json::json;

/// A property of a hole that the list is filtered by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Facet {
    /// What a first look said.
    Condition,
    /// What to do next.
    Next,
    /// The tool of the next task.
    Tool,
    /// The stage.
    Stage,
    /// What is not known or decided yet; a hole may lack several things.
    Missing,
}

/// One value of a property.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FacetValue {
    /// Its word in an address.
    pub key: String,
    /// What people read.
    pub label: String,
}

impl Facet {
    /// All of them, in the order of the form.
    pub const ALL: [Facet; 5] = [
        Facet::Condition,
        Facet::Next,
        Facet::Tool,
        Facet::Stage,
        Facet::Missing,
    ];

    /// Its name in an address.
    pub const fn param(self) -> &'static str {
        match self {
            Facet::Condition => "condition",
            Facet::Next => "next",
            Facet::Tool => "tool",
            Facet::Stage => "stage",
            Facet::Missing => "missing",
        }
    }

    /// Its label.
    pub const fn label(self) -> &'static str {
        match self {
            Facet::Condition => "Condition",
            Facet::Next => "Next step",
            Facet::Tool => "Tool",
            Facet::Stage => "Stage",
            Facet::Missing => "Missing",
        }
    }

    /// The values that a hole has.
    pub fn values(self, hole: &HoleSummary, unit: Unit) -> Vec<FacetValue> {
        match self {
            Facet::Condition => {
                let condition = hole.condition.iter();
                condition
                    .map(|condition| FacetValue {
                        key: condition.name().to_owned(),
                        label: sentence_case(condition.label()),
                    })
                    .collect()
            }
            Facet::Next => vec![FacetValue {
                key: task_key(&hole.next.action),
                label: task_label(hole).to_owned(),
            }],
            Facet::Tool => {
                let tool = hole.next.tool.iter();
                tool.map(|tool| FacetValue {
                    key: tool.to_string(),
                    label: tool.show(unit),
                })
                .collect()
            }
            Facet::Stage => vec![FacetValue {
                key: hole.stage.label().to_owned(),
                label: sentence_case(hole.stage.label()),
            }],
            Facet::Missing => missing(hole),
        }
    }
}

/// The next task as a word for an address: that of a step, else that of the action.
pub fn task_key(action: &NextAction) -> String {
    match action {
        NextAction::Step { step, .. } => step.word().to_owned(),
        other => json!(other)["do"].as_str().unwrap_or_default().to_owned(),
    }
}

/// The next task in few words; its tool is named beside it.
pub fn task_label(hole: &HoleSummary) -> &'static str {
    match &hole.next.action {
        NextAction::ResolveConflict => "Resolve conflict",
        NextAction::Measure => "Measure",
        NextAction::DescribeDamage => "Describe damage",
        NextAction::SetThread => "Set thread",
        NextAction::ChooseRemedy => "Choose a remedy",
        NextAction::Crack => "Stop: crack",
        NextAction::ReviewRemedies => "Review remedies",
        NextAction::Step { step, .. } => step.short(),
        NextAction::AtSpecialist => "At the specialist",
        NextAction::Done => "Done",
    }
}

fn missing(hole: &HoleSummary) -> Vec<FacetValue> {
    let value = |key: &str, label: &str| FacetValue {
        key: key.to_owned(),
        label: label.to_owned(),
    };
    let condition = hole.condition.is_none() && hole.stage == Stage::NotMeasured;
    let condition = condition.then(|| value("condition", "First look"));
    let thread = hole.thread.is_none().then(|| value("thread", "Thread"));
    let remedy = hole.remedy.is_none() && hole.next.action != NextAction::Done;
    let remedy = remedy.then(|| value("remedy", "Remedy"));
    let readings = hole.next.missing.iter().map(|reading| {
        let (key, label) = match reading {
            MissingReading::Damage => ("damage", "Damage"),
            MissingReading::FaceCut => ("face-cut", "Stock to remove"),
            MissingReading::Through => ("through", "Blind or through"),
            MissingReading::Depth => ("depth", "Hole depth"),
            MissingReading::Floor => ("floor", "Floor thickness"),
            MissingReading::NearestEdge => ("nearest-edge", "Edge distance"),
            MissingReading::NearestHole => ("nearest-hole", "Nearest hole"),
            MissingReading::MatingHole => ("mating-hole", "Clearance hole"),
        };
        value(key, label)
    });
    let decided = condition.into_iter().chain(thread).chain(remedy);
    decided.chain(readings).collect()
}
