//! Candidates: the remedies that come into question for a hole.

use super::candidate::{Candidate, DepthNeeds, tapped_need};
use crate::drill::tap_drill;
use crate::hole::damage::{Span, effective_engagement};
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::{Catalog, Insert, TapChamfer};
use crate::length::Length;
use crate::strength::sound_engagement;
use crate::thread::{Series, Thread, standard_threads};
use std::sync::Arc;

/// Smallest wall between the wanted thread's major diameter and the root of the plug's thread: .12
/// in (judgment, like the smallest wall outside a solid insert).
const PLUG_WALL: Length = Length::from_fraction(12, 100);

/// Depths below the finished face, in pitches, at which a bolt in the parent metal may start to
/// engage, past a countersunk mouth. A thread lost deeper than that is damage (judgment).
const MOUTH_PITCHES: [f64; 3] = [0.0, 1.0, 2.0];

/// Number of larger threads in which stepped studs are tried.
const STUDS: usize = 2;

/// Returns the candidates for a hole, in no order.
pub(super) fn candidates(situation: &Situation, catalog: &Catalog) -> Vec<Candidate> {
    let mut all = Vec::with_capacity(12);
    let starts = || engagement_starts(situation, situation.thread);
    all.extend(starts().map(|start| existing_thread(situation, Remedy::Leave, start)));
    all.extend(starts().map(|start| existing_thread(situation, Remedy::Chase, start)));
    all.extend(
        catalog
            .inserts_for(&situation.thread)
            .iter()
            .map(|insert| insert_in(situation, insert)),
    );
    for (index, larger) in larger_threads(situation.thread).enumerate() {
        let starts = || engagement_starts(situation, larger);
        // A stud is made to measure, so a third size would gain nothing over the second.
        if index < STUDS {
            all.extend(starts().map(|start| stepped_stud(situation, larger, start)));
        }
        all.extend(starts().map(|start| larger_bolt(situation, larger, start)));
    }
    all.extend(plug(situation));
    all
}

/// Returns the candidate that uses the existing thread.
///
/// The bolt engages from `start` over the length of a sound hole's thread, or less where the hole
/// ends: in a blind hole the last five pitches do not count, which a plug tap leaves unfinished.
fn existing_thread(situation: &Situation, remedy: Remedy, start: Length) -> Candidate {
    let thread = situation.thread;
    let unfinished = match situation.blind() {
        Some(false) => Length::ZERO,
        _ => Length::from_computed_mm(thread.pitch_mm() * 5.0),
    };
    let minor = thread.intact_bore_max();
    let full = start + sound_engagement(thread.nominal(), situation.metal);
    let there = thickness_left(situation).map(|left| (left - unfinished).clamp_at_zero());
    let to = there.map_or(full, |there| there.min(full));
    let tap = (remedy == Remedy::Chase).then(|| format!("{} tap", thread.designation()));
    Candidate {
        tap,
        engaged: (start.min(to), to),
        ..Candidate::of_bolt(remedy, thread, minor, to)
    }
}

/// Returns the candidate that installs an insert. In a through hole it engages no more than the
/// thickness of the metal.
fn insert_in(situation: &Situation, insert: &Arc<Insert>) -> Candidate {
    let candidate = Candidate::of_insert(insert);
    let (from, to) = candidate.engaged;
    let to = through_thickness(situation).map_or(to, |thick| thick.min(to));
    Candidate {
        engaged: (from.min(to), to),
        ..candidate
    }
}

/// Returns the depth of the hole below the finished face, or the thickness of a through hole.
fn thickness_left(situation: &Situation) -> Option<Length> {
    let depth = situation.depth?;
    Some((depth - situation.face_cut_or_zero()).clamp_at_zero())
}

/// Returns the thickness of a through hole below the finished face, which limits its thread.
fn through_thickness(situation: &Situation) -> Option<Length> {
    thickness_left(situation).filter(|_| situation.blind() == Some(false))
}

/// Returns the depths below the finished face at which a bolt may start to engage: the face only,
/// unless metal is missing at the mouth.
fn engagement_starts(situation: &Situation, thread: Thread) -> impl Iterator<Item = Length> {
    let cut = situation.face_cut_or_zero();
    let at = move |pitches: f64| Length::from_computed_mm(pitches * thread.pitch_mm());
    let mouth = cut + at(2.0);
    let mut stations = situation.damage.stations.iter();
    let hurt = stations.any(|station| station.span.from < mouth && cut < station.span.to);
    let tries = if hurt { MOUTH_PITCHES.len() } else { 1 };
    MOUTH_PITCHES.into_iter().take(tries).map(at)
}

/// Returns the larger threads to try: the next size of the same series, the next of its finer or
/// coarser sister series, which may be the same size with more metal left, and the size after.
///
/// M7 is skipped, because M7 bolts are rarely sold (common practice, no source).
fn larger_threads(wanted: Thread) -> impl Iterator<Item = Thread> {
    let next = next_after(wanted, wanted.series());
    let sister = sister_series(wanted.series()).and_then(|sister| next_after(wanted, sister));
    let after = next.and_then(|next| next_after(next, wanted.series()));
    next.into_iter().chain(sister).chain(after)
}

fn next_after(thread: Thread, series: Series) -> Option<Thread> {
    standard_threads()
        .filter(|other| other.series() == series && other.nominal() > thread.nominal())
        .filter(|other| other.nominal() != Length::from_nm(7_000_000))
        .min_by_key(|other| (other.nominal(), Length::from_computed_mm(-other.pitch_mm())))
        .map(|other| other.with_hand(thread.hand()))
}

/// Returns the other series of the same sizes that bolts are sold in.
const fn sister_series(series: Series) -> Option<Series> {
    match series {
        Series::Unc => Some(Series::Unf),
        Series::Unf => Some(Series::Unc),
        Series::MetricCoarse => Some(Series::MetricFine),
        Series::MetricFine => Some(Series::MetricCoarse),
        _ => None,
    }
}

/// Returns the candidate for a stud whose larger end is tapped into the parent metal.
///
/// Its step is one to two pitches below the finished face, so that neither the step nor the thread
/// runout touches the mating part (judgment).
fn stepped_stud(situation: &Situation, larger: Thread, start: Length) -> Candidate {
    let pitch = Length::from_computed_mm(larger.pitch_mm());
    let step = (pitch, pitch * 2);
    let below = (step.0 + step.1) / 2;
    // Damage at the mouth does not make the larger end longer, as with a larger bolt.
    let from = start.max(below);
    let full = below + sound_engagement(larger.nominal(), situation.metal);
    let to = through_thickness(situation).map_or(full, |thick| thick.min(full));
    let drill = tap_drill(&larger).drill;
    let need = |tap| tapped_need(to, &larger, tap, Some(step));
    Candidate {
        bolt: situation.thread,
        drill: Some(drill),
        tap: Some(format!("{} tap", larger.designation())),
        needs: Some(DepthNeeds {
            plug_tap: need(TapChamfer::Plug),
            bottoming_tap: need(TapChamfer::Bottoming),
        }),
        engaged: (from.min(to), to),
        ..Candidate::of_bolt(Remedy::SteppedStud, larger, drill.diameter, to)
    }
}

/// Returns the candidate for a larger bolt, tapped from the finished face for the length of a sound
/// hole's thread, or through thinner metal.
fn larger_bolt(situation: &Situation, larger: Thread, start: Length) -> Candidate {
    let drill = tap_drill(&larger).drill;
    let full = sound_engagement(larger.nominal(), situation.metal);
    let to = through_thickness(situation).map_or(full, |thick| thick.min(full));
    let need = |tap| tapped_need(to, &larger, tap, None);
    Candidate {
        drill: Some(drill),
        tap: Some(format!("{} tap", larger.designation())),
        needs: Some(DepthNeeds {
            plug_tap: need(TapChamfer::Plug),
            bottoming_tap: need(TapChamfer::Bottoming),
        }),
        engaged: (start.min(to), to),
        ..Candidate::of_bolt(Remedy::LargerBolt, larger, drill.diameter, to)
    }
}

/// Returns the smallest plug that leaves a wall around the wanted thread and engages two thirds of
/// its own thread in the casting (judgment); where none does, the smallest that leaves a wall.
fn plug(situation: &Situation) -> Option<Candidate> {
    let mut wide_enough = plug_threads(situation).map(|thread| plug_of(situation, thread));
    let smallest = wide_enough.next()?;
    if engages_enough(situation, &smallest) {
        return Some(smallest);
    }
    let larger = wide_enough.find(|plug| engages_enough(situation, plug));
    Some(larger.unwrap_or(smallest))
}

fn plug_threads(situation: &Situation) -> impl Iterator<Item = Thread> {
    let wanted = situation.thread;
    let series = if wanted.series().is_metric() {
        Series::MetricCoarse
    } else {
        Series::Unf
    };
    let room_mm = (wanted.nominal() + PLUG_WALL * 2).mm();
    standard_threads()
        .filter(move |thread| thread.series() == series && thread.basic().minor_mm >= room_mm)
}

fn plug_of(situation: &Situation, thread: Thread) -> Candidate {
    let full = plug_length(situation.thread);
    let long = through_thickness(situation).map_or(full, |thick| thick.min(full));
    let end = Length::from_computed_mm(0.75 * thread.pitch_mm()).min(long / 2);
    let drill = tap_drill(&thread).drill;
    // It is flush with the face as is and is cut with it.
    let need = |tap| tapped_need(long, &thread, tap, Some((Length::ZERO, Length::ZERO)));
    Candidate {
        bolt: situation.thread,
        plug_length: Some(long),
        drill: Some(drill),
        tap: Some(format!("{} tap", thread.designation())),
        engaged: (end, long - end),
        needs: Some(DepthNeeds {
            plug_tap: need(TapChamfer::Plug),
            bottoming_tap: need(TapChamfer::Bottoming),
        }),
        ..Candidate::of_bolt(Remedy::ThreadedPlug, thread, drill.diameter, long)
    }
}

/// Returns the length of a plug below the finished face: two diameters of the wanted thread, for
/// 1.5 diameters of full thread and the tap's chamfer.
fn plug_length(wanted: Thread) -> Length {
    wanted.nominal() * 2
}

fn engages_enough(situation: &Situation, plug: &Candidate) -> bool {
    let cut = situation.face_cut_or_zero();
    let engaged = Span {
        from: plug.engaged.0 + cut,
        to: plug.engaged.1 + cut,
    };
    let whole = effective_engagement(
        &situation.damage_to_cut(),
        plug.drilled,
        plug.major,
        engaged,
    );
    whole * 3 >= engaged.length() * 2
}
