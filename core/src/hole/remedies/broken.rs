//! A piece that broke off in the hole: whether it lies where something is cut or screwed in.

use super::candidate::Candidate;
use super::check::{Check, Weight};
use crate::hole::damage::BrokenTool;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::length::Length;

const SOMEWHERE: &str = "pieces broken off in the hole";
const IN_THE_WAY: &str = "broken piece in the depth that is used";
const NOTHING_BROKEN: &str = "what is broken off must come out first; it is known to lie deeper than what is cut only once the depth of its top is";
const MUST_COME_OUT: &str = "a drill or a tap cannot go past a broken piece, and a bolt meets it: so much of it must come out first";
const TOP_UNKNOWN: &str = "how deep its top lies is not known, so it is taken to start at the face: what is broken off must come out first";

/// `reach` is how deep the remedy goes, from today's face: the drill's tip, or the end of the bolt.
pub(super) fn piece(
    situation: &Situation,
    candidate: &Candidate,
    reach: Length,
    checks: &mut Vec<Check>,
) {
    let Some(piece) = &situation.damage.broken_tool else {
        return;
    };
    let weight = if candidate.remedy == Remedy::Leave {
        Weight::Must
    } else {
        Weight::Preferred
    };
    checks.push(match (piece.top, piece.length) {
        (None, None) => Check::most(SOMEWHERE, "", (1.0, 0.0), weight, NOTHING_BROKEN),
        (top, _) => {
            let from = if top.is_some() {
                MUST_COME_OUT
            } else {
                TOP_UNKNOWN
            };
            let within = within(piece, situation.depth, reach).mm();
            Check::most(IN_THE_WAY, "mm", (within, 0.0), weight, from)
        }
    });
}

/// How much of the piece lies above that depth. One of unknown length is taken to reach the bottom.
fn within(piece: &BrokenTool, depth: Option<Length>, reach: Length) -> Length {
    let top = piece.top.unwrap_or(Length::ZERO);
    let bottom = match piece.length {
        Some(length) => top + length,
        None => depth.unwrap_or(reach),
    };
    (bottom.min(reach) - top.or_zero()).or_zero()
}

/// Whether a check is about the broken piece.
pub(super) fn is_about(check: &Check) -> bool {
    check.check == SOMEWHERE || check.check == IN_THE_WAY
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::{Assessment, Verdict, remedies};
    use super::*;
    use crate::hole::testing::*;
    use crate::insert::Catalogue;

    fn leave(top: Option<f64>, length: Option<f64>) -> Assessment {
        let mut hole = Situation {
            through: Some(false),
            depth: Some(mm(40.0)),
            floor: Some(mm(9.0)),
            face_cut: Some(Length::ZERO),
            damage_read: true,
            ..Situation::of(thread("3/8-16"))
        };
        hole.damage.broken_tool = Some(BrokenTool {
            what: "tap".into(),
            length: length.map(mm),
            top: top.map(mm),
        });
        let all = remedies(&hole, Catalogue::standard());
        let leave = all.iter().find(|a| a.remedy == Remedy::Leave);
        leave.unwrap().clone()
    }

    fn in_the_way(assessment: &Assessment) -> f64 {
        let mut checks = assessment.checks.iter();
        let check = checks.find(|check| is_about(check)).unwrap();
        check.has.unwrap()
    }

    #[test]
    fn what_lies_below_all_that_is_used_may_stay() {
        // A bolt engages 1.5 diameters, 14.2875 mm.
        let below = leave(Some(20.0), Some(12.0));
        assert_eq!((in_the_way(&below), below.verdict), (0.0, Verdict::Fits));
        assert!(!below.broken_piece_in_the_way());
        let above = leave(Some(10.0), Some(12.0));
        assert!((in_the_way(&above) - 4.2875).abs() < 1e-6);
        assert_eq!(above.verdict, Verdict::DoesNotFit);
        assert!(above.broken_piece_in_the_way());
    }

    #[test]
    fn what_is_not_known_of_it_counts_as_in_the_way() {
        // Of unknown length it reaches the bottom; of unknown place it starts at the face.
        assert!((in_the_way(&leave(Some(10.0), None)) - 4.2875).abs() < 1e-6);
        assert_eq!(in_the_way(&leave(None, Some(6.0))), 6.0);
        assert_eq!(in_the_way(&leave(None, None)), 1.0);
        // One that stands proud counts from the face down.
        assert_eq!(in_the_way(&leave(Some(-3.0), Some(8.0))), 5.0);
    }
}
