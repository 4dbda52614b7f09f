//! What must hold for every remedy of every hole, worked out from the hole and the answer alone.
//!
//! The figures are written here again, not taken from the limits under test.

use holebook_core::hole::damage::{Circle, Span};
use holebook_core::hole::record::Remedy;
use holebook_core::hole::remedies::{Assessment, Verdict, Weight, assessments, point_length};
use holebook_core::hole::situation::Situation;
use holebook_core::insert::{Catalog, Confidence, Family};
use holebook_core::length::Length;
use holebook_core::strength::bolt::length_tolerance;
use holebook_core::thread::{Hand, Thread};

/// Rounding of lengths to whole nanometers, several times over.
const HAIR_MM: f64 = 1e-4;

/// Assesses a hole, checks every rule, and returns the remedies.
pub fn checked(hole: &Situation) -> Vec<Assessment> {
    let all = assessments(hole, Catalog::standard());
    for remedy in &all {
        let rules: [(&str, Result<(), String>); 8] = [
            ("a bolt has room", bolt_has_room(remedy)),
            ("verdict follows the checks", verdict_follows(remedy)),
            (
                "bolt's tip stays in the cut",
                tip_stays_in_the_cut(hole, remedy),
            ),
            ("bolt's tip meets nothing", tip_meets_nothing(hole, remedy)),
            ("metal is left under the point", floor_is_left(hole, remedy)),
            ("walls are left", walls_are_left(hole, remedy)),
            ("insert cannot unscrew", does_not_unscrew(hole, remedy)),
            (
                "engagement is in the thread",
                engagement_is_in_the_thread(hole, remedy),
            ),
        ];
        for (rule, result) in rules {
            if let Err(why) = result {
                panic!(
                    "{rule}: {why}\n{:?}, {}, of\n{}",
                    remedy.spec(),
                    remedy.verdict,
                    hole.to_json().unwrap()
                );
            }
        }
    }
    order(hole, &all);
    all
}

fn rule(holds: bool, why: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(why()) }
}

fn is_good(remedy: &Assessment) -> bool {
    remedy.verdict <= Verdict::Marginal
}

/// A failed required check never fits, one that fails only at the worst case is unknown and names
/// the reading, and one without its reading never passes.
fn verdict_follows(remedy: &Assessment) -> Result<(), String> {
    let of = |weight| {
        remedy
            .checks
            .iter()
            .filter(move |check| check.weight == weight)
    };
    let failed = of(Weight::Must).any(|check| check.passes == Some(false));
    let unknown = remedy.checks.iter().any(|check| check.passes.is_none());
    rule(!(failed && is_good(remedy)), || {
        "a required check fails".into()
    })?;
    rule(!(unknown && is_good(remedy)), || {
        "a reading is missing".into()
    })?;
    if failed && remedy.verdict == Verdict::Unknown {
        rule(!remedy.sensitivities.is_empty(), || {
            "no reading is named".into()
        })?;
    }
    let preferred = of(Weight::Preferred).any(|check| check.passes == Some(false));
    rule(!(preferred && remedy.verdict == Verdict::Fits), || {
        "a preferred check fails".into()
    })
}

fn cut(hole: &Situation) -> Length {
    hole.face_cut.unwrap_or_default()
}

fn keeps_the_thread(remedy: &Assessment) -> bool {
    matches!(
        remedy.remedy,
        Remedy::Leave | Remedy::LongerBolt | Remedy::Chase
    )
}

fn pitch(thread: &Thread) -> Length {
    Length::from_mm(thread.pitch_mm()).unwrap()
}

fn bottom(hole: &Situation) -> Option<Length> {
    hole.depth.or(hole.full_diameter)
}

/// Depth of the old hole's full thread, face as is: as read, or all but five pitches.
fn old_full_thread(hole: &Situation) -> Option<Length> {
    let cylinder = [hole.full_diameter, hole.depth].into_iter().flatten().min();
    let unfinished = if hole.through == Some(true) { 0 } else { 5 };
    let rule = || cylinder.map(|deep| deep - pitch(&hole.thread) * unfinished);
    hole.full_thread.or_else(rule)
}

/// The deepest tip below the finished face of any bolt that is named or allowed.
fn deepest_tip(remedy: &Assessment) -> Option<Length> {
    let bolt = remedy.bolt.as_ref()?;
    let with_tolerance = |length: Length| length + length_tolerance(&bolt.thread, length).1;
    let stock = [bolt.shortest, bolt.longest].into_iter().flatten();
    let allowed = stock.map(with_tolerance).chain(bolt.most);
    allowed.map(|length| length - bolt.grip).max()
}

/// Every tip ends a pitch above the end of the cut that the bolt runs in.
fn tip_stays_in_the_cut(hole: &Situation, remedy: &Assessment) -> Result<(), String> {
    let Some(tip) = deepest_tip(remedy).filter(|tip| tip.is_positive()) else {
        return Ok(());
    };
    if hole.through == Some(true) && remedy.remedy != Remedy::ThreadedPlug {
        return Ok(());
    }
    let end = match (&remedy.depths, &remedy.insert) {
        (Some(depths), Some(_)) => Some(depths.drill_after_cut),
        (Some(depths), None) => Some(depths.full_thread_after_cut),
        (None, _) => old_full_thread(hole).map(|deep| deep - cut(hole)),
    };
    let Some(end) = end else {
        return Err(format!("tip at {} in a hole of unknown depth", tip.both()));
    };
    let most = end - pitch(&remedy.bolt_thread);
    rule(tip.mm() <= most.mm().max(0.0) + HAIR_MM, || {
        format!("tip at {}, at most {}", tip.both(), most.both())
    })
}

/// A bolt that engages everything has room, wherever something is cut for it.
fn bolt_has_room(remedy: &Assessment) -> Result<(), String> {
    let Some(tip) = remedy.bolt_tip.filter(|_| is_good(remedy)) else {
        return Ok(());
    };
    rule(tip.most.is_none_or(|most| tip.least <= most), || {
        format!("its tip must reach {:?}", tip)
    })
}

/// No tip comes within a pitch of a broken piece that stays, of hard metal below the thread, or of
/// the far side of the floor.
fn tip_meets_nothing(hole: &Situation, remedy: &Assessment) -> Result<(), String> {
    let tip = deepest_tip(remedy).filter(|tip| tip.is_positive());
    let Some(tip) = tip.filter(|_| remedy.remedy != Remedy::ThreadedPlug) else {
        return Ok(());
    };
    let cut_ends = match &remedy.depths {
        Some(depths) => depths.drill_after_cut + cut(hole),
        None => remedy.engaged.unwrap().to,
    };
    let hard = hole.damage.hard.iter().map(|zone| zone.reach().from);
    let hard = hard.filter(|from| *from >= cut_ends);
    let piece = hole.damage.broken_tool.as_ref().and_then(|piece| piece.top);
    let far_side = bottom(hole)
        .zip(hole.floor)
        .map(|(deep, floor)| deep + floor);
    for obstacle in hard.chain(piece).chain(far_side) {
        let most = obstacle - cut(hole) - pitch(&remedy.bolt_thread);
        rule(tip.mm() <= most.mm().max(0.0) + HAIR_MM, || {
            format!(
                "tip at {} meets what lies at {}",
                tip.both(),
                obstacle.both()
            )
        })?;
    }
    Ok(())
}

fn outside(remedy: &Assessment) -> Option<(Length, f64)> {
    if let Some(insert) = &remedy.insert {
        return Some((insert.outside.major, insert.outside.pitch_mm));
    }
    let thread = Thread::parse(remedy.outside_thread.as_deref()?).unwrap();
    Some((thread.nominal(), thread.pitch_mm()))
}

/// Less than 1 mm or half a pitch under the point never fits; below the old bottom, nothing is
/// passed without the floor.
fn floor_is_left(hole: &Situation, remedy: &Assessment) -> Result<(), String> {
    let cuts = remedy.depths.zip(remedy.drill).zip(outside(remedy));
    let Some(((depths, drill), (_, pitch_mm))) = cuts.filter(|_| hole.through != Some(true)) else {
        return Ok(());
    };
    let tip = depths.drill_after_cut + cut(hole) + point_length(&drill);
    let least = f64::max(1.0, pitch_mm / 2.0) * if hole.pressure { 2.0 } else { 1.0 };
    match (bottom(hole), hole.floor) {
        (Some(deep), Some(floor)) => {
            let left = (deep + floor - tip).mm();
            rule(left >= least - HAIR_MM || !is_good(remedy), || {
                format!("{left} mm are left")
            })?;
            let half = drill.diameter.mm() / 2.0;
            let deeper = tip > deep;
            rule(
                !deeper || left >= half - HAIR_MM || !is_good(remedy),
                || format!("{left} mm are left below the old bottom"),
            )
        }
        (Some(deep), None) => rule(tip <= deep || !is_good(remedy), || {
            "it goes deeper than the old hole, and the floor is unknown".into()
        }),
        (None, _) => rule(!is_good(remedy), || "the depth is unknown".into()),
    }
}

/// The wall to the edge, to a void and to the next hole is what a new cut needs.
fn walls_are_left(hole: &Situation, remedy: &Assessment) -> Result<(), String> {
    let cuts = remedy.depths.zip(remedy.drill).zip(outside(remedy));
    let Some(((depths, drill), (major, pitch_mm))) = cuts else {
        return Ok(());
    };
    let keys = remedy.insert.as_ref().is_some_and(|insert| insert.keys > 0);
    let least = f64::max(1.5, 0.2 * major.mm()).max(if keys { 3.0 } else { 0.0 });
    let least = least * if hole.pressure { 2.0 } else { 1.0 };
    if is_good(remedy) {
        let edge = hole.nearest_edge.ok_or("the edge distance is unknown")?;
        let wall = (edge - major / 2).mm();
        rule(wall >= least - HAIR_MM, || {
            format!("the wall to the edge is {wall} mm")
        })?;
        let spacing = hole.nearest_hole.ok_or("the hole spacing is unknown")?;
        let both = major + hole.neighbor_diameter.unwrap_or(major);
        let between = (spacing - both / 2).mm();
        rule(between >= 6.0 * pitch_mm - HAIR_MM, || {
            format!("the wall to the next hole is {between} mm")
        })?;
    }
    let deep = depths.drill_after_cut + cut(hole) + point_length(&drill);
    let span = Span {
        from: cut(hole) + Length::from_mm(pitch_mm).unwrap(),
        to: deep,
    };
    for station in &hole.damage.stations {
        let Some(part) = station.clipped_to(span) else {
            continue;
        };
        let circles: [Circle; 2] = [part.upper(), part.lower()];
        if circles.iter().any(Circle::contains_center) {
            continue;
        }
        for circle in circles {
            let wall = (circle.offset - circle.diameter / 2 - major / 2).mm();
            rule(wall >= least - HAIR_MM || !is_good(remedy), || {
                format!("the wall to a void is {wall} mm")
            })?;
        }
    }
    Ok(())
}

/// A bolt that would unscrew its insert or plug says so, and is locked by keys or pins.
fn does_not_unscrew(hole: &Situation, remedy: &Assessment) -> Result<(), String> {
    let right_hand_outside = match (&remedy.insert, remedy.remedy) {
        (Some(insert), _) => insert
            .outside
            .thread
            .is_some_and(|t| t.hand() == Hand::Right),
        (None, remedy) => remedy == Remedy::ThreadedPlug,
    };
    if hole.thread.hand() != Hand::Left || !right_hand_outside {
        return Ok(());
    }
    let says = remedy
        .cautions
        .iter()
        .any(|caution| caution.to_string().contains("left-hand"));
    rule(says, || "it does not say so".into())?;
    let keys = remedy.insert.as_ref().is_some_and(|insert| insert.keys > 0);
    rule(keys || remedy.pins.is_some(), || "nothing locks it".into())
}

/// What a kept thread engages, with the bolt's point and clearance, ends above its full thread.
fn engagement_is_in_the_thread(hole: &Situation, remedy: &Assessment) -> Result<(), String> {
    let Some(engaged) = remedy
        .engaged
        .filter(|engaged| engaged.length().is_positive())
    else {
        return Ok(());
    };
    if let Some((full, true)) = old_full_thread(hole).map(|full| (full, keeps_the_thread(remedy))) {
        let spare = if hole.through == Some(true) { 0 } else { 2 };
        let most = full - pitch(&hole.thread) * spare;
        rule(engaged.to.mm() <= most.mm() + HAIR_MM, || {
            format!(
                "engaged to {} in a thread to {}",
                engaged.to.both(),
                full.both()
            )
        })?;
    }
    let effective = remedy.effective_engagement.unwrap_or_default();
    rule(effective.mm() <= engaged.length().mm() + HAIR_MM, || {
        "more than is engaged".into()
    })
}

/// The order of the remedies, and why the first one is first.
fn order(hole: &Situation, all: &[Assessment]) {
    let hole = || hole.to_json().unwrap();
    assert!(all[0].first_because.is_some(), "{}", hole());
    assert!(all[1..].iter().all(|other| other.first_because.is_none()));
    let at = |wanted: &dyn Fn(&Assessment) -> bool| all.iter().position(wanted);
    // A remedy that cuts nothing comes before any that cuts and is judged the same.
    for (index, longer) in all
        .iter()
        .enumerate()
        .filter(|(_, a)| a.remedy == Remedy::LongerBolt)
    {
        let cuts = |a: &Assessment| {
            a.verdict == longer.verdict
                && !matches!(
                    a.remedy,
                    Remedy::Leave | Remedy::LongerBolt | Remedy::Specialist
                )
        };
        assert!(at(&cuts).is_none_or(|first| index < first), "{}", hole());
    }
    // Of those that hold, a wire thread insert comes before a shop-made part.
    let wire =
        |a: &Assessment| is_good(a) && a.remedy == Remedy::WireInsert && a.not_on_hand.is_empty();
    let shop_made = |a: &Assessment| {
        is_good(a)
            && matches!(
                a.remedy,
                Remedy::Bushing | Remedy::SteppedStud | Remedy::ThreadedPlug
            )
    };
    if let (Some(wire), Some(made)) = (at(&wire), at(&shop_made)) {
        assert!(wire < made, "{}", hole());
    }
    // Inferred dimensions never come before confirmed ones that are judged the same, and say so.
    let inferred = |a: &Assessment| {
        let insert = a.insert.as_ref();
        insert.is_some_and(|insert| insert.confidence == Confidence::Inferred)
    };
    for (index, one) in all.iter().enumerate().filter(|(_, a)| inferred(a)) {
        assert_eq!(one.family(), Some(Family::KeyLockingExtraHeavyDuty));
        let why = one.reasons().join("\n");
        assert!(why.contains("inferred"), "{why}\n{}", hole());
        let later = all[index + 1..].iter();
        let mut same = later.filter(|a| a.verdict == one.verdict && a.remedy != Remedy::Specialist);
        assert!(same.all(inferred), "{}", hole());
    }
}
