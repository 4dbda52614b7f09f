//! Room for the outside thread: to the edge, to the next hole, to a void beside, and past hard metal.

use super::candidate::Candidate;
use super::check::{Check, Lack, Weight};
use crate::hole::damage::Span;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::length::Length;

const EDGE_LEAST: &str = "half the major diameter and three pitches (design handbook on thread reliefs, secondary source)";
const EDGE_BETTER: &str =
    "1.5 times the outside diameter (forum of engineers on aluminium castings, secondary source)";
const SPACING_LEAST: &str = "outside diameter and six pitches (judgement)";
const SPACING_BETTER: &str = "2.5 times the outside diameter (from memory)";
const HARD: &str = "a tap does not cut chilled iron: it must be relieved first (judgement)";
const NO_CRACK: &str = "a crack is for a specialist, wherever it runs: a bolt or an insert drawn tight wedges it open further";

/// Edge, spacing and the wall to a void, for what is cut larger than the hole that was there.
pub(super) fn walls(situation: &Situation, candidate: &Candidate, checks: &mut Vec<Check>) {
    let (major, pitch) = (candidate.major, Length::computed_mm(candidate.pitch_mm));
    let edge = (situation.nearest_edge, Lack::NearestEdge);
    let spacing = (situation.nearest_hole, Lack::NearestHole);
    let least_edge = major / 2 + pitch * 3;
    checks.extend([
        Check::least_length("edge distance", edge, least_edge, Weight::Must, EDGE_LEAST),
        Check::least_length(
            "edge distance, preferred",
            edge,
            major * 3 / 2,
            Weight::Preferred,
            EDGE_BETTER,
        ),
        Check::least_length(
            "hole spacing",
            spacing,
            major + pitch * 6,
            Weight::Must,
            SPACING_LEAST,
        ),
        Check::least_length(
            "hole spacing, preferred",
            spacing,
            major * 5 / 2,
            Weight::Preferred,
            SPACING_BETTER,
        ),
    ]);
    if let Some(wall) = nearest_void(situation) {
        let check = "wall to the void beside";
        checks.push(Check::least_length(
            check,
            (Some(wall), Lack::Damage),
            least_edge,
            Weight::Preferred,
            EDGE_LEAST,
        ));
    }
}

/// From the intended centre to the near side of the nearest circle of missing metal that does not hold it.
fn nearest_void(situation: &Situation) -> Option<Length> {
    let stations = situation.damage.stations.iter();
    stations
        .filter(|station| !station.upper().holds_centre() && !station.lower().holds_centre())
        .flat_map(|station| [station.upper(), station.lower()])
        .map(|circle| circle.offset - circle.diameter / 2)
        .min()
}

/// Hard metal where the tap goes, and a crack.
pub(super) fn in_the_way(
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
