//! Assessment of one remedy: its figures, its checks and its verdict.

use super::bolt_engagement::{ExistingThread, point_and_clearance, skip_damaged_parts};
use super::candidate::Candidate;
use super::check::{Check, MissingReading, Weight};
use super::depth::{DepthPlan, plan_depths, point_length};
use super::figures::Figures;
use super::pins::{Pins, pin_checks, pins};
use super::strength_checks::Strengths;
use super::thread_remaining::{
    key_support, least_thread, lost_at_the_mouth, off_center_hole, squareness, unsupported_arc,
};
use super::{
    Assessment, ThreadLeft, Verdict, broken_piece, candidates, cautions, edge_distance, joint,
    rank, rationale, special_checks,
};
use crate::hole::damage::{Damage, MAX_DEPTH, Slice, Span};
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::hole::wall::{Layers, engagement_of};
use crate::insert::Catalog;
use crate::length::Length;
use std::borrow::Cow;

/// Assesses candidates one after the other, and caches the walls that several of them share.
pub(super) struct Assessor<'a> {
    situation: &'a Situation,
    /// Damage as seen by remedies that cut on the true axis.
    damage_to_cut: Cow<'a, Damage>,
    /// The damage divided by depth, as a thread on the old axis sees it and as a new one does.
    layers: [Option<Layers>; 2],
    walls: Vec<WallSlices>,
}

/// The wall of one drilled hole at all depths.
struct WallSlices {
    keeps_old_thread: bool,
    drilled: Length,
    major: Length,
    slices: Vec<Slice>,
}

impl<'a> Assessor<'a> {
    pub fn new(situation: &'a Situation) -> Assessor<'a> {
        Assessor {
            situation,
            damage_to_cut: situation.damage_to_cut(),
            layers: [None, None],
            walls: Vec::with_capacity(16),
        }
    }

    /// Returns the candidates for the hole, in no order; those for one remedy if it is named.
    pub fn candidates(&mut self, catalog: &Catalog, only: Option<Remedy>) -> Vec<Candidate> {
        let situation = self.situation;
        let is_wanted = |remedy| only.is_none_or(|only| only == remedy);
        let mut all = Vec::with_capacity(32);
        if candidates::IN_OWN_THREAD.into_iter().any(is_wanted) {
            let thread = situation.thread;
            let index = self.wall_index(true, thread.intact_bore_max(), thread.nominal());
            let existing = ExistingThread::new(situation, &self.walls[index].slices);
            all.extend(candidates::existing_thread(situation, &existing));
        }
        if candidates::INSERTED.into_iter().any(is_wanted) {
            all.extend(candidates::inserts(situation, catalog));
        }
        all.extend(candidates::larger_fasteners(situation, is_wanted));
        if is_wanted(Remedy::ThreadedPlug) {
            all.extend(candidates::plug(situation, |plug| self.engages(plug)));
        }
        all.retain(|candidate| is_wanted(candidate.remedy));
        all
    }

    /// Returns how much whole thread a candidate engages in the casting, and over which length.
    fn engages(&mut self, candidate: &Candidate) -> (Length, Length) {
        let engaged = span_from_face_as_is(self.situation, candidate.engaged);
        let wall = self.wall_of(candidate);
        let whole = engagement_of(&self.walls[wall].slices, engaged);
        (whole, engaged.length())
    }

    /// Returns the assessment at the worst case of the readings, without sensitivities and reasons.
    pub fn assess(&mut self, candidate: Candidate) -> Assessment {
        let situation = self.situation;
        let candidate = self.without_damaged_parts(candidate);
        let figures = self.figures(&candidate);
        let pins = pins(situation, &candidate);
        let mut checks = self.checks(&candidate, &figures, pins.as_ref());
        let failure = joint::compare_joint(situation, &candidate, figures.effective);
        let blocked = checks.iter().any(broken_piece::blocks);
        let plan = figures.depth_plan.as_ref();
        let seat = joint::bolt_seat(situation, &candidate, plan, blocked);
        let bolt_tip = seat.as_ref().map(joint::bolt_tip);
        let bolt = seat
            .as_ref()
            .and_then(|seat| joint::bolt_reach(situation, seat));
        if let Some(seat) = &seat {
            joint::bolt_in_hand_checks(situation, &candidate, seat, &mut checks);
        }
        let cautions = cautions::cautions(situation, &candidate, &figures, bolt.as_ref());
        let (depths, tap_chamfer) = match figures.depth_plan {
            Some(plan) => {
                checks.extend(plan.checks);
                (Some(plan.depths), Some(plan.tap))
            }
            None => (None, None),
        };
        let verdict = verdict(&checks);
        Assessment {
            thread_left: figures.slices.as_deref().map_or_else(Vec::new, thread_left),
            engaged: Some(figures.engaged),
            effective_engagement: figures.effective,
            parent_strength_n: figures.strengths.parent_n,
            parent_strength_floor_n: figures.strengths.parent_floor_n,
            bolt_strength_n: figures.strengths.bolt_n,
            sound_strength_n: Some(figures.strengths.sound_n),
            sound_ratio: figures.strengths.sound_ratio(),
            strength_ratio: figures.strengths.ratio(),
            failure: Some(failure),
            bolt_tip,
            edge_wall: edge_distance::edge_wall(situation, &candidate),
            rationale: rationale::rationale(&candidate, figures.effective, bolt_tip, bolt.as_ref()),
            bolt,
            depths,
            tap_chamfer,
            pins,
            cautions,
            not_on_hand: rank::not_on_hand(situation, &candidate),
            outside_thread: candidate.outside,
            insert: candidate.insert.map(Into::into),
            drill: candidate.drill,
            tap: candidate.tap,
            missing_readings: missing_readings(&checks),
            checks,
            ..Assessment::new(candidate.remedy, verdict, candidate.bolt)
        }
    }

    /// Returns the figures that the candidate's checks are based on.
    fn figures(&mut self, candidate: &Candidate) -> Figures {
        let situation = self.situation;
        let engaged = span_from_face_as_is(situation, candidate.engaged);
        let depth_known = !candidate.needs.is_empty() || situation.bottom().is_some();
        let known = situation.damage_described && depth_known;
        let slices = known.then(|| self.slices(candidate, engaged));
        let effective = slices.as_ref().map(|slices| engagement_of(slices, engaged));
        Figures {
            engaged,
            slices,
            effective,
            strengths: Strengths::of(situation, candidate, effective),
            depth_plan: plan_depths(situation, candidate),
        }
    }

    /// Returns all checks but those of the depths.
    fn checks(&self, candidate: &Candidate, figures: &Figures, pins: Option<&Pins>) -> Vec<Check> {
        let situation = self.situation;
        let slices = figures.slices.as_deref();
        let engaged = figures.engaged;
        let plan = figures.depth_plan.as_ref();
        let mut checks = Vec::with_capacity(16);
        figures
            .strengths
            .checks(situation, figures.effective, &mut checks);
        least_thread(situation, candidate, slices, &mut checks);
        key_support(situation, candidate, slices, &mut checks);
        let limits = situation.limits();
        unsupported_arc(limits, &self.damage_to_cut, candidate, slices, &mut checks);
        lost_at_the_mouth(situation, candidate, slices, &mut checks);
        squareness(situation, candidate, &mut checks);
        off_center_hole(situation, candidate, &mut checks);
        let cut = cut_span(engaged, plan);
        edge_distance::obstacle_checks(situation, candidate, cut, &mut checks);
        let reach = reach(situation, engaged, candidate, plan);
        broken_piece::broken_piece_check(situation, candidate, reach, &mut checks);
        if !candidate.needs.is_empty() {
            edge_distance::spacing_checks(situation, candidate, reach, &mut checks);
        }
        special_checks::special_checks(situation, candidate, &mut checks);
        if let Some(pins) = pins {
            pin_checks(pins, situation, &mut checks);
        }
        checks
    }

    /// Limits a bolt in newly cut thread to the part of it that is good.
    fn without_damaged_parts(&mut self, mut candidate: Candidate) -> Candidate {
        let in_parent = matches!(candidate.remedy, Remedy::SteppedStud | Remedy::LargerBolt);
        if in_parent && self.situation.damage_described {
            let index = self.wall_of(&candidate);
            skip_damaged_parts(self.situation, &mut candidate, &self.walls[index].slices);
        }
        candidate
    }

    /// Returns the slices of the wall within the engaged range.
    fn slices(&mut self, candidate: &Candidate, engaged: Span) -> Vec<Slice> {
        let index = self.wall_of(candidate);
        self.walls[index]
            .slices
            .iter()
            .map(|slice| {
                let mut part = slice.clipped_to(engaged);
                // A thread that is left as is meets no tap, so its hard metal stays.
                part.hard &= !candidate.cuts_nothing();
                part
            })
            .filter(|slice| slice.span.length().is_positive())
            .collect()
    }

    /// Returns the index of the candidate's wall.
    fn wall_of(&mut self, candidate: &Candidate) -> usize {
        let keeps_old_thread = candidate.keeps_old_thread();
        self.wall_index(keeps_old_thread, candidate.drilled, candidate.major)
    }

    /// Returns the index of a wall, which is computed the first time.
    fn wall_index(&mut self, keeps_old_thread: bool, drilled: Length, major: Length) -> usize {
        let known = self.walls.iter().position(|wall| {
            wall.keeps_old_thread == keeps_old_thread
                && wall.drilled == drilled
                && wall.major == major
        });
        known.unwrap_or_else(|| {
            let all_depths = Span {
                from: Length::ZERO,
                to: MAX_DEPTH,
            };
            let damage = if keeps_old_thread {
                &self.situation.damage
            } else {
                &*self.damage_to_cut
            };
            let layers = &mut self.layers[usize::from(keeps_old_thread)];
            let layers = layers.get_or_insert_with(|| Layers::of(damage, all_depths));
            let slices = layers.slices(drilled, major);
            self.walls.push(WallSlices {
                keeps_old_thread,
                drilled,
                major,
                slices,
            });
            self.walls.len() - 1
        })
    }
}

fn span_from_face_as_is(situation: &Situation, (from, to): (Length, Length)) -> Span {
    let cut = situation.face_cut_or_zero();
    Span {
        from: from + cut,
        to: to + cut,
    }
}

/// Returns the depth range that is cut: from the face to the end of the drill's full diameter, or
/// of the engaged thread where nothing is drilled.
fn cut_span(engaged: Span, plan: Option<&DepthPlan>) -> Span {
    let to = plan
        .and_then(|plan| plan.depths.drill)
        .unwrap_or(engaged.to);
    Span {
        from: Length::ZERO,
        to,
    }
}

/// Returns how deep the remedy goes: to the drill's tip, or to the bolt's tip and its clearance
/// where nothing is drilled.
fn reach(
    situation: &Situation,
    engaged: Span,
    candidate: &Candidate,
    plan: Option<&DepthPlan>,
) -> Length {
    let Some((plan, drill)) = plan.zip(candidate.drill.as_ref()) else {
        return engaged.to + point_and_clearance(situation, &candidate.bolt);
    };
    let drilled = plan.depths.drill.unwrap_or(plan.depths.drill_after_cut);
    // A bolt in a through hole may reach farther than the drill.
    let for_bolt = candidate.insert.as_ref().map_or(Length::ZERO, |insert| {
        joint::drilled_for_bolt(situation, insert) + situation.face_cut_or_zero()
    });
    (drilled + point_length(drill)).max(for_bolt)
}

fn verdict(checks: &[Check]) -> Verdict {
    let failed = |weight| {
        checks
            .iter()
            .any(|check| check.weight == weight && check.passes == Some(false))
    };
    if failed(Weight::Must) {
        Verdict::DoesNotFit
    } else if checks.iter().any(|check| check.passes.is_none()) {
        Verdict::Unknown
    } else if failed(Weight::Preferred) {
        Verdict::Marginal
    } else {
        Verdict::Fits
    }
}

/// Returns the readings that the checks miss, each once.
fn missing_readings(checks: &[Check]) -> Vec<MissingReading> {
    let mut missing: Vec<MissingReading> =
        checks.iter().filter_map(|check| check.missing).collect();
    missing.sort_unstable();
    missing.dedup();
    missing
}

fn thread_left(slices: &[Slice]) -> Vec<ThreadLeft> {
    let mut left = Vec::with_capacity(3 * slices.len());
    for slice in slices {
        let samples = slice.samples();
        if slice.varies() {
            left.extend(reduce_samples(&samples));
        } else {
            let middle = ((slice.span.from + slice.span.to) / 2, slice.mean());
            left.extend([samples[0], middle, samples[samples.len() - 1]]);
        }
    }
    let of = |(depth, fraction)| ThreadLeft { depth, fraction };
    left.into_iter().map(of).collect()
}

/// Reduces samples to about eight, keeping the ends and the minimum.
fn reduce_samples(samples: &[(Length, f64)]) -> Vec<(Length, f64)> {
    let step = (samples.len() / 6).max(1);
    let least = samples.iter().min_by(|a, b| a.1.total_cmp(&b.1));
    let mut some: Vec<_> = samples.iter().step_by(step).copied().collect();
    some.extend(samples.last().copied());
    some.extend(least.copied());
    some.sort_by_key(|(depth, _)| *depth);
    some.dedup_by_key(|(depth, _)| *depth);
    some
}
