//! The readings and facts that a hole's plan still needs.

use super::plan::Plan;
use super::record::{HoleRecord, Remedy};
use super::remedies::{Assessment, MissingReading, Verdict, assessment_of};
use super::situation::Situation;
use super::stage::chosen;
use crate::insert::Catalog;

/// Returns the readings and facts that a hole's plan still needs, most important first; empty if it
/// is complete.
///
/// With a remedy chosen, these are what that remedy needs; otherwise what the remedies that are not
/// ruled out need. A sound hole that is left as is needs no edge distance.
pub fn missing(plan: &Plan, hole: &HoleRecord, catalog: &Catalog) -> Vec<String> {
    match &plan.situation {
        Err(why) => vec![why.to_string()],
        Ok(situation) => missing_of(plan, situation, hole, catalog),
    }
}

fn missing_of(
    plan: &Plan,
    situation: &Situation,
    hole: &HoleRecord,
    catalog: &Catalog,
) -> Vec<String> {
    let relevant = relevant(&plan.assessments, hole);
    let mut readings: Vec<MissingReading> = relevant
        .iter()
        .flat_map(|assessment| assessment.missing_readings.iter().copied())
        .collect();
    readings.sort_unstable();
    readings.dedup();
    let mut missing: Vec<String> = readings.iter().map(MissingReading::to_string).collect();
    missing.extend(closer_readings(&relevant));
    if let [only] = relevant.as_slice() {
        let bases = plan.unmeasured_bases(only, catalog);
        missing.extend(bases.iter().map(|basis| {
            let quantity = basis.quantity;
            format!("the {quantity} at this hole; the face's usual value is not measured here")
        }));
    }
    if situation.bolt.is_none() {
        missing.push("the bolt's grade, to tell whether the iron strips first".to_owned());
    }
    if situation.metal.is_assumed() {
        missing.push("the iron's class; it is taken as ASTM A48 class 20, the weakest".to_owned());
    }
    missing
}

/// Returns the readings to take more closely, each once, where one of the remedies waits for
/// nothing else.
fn closer_readings(relevant: &[&Assessment]) -> Vec<String> {
    let waiting = relevant.iter().filter(|assessment| {
        assessment.verdict == Verdict::Unknown && assessment.missing_readings.is_empty()
    });
    let mut readings: Vec<String> = Vec::new();
    for sensitivity in waiting.flat_map(|assessment| &assessment.sensitivities) {
        let reading = format!("{}, more closely than before", sensitivity.name);
        if !readings.contains(&reading) {
            readings.push(reading);
        }
    }
    readings
}

/// Returns the chosen remedy; or else the one that fits, or those that may fit.
///
/// The larger bolt counts only if it is chosen: its reading is taken on another part.
fn relevant<'a>(all: &'a [Assessment], hole: &HoleRecord) -> Vec<&'a Assessment> {
    if let Some(chosen) = chosen(hole).and_then(|spec| assessment_of(all, spec)) {
        return vec![chosen];
    }
    match all.first() {
        Some(best) if best.verdict <= Verdict::Marginal => vec![best],
        _ => {
            let open = all
                .iter()
                .filter(|assessment| assessment.verdict == Verdict::Unknown);
            open.filter(|assessment| assessment.remedy != Remedy::LargerBolt)
                .collect()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::record::{FaceCut, FaceRecord, FactEntries, Quantity};
    use super::super::testing::*;
    use super::*;

    fn missing(hole: &HoleRecord, face: &FaceRecord) -> Vec<String> {
        let catalog = Catalog::standard();
        super::missing(&Plan::of(hole, face, catalog), hole, catalog)
    }

    fn face() -> FaceRecord {
        let planned = mm(0.5);
        FaceRecord {
            planned_cut: FactEntries(vec![recorded(FaceCut::typed(planned))]),
            ..FaceRecord::default()
        }
    }

    fn stripped() -> HoleRecord {
        HoleRecord {
            wanted: FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
            damage: FactEntries(vec![recorded(damage(vec![station(
                0.0, 30.0, 9.4, 0.0, 0.0,
            )]))]),
            readings: vec![reading(Quantity::Depth, 32.0)],
            ..HoleRecord::default()
        }
    }

    #[test]
    fn an_empty_hole_needs_its_thread() {
        let words = missing(&HoleRecord::default(), &face());
        assert_eq!(words.len(), 1);
        assert!(words[0].contains("thread"), "{words:?}");
    }

    #[test]
    fn a_stripped_hole_needs_its_distances_until_they_are_measured() {
        let mut hole = stripped();
        let words = missing(&hole, &face()).join("; ");
        assert!(
            words.contains("nearest edge") && words.contains("nearest hole"),
            "{words}"
        );
        assert!(
            words.contains("grade") && words.contains("class 20"),
            "{words}"
        );
        assert!(!words.contains("mating part"), "{words}");
        hole.readings.extend([
            reading(Quantity::NearestEdge, 30.0),
            reading(Quantity::NearestHole, 60.0),
        ]);
        let words = missing(&hole, &face()).join("; ");
        assert!(!words.contains("nearest"), "{words}");
    }

    #[test]
    fn a_reading_that_decides_is_asked_for_more_closely() {
        let mut hole = stripped();
        hole.readings.push(reading(Quantity::NearestHole, 60.0));
        let mut edge = reading(Quantity::NearestEdge, 8.6);
        // Every insert needs more than the worst case of 6.6 mm, and a wire thread insert less than
        // 8.6 mm.
        edge.body.tolerance = Some(mm(2.0));
        hole.readings.push(edge);
        let words = missing(&hole, &face()).join("; ");
        assert!(words.contains("edge distance, more closely"), "{words}");
    }

    #[test]
    fn a_sound_hole_needs_no_edge_distance() {
        let mut hole = stripped();
        hole.damage = FactEntries(vec![recorded(damage(vec![]))]);
        let words = missing(&hole, &face()).join("; ");
        assert!(!words.contains("edge"), "{words}");
        // With an insert chosen all the same, it does.
        hole.choice = choice(thin_wall());
        let words = missing(&hole, &face()).join("; ");
        assert!(words.contains("edge"), "{words}");
    }

    #[test]
    fn undescribed_damage_and_an_unplanned_face_cut_are_missing() {
        let mut hole = stripped();
        hole.damage = FactEntries::default();
        let words = missing(&hole, &FaceRecord::default()).join("; ");
        assert!(
            words.contains("the damage") && words.contains("remove from the face"),
            "{words}"
        );
    }
}
