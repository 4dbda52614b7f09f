//! Candidates: the remedies that come into question for a hole.

use super::bolt_engagement::{ExistingThread, POINT_PITCHES, point_and_clearance};
use super::candidate::{Candidate, TapNeed, tapped_need};
use super::joint::{drilled_for_bolt, play_of_cut_bolt};
use crate::drill::tap_drill;
use crate::hole::damage::Span;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::{Catalog, Insert};
use crate::length::Length;
use crate::strength::bolt::{length_tolerance, stock_lengths};
use crate::strength::sound_engagement;
use crate::thread::{PerThread, Series, Thread, standard_threads};
use std::sync::{Arc, LazyLock};

/// Number of larger threads in which stepped studs are tried.
const STUDS: usize = 2;

/// Remedies for the wanted bolt in the hole's own thread.
pub(super) const IN_OWN_THREAD: [Remedy; 4] = [
    Remedy::Leave,
    Remedy::LongerBolt,
    Remedy::Chase,
    Remedy::TapDeeper,
];

/// Remedies that install an insert.
pub(super) const INSERTED: [Remedy; 3] = [
    Remedy::WireInsert,
    Remedy::KeyLockingInsert,
    Remedy::Bushing,
];

/// Returns the candidates for the wanted bolt in the hole's own thread.
pub(super) fn existing_thread<'a>(
    situation: &'a Situation,
    existing: &ExistingThread<'_>,
) -> impl Iterator<Item = Candidate> + use<'a> {
    let leave = existing.of_usual_bolt(Remedy::Leave);
    let chase = existing.of_usual_bolt(Remedy::Chase);
    let engaged = [
        Some(leave),
        existing.of_longer_bolt(leave),
        Some(chase),
        existing.of_deeper_hole(),
    ];
    IN_OWN_THREAD
        .into_iter()
        .zip(engaged)
        .filter_map(|(remedy, engaged)| Some(in_own_thread(situation, remedy, engaged?)))
}

/// Returns the candidates that install an insert.
pub(super) fn inserts(situation: &Situation, catalog: &Catalog) -> impl Iterator<Item = Candidate> {
    let inserts = catalog.inserts_for(&situation.thread).into_iter();
    inserts.map(|insert| insert_in(situation, &insert))
}

/// Returns the candidates for a larger thread in the parent metal, of the remedies that are wanted.
pub(super) fn larger_fasteners(
    situation: &Situation,
    is_wanted: impl Fn(Remedy) -> bool,
) -> Vec<Candidate> {
    let mut all = Vec::with_capacity(5);
    for (index, larger) in larger_threads(situation.thread).enumerate() {
        // A stud is made to measure, so a third size would gain nothing over the second.
        if index < STUDS && is_wanted(Remedy::SteppedStud) {
            all.push(stepped_stud(situation, larger));
        }
        if is_wanted(Remedy::LargerBolt) {
            all.push(larger_bolt(situation, larger));
        }
    }
    all
}

fn in_own_thread(situation: &Situation, remedy: Remedy, engaged: Span) -> Candidate {
    let thread = situation.thread;
    let candidate = Candidate {
        engaged: (engaged.from, engaged.to),
        ..Candidate::of_bolt(remedy, thread, thread.intact_bore_max(), engaged.to)
    };
    let tap = format!("{} tap", thread.designation());
    match remedy {
        Remedy::Chase => Candidate {
            tap: Some(tap),
            ..candidate
        },
        Remedy::TapDeeper => Candidate {
            tap: Some(tap),
            drill: Some(tap_drill(&thread).drill),
            needs: bolt_needs(situation, &thread, engaged.to),
            ..candidate
        },
        _ => candidate,
    }
}

/// Returns the candidate that installs an insert, drilled deep enough for a bolt that engages all of
/// it, and for what it takes to cut one to length if the metal is there. In a through hole it engages no more than the thickness of the metal.
fn insert_in(situation: &Situation, insert: &Arc<Insert>) -> Candidate {
    let mut candidate = Candidate::of_insert(insert);
    let (from, to) = candidate.engaged;
    let to = through_thickness(situation).map_or(to, |thick| thick.min(to));
    candidate.engaged = (from.min(to), to);
    let for_bolt = drilled_for_bolt(situation, insert);
    let with_play = for_bolt + play_of_cut_bolt(situation);
    let shallowest = candidate.needs.last().copied();
    for option in &mut candidate.needs {
        option.need.drill = option.need.drill.max(with_play);
    }
    if let Some(mut tight) = shallowest.filter(|tight| tight.need.drill < with_play) {
        tight.need.drill = tight.need.drill.max(for_bolt);
        candidate.needs.push(tight);
    }
    candidate
}

/// Returns the depths to cut so that a bolt engages down to `to`: deep enough for the shortest
/// stock bolt if the metal is there, or else for one cut to length, at worst without any play.
fn bolt_needs(situation: &Situation, bolt: &Thread, to: Length) -> Vec<TapNeed> {
    let least = to + point_and_clearance(situation, bolt);
    let full = |thread| through_thickness(situation).map_or(thread, |thick| thick.min(thread));
    let stock = for_stock_bolt(situation, bolt, to).filter(|stock| *stock > least);
    let to_length = [least + play_of_cut_bolt(situation), least];
    let depths = stock.into_iter().chain(to_length).map(full);
    depths
        .flat_map(|depth| TapNeed::plug_or_bottoming(|tap| tapped_need(depth, bolt, tap, None)))
        .collect()
}

/// Returns the depth of full thread for the shortest stock bolt that engages down to `to`; `None`
/// if the grip is unknown or no stock bolt is long enough.
fn for_stock_bolt(situation: &Situation, bolt: &Thread, to: Length) -> Option<Length> {
    let grip = situation.grip?;
    let pitches = |count: f64| Length::from_computed_mm(count * bolt.pitch_mm());
    let least = grip + to + pitches(POINT_PITCHES);
    let tolerance = |length: &Length| length_tolerance(bolt, *length);
    let stock = stock_lengths(bolt).into_iter();
    let shortest = stock
        .into_iter()
        .find(|length| *length - tolerance(length).0 >= least)?;
    let clear = pitches(situation.limits().tip_clear_pitches);
    Some(shortest + tolerance(&shortest).1 - grip + clear)
}

/// Returns the depth of the hole below the finished face, or the thickness of a through hole.
fn thickness_left(situation: &Situation) -> Option<Length> {
    let depth = situation.bottom()?;
    Some((depth - situation.face_cut_or_zero()).clamp_at_zero())
}

/// Returns the thickness of a through hole below the finished face, which limits its thread.
fn through_thickness(situation: &Situation) -> Option<Length> {
    thickness_left(situation).filter(|_| situation.blind() == Some(false))
}

/// Returns the larger threads to try: the next size of the same series, the next of its finer or
/// coarser sister series, which may be the same size with more metal left, and the size after.
///
/// M7 is skipped, because M7 bolts are rarely sold (common practice, no source).
fn larger_threads(wanted: Thread) -> impl Iterator<Item = Thread> {
    static LARGER: LazyLock<PerThread<[Option<Thread>; 3]>> =
        LazyLock::new(|| PerThread::new(find_larger_threads));
    LARGER.of(&wanted).into_iter().flatten()
}

fn find_larger_threads(wanted: &Thread) -> [Option<Thread>; 3] {
    let wanted = *wanted;
    let next = next_after(wanted, wanted.series());
    let sister = sister_series(wanted.series()).and_then(|sister| next_after(wanted, sister));
    let after = next.and_then(|next| next_after(next, wanted.series()));
    [next, sister, after]
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
fn stepped_stud(situation: &Situation, larger: Thread) -> Candidate {
    let pitch = Length::from_computed_mm(larger.pitch_mm());
    let step = (pitch, pitch * 2);
    let below = (step.0 + step.1) / 2;
    let full = below + sound_engagement(larger.nominal(), situation.metal);
    let to = through_thickness(situation).map_or(full, |thick| thick.min(full));
    let drill = tap_drill(&larger).drill;
    Candidate {
        bolt: situation.thread,
        drill: Some(drill),
        tap: Some(format!("{} tap", larger.designation())),
        needs: TapNeed::plug_or_bottoming(|tap| tapped_need(to, &larger, tap, Some(step))).into(),
        engaged: (below.min(to), to),
        ..Candidate::of_bolt(Remedy::SteppedStud, larger, drill.diameter, to)
    }
}

/// Returns the candidate for a larger bolt, engaged from the finished face for the length of a
/// sound hole's thread, or through thinner metal.
fn larger_bolt(situation: &Situation, larger: Thread) -> Candidate {
    let drill = tap_drill(&larger).drill;
    let full = sound_engagement(larger.nominal(), situation.metal);
    let to = through_thickness(situation).map_or(full, |thick| thick.min(full));
    Candidate {
        drill: Some(drill),
        tap: Some(format!("{} tap", larger.designation())),
        needs: bolt_needs(situation, &larger, to),
        ..Candidate::of_bolt(Remedy::LargerBolt, larger, drill.diameter, to)
    }
}

/// Returns the smallest plug that leaves a wall around the wanted thread and engages two thirds of
/// its own thread in the casting (judgment); where none does, the smallest that leaves a wall.
///
/// `engages` gives the whole thread that a plug engages in the casting, and over which length.
pub(super) fn plug(
    situation: &Situation,
    mut engages: impl FnMut(&Candidate) -> (Length, Length),
) -> Option<Candidate> {
    let mut engages_enough = |plug: &Candidate| {
        let (whole, engaged) = engages(plug);
        whole * 3 >= engaged * 2
    };
    let mut wide_enough = plug_threads(situation).map(|thread| plug_of(situation, thread));
    let smallest = wide_enough.next()?;
    if engages_enough(&smallest) {
        return Some(smallest);
    }
    let larger = wide_enough.find(engages_enough);
    Some(larger.unwrap_or(smallest))
}

fn plug_threads(situation: &Situation) -> impl Iterator<Item = Thread> {
    let wanted = situation.thread;
    let series = if wanted.series().is_metric() {
        Series::MetricCoarse
    } else {
        Series::Unf
    };
    let room_mm = wanted.nominal().mm() + 2.0 * situation.limits().plug_wall_mm;
    standard_threads()
        .filter(move |thread| thread.series() == series && thread.basic().minor_mm >= room_mm)
}

fn plug_of(situation: &Situation, thread: Thread) -> Candidate {
    let full = plug_length(situation.thread);
    let long = through_thickness(situation).map_or(full, |thick| thick.min(full));
    let end = Length::from_computed_mm(0.75 * thread.pitch_mm()).min(long / 2);
    let drill = tap_drill(&thread).drill;
    // It is flush with the face as is and is cut with it.
    let flush = Some((Length::ZERO, Length::ZERO));
    Candidate {
        bolt: situation.thread,
        plug_length: Some(long),
        drill: Some(drill),
        tap: Some(format!("{} tap", thread.designation())),
        engaged: (end, long - end),
        needs: TapNeed::plug_or_bottoming(|tap| tapped_need(long, &thread, tap, flush)).into(),
        ..Candidate::of_bolt(Remedy::ThreadedPlug, thread, drill.diameter, long)
    }
}

/// Returns the length of a plug below the finished face: two diameters of the wanted thread, for
/// 1.5 diameters of full thread and the tap's chamfer.
fn plug_length(wanted: Thread) -> Length {
    wanted.nominal() * 2
}
