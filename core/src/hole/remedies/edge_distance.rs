//! Checks of the metal around the hole: edge distance, hole spacing, voids, hard metal, cracks.

use super::candidate::Candidate;
use super::check::{Check, MissingReading, Weight};
use crate::hole::damage::Span;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::length::Length;

const EDGE_LEAST: &str = "half the major diameter and three pitches (design handbook on thread reliefs, secondary source)";
const EDGE_BETTER: &str =
    "1.5 times the outside diameter (engineers' forum on aluminum castings, secondary source)";
const SPACING_LEAST: &str = "the outside diameter and six pitches (judgment)";
const SPACING_BETTER: &str = "2.5 times the outside diameter (from memory)";
const HARD: &str = "a tap does not cut chilled iron: it must be relieved first (judgment)";
const NO_CRACK: &str = "a crack is for a specialist, wherever it runs: a bolt or an insert wedges it open as it is tightened";

/// Appends the checks of edge distance, hole spacing and wall to a void, for a thread larger than
/// the old hole's.
pub(super) fn spacing_checks(
    situation: &Situation,
    candidate: &Candidate,
    checks: &mut Vec<Check>,
) {
    let (major, pitch) = (
        candidate.major,
        Length::from_computed_mm(candidate.pitch_mm),
    );
    let edge = (situation.nearest_edge, MissingReading::NearestEdge);
    let spacing = (situation.nearest_hole, MissingReading::NearestHole);
    let least_edge = major / 2 + pitch * 3;
    let mut add = |name, has, needs, weight, from| {
        checks.push(Check::least_length(name, has, needs, weight, from));
    };
    let (must, preferred) = (Weight::Must, Weight::Preferred);
    let name = ["edge distance", "edge distance, preferred"];
    add(name[0], edge, least_edge, must, EDGE_LEAST);
    add(name[1], edge, major * 3 / 2, preferred, EDGE_BETTER);
    let name = ["hole spacing", "hole spacing, preferred"];
    add(name[0], spacing, major + pitch * 6, must, SPACING_LEAST);
    add(name[1], spacing, major * 5 / 2, preferred, SPACING_BETTER);
    if let Some(wall) = nearest_void(situation) {
        let wall = (Some(wall), MissingReading::Damage);
        let name = "wall to the nearest void";
        add(name, wall, least_edge, preferred, EDGE_LEAST);
    }
}

/// Returns the distance from the intended center to the nearest void: the near side of a circle of
/// missing metal that does not contain that center.
fn nearest_void(situation: &Situation) -> Option<Length> {
    let stations = situation.damage.stations.iter();
    stations
        .filter(|station| !station.upper().contains_center() && !station.lower().contains_center())
        .flat_map(|station| [station.upper(), station.lower()])
        .map(|circle| circle.offset - circle.diameter / 2)
        .min()
}

/// Appends the checks of hard metal in the tapped depth and of a crack.
pub(super) fn obstacle_checks(
    situation: &Situation,
    candidate: &Candidate,
    tapped: Span,
    checks: &mut Vec<Check>,
) {
    let damage = &situation.damage;
    if damage.crack {
        checks.push(Check::most(
            "cracks",
            "",
            (1.0, 0.0),
            Weight::Must,
            NO_CRACK,
        ));
    }
    let cuts = candidate.remedy != Remedy::Leave;
    let hard = damage.hard_within(tapped).mm();
    if cuts && !damage.hard.is_empty() {
        checks.push(Check::most(
            "hard metal in the tapped depth",
            "mm",
            (hard, 0.0),
            Weight::Preferred,
            HARD,
        ));
    }
}
