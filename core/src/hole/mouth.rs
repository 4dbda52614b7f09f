//! The mouth of a hole where missing metal breaks the sealing face.

use super::remedies::Assessment;
use super::situation::Situation;
use crate::length::{Length, Rounding};
use std::fmt;

/// Missing metal at the finished face that reaches farther than what is cut into it.
///
/// `Display` says what it means for the joint, with lengths in both units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BrokenMouth {
    /// How far it reaches from the intended center, at the worst case of its tolerances.
    pub reach: Length,
    /// Width of the face that is left to seal, from its rim to the nearest edge or passage; zero or
    /// less if it reaches the edge, `None` if the edge distance is unknown.
    pub land: Option<Length>,
}

/// How much farther than the thread's radius missing metal must reach to count: 1/32 in (judgment).
/// A countersink takes as much.
const BEYOND_THREAD: Length = Length::from_fraction(1, 32);

/// Returns the missing metal that breaks the finished face; `None` if the face is whole around the
/// hole, or will be around what the chosen remedy puts into it. An unknown face cut counts as none.
pub fn broken_mouth(situation: &Situation, chosen: Option<&Assessment>) -> Option<BrokenMouth> {
    let finished = situation.face_cut_or_zero();
    let damage = situation.damage_to_cut();
    let circles = damage
        .stations
        .iter()
        .filter(|station| station.span.contains(finished))
        .map(|station| station.at(finished));
    let reach = circles
        .map(|circle| circle.offset + circle.diameter / 2)
        .max()?;
    let insert = chosen.and_then(|chosen| chosen.insert.as_ref());
    let thread = insert.map_or(situation.thread.nominal(), |insert| insert.outside.major);
    let whole = thread / 2 + BEYOND_THREAD;
    (reach > whole).then(|| BrokenMouth {
        reach,
        land: situation.nearest_edge.map(|edge| edge - reach),
    })
}

impl fmt::Display for BrokenMouth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "the crater breaks the finished face out to {} from the center, and the gasket must \
             seal around it",
            self.reach.both_rounded(Rounding::Up)
        )?;
        match self.land {
            Some(land) if land.is_positive() => write!(
                f,
                ": {} of face is left from its rim to the nearest edge or passage. Lay the gasket \
                 on and look whether that seals; if not, fill the mouth before the face is cut",
                land.both_rounded(Rounding::Down)
            ),
            Some(_) => f.write_str(
                ", but it reaches the nearest edge or passage: nothing seals there until the mouth \
                 is filled",
            ),
            None => {
                f.write_str(": measure the edge distance to know how wide a land is left to seal")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::remedies::assessments;
    use super::super::testing::{damage, mm, station, thread};
    use super::*;
    use crate::insert::{Catalog, SharedInsert};

    fn hole(edge: Option<f64>) -> Situation {
        Situation {
            nearest_edge: edge.map(mm),
            face_cut: Some(mm(0.5)),
            damage: damage(vec![
                station(0.0, 9.0, 13.0, 1.2, 0.0),
                station(9.0, 30.0, 40.0, 0.0, 0.0),
            ]),
            ..Situation::of(thread("3/8-16"))
        }
    }

    #[test]
    fn the_land_runs_from_the_rim_to_the_edge() {
        // 13 / 2 + 1.2 = 7.7 mm from the center; 14 - 7.7 = 6.3 mm of land.
        let mouth = broken_mouth(&hole(Some(14.0)), None);
        let expected = BrokenMouth {
            reach: mm(7.7),
            land: Some(mm(6.3)),
        };
        assert_eq!(mouth, Some(expected));
        assert!(expected.to_string().contains("must seal around it"));
        let unknown = broken_mouth(&hole(None), None);
        assert_eq!(unknown.and_then(|mouth| mouth.land), None);
    }

    #[test]
    fn a_cut_below_the_crater_or_a_worn_thread_leaves_the_face_whole() {
        let mut cut = hole(Some(14.0));
        cut.damage.stations.truncate(1);
        cut.face_cut = Some(mm(9.0));
        assert_eq!(broken_mouth(&cut, None), None);
        let mut worn = hole(Some(14.0));
        worn.damage = damage(vec![station(0.0, 30.0, 9.4, 0.0, 0.0)]);
        assert_eq!(broken_mouth(&worn, None), None);
    }

    #[test]
    fn an_insert_wider_than_the_crater_leaves_no_rim() {
        let situation = hole(Some(30.0));
        let all = assessments(&situation, Catalog::standard());
        let with = |wanted: &dyn Fn(&SharedInsert) -> bool| {
            let mut inserts = all.iter().filter(|a| a.insert.as_ref().is_some_and(wanted));
            broken_mouth(&situation, inserts.next())
        };
        // The crater reaches 7.7 mm from the center.
        assert_eq!(with(&|insert| insert.outside.major > mm(15.5)), None);
        assert!(with(&|insert| insert.outside.major < mm(13.0)).is_some());
    }
}
