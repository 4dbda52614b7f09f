//! The ways there are for one hole, before any is judged.

use super::candidate::{Candidate, Work, plain_need};
use super::holds::sound_length;
use crate::drill::tap_drill;
use crate::hole::damage::{Span, effective_engagement};
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::{Catalogue, TapChamfer};
use crate::length::Length;
use crate::thread::{Series, Thread, standard_threads};

/// Between the wanted thread's major diameter and the root of the plug's thread: 0.12 in (judgement, as the least wall outside of a
/// solid insert).
const PLUG_WALL: Length = Length::from_fraction(12, 100);

/// A bolt straight in the iron may start to engage so many pitches below the finished face, past a countersunk mouth. What is lost
/// deeper than that is damage (judgement).
const MOUTH_PITCHES: [f64; 3] = [0.0, 1.0, 2.0];

/// Stepped studs are tried in the first so many of the larger threads.
const STUDS: usize = 2;

pub(super) fn candidates(situation: &Situation, catalogue: &Catalogue) -> Vec<Candidate> {
    let mut ways = Vec::with_capacity(12);
    let starts = || starts(situation, situation.thread);
    ways.extend(starts().map(|start| as_it_is(situation, Remedy::Leave, start)));
    ways.extend(starts().map(|start| as_it_is(situation, Remedy::Chase, start)));
    ways.extend(
        catalogue
            .inserts_for(&situation.thread)
            .iter()
            .map(Candidate::of_insert),
    );
    for (place, larger) in larger_threads(situation.thread).enumerate() {
        let starts = || self::starts(situation, larger);
        // A stud is made to measure: the size after the next gains it nothing that the next does not give.
        if place < STUDS {
            ways.extend(starts().map(|start| stepped_stud(situation, larger, start)));
        }
        ways.extend(starts().map(|start| larger_bolt(situation, larger, start)));
    }
    ways.extend(plug(situation));
    ways
}

/// The thread that is there. A bolt is taken to engage 1.5 diameters of it from `start` on, or what the hole has below the
/// finished face: in a blind hole all but the last five pitches, which a plug tap leaves unfinished.
fn as_it_is(situation: &Situation, remedy: Remedy, start: Length) -> Candidate {
    let thread = situation.thread;
    let unfinished = match situation.blind() {
        Some(false) => Length::ZERO,
        _ => Length::computed_mm(thread.pitch_mm() * 5.0),
    };
    let minor = thread.whole_bore_max();
    let full = start + sound_length(thread.nominal(), situation.metal);
    let there = thickness_left(situation).map(|left| (left - unfinished).or_zero());
    let to = there.map_or(full, |there| there.min(full));
    let tap = (remedy == Remedy::Chase).then(|| format!("{} tap", thread.designation()));
    Candidate {
        tap,
        engaged: (start.min(to), to),
        ..Candidate::of_bolt(remedy, thread, minor, to)
    }
}

/// Metal from the finished face to the bottom of the hole, or to the far side where it goes through.
fn thickness_left(situation: &Situation) -> Option<Length> {
    let depth = situation.depth?;
    Some((depth - situation.cut_or_none()).or_zero())
}

/// The same, where it goes through: no thread in it can be longer.
fn through_thickness(situation: &Situation) -> Option<Length> {
    thickness_left(situation).filter(|_| situation.blind() == Some(false))
}

/// Where a bolt may start to engage, below the finished face. Only where metal is missing at the mouth is there more to try than the face.
fn starts(situation: &Situation, thread: Thread) -> impl Iterator<Item = Length> {
    let cut = situation.cut_or_none();
    let at = move |pitches: f64| Length::computed_mm(pitches * thread.pitch_mm());
    let mouth = cut + at(2.0);
    let mut stations = situation.damage.stations.iter();
    let hurt = stations.any(|station| station.span.from < mouth && cut < station.span.to);
    let tries = if hurt { MOUTH_PITCHES.len() } else { 1 };
    MOUTH_PITCHES.into_iter().take(tries).map(at)
}

/// The larger threads to try: the next size of the same series, the next of its finer or coarser sister, which may be the same size
/// with more metal left, and the size after. M7 is passed over: bolts of it are seldom sold (common practice, no source).
fn larger_threads(wanted: Thread) -> impl Iterator<Item = Thread> {
    let next = next_after(wanted, wanted.series());
    let sister = sister(wanted.series()).and_then(|sister| next_after(wanted, sister));
    let after = next.and_then(|next| next_after(next, wanted.series()));
    next.into_iter().chain(sister).chain(after)
}

fn next_after(thread: Thread, series: Series) -> Option<Thread> {
    standard_threads()
        .filter(|other| other.series() == series && other.nominal() > thread.nominal())
        .filter(|other| other.nominal() != Length::from_nm(7_000_000))
        .min_by_key(|other| (other.nominal(), Length::computed_mm(-other.pitch_mm())))
        .map(|other| other.with_hand(thread.hand()))
}

/// The other series of the same sizes that bolts are sold in.
const fn sister(series: Series) -> Option<Series> {
    match series {
        Series::Unc => Some(Series::Unf),
        Series::Unf => Some(Series::Unc),
        Series::MetricCoarse => Some(Series::MetricFine),
        Series::MetricFine => Some(Series::MetricCoarse),
        _ => None,
    }
}

/// A stud whose larger end is tapped into the iron for 1.5 of its diameters. Its step lies one to two pitches below the finished face, so
/// that neither the step nor the run-out of its thread meets the part bolted on (judgement).
fn stepped_stud(situation: &Situation, larger: Thread, start: Length) -> Candidate {
    let pitch = Length::computed_mm(larger.pitch_mm());
    let step = (pitch, pitch * 2);
    let below = (step.0 + step.1) / 2;
    // The larger end is as long whatever the mouth has lost, as a larger bolt's thread is.
    let from = start.max(below);
    let full = below + sound_length(larger.nominal(), situation.metal);
    let to = through_thickness(situation).map_or(full, |thick| thick.min(full));
    let drill = tap_drill(&larger).drill;
    let need = |tap| plain_need(to, &larger, tap, Some(step));
    Candidate {
        bolt: situation.thread,
        drill: Some(drill),
        tap: Some(format!("{} tap", larger.designation())),
        cut: Some(Work {
            plug_tap: need(TapChamfer::Plug),
            bottoming_tap: need(TapChamfer::Bottoming),
        }),
        engaged: (from.min(to), to),
        ..Candidate::of_bolt(Remedy::SteppedStud, larger, drill.diameter, to)
    }
}

/// Tapped for 1.5 diameters from the finished face, whatever its mouth has lost, or through thinner metal.
fn larger_bolt(situation: &Situation, larger: Thread, start: Length) -> Candidate {
    let drill = tap_drill(&larger).drill;
    let full = sound_length(larger.nominal(), situation.metal);
    let to = through_thickness(situation).map_or(full, |thick| thick.min(full));
    let need = |tap| plain_need(to, &larger, tap, None);
    Candidate {
        drill: Some(drill),
        tap: Some(format!("{} tap", larger.designation())),
        cut: Some(Work {
            plug_tap: need(TapChamfer::Plug),
            bottoming_tap: need(TapChamfer::Bottoming),
        }),
        engaged: (start.min(to), to),
        ..Candidate::of_bolt(Remedy::LargerBolt, larger, drill.diameter, to)
    }
}

/// The smallest plug of the fine series that leaves a wall round the wanted thread and finds two thirds of its own thread in
/// the casting (judgement); the smallest that leaves a wall, where none does.
fn plug(situation: &Situation) -> Option<Candidate> {
    let mut wide_enough = plug_threads(situation).map(|thread| plug_of(situation, thread));
    let smallest = wide_enough.next()?;
    if holds(situation, &smallest) {
        return Some(smallest);
    }
    let larger = wide_enough.find(|plug| holds(situation, plug));
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
    let end = Length::computed_mm(0.75 * thread.pitch_mm()).min(long / 2);
    let drill = tap_drill(&thread).drill;
    // It stands flush with today's face and is cut with it.
    let need = |tap| plain_need(long, &thread, tap, Some((Length::ZERO, Length::ZERO)));
    Candidate {
        bolt: situation.thread,
        plug_length: Some(long),
        drill: Some(drill),
        tap: Some(format!("{} tap", thread.designation())),
        engaged: (end, long - end),
        cut: Some(Work {
            plug_tap: need(TapChamfer::Plug),
            bottoming_tap: need(TapChamfer::Bottoming),
        }),
        ..Candidate::of_bolt(Remedy::ThreadedPlug, thread, drill.diameter, long)
    }
}

/// Length of a plug below the finished face: two diameters of the wanted thread, room for 1.5 of full thread and the tap's chamfer. Where
/// the hole goes through thinner metal, the plug is as long as that is thick.
fn plug_length(wanted: Thread) -> Length {
    wanted.nominal() * 2
}

fn holds(situation: &Situation, plug: &Candidate) -> bool {
    let cut = situation.cut_or_none();
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
