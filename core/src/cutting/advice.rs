//! Advice that goes with a cut: what to do, and why.

use serde::Serialize;

/// One piece of advice with its reason, and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Advice {
    /// What to do.
    pub what: &'static str,
    /// Why.
    pub why: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

const JUDGEMENT: &str = "judgement";
const PRACTICE: &str = "common practice, no source";
const DRILL_PRESS: &str = "a drill press's manual, secondary source";

/// Where the damage covers part of the circumference, so that the tool cuts on one side only.
pub const fn interrupted() -> [Advice; 3] {
    [
        Advice {
            what: "Feed by hand, half as fast, and clamp everything.",
            why: "Where one side cuts air, the other pushes the tool off, and every edge of the old hole is a blow.",
            source: JUDGEMENT,
        },
        Advice {
            what: "Take the shortest tool that reaches.",
            why: "A tool half as long bends an eighth as much under the same side push.",
            source: "computed: bending of a bar grows with the cube of its length",
        },
        Advice {
            what: "Tap with a guide or in the spindle, turned by hand.",
            why: "A tap finds no wall to follow on the open side and leans into it.",
            source: PRACTICE,
        },
    ]
}

/// Where the mouth is chilled.
pub const fn hard_skin() -> [Advice; 2] {
    [
        Advice {
            what: "Grind through the hard skin first, then drill and tap in the iron below it.",
            why: "A drill skates on it, and a tap started in it breaks.",
            source: PRACTICE,
        },
        Advice {
            what: "Try it with a file before each tool.",
            why: "The skin is of uneven depth: where the file slides, it is still there.",
            source: PRACTICE,
        },
    ]
}

/// When to sharpen a drill, and what its wear says.
pub const fn resharpening() -> [Advice; 4] {
    [
        Advice {
            what: "Sharpen at the first squeal, or when powder comes instead of chips.",
            why: "A dull drill is pushed harder, heats and wanders.",
            source: PRACTICE,
        },
        Advice {
            what: "Outer corners worn away: turn slower.",
            why: "The corners run fastest and burn first.",
            source: DRILL_PRESS,
        },
        Advice {
            what: "Edges chipped: feed less, or grind less clearance.",
            why: "A thin edge under a heavy feed breaks out.",
            source: DRILL_PRESS,
        },
        Advice {
            what: "Point split: feed less, or grind more clearance at its centre.",
            why: "The centre rubs instead of cutting, and the feed splits it.",
            source: DRILL_PRESS,
        },
    ]
}
