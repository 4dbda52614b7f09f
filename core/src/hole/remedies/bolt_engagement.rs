//! Where a bolt in the parent metal engages: in the good thread, below a damaged mouth.
//!
//! How much is engaged is a continuous matter: a little more damage is a little less engagement,
//! never another verdict by itself. All depths here are from the finished face.

use super::candidate::Candidate;
use crate::hole::damage::{MAX_DEPTH, Slice, Span};
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::hole::wall::{engagement_of, good_parts};
use crate::length::Length;
use crate::strength::sound_engagement;
use crate::thread::Thread;
use std::cmp::Reverse;

/// Pitches at a bolt's point without full thread (judgment).
pub(super) const POINT_PITCHES: f64 = 1.0;

/// The existing thread of a hole.
pub(super) struct ExistingThread<'a> {
    situation: &'a Situation,
    /// Its wall at all depths, from the face as is; `None` if the damage is unknown.
    slices: Option<Vec<Slice>>,
}

impl<'a> ExistingThread<'a> {
    /// Returns the thread with its wall, as the bolt on the old axis sees it.
    pub fn new(situation: &'a Situation, slices: &[Slice]) -> ExistingThread<'a> {
        ExistingThread {
            situation,
            slices: situation.damage_described.then(|| slices.to_vec()),
        }
    }

    /// Returns the engagement of the bolt as it is: from the face, or from the good thread below a
    /// countersunk or damaged mouth, to where a bolt for a sound hole reaches, or the one in hand.
    ///
    /// A countersink of about a pitch costs nothing: stock lengths of bolts are coarser.
    pub fn of_usual_bolt(&self, remedy: Remedy) -> Span {
        let limit = self.deepest_engaged().unwrap_or(MAX_DEPTH);
        let usual = limit.min(self.sound());
        let (to, grace) = match self.reach_in_hand() {
            Some(reach) => (reach.min(usual).clamp_at_zero(), Length::ZERO),
            None => (usual, self.pitches(self.situation.limits().mouth_pitches)),
        };
        let reached = |part: Span| Span {
            from: part.from.min(to),
            to: part.to.min(to + part.from.min(grace)).min(limit),
        };
        let clear = |part| self.clear_of_hard(reached(part));
        let parts = self.good_parts(remedy).into_iter().map(clear);
        self.best(parts).unwrap_or(Span { from: to, to })
    }

    /// Returns the engagement of a longer bolt, if one reaches more good thread than `usual`.
    pub fn of_longer_bolt(&self, usual: Span) -> Option<Span> {
        self.slices.as_ref()?;
        let limit = self.deepest_engaged().unwrap_or(MAX_DEPTH);
        let inside = |part: Span| Span {
            to: part.to.min(limit),
            ..part
        };
        let parts = self.good_parts(Remedy::LongerBolt).into_iter();
        let clear = |part| self.clear_of_hard(self.shortened_to_sound(inside(part)));
        let best = self.best(parts.map(clear))?;
        let more = self.effective(best) > self.effective(usual);
        (best.to > usual.to && more).then_some(best)
    }

    /// Returns the engagement in the hole drilled and tapped deeper, where the thread that is there
    /// is too short; for the bolt in hand if that reaches deeper.
    pub fn of_deeper_hole(&self) -> Option<Span> {
        self.slices.as_ref()?;
        let there = self.deepest_engaged()?;
        if self.situation.blind() == Some(false) {
            return None;
        }
        let sound = self.sound();
        let parts = self.good_parts(Remedy::TapDeeper).into_iter();
        let mut long_enough = parts
            .map(|part| self.shortened_to_sound(part))
            .filter(|part| self.effective(*part) >= sound);
        let part = long_enough.next()?;
        let to = self
            .reach_in_hand()
            .map_or(part.to, |reach| reach.max(part.to));
        (to > there).then_some(Span { to, ..part })
    }

    fn pitches(&self, count: f64) -> Length {
        Length::from_computed_mm(count * self.situation.thread.pitch_mm())
    }

    fn sound(&self) -> Length {
        sound_engagement(self.situation.thread.nominal(), self.situation.metal)
    }

    /// Returns a part whose bolt stays clear of hard metal below it, which may hold no thread.
    fn clear_of_hard(&self, part: Span) -> Span {
        let zones = self.situation.damage.hard.iter();
        let below = zones
            .map(|zone| zone.reach().from - self.cut())
            .filter(|from| *from >= part.to)
            .min();
        let tip = point_and_clearance(self.situation, &self.situation.thread);
        let to = below.map_or(part.to, |below| part.to.min(below - tip));
        Span {
            to: to.max(part.from),
            ..part
        }
    }

    /// Returns the part with the most effective engagement; of equals, the upper one.
    fn best(&self, parts: impl Iterator<Item = Span>) -> Option<Span> {
        parts.max_by_key(|part| (self.effective(*part), Reverse(part.from)))
    }

    /// Returns the deepest that a bolt can engage: its point and clearance above the end of full
    /// thread, or the far side of a through hole.
    fn deepest_engaged(&self) -> Option<Length> {
        let full = (self.situation.old_full_thread()? - self.cut()).clamp_at_zero();
        if self.situation.blind() == Some(false) {
            return Some(full);
        }
        Some((full - point_and_clearance(self.situation, &self.situation.thread)).clamp_at_zero())
    }

    /// Returns how deep the bolt in hand engages; `None` if its length or the grip is unknown.
    fn reach_in_hand(&self) -> Option<Length> {
        let (length, grip) = self.situation.bolt_length.zip(self.situation.grip)?;
        Some(length - grip - self.pitches(POINT_PITCHES))
    }

    fn cut(&self) -> Length {
        self.situation.face_cut_or_zero()
    }

    fn good_parts(&self, remedy: Remedy) -> Vec<Span> {
        let all = Span {
            from: self.cut(),
            to: MAX_DEPTH,
        };
        let cut = self.cut();
        let below_face = |part: Span| Span {
            from: part.from - cut,
            to: part.to - cut,
        };
        let Some(slices) = &self.slices else {
            return vec![below_face(all)];
        };
        let limits = self.situation.limits();
        let keeps = matches!(remedy, Remedy::Leave | Remedy::LongerBolt);
        let parts = if keeps {
            // No tap meets the hard metal, so the thread in it stays.
            let mut soft = slices.clone();
            soft.iter_mut().for_each(|slice| slice.hard = false);
            good_parts(&soft, limits.thread_left_as_is, all)
        } else {
            good_parts(slices, limits.thread_left_tapped, all)
        };
        parts.into_iter().map(below_face).collect()
    }

    /// Returns the effective engagement in a part.
    fn effective(&self, part: Span) -> Length {
        let cut = self.cut();
        let part = Span {
            from: part.from + cut,
            to: part.to + cut,
        };
        self.slices
            .as_ref()
            .map_or(part.length(), |slices| engagement_of(slices, part))
    }

    /// Returns the upper end of a part, as long as a sound hole's engagement needs.
    fn shortened_to_sound(&self, part: Span) -> Span {
        let sound = self.sound();
        let mut to = (part.from + sound).min(part.to);
        // Each turn adds what the thread that is not whole lacks, at most a tenth or half of it.
        for _ in 0..ROUNDS {
            let lacks = sound - self.effective(Span { to, ..part });
            if !lacks.is_positive() {
                break;
            }
            to = (to + lacks).min(part.to);
        }
        Span { to, ..part }
    }
}

/// Rounds until an engagement is enough, to the nanometer: each halves what is missing, or better.
const ROUNDS: usize = 60;

/// Returns the depth that a bolt's tip needs below its engaged thread: its point, and the clearance
/// above the end of full thread.
pub(super) fn point_and_clearance(situation: &Situation, bolt: &Thread) -> Length {
    // Each rounded by itself, as the bolt's length is.
    let pitches = |count: f64| Length::from_computed_mm(count * bolt.pitch_mm());
    pitches(POINT_PITCHES) + pitches(situation.limits().tip_clear_pitches)
}

/// Limits the engagement of a bolt in newly cut thread to its longest good part.
pub(super) fn skip_damaged_parts(
    situation: &Situation,
    candidate: &mut Candidate,
    slices: &[Slice],
) {
    let cut = situation.face_cut_or_zero();
    let (from, to) = candidate.engaged;
    let engaged = Span {
        from: from + cut,
        to: to + cut,
    };
    let parts = good_parts(slices, situation.limits().thread_left_tapped, engaged);
    let best = parts
        .into_iter()
        .max_by_key(|part| (engagement_of(slices, *part), Reverse(part.from)));
    candidate.engaged = best.map_or((to, to), |part| (part.from - cut, part.to - cut));
}
