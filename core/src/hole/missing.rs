//! What is still missing before a hole's plan stands, in plain words.

use super::record::{FaceRecord, HoleRecord, Remedy};
use super::remedies::{Assessment, Lack, Verdict, assessment_of, remedies};
use super::situation::{Situation, situation_of};
use super::state::chosen;
use crate::insert::Catalogue;

/// The readings and facts that are still missing, the most telling first; empty where the plan stands on its own.
///
/// With a remedy chosen, only what that one needs; without, what the remedies that are not ruled out wait for. A sound hole that
/// is left as it is needs no distance to an edge.
pub fn missing(hole: &HoleRecord, face: &FaceRecord, catalogue: &Catalogue) -> Vec<String> {
    match situation_of(hole, face) {
        Err(why) => vec![why.to_string()],
        Ok(situation) => missing_of(&situation, hole, catalogue),
    }
}

fn missing_of(situation: &Situation, hole: &HoleRecord, catalogue: &Catalogue) -> Vec<String> {
    let all = remedies(situation, catalogue);
    let mut lacks: Vec<Lack> = relevant(&all, hole)
        .iter()
        .flat_map(|assessment| assessment.lacks())
        .collect();
    lacks.sort_unstable();
    lacks.dedup();
    let mut words: Vec<String> = lacks.iter().map(Lack::to_string).collect();
    if situation.bolt.is_none() {
        words.push("the bolt's grade, to know whether the iron strips before it breaks".to_owned());
    }
    if situation.metal.is_assumed() {
        words.push("the iron's class; it is taken as ASTM A48 class 20, the weakest".to_owned());
    }
    words
}

/// The chosen remedy; or, where none is chosen, the one that fits, or those that may. The larger bolt is asked about only where it is
/// chosen: its reading is taken off another part.
fn relevant<'a>(all: &'a [Assessment], hole: &HoleRecord) -> Vec<&'a Assessment> {
    if let Some(chosen) = chosen(hole).and_then(|work| assessment_of(all, work)) {
        return vec![chosen];
    }
    match all.first() {
        Some(best) if best.verdict <= Verdict::FitsWithCare => vec![best],
        _ => {
            let open = all
                .iter()
                .filter(|assessment| assessment.verdict == Verdict::NotKnown);
            open.filter(|assessment| assessment.remedy != Remedy::LargerBolt)
                .collect()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::record::{Answers, FaceCut, Quantity};
    use super::super::testing::*;
    use super::*;

    fn missing(hole: &HoleRecord, face: &FaceRecord) -> Vec<String> {
        super::missing(hole, face, Catalogue::standard())
    }

    fn face() -> FaceRecord {
        let planned = mm(0.5);
        FaceRecord {
            planned_cut: Answers(vec![said(FaceCut { planned })]),
            ..FaceRecord::default()
        }
    }

    fn stripped() -> HoleRecord {
        HoleRecord {
            wanted: Answers(vec![said(wanted("3/8-16"))]),
            damage: Answers(vec![said(damage(vec![station(0.0, 30.0, 9.4, 0.0, 0.0)]))]),
            readings: vec![reading(Quantity::Depth, 32.0)],
            ..HoleRecord::default()
        }
    }

    #[test]
    fn an_empty_hole_lacks_its_thread() {
        let words = missing(&HoleRecord::default(), &face());
        assert_eq!(words.len(), 1);
        assert!(words[0].contains("thread"), "{words:?}");
    }

    #[test]
    fn a_stripped_hole_lacks_its_distances_until_they_are_read() {
        let mut hole = stripped();
        let words = missing(&hole, &face()).join("; ");
        assert!(
            words.contains("nearest edge") && words.contains("nearest other hole"),
            "{words}"
        );
        assert!(
            words.contains("grade") && words.contains("class 20"),
            "{words}"
        );
        assert!(!words.contains("bolted on"), "{words}");
        hole.readings.extend([
            reading(Quantity::NearestEdge, 30.0),
            reading(Quantity::NearestHole, 60.0),
        ]);
        let words = missing(&hole, &face()).join("; ");
        assert!(!words.contains("nearest"), "{words}");
    }

    #[test]
    fn a_sound_hole_needs_no_distance_to_an_edge() {
        let mut hole = stripped();
        hole.damage = Answers(vec![said(damage(vec![]))]);
        let words = missing(&hole, &face()).join("; ");
        assert!(!words.contains("edge"), "{words}");
        // Chosen to take an insert all the same, it does.
        hole.choice = choice(thin_wall());
        let words = missing(&hole, &face()).join("; ");
        assert!(words.contains("edge"), "{words}");
    }

    #[test]
    fn an_unread_wall_and_an_unsaid_face_cut_are_missing() {
        let mut hole = stripped();
        hole.damage = Answers::default();
        let words = missing(&hole, &FaceRecord::default()).join("; ");
        assert!(
            words.contains("missing round the hole") && words.contains("come off the face"),
            "{words}"
        );
    }
}
