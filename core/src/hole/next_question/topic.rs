//! What a question is about.

use crate::hole::record::Quantity;
use crate::hole::remedies::MissingReading;
use crate::hole::situation::TolerancedReading;
use std::fmt;

/// What a question is about.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Topic {
    /// The thread of the bolt that goes in.
    Thread,
    /// What is wrong with the hole.
    Damage,
    /// Stock to remove from the face.
    FaceCut,
    /// Blind or through.
    Through,
    /// A reading.
    Measure(Quantity),
    /// The grade of the bolt.
    BoltGrade,
}

impl Topic {
    /// All topics that a hole may be asked about.
    pub const ALL: [Topic; 10] = [
        Topic::Thread,
        Topic::Damage,
        Topic::FaceCut,
        Topic::Through,
        Topic::Measure(Quantity::Depth),
        Topic::Measure(Quantity::Floor),
        Topic::Measure(Quantity::NearestEdge),
        Topic::Measure(Quantity::NearestHole),
        Topic::Measure(Quantity::MatingHole),
        Topic::BoltGrade,
    ];

    /// Returns the topic that a missing reading is about.
    pub(super) const fn of(reading: MissingReading) -> Topic {
        match reading {
            MissingReading::Damage => Topic::Damage,
            MissingReading::FaceCut => Topic::FaceCut,
            MissingReading::Through => Topic::Through,
            MissingReading::Depth => Topic::Measure(Quantity::Depth),
            MissingReading::Floor => Topic::Measure(Quantity::Floor),
            MissingReading::NearestEdge => Topic::Measure(Quantity::NearestEdge),
            MissingReading::NearestHole => Topic::Measure(Quantity::NearestHole),
            MissingReading::MatingHole => Topic::Measure(Quantity::MatingHole),
        }
    }

    /// Returns the topic that a reading is about which is to be taken more closely.
    pub(super) const fn closer(reading: TolerancedReading) -> Topic {
        match reading {
            TolerancedReading::Depth => Topic::Measure(Quantity::Depth),
            TolerancedReading::Floor => Topic::Measure(Quantity::Floor),
            TolerancedReading::NearestEdge => Topic::Measure(Quantity::NearestEdge),
            TolerancedReading::NearestHole => Topic::Measure(Quantity::NearestHole),
            TolerancedReading::MatingHole => Topic::Measure(Quantity::MatingHole),
            TolerancedReading::Diameter(_)
            | TolerancedReading::Offset(_)
            | TolerancedReading::HardZone(_) => Topic::Damage,
        }
    }

    /// Returns its short name for addresses and JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Topic::Thread => "thread",
            Topic::Damage => "damage",
            Topic::FaceCut => "face-cut",
            Topic::Through => "through",
            Topic::Measure(Quantity::Depth) => "depth",
            Topic::Measure(Quantity::Floor) => "floor",
            Topic::Measure(Quantity::NearestEdge) => "nearest-edge",
            Topic::Measure(Quantity::NearestHole) => "nearest-hole",
            Topic::Measure(Quantity::MatingHole) => "mating-hole",
            Topic::Measure(Quantity::Bore) => "bore",
            Topic::Measure(Quantity::Grip) => "grip",
            Topic::Measure(Quantity::FullThread) => "full-thread",
            Topic::Measure(Quantity::FullDiameter) => "full-diameter",
            Topic::Measure(Quantity::NeighborDiameter) => "neighbor-diameter",
            Topic::Measure(Quantity::BoltLength) => "bolt-length",
            Topic::Measure(Quantity::BoltThreadLength) => "bolt-thread-length",
            Topic::BoltGrade => "bolt-grade",
        }
    }

    /// Returns the topic with a short name, of those that a hole may be asked about.
    pub fn from_word(word: &str) -> Option<Topic> {
        Topic::ALL.into_iter().find(|topic| topic.word() == word)
    }
}

/// Formats the topic as an instruction.
impl fmt::Display for Topic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Topic::Thread => "Which bolt goes in?",
            Topic::Damage => "What is wrong with it?",
            Topic::FaceCut => "How much comes off the face?",
            Topic::Through => "Blind or through?",
            Topic::Measure(Quantity::Depth) => "Measure the depth of the hole",
            Topic::Measure(Quantity::Floor) => "Measure the floor under the hole",
            Topic::Measure(Quantity::NearestEdge) => "Measure the distance to the nearest edge",
            Topic::Measure(Quantity::NearestHole) => "Measure the distance to the nearest hole",
            Topic::Measure(Quantity::MatingHole) => "Measure the clearance hole in the mating part",
            Topic::Measure(Quantity::Bore) => "Measure the bore",
            Topic::Measure(Quantity::Grip) => "Measure the grip",
            Topic::Measure(Quantity::FullThread) => "Measure how deep the full thread goes",
            Topic::Measure(Quantity::FullDiameter) => "Measure how deep the full diameter goes",
            Topic::Measure(Quantity::NeighborDiameter) => "Measure the thread in the nearest hole",
            Topic::Measure(Quantity::BoltLength) => "Measure the bolt in hand",
            Topic::Measure(Quantity::BoltThreadLength) => "Measure the thread on the bolt in hand",
            Topic::BoltGrade => "Which grade is the bolt?",
        })
    }
}
