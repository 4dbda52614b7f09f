//! Remedies: every way to make a hole hold again, each with its reasons and both numbers of every check.

use crate::border::{In, Out, record_out, words};
use crate::damage::Span;
use crate::error::NotebookError;
use crate::guard::guard;
use crate::inserts::{Drill, Insert, TapChamfer};
use crate::joint::{BoltReach, Comparison};
use crate::length::Length;
use crate::record::{Remedy, Work};
use crate::situation::Situation;
use holebook_core::hole::{budget, caution, remedies as core};
use holebook_core::insert::Catalogue;

words! {
    /// What the checks of a remedy come to.
    Verdict = core::Verdict {
        /// Every check passes.
        Fits,
        /// All that must pass does, but something is worse than it should be.
        FitsWithCare,
        /// A reading is missing, and nothing that is known rules the remedy out.
        NotKnown,
        /// A check that must pass fails.
        DoesNotFit,
    }
}

words! {
    /// How much hangs on a check.
    Weight = core::Weight {
        /// The remedy does not fit where it fails.
        Must,
        /// The remedy fits with care where it fails.
        Preferred,
    }
}

words! {
    /// A reading that a check waits for.
    Lack = core::Lack {
        /// What is missing round the hole.
        Damage,
        /// How much is still to come off the face.
        FaceCut,
        /// Blind or through.
        Through,
        /// Depth of the hole.
        Depth,
        /// Metal under its bottom.
        Floor,
        /// Distance to the nearest edge.
        NearestEdge,
        /// Distance to the nearest hole.
        NearestHole,
        /// The hole in the part bolted on.
        MatingHole,
    }
}

/// One check of a remedy: both numbers, and where the limit comes from.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Check {
    /// Its name.
    pub check: String,
    /// What there is. None: not known.
    pub has: Option<f64>,
    /// What it takes.
    pub needs: Option<f64>,
    /// Unit of both: mm, N, or nothing for a share or a count.
    pub unit: String,
    /// Whether `has` may be at most `needs`; otherwise it must be at least that.
    pub at_most: bool,
    /// How much hangs on it.
    pub weight: Weight,
    /// Whether it passes. None: a reading is missing.
    pub passes: Option<bool>,
    /// Whether it fails only at the worst of what the readings may be off, and passes by what they read.
    pub passes_as_read: bool,
    /// The reading that it waits for.
    pub lacks: Option<Lack>,
    /// Where the limit comes from.
    pub limit_from: String,
    /// What is wrong, in a sentence; none where it passes.
    pub reason: Option<String>,
}

impl Out for core::Check {
    type Face = Check;
    fn out(self) -> Check {
        let reason = self.reason();
        let Self {
            check,
            has,
            needs,
            unit,
            at_most,
            weight,
            passes,
            passes_as_read,
            lacks,
            limit_from,
        } = self;
        Check {
            check: check.out(),
            has,
            needs,
            unit: unit.out(),
            at_most,
            weight: weight.out(),
            passes,
            passes_as_read,
            lacks: lacks.out(),
            limit_from: limit_from.into_owned(),
            reason,
        }
    }
}

record_out! {
    /// What is left of the outside thread at one depth.
    ThreadLeft = core::ThreadLeft {
        /// Depth below today's face.
        depth: Length,
        /// Part of the flank height, averaged round the circumference. On the safe side: strength in shear falls later.
        fraction: f64,
    }
}

record_out! {
    /// Depths from today's face and from the finished one. Those from today's face are none while nobody has said how
    /// much is still to come off.
    Depths = budget::Depths {
        /// Drill to here now, to the full diameter of the drill; its point goes deeper. The whole thickness in a hole that
        /// goes through.
        drill: Option<Length>,
        /// Full thread to here now.
        full_thread: Option<Length>,
        /// The insert's upper end lies so far below today's face if it is set now.
        set_now: Option<Length>,
        /// The insert's upper end lies so far below the finished face: the middle of what is allowed.
        set_after_cut: Option<Length>,
        /// How deep the drilled hole is, from the finished face.
        drill_after_cut: Length,
        /// How deep full thread goes, from the finished face.
        full_thread_after_cut: Length,
        /// The least that the insert's upper end may lie below the finished face.
        set_below_min: Option<Length>,
        /// The most.
        set_below_max: Option<Length>,
    }
}

/// Cautions cross as their sentences.
impl Out for caution::Caution {
    type Face = String;
    fn out(self) -> String {
        self.to_string()
    }
}

/// A reading that a verdict hangs on.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Dependence {
    /// What it is called.
    pub reading: String,
    /// What it reads.
    pub stated: Length,
    /// How far that may be off.
    pub error: Length,
    /// What it must truly be for the better verdict.
    pub needs: Length,
    /// Whether `needs` is the most that it may be; otherwise it is the least.
    pub at_most: bool,
    /// To within how much it must be measured.
    pub measure_to: Length,
    /// Whether taking this reading better is enough; otherwise others must be taken better too.
    pub alone: bool,
}

impl Out for core::Dependence {
    type Face = Dependence;
    fn out(self) -> Dependence {
        Dependence {
            measure_to: self.within().out(),
            reading: self.name,
            stated: self.stated.out(),
            error: self.error.out(),
            needs: self.needs.out(),
            at_most: !self.reading.worst_is_least(),
            alone: self.alone,
        }
    }
}

/// One remedy, judged.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Way {
    /// What a choice of it, and every entry of work done for it, says.
    pub work: Work,
    /// The remedy.
    pub remedy: Remedy,
    /// The insert, where the remedy is one.
    pub insert: Option<Insert>,
    /// The thread cut into the casting, where one is cut.
    pub outside_thread: Option<String>,
    /// What the checks come to.
    pub verdict: Verdict,
    /// The checks, with both numbers each.
    pub checks: Vec<Check>,
    /// Why it does not simply fit, a sentence for each check that does not pass.
    pub reasons: Vec<String>,
    /// The readings that it waits for, each once.
    pub lacks: Vec<Lack>,
    /// What is left of the thread over the engaged depth.
    pub thread_left: Vec<ThreadLeft>,
    /// Where the thread is engaged, from today's face.
    pub engaged: Option<Span>,
    /// Length of whole thread that comes to the same. None: nobody looked what is missing.
    pub effective_engagement: Option<Length>,
    /// Load that strips the metal of the casting, newtons.
    pub parent_strength_n: Option<f64>,
    /// Load that breaks the bolt, newtons. None: its grade is not known.
    pub bolt_strength_n: Option<f64>,
    /// Load that strips a sound hole for the wanted bolt with 1.5 diameters engaged, newtons.
    pub sound_strength_n: Option<f64>,
    /// The first over the second. Below one the metal strips before the bolt breaks, as it does in most sound holes in old
    /// iron too.
    pub strength_ratio: Option<f64>,
    /// The thread of the bolt that the finished hole takes.
    pub bolt_thread: String,
    /// What fails first, with all loads. None for a specialist's hole.
    pub fails: Option<Comparison>,
    /// Which length of bolt it takes. None: nobody said how thick the part is that it holds.
    pub bolt: Option<BoltReach>,
    /// How deep to go, where something is cut.
    pub depths: Option<Depths>,
    /// The drill, where something is drilled.
    pub drill: Option<Drill>,
    /// The tap, where something is tapped.
    pub tap: Option<String>,
    /// The chamfer of the tap that the depths are reckoned for.
    pub tap_chamfer: Option<TapChamfer>,
    /// The pins that lock it, where it is a plug.
    pub pins: Option<Pins>,
    /// What is not in the drawer; empty also where nobody said what is.
    pub not_on_hand: Vec<String>,
    /// The readings that the verdict hangs on: with what they read it would be better than at the worst of them.
    pub depends_on: Vec<Dependence>,
    /// What to beware of, in sentences.
    pub cautions: Vec<String>,
}

record_out! {
    /// The pins of a plug, on the joint line between it and the casting.
    Pins = core::Pins {
        /// How many, spaced evenly.
        count: u8,
        /// The drill for them, which is their diameter.
        drill: Drill,
        /// The circle that their centres lie on, round the intended centre.
        circle: Length,
        /// How deep they go below the finished face, to the full diameter of the drill.
        depth_after_cut: Length,
        /// How deep from today's face; none while nobody has said how much is to come off.
        depth: Option<Length>,
        /// Where the first one goes: degrees from the line from the hole to the nearest edge.
        first_deg: f64,
    }
}

impl Out for core::Assessment {
    type Face = Way;
    fn out(self) -> Way {
        let (work, reasons, lacks) = (self.work(), self.reasons(), self.lacks());
        let Self {
            remedy,
            insert,
            outside_thread,
            verdict,
            checks,
            thread_left,
            engaged,
            effective_engagement,
            parent_strength_n,
            bolt_strength_n,
            sound_strength_n,
            strength_ratio,
            bolt_thread,
            fails,
            bolt,
            depths,
            drill,
            tap,
            tap_chamfer,
            pins,
            not_on_hand,
            depends_on,
            because: _, // they stand among the reasons
            cautions,
        } = self;
        Way {
            work: work.out(),
            remedy: remedy.out(),
            insert: insert.out(),
            outside_thread,
            verdict: verdict.out(),
            checks: checks.out(),
            reasons,
            lacks: lacks.out(),
            thread_left: thread_left.out(),
            engaged: engaged.out(),
            effective_engagement: effective_engagement.out(),
            parent_strength_n,
            bolt_strength_n,
            sound_strength_n,
            strength_ratio,
            bolt_thread: bolt_thread.designation(),
            fails: fails.out(),
            bolt: bolt.out(),
            depths: depths.out(),
            drill: drill.out(),
            tap,
            tap_chamfer: tap_chamfer.out(),
            pins: pins.out(),
            not_on_hand,
            depends_on: depends_on.out(),
            cautions: cautions.out(),
        }
    }
}

/// Every remedy for a hole, judged: those that fit first, and among them the least intrusive. It needs no notebook, so it offers no
/// inserts of the shop's own.
///
/// Fails with `Unfit` where no such hole can be, with `Unreadable` for a thread, grade or metal that is none known here.
#[uniffi::export]
pub fn remedies(situation: Situation) -> Result<Vec<Way>, NotebookError> {
    guard("remedies", || {
        let catalogue = Catalogue::standard();
        Ok(core::remedies(&situation.checked()?, catalogue).out())
    })
}

/// A reading that is missing, as a thing to do in plain words.
#[uniffi::export]
pub fn lack_words(lack: Lack) -> Result<String, NotebookError> {
    guard("lack_words", || {
        let lack: core::Lack = lack.inward()?;
        Ok(lack.to_string())
    })
}
