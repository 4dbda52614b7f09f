//! Advice for a cut.

use serde::Serialize;

/// One piece of advice, with reason and source.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Advice {
    /// What to do.
    pub what: &'static str,
    /// Why.
    pub why: &'static str,
    /// Source.
    pub source: &'static str,
}

const JUDGMENT: &str = "judgment";
const PRACTICE: &str = "common practice, no source";
const DRILL_PRESS: &str = "a drill press's manual, secondary source";

/// Returns the advice for an interrupted cut, where damage leaves metal on one side only.
pub const fn interrupted_cut_advice() -> [Advice; 3] {
    [
        Advice {
            what: "Feed by hand at half the rate, with everything clamped.",
            why: "The side that cuts pushes the tool toward the side that cuts air, and each edge of the old hole hits the lips.",
            source: JUDGMENT,
        },
        Advice {
            what: "Use the shortest tool that reaches.",
            why: "A tool half as long deflects an eighth as much under the same side load.",
            source: "computed: deflection of a bar grows with the cube of its length",
        },
        Advice {
            what: "Guide the tap with a tap guide or in the spindle, turned by hand.",
            why: "On the open side the tap has no wall to follow and tilts.",
            source: PRACTICE,
        },
    ]
}

/// Returns the advice for a chilled skin at the mouth.
pub const fn hard_skin_advice() -> [Advice; 2] {
    [
        Advice {
            what: "Grind through the hard skin first, then drill and tap the iron below it.",
            why: "A drill skates on it, and a tap started in it breaks.",
            source: PRACTICE,
        },
        Advice {
            what: "Check with a file before each tool.",
            why: "The skin is uneven in depth. Where the file skates, skin is left.",
            source: PRACTICE,
        },
    ]
}

/// Returns when to sharpen a drill, and what its wear shows.
pub const fn resharpening_advice() -> [Advice; 4] {
    [
        Advice {
            what: "Sharpen at the first squeal, or when chips turn to powder.",
            why: "A dull drill needs more pressure, heats up and wanders.",
            source: PRACTICE,
        },
        Advice {
            what: "Outer corners worn: reduce the speed.",
            why: "The corners run fastest and burn first.",
            source: DRILL_PRESS,
        },
        Advice {
            what: "Lips chipped: reduce the feed, or grind less lip clearance.",
            why: "A thin lip breaks out under a heavy feed.",
            source: DRILL_PRESS,
        },
        Advice {
            what: "Drill split up the center: reduce the feed, or grind more clearance at the center.",
            why: "The center rubs instead of cutting, and the feed splits the drill.",
            source: DRILL_PRESS,
        },
    ]
}
