//! How many drills and taps a hole is likely to take. A judgement, and said so where it is shown.

use super::Hardness;
use serde::Serialize;

/// Tools to have at hand for one hole: fewest and most.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Wear {
    /// Drills, or as many sharp points on one drill.
    pub drills: (u8, u8),
    /// Taps; none where the iron must not be tapped.
    pub taps: Option<(u8, u8)>,
    /// Why, each in a sentence.
    pub reasons: Vec<&'static str>,
}

/// What a hole is likely to wear out or break. `hard_skin`: chilled metal at some depth; `interrupted`: the old hole or damage takes part
/// of the circumference away. All of it is a judgement; nothing here was measured.
pub fn wear(hardness: Hardness, hard_skin: bool, interrupted: bool) -> Wear {
    let (mut drills, mut taps, why) = match hardness {
        Hardness::Soft => (
            (1, 1),
            Some((1, 1)),
            "Soft iron is kind to tools, though its sand and graphite dull them.",
        ),
        Hardness::Medium => (
            (1, 2),
            Some((1, 1)),
            "Iron of medium hardness dulls a drill in a few holes.",
        ),
        Hardness::Hard => (
            (2, 3),
            Some((1, 2)),
            "Hard iron takes a drill's corners off within a hole or two, and a dull tap breaks.",
        ),
        Hardness::Chilled => (
            (3, 5),
            None,
            "Chilled iron takes the edge off steel in moments, and no tap cuts it.",
        ),
    };
    let mut reasons = vec![why];
    if hard_skin && hardness != Hardness::Chilled {
        drills.1 += 2;
        taps = taps.map(|(fewest, most)| (fewest, most + 1));
        reasons.push(
            "The hard skin must be ground away first; what is left of it still takes an edge off.",
        );
    }
    if interrupted {
        drills.1 += 1;
        taps = taps.map(|(fewest, most)| (fewest, most + 1));
        reasons.push("A tool that cuts on one side only is hammered by the edge of the old hole, and its corners chip.");
    }
    Wear {
        drills,
        taps,
        reasons,
    }
}
