//! Checks of the metal around the hole: walls to an edge, a void and the next hole, hard metal,
//! cracks.

use super::candidate::Candidate;
use super::check::{Check, MissingReading, Weight};
use super::depth::with_pressure;
use crate::hole::damage::{Circle, Span, Station};
use crate::hole::limits::Sourced;
use crate::hole::situation::Situation;
use crate::length::Length;
use std::borrow::Cow;

const EDGE_BETTER: &str =
    "1.5 times the outside diameter (engineers' forum on aluminum castings, secondary source)";
const SPACING_BETTER: &str = "2.5 times the outside diameter, or the mean of both (from memory)";
const HARD: &str = "no drill or tap cuts chilled iron: it must be relieved first (judgment)";
const NO_CRACK: &str = "a crack is for a specialist, wherever it runs: a bolt or an insert wedges it open as it is tightened";

/// Appends the checks of the walls that a new cut leaves. `reach` is how deep it goes, face as is.
///
/// What counts is the metal left between the outside thread and an edge or void, so a coarse thread
/// is judged as a fine one of its diameter.
pub(super) fn spacing_checks(
    situation: &Situation,
    candidate: &Candidate,
    reach: Length,
    checks: &mut Vec<Check>,
) {
    let (must, preferred) = (Weight::Must, Weight::Preferred);
    let major = candidate.major;
    let least = least_wall(situation, candidate);
    let mut add = |name, has, needs: Length, weight, from: Cow<'static, str>| {
        checks.push(Check::least_length(name, has, needs, weight, from));
    };
    let wall = edge_wall(situation, candidate);
    let edge = MissingReading::NearestEdge;
    add(
        "wall to the edge",
        (wall, edge),
        least.length(),
        must,
        least.from.clone(),
    );
    let distance = (situation.nearest_edge, edge);
    let better = major * 3 / 2;
    // The wall is only said where it is thinner than preferred.
    let thin = situation.nearest_edge.is_some_and(|edge| edge < better);
    let from = wall.filter(|_| thin);
    let from = from.map_or(EDGE_BETTER.into(), |wall| better_edge(wall, candidate));
    add(
        "edge distance, preferred",
        distance,
        better,
        preferred,
        from,
    );

    let hole = MissingReading::NearestHole;
    let neighbor = situation.neighbor_diameter.unwrap_or(major);
    let both = (major + neighbor) / 2;
    let between = situation.nearest_hole.map(|distance| distance - both);
    let walls = situation
        .limits()
        .hole_wall_pitches()
        .times(candidate.pitch_mm);
    add(
        "wall to the nearest hole",
        (between, hole),
        walls.length(),
        must,
        walls.from,
    );
    let distance = (situation.nearest_hole, hole);
    add(
        "hole spacing, preferred",
        distance,
        both * 5 / 2,
        preferred,
        SPACING_BETTER.into(),
    );

    // A chip in the first turn is no void.
    let first_turn = Length::from_computed_mm(candidate.pitch_mm);
    let cut = Span {
        from: situation.face_cut_or_zero() + first_turn,
        to: reach,
    };
    if let Some(near) = nearest_void(situation, cut) {
        let wall = (Some(near - major / 2), MissingReading::Damage);
        add(
            "wall to the nearest void",
            wall,
            least.length(),
            must,
            least.from,
        );
    }
}

/// Returns the metal left between the outside thread and the nearest edge; `None` if nothing is
/// cut or the distance is unknown.
pub(super) fn edge_wall(situation: &Situation, candidate: &Candidate) -> Option<Length> {
    let edge = situation
        .nearest_edge
        .filter(|_| !candidate.needs.is_empty())?;
    Some(edge - candidate.major / 2)
}

/// Returns the source of the preferred distance, with the wall in pitches.
fn better_edge(wall: Length, candidate: &Candidate) -> Cow<'static, str> {
    let pitches = wall.mm() / candidate.pitch_mm;
    let text = format!(
        "{EDGE_BETTER}; the wall is {}, {pitches:.1} pitches thick",
        wall.both()
    );
    text.into()
}

/// Returns the least wall to an edge or void: more at keys, and with pressure behind it.
fn least_wall(situation: &Situation, candidate: &Candidate) -> Sourced {
    let limits = situation.limits();
    let diameters = limits.wall_diameters().times(candidate.major.mm());
    let mut least = limits.wall_mm().or_larger(diameters);
    let keys = candidate
        .insert
        .as_ref()
        .is_some_and(|insert| insert.keys > 0);
    if keys {
        least = least.or_larger(limits.key_wall_mm());
    }
    with_pressure(situation, least)
}

/// Returns the distance from the intended center to the nearest void beside a cut: the near side of
/// a circle of missing metal that does not contain that center.
fn nearest_void(situation: &Situation, cut: Span) -> Option<Length> {
    let stations = situation.damage.stations.iter();
    let parts = stations.filter_map(|station| station.clipped_to(cut));
    parts
        .filter(|part| !contains_center(part))
        .flat_map(|part| [part.upper(), part.lower()])
        .map(|circle: Circle| circle.offset - circle.diameter / 2)
        .min()
}

fn contains_center(part: &Station) -> bool {
    part.upper().contains_center() || part.lower().contains_center()
}

/// Appends the checks of hard metal in the depth that is cut and of a crack.
pub(super) fn obstacle_checks(
    situation: &Situation,
    candidate: &Candidate,
    cut: Span,
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
    let hard = damage.hard_within(cut).mm();
    if !candidate.cuts_nothing() && !damage.hard.is_empty() {
        checks.push(Check::most(
            "hard metal in the cut depth",
            "mm",
            (hard, 0.0),
            Weight::Preferred,
            HARD,
        ));
    }
}
