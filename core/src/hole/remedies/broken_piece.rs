//! Check of a broken piece: whether it lies where something is cut or screwed in.

use super::candidate::Candidate;
use super::check::{Check, Weight};
use crate::hole::damage::BrokenTool;
use crate::hole::situation::Situation;
use crate::length::Length;

const SOMEWHERE: &str = "broken pieces in the hole";
const IN_THE_WAY: &str = "broken piece in the working depth";
const NOTHING_BROKEN: &str = "the broken piece must come out first, unless the depth of its top shows that it lies deeper than anything cut";
const MUST_COME_OUT: &str =
    "a drill, a tap or a bolt runs into a broken piece: this much of it must come out first";
const TOP_UNKNOWN: &str = "the depth of its top is unknown, so it counts from the face: the broken piece must come out first";

/// Appends the check of a broken piece, if there is one.
///
/// `reach` is how deep the remedy goes, face as is: to the drill's tip or the end of the bolt.
pub(super) fn broken_piece_check(
    situation: &Situation,
    candidate: &Candidate,
    reach: Length,
    checks: &mut Vec<Check>,
) {
    let Some(piece) = &situation.damage.broken_tool else {
        return;
    };
    let weight = if candidate.cuts_nothing() {
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
            let within = length_above(piece, situation.bottom(), reach).mm();
            Check::most(IN_THE_WAY, "mm", (within, 0.0), weight, from)
        }
    });
}

/// Returns how much of the piece lies above `reach`. A piece of unknown length counts down to the
/// bottom, or to `reach` if it starts below what is known of the hole.
fn length_above(piece: &BrokenTool, depth: Option<Length>, reach: Length) -> Length {
    let top = piece.top.unwrap_or(Length::ZERO);
    let bottom = match piece.length {
        Some(length) => top + length,
        None => depth.filter(|depth| *depth > top).unwrap_or(reach),
    };
    (bottom.min(reach) - top.clamp_at_zero()).clamp_at_zero()
}

/// Returns whether a check is about the broken piece.
fn is_about(check: &Check) -> bool {
    check.check == SOMEWHERE || check.check == IN_THE_WAY
}

/// Returns whether a check says that the broken piece must come out first.
pub(super) fn blocks(check: &Check) -> bool {
    is_about(check) && check.passes != Some(true)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::{Assessment, Verdict, assessments};
    use super::*;
    use crate::hole::record::Remedy;
    use crate::hole::testing::*;
    use crate::insert::Catalog;

    fn leave(top: Option<f64>, length: Option<f64>) -> Assessment {
        let mut hole = Situation {
            through: Some(false),
            depth: Some(mm(40.0)),
            floor: Some(mm(9.0)),
            face_cut: Some(Length::ZERO),
            damage_described: true,
            ..Situation::of(thread("3/8-16"))
        };
        hole.damage.broken_tool = Some(BrokenTool {
            what: "tap".into(),
            length: length.map(mm),
            top: top.map(mm),
        });
        let all = assessments(&hole, Catalog::standard());
        let leave = all.iter().find(|a| a.remedy == Remedy::Leave);
        leave.unwrap().clone()
    }

    fn in_the_way(assessment: &Assessment) -> f64 {
        let mut checks = assessment.checks.iter();
        let check = checks.find(|check| is_about(check)).unwrap();
        check.has.unwrap()
    }

    #[test]
    fn piece_below_the_working_depth_may_stay() {
        // A bolt engages 1.5 diameters, 14.2875 mm, and needs two pitches for point and clearance:
        // 17.4625 mm.
        let below = leave(Some(20.0), Some(12.0));
        assert_eq!((in_the_way(&below), below.verdict), (0.0, Verdict::Fits));
        assert!(!below.blocked_by_broken_piece());
        let above = leave(Some(10.0), Some(12.0));
        assert!((in_the_way(&above) - 7.4625).abs() < 1e-6);
        assert_eq!(above.verdict, Verdict::DoesNotFit);
        assert!(above.blocked_by_broken_piece());
    }

    #[test]
    fn unknown_length_or_top_counts_as_in_the_way() {
        // With unknown length it reaches the bottom; with unknown top it starts at the face.
        assert!((in_the_way(&leave(Some(10.0), None)) - 7.4625).abs() < 1e-6);
        assert_eq!(in_the_way(&leave(None, Some(6.0))), 6.0);
        assert_eq!(in_the_way(&leave(None, None)), 1.0);
        // One that starts below the depth of the hole, which was read short, or only to the cone.
        let piece = BrokenTool {
            what: "tap".into(),
            length: None,
            top: Some(mm(16.0)),
        };
        let within = length_above(&piece, Some(mm(13.0)), mm(20.0));
        assert_eq!(within, mm(4.0));
        // One that stands proud counts from the face.
        assert_eq!(in_the_way(&leave(Some(-3.0), Some(8.0))), 5.0);
    }
}
