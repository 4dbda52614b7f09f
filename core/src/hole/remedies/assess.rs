//! One remedy, judged: its checks, and the numbers that they come from.

use super::candidate::Candidate;
use super::check::{Check, Lack, Weight};
use super::depth::{Downwards, downwards, point_length};
use super::holds::Holds;
use super::left::{bare_wall, key_wall, leaning, wandered, worst_depth};
use super::pins::{self, pins};
use super::{Assessment, ThreadLeft, Verdict, broken, joint, rank, room};
use crate::drill::clearance;
use crate::hole::caution::Caution;
use crate::hole::damage::{DEEPEST, Damage, Slice, Span, slices};
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::hole::wall::engagement_of;
use crate::insert::bushing::{least_wall, wall};
use crate::insert::{Insert, TapChamfer};
use crate::length::Length;
use std::borrow::Cow;

const CLEARANCE: &str = "open it to the clearance hole of normal fit for the larger bolt (ASME B18.2.8, ISO 273), or at least to its size";

const LOCK: &str =
    "a plug may undo; how it is locked and what it is made of is not judged here (judgement)";

const BOND: &str =
    "heat, oil or vibration may undo a bond; how it is made is not judged here (judgement)";

const BUSHING_WALL: &str = "1.5 mm or an eighth of the bolt's diameter, whichever is more, so that both threads are cut into metal that stands (judgement)";

const NUT: &str = "whether the nut and a wrench have room above the part bolted on, and the machine's manual allows a stud, is not judged here (judgement)";

const UNCONFIRMED: &str = "inferred or from memory, and read nowhere: measure the insert in hand before you drill (judgement)";

/// Judges one remedy after the other. Inserts of one family share their walls, so these are worked out once.
pub(super) struct Judge<'a> {
    situation: &'a Situation,
    /// What is missing to remedies that cut on the true axis.
    to_cut: Cow<'a, Damage>,
    walls: Vec<Wall>,
}

struct Wall {
    kept: bool,
    drilled: Length,
    major: Length,
    slices: Vec<Slice>,
}

impl<'a> Judge<'a> {
    pub fn new(situation: &'a Situation) -> Judge<'a> {
        Judge {
            situation,
            to_cut: situation.damage_to_cut(),
            walls: Vec::with_capacity(8),
        }
    }

    pub fn assess(&mut self, way: Candidate) -> Assessment {
        let situation = self.situation;
        let engaged = from_today(situation, way.engaged);
        let known = situation.damage_read && (way.cut.is_some() || situation.depth.is_some());
        let slices = self.slices(&way, engaged);
        let effective = known.then(|| engagement_of(&slices, engaged));
        let holds = Holds::of(situation, &way, effective);
        let down = way
            .cut
            .as_ref()
            .zip(way.drill.as_ref())
            .map(|(work, drill)| downwards(situation, work, drill));

        let mut checks = Vec::with_capacity(16);
        holds.checks(situation, effective, &mut checks);
        worst_depth(situation, &way, known.then_some(&slices[..]), &mut checks);
        key_wall(situation, &way, known.then_some(&slices[..]), &mut checks);
        bare_wall(
            &self.to_cut,
            &way,
            known.then_some(&slices[..]),
            &mut checks,
        );
        leaning(situation, &way, &mut checks);
        wandered(situation, &way, engaged, &mut checks);
        let tapped = tapped_span(engaged, down.as_ref());
        room::in_the_way(situation, &way, tapped, &mut checks);
        broken::piece(
            situation,
            &way,
            reach(engaged, &way, down.as_ref()),
            &mut checks,
        );
        if way.cut.is_some() {
            room::walls(situation, &way, &mut checks);
        }
        checks.extend(way.insert.as_deref().and_then(unconfirmed));
        match way.remedy {
            Remedy::LargerBolt => checks.push(mating(situation, &way)),
            Remedy::ThreadedPlug => checks.push(lock()),
            Remedy::Bushing => checks.extend(bushing(&way)),
            Remedy::SteppedStud => checks.push(nut()),
            _ => {}
        }
        let pins = pins(situation, &way);
        if let Some(pins) = &pins {
            pins::checks(pins, situation, &mut checks);
        }
        let bolt = joint::bolt(situation, &way, down.as_ref());
        let mut cautions = cautions(situation, &way, &holds, down.as_ref());
        cautions.extend(
            bolt.as_ref()
                .and_then(|bolt| bolt.advice)
                .map(Caution::BoltLength),
        );
        let (depths, tap_chamfer) = match down {
            Some(Downwards {
                depths,
                tap,
                checks: deep,
            }) => {
                checks.extend(deep);
                (Some(depths), Some(tap))
            }
            None => (None, None),
        };
        Assessment {
            remedy: way.remedy,
            verdict: verdict(&checks),
            checks,
            thread_left: if known { sampled(&slices) } else { Vec::new() },
            engaged: Some(engaged),
            effective_engagement: effective,
            parent_strength_n: holds.parent_n,
            bolt_strength_n: holds.bolt_n,
            sound_strength_n: Some(holds.sound_n),
            strength_ratio: holds.ratio(),
            bolt_thread: way.bolt,
            fails: Some(joint::fails(situation, &way, effective)),
            bolt,
            depths,
            not_on_hand: rank::not_on_hand(situation, &way),
            outside_thread: way.outside,
            insert: way.insert,
            drill: way.drill,
            tap: way.tap,
            tap_chamfer,
            depends_on: Vec::new(),
            pins,
            because: Vec::new(),
            cautions,
        }
    }

    /// The walls within the engaged depth.
    fn slices(&mut self, way: &Candidate, engaged: Span) -> Vec<Slice> {
        let kept = way.keeps_the_thread();
        let known = self.walls.iter().position(|wall| {
            wall.kept == kept && wall.drilled == way.drilled && wall.major == way.major
        });
        let index = known.unwrap_or_else(|| {
            let everywhere = Span {
                from: Length::ZERO,
                to: DEEPEST,
            };
            let damage = if kept {
                &self.situation.damage
            } else {
                &*self.to_cut
            };
            let slices = slices(damage, way.drilled, way.major, everywhere);
            self.walls.push(Wall {
                kept,
                drilled: way.drilled,
                major: way.major,
                slices,
            });
            self.walls.len() - 1
        });
        let inside = self.walls[index].slices.iter();
        inside
            .map(|slice| {
                let mut part = slice.within(engaged);
                // A thread that is only left as it is needs no tap, so hard metal stays.
                part.hard &= way.remedy != Remedy::Leave;
                part
            })
            .filter(|slice| slice.span.length().is_positive())
            .collect()
    }
}

fn from_today(situation: &Situation, (from, to): (Length, Length)) -> Span {
    let cut = situation.cut_or_none();
    Span {
        from: from + cut,
        to: to + cut,
    }
}

/// Where the tap cuts: from the face down to the end of full thread.
fn tapped_span(engaged: Span, down: Option<&Downwards>) -> Span {
    let to = down
        .and_then(|down| down.depths.full_thread)
        .unwrap_or(engaged.to);
    Span {
        from: Length::ZERO,
        to,
    }
}

/// How deep it goes: to the drill's tip, or where nothing is drilled to the end of the engaged thread.
fn reach(engaged: Span, way: &Candidate, down: Option<&Downwards>) -> Length {
    let Some((down, drill)) = down.zip(way.drill.as_ref()) else {
        return engaged.to;
    };
    let drilled = down.depths.drill.unwrap_or(down.depths.drill_after_cut);
    drilled + point_length(drill)
}

fn mating(situation: &Situation, way: &Candidate) -> Check {
    let needs = clearance(&way.bolt).unwrap_or(way.major);
    let has = (situation.mating_hole, Lack::MatingHole);
    Check::least_length(
        "hole in the part bolted on",
        has,
        needs,
        Weight::Preferred,
        CLEARANCE,
    )
}

/// How a plug is locked, and what the thread inside it holds, nobody says here: so it never simply fits.
fn lock() -> Check {
    let check = "threads that only a lock keeps from turning";
    Check::most(check, "", (1.0, 0.0), Weight::Preferred, LOCK)
}

/// An insert whose figures are inferred or remembered never simply fits.
fn unconfirmed(insert: &Insert) -> Option<Check> {
    let check = "figures of the insert that no sheet here confirms";
    let most = || Check::most(check, "", (1.0, 0.0), Weight::Preferred, UNCONFIRMED);
    insert.confidence.is_unconfirmed().then(most)
}

/// The wall between the two threads of a bushing, and that a bond alone keeps it from turning: so it never simply fits.
fn bushing(way: &Candidate) -> Vec<Check> {
    let only_bonded = "threads that only a bond keeps from turning";
    let mut checks = vec![Check::most(
        only_bonded,
        "",
        (1.0, 0.0),
        Weight::Preferred,
        BOND,
    )];
    let outside = way.insert.as_ref().and_then(|insert| insert.outside.thread);
    if let Some(outside) = outside {
        checks.push(Check::least_length(
            "wall of the bushing",
            (Some(wall(&way.bolt, &outside)), Lack::Damage),
            least_wall(&way.bolt),
            Weight::Must,
            BUSHING_WALL,
        ));
    }
    checks
}

/// A stud wants a nut, and room for it, where there was a bolt.
fn nut() -> Check {
    let check = "a stud and nut in place of a bolt";
    Check::most(check, "", (1.0, 0.0), Weight::Preferred, NUT)
}

fn verdict(checks: &[Check]) -> Verdict {
    let failed = |weight| {
        checks
            .iter()
            .any(|c| c.weight == weight && c.passes == Some(false))
    };
    if failed(Weight::Must) {
        Verdict::DoesNotFit
    } else if checks.iter().any(|check| check.passes.is_none()) {
        Verdict::NotKnown
    } else if failed(Weight::Preferred) {
        Verdict::FitsWithCare
    } else {
        Verdict::Fits
    }
}

fn sampled(slices: &[Slice]) -> Vec<ThreadLeft> {
    let mut left = Vec::with_capacity(3 * slices.len());
    for slice in slices {
        let samples = slice.samples();
        if !slice.changes() {
            let middle = ((slice.span.from + slice.span.to) / 2, slice.mean());
            left.extend([samples[0], middle, samples[samples.len() - 1]]);
        } else {
            left.extend(telling(&samples));
        }
    }
    let of = |(depth, fraction)| ThreadLeft { depth, fraction };
    left.into_iter().map(of).collect()
}

/// Of many samples some eight that tell how it runs: the ends, the least, and others between.
fn telling(samples: &[(Length, f64)]) -> Vec<(Length, f64)> {
    let step = (samples.len() / 6).max(1);
    let least = samples.iter().min_by(|a, b| a.1.total_cmp(&b.1));
    let mut some: Vec<_> = samples.iter().step_by(step).copied().collect();
    some.extend(samples.last().copied());
    some.extend(least.copied());
    some.sort_by_key(|(depth, _)| *depth);
    some.dedup_by_key(|(depth, _)| *depth);
    some
}

fn cautions(
    situation: &Situation,
    way: &Candidate,
    holds: &Holds,
    down: Option<&Downwards>,
) -> Vec<Caution> {
    let mut cautions = Vec::with_capacity(10);
    cautions.extend(situation.damage.crack.then_some(Caution::Crack));
    cautions.extend(
        situation
            .damage
            .broken_tool
            .is_some()
            .then_some(Caution::BrokenPiece),
    );
    strength_cautions(situation, way, holds, &mut cautions);
    let below = way.engaged.0;
    let carried = matches!(way.remedy, Remedy::ThreadedPlug | Remedy::SteppedStud);
    let in_the_iron = way.insert.is_none() && !carried;
    let starts_lower = in_the_iron && below.is_positive();
    cautions.extend(starts_lower.then_some(Caution::ThreadStartsLower { below }));
    if way.remedy == Remedy::Leave {
        return cautions;
    }
    let hard = !situation.damage.hard.is_empty();
    cautions.extend(hard.then_some(Caution::HardMetal));
    cautions.extend([Caution::TurningTool, Caution::Eyes]);
    let bottoming = down.is_some_and(|down| down.tap == TapChamfer::Bottoming);
    cautions.extend(bottoming.then_some(Caution::BottomingTap));
    cautions.push(if situation.blind() == Some(false) {
        Caution::BreaksThrough
    } else {
        Caution::OilInBlindHole
    });
    match way.remedy {
        Remedy::WireInsert => cautions.extend([
            Caution::Tang,
            Caution::InsertInHand,
            Caution::PrevailingTorque,
        ]),
        Remedy::KeyLockingInsert => cautions.extend([
            Caution::KeySlots,
            Caution::InsertInHand,
            Caution::PrevailingTorque,
        ]),
        Remedy::LargerBolt => cautions.push(Caution::LargerBolt),
        Remedy::ThreadedPlug => cautions.extend([Caution::Plug, Caution::Pins]),
        Remedy::Bushing => cautions.push(Caution::Bonded),
        Remedy::SteppedStud => cautions.push(Caution::SteppedStud),
        _ => {}
    }
    cautions
}

fn strength_cautions(
    situation: &Situation,
    way: &Candidate,
    holds: &Holds,
    cautions: &mut Vec<Caution>,
) {
    if let Some(ratio) = holds.ratio().filter(|ratio| *ratio < 1.0) {
        cautions.push(Caution::IronStripsFirst { ratio });
    }
    if let Some(grade) = situation.bolt.filter(|_| holds.bolt_n.is_none()) {
        cautions.push(Caution::GradeNotCovered {
            grade,
            thread: way.bolt,
        });
    }
    let share = holds.parent_n.map(|parent| parent / holds.sound_n);
    if let Some(share) = share.filter(|share| *share < 1.0 - 1e-9) {
        cautions.push(Caution::HoldsLess { share });
    }
    cautions.extend(
        way.published_area_mm2
            .is_some()
            .then_some(Caution::PublishedArea),
    );
    cautions.extend(situation.metal.is_assumed().then_some(Caution::AssumedIron));
}
