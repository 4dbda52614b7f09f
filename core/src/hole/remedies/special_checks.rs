//! Checks that only some remedies have: their fastener, their bond, their source.

use super::candidate::Candidate;
use super::check::{Check, MissingReading, Weight};
use crate::drill::clearance_diameter;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::bushing::{least_wall, wall_thickness};
use crate::insert::{Confidence, Insert};

const CLEARANCE: &str = "open it to the normal-fit clearance hole of the larger bolt (ASME B18.2.8, ISO 273), or at least to the bolt's size";
const LOCK: &str =
    "a plug can work loose; its lock and its material are not assessed here (judgment)";
const BOND: &str =
    "heat, oil or vibration can break the bond; how it is made is not assessed here (judgment)";
const BUSHING_WALL: &str = "1.5 mm (.059 in) or 1/8 of the bolt's diameter, whichever is more, so that both threads have solid metal (judgment)";
const NUT: &str = "room for the nut and a wrench above the mating part, and whether the machine's manual allows a stud, are not assessed here (judgment)";
const UNCONFIRMED: &str =
    "no source was read: measure the insert in hand before drilling (judgment)";
const OTHER_HAND: &str = "tightening the bolt unscrews an outside thread of the other hand: lock it with its keys or with the pins given here before the bolt goes in (common practice, no source)";

/// Appends the checks that this remedy and its insert have beyond those of every remedy.
pub(super) fn special_checks(
    situation: &Situation,
    candidate: &Candidate,
    checks: &mut Vec<Check>,
) {
    checks.extend(candidate.insert.as_deref().and_then(unconfirmed_insert));
    if candidate.unscrews() {
        checks.push(reservation("outside thread of the other hand", OTHER_HAND));
    }
    match candidate.remedy {
        Remedy::LargerBolt => checks.push(mating_hole(situation, candidate)),
        Remedy::ThreadedPlug => checks.push(reservation("held by a lock only", LOCK)),
        Remedy::Bushing => {
            checks.push(reservation("held by adhesive only", BOND));
            checks.extend(bushing_wall(candidate));
        }
        Remedy::SteppedStud => checks.push(reservation("stud and nut instead of a bolt", NUT)),
        _ => {}
    }
}

/// Returns a preferred check that always fails: the remedy is marginal at best.
fn reservation(check: &'static str, limit_from: &'static str) -> Check {
    Check::most(check, "", (1.0, 0.0), Weight::Preferred, limit_from)
}

fn unconfirmed_insert(insert: &Insert) -> Option<Check> {
    let name = match insert.confidence {
        Confidence::Inferred => "insert dimensions are inferred",
        _ => "insert dimensions are from memory",
    };
    let unconfirmed = insert.confidence.is_unconfirmed();
    unconfirmed.then(|| reservation(name, UNCONFIRMED))
}

fn mating_hole(situation: &Situation, candidate: &Candidate) -> Check {
    Check::least_length(
        "clearance hole in mating part",
        (situation.mating_hole, MissingReading::MatingHole),
        clearance_diameter(&candidate.bolt).unwrap_or(candidate.major),
        Weight::Preferred,
        CLEARANCE,
    )
}

fn bushing_wall(candidate: &Candidate) -> Option<Check> {
    let outside = candidate.insert.as_ref()?.outside.thread?;
    let wall = wall_thickness(&candidate.bolt, &outside);
    Some(Check::least_length(
        "bushing wall",
        (Some(wall), MissingReading::Damage),
        least_wall(&candidate.bolt),
        Weight::Must,
        BUSHING_WALL,
    ))
}
