//! Table moves to the centers of a face, with the mill at hand.

use super::centers::Centers;
use super::record::MillSetup;
use holebook_place::moves::{Alignment, MovePlan, Moves, plan};
use holebook_place::{HolePoint, PlaceError};

/// Returns the moves from a picked-up reference hole to the centers to `visit`; empty: all that are
/// lost.
///
/// # Errors
/// If a hole is not in the pattern, or as for [`plan`].
pub fn moves(
    centers: &Centers,
    reference: u32,
    visit: &[u32],
    alignment: Alignment,
    mill: Option<&MillSetup>,
) -> Result<Moves, PlaceError> {
    let lost = centers.holes.iter().filter(|center| center.lost);
    let visit = match visit.is_empty() {
        true => lost.map(|center| center.number).collect(),
        false => visit.to_vec(),
    };
    plan(&MovePlan {
        holes: points(centers, reference),
        reference,
        visit: visit
            .into_iter()
            .filter(|hole| *hole != reference)
            .collect(),
        alignment,
        x_wheel: mill.and_then(|mill| Some(mill.x?.handwheel())),
        y_wheel: mill.and_then(|mill| Some(mill.y?.handwheel())),
        keep_order: false,
    })
}

/// The centers; a reference hole that wandered is where it was found, since the spindle is set over
/// it.
fn points(centers: &Centers, reference: u32) -> Vec<HolePoint> {
    let points = centers.holes.iter().map(|center| {
        let off = center
            .off
            .filter(|off| off.wandered && center.number == reference);
        HolePoint {
            hole: center.number,
            x_mm: center.x_mm + off.map_or(0.0, |off| off.x_mm),
            y_mm: center.y_mm + off.map_or(0.0, |off| off.y_mm),
        }
    });
    points.collect()
}
