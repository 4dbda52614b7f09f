//! How many drills and taps a hole is likely to need. All judgment.

use super::Hardness;
use serde::Serialize;

/// Tools to have ready for one hole, fewest and most.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ToolWear {
    /// Drills, or sharpenings of one drill.
    pub drills: (u8, u8),
    /// Taps; `None` if the iron must not be tapped.
    pub taps: Option<(u8, u8)>,
    /// Reasons, in sentences.
    pub reasons: Vec<&'static str>,
}

/// What a hole takes of a sharp edge if its metal is not known, or is a plug's (judgment).
pub const UNKNOWN_EDGE_SHARE: f64 = 0.25;

/// Returns how much of a sharp edge a hole takes that is likely to need so many tools, fewest and
/// most: a tenth where one tool does many holes, a quarter where a second may be needed, else their
/// mean (judgment; nothing was measured).
pub fn edge_share((fewest, most): (u8, u8)) -> f64 {
    match (fewest, most) {
        (..=1, ..=1) => 0.1,
        (..=1, 2) => 0.25,
        _ => f64::from(fewest + most) / 2.0,
    }
}

/// Estimates the tools that a hole is likely to wear out or break (judgment; nothing was measured).
///
/// `hard_skin`: chilled metal at some depth. `interrupted`: the old hole or damage takes away part
/// of the circumference.
pub fn tool_wear(hardness: Hardness, hard_skin: bool, interrupted: bool) -> ToolWear {
    let (mut drills, mut taps, why) = match hardness {
        Hardness::Soft => (
            (1, 1),
            Some((1, 1)),
            "Soft iron is easy on tools, but sand and graphite dull them.",
        ),
        Hardness::Medium => (
            (1, 2),
            Some((1, 1)),
            "Medium-hard iron dulls a drill in a few holes.",
        ),
        Hardness::Hard => (
            (2, 3),
            Some((1, 2)),
            "Hard iron wears a drill's corners within a hole or two, and a dull tap breaks.",
        ),
        Hardness::Chilled => (
            (3, 5),
            None,
            "Chilled iron dulls steel tools at once, and no tap cuts it.",
        ),
    };
    let mut reasons = vec![why];
    if hard_skin && hardness != Hardness::Chilled {
        drills.1 += 2;
        taps = taps.map(|(fewest, most)| (fewest, most + 1));
        reasons.push("Grind the hard skin away first. What is left of it still dulls tools.");
    }
    if interrupted {
        drills.1 += 1;
        taps = taps.map(|(fewest, most)| (fewest, most + 1));
        reasons.push("In an interrupted cut the edge of the old hole hammers the tool, and its corners chip.");
    }
    ToolWear {
        drills,
        taps,
        reasons,
    }
}
