//! The setup of a face: what its holes have in common, and the measuring tools in use.
//!
//! A hole takes over each value of the setup that it has no entry of its own for (see
//! [`inherit`](super::inherit)). Such a usual value is a person's word for the whole face: nobody
//! measured it at the hole.
//!
//! Each value is an entry of its own, so that a change of one leaves the others as old as they are:
//! a usual depth counts from the face as it was when that depth was recorded.

use super::record::{FactEntries, Quantity, Reading, Recorded, WantedThread};
use crate::id::EntryId;
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// The thread that the face's holes are to have.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct UsualThread {
    /// The thread and its bolt.
    pub wanted: WantedThread,
}

/// A value that is the same at the face's holes; one of [`USUAL_QUANTITIES`].
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct UsualReading {
    /// The value, with the tolerance that covers all holes.
    pub reading: Reading,
}

/// The quantities that a face can have a usual value of.
pub const USUAL_QUANTITIES: [Quantity; 6] = [
    Quantity::Depth,
    Quantity::Floor,
    Quantity::NearestEdge,
    Quantity::NearestHole,
    Quantity::Grip,
    Quantity::MatingHole,
];

/// A measuring tool.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeasuringTool {
    /// Its name, as a reading gives it.
    pub name: String,
    /// Tolerance of what is measured with it, plus or minus; `None`: not given.
    #[serde(rename = "tolerance_mm", default)]
    pub tolerance: Option<Length>,
}

/// The measuring tools in use on a face.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct MeasuringTools {
    /// The tools, in the order in which they are offered.
    pub tools: Vec<MeasuringTool>,
}

/// The most tools of one face.
pub const MOST_TOOLS: usize = 40;

/// The active entries of a face's setup.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Default)]
pub struct FaceSetup {
    /// The usual thread.
    pub thread: FactEntries<WantedThread>,
    /// The usual values, in journal order.
    pub readings: Vec<Recorded<Reading>>,
    /// The measuring tools.
    pub tools: FactEntries<MeasuringTools>,
}

impl FaceSetup {
    /// Returns whether nothing is set up.
    pub fn is_empty(&self) -> bool {
        self.thread.0.is_empty() && self.readings.is_empty() && self.tools.0.is_empty()
    }

    /// Returns whether entries give different usual threads, or different values of one quantity.
    /// Tools never disagree: all of them are offered.
    pub fn differs(&self) -> bool {
        let values_differ = |quantity: &Quantity| {
            let mut usual = self.usual(*quantity).map(|usual| usual.body.value);
            let first = usual.next();
            usual.any(|value| Some(value) != first)
        };
        self.thread.differ() || USUAL_QUANTITIES.iter().any(values_differ)
    }

    /// Returns whether an entry is the face's, so that a hole's value from it is inherited.
    pub fn gave(&self, entry: EntryId) -> bool {
        let mut threads = self.thread.0.iter();
        let mut readings = self.readings.iter();
        threads.any(|thread| thread.entry == entry)
            || readings.any(|reading| reading.entry == entry)
    }

    /// Returns the usual values of a quantity: none, one, or several that were recorded without
    /// knowing of each other.
    pub fn usual(&self, quantity: Quantity) -> impl Iterator<Item = &Recorded<Reading>> {
        let readings = self.readings.iter();
        readings.filter(move |reading| reading.body.quantity == quantity)
    }

    /// Returns the tools to offer: those of all active entries, each name once.
    pub fn tools(&self) -> Vec<&MeasuringTool> {
        let mut offered: Vec<&MeasuringTool> = Vec::new();
        for tool in self.tools.0.iter().flat_map(|entry| &entry.body.tools) {
            if !offered.iter().any(|other| other.is_named(&tool.name)) {
                offered.push(tool);
            }
        }
        offered
    }

    /// Returns the tool of a name, ignoring case.
    pub fn tool(&self, name: &str) -> Option<&MeasuringTool> {
        self.tools().into_iter().find(|tool| tool.is_named(name))
    }

    /// Returns a reading with the tolerance of its tool, if it gives none and the tool is in use.
    pub fn complete(&self, reading: Reading) -> Reading {
        let tool = reading.instrument.as_deref();
        completed(tool.and_then(|name| self.tool(name)), reading)
    }
}

impl MeasuringTools {
    /// Returns a reading with the tolerance of its tool, if it gives none and the tool is in use.
    pub fn complete(&self, reading: Reading) -> Reading {
        let name = reading.instrument.as_deref();
        let tool = name.and_then(|name| self.tools.iter().find(|tool| tool.is_named(name)));
        completed(tool, reading)
    }
}

fn completed(tool: Option<&MeasuringTool>, reading: Reading) -> Reading {
    let of_tool = tool.and_then(|tool| tool.tolerance);
    Reading {
        tolerance: reading.tolerance.or(of_tool),
        ..reading
    }
}

impl MeasuringTool {
    /// Returns whether a name is this tool's, ignoring case and spaces around it.
    pub fn is_named(&self, name: &str) -> bool {
        let plain = |name: &str| name.trim().to_lowercase();
        plain(&self.name) == plain(name)
    }
}
