//! The ways there are for one hole, before any is judged.

use super::candidate::{Candidate, Work, plain_need};
use super::holds::sound_length;
use crate::drill::tap_drill;
use crate::hole::damage::{Span, effective_engagement};
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::{TapChamfer, inserts_for};
use crate::length::Length;
use crate::thread::{Series, Thread, standard_threads};

/// Between the wanted thread's major diameter and the root of the plug's thread: 0.12 in (judgement, as the least wall outside of a
/// solid insert).
const PLUG_WALL: Length = Length::from_fraction(12, 100);

pub(super) fn candidates(situation: &Situation) -> Vec<Candidate> {
    let mut ways = Vec::with_capacity(12);
    ways.push(as_it_is(situation, Remedy::Leave));
    ways.push(as_it_is(situation, Remedy::Chase));
    ways.extend(
        inserts_for(&situation.thread)
            .into_iter()
            .map(Candidate::of_insert),
    );
    ways.extend(larger_bolt(situation));
    ways.extend(plug(situation));
    ways
}

/// The thread that is there. A bolt is taken to engage 1.5 diameters of it, or what the hole has below the finished face: in a
/// blind hole all but the last five pitches, which a plug tap leaves unfinished.
fn as_it_is(situation: &Situation, remedy: Remedy) -> Candidate {
    let thread = situation.thread;
    let unfinished = match situation.blind() {
        Some(false) => Length::ZERO,
        _ => Length::computed_mm(thread.pitch_mm() * 5.0),
    };
    let full = sound_length(thread.nominal());
    let there = situation
        .depth
        .map(|depth| (depth - situation.cut_or_none() - unfinished).or_zero());
    let minor = thread.usual_internal().minor_max;
    let tap = (remedy == Remedy::Chase).then(|| format!("{} tap", thread.designation()));
    Candidate {
        tap,
        ..Candidate::of_bolt(
            remedy,
            thread,
            minor,
            there.map_or(full, |there| there.min(full)),
        )
    }
}

/// The next size of the same series.
fn larger_bolt(situation: &Situation) -> Option<Candidate> {
    let wanted = situation.thread;
    let larger = standard_threads()
        .filter(|thread| thread.series() == wanted.series() && thread.nominal() > wanted.nominal())
        .min_by_key(|thread| thread.nominal())?;
    let engaged = sound_length(larger.nominal());
    let drill = tap_drill(&larger).drill;
    let need = |tap| plain_need(engaged, larger.pitch_mm(), tap, None);
    Some(Candidate {
        drill: Some(drill),
        tap: Some(format!("{} tap", larger.designation())),
        cut: Some(Work {
            plug_tap: need(TapChamfer::Plug),
            bottoming_tap: need(TapChamfer::Bottoming),
        }),
        ..Candidate::of_bolt(Remedy::LargerBolt, larger, drill.diameter, engaged)
    })
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
    let long = plug_length(situation.thread);
    let end = Length::computed_mm(0.75 * thread.pitch_mm());
    let drill = tap_drill(&thread).drill;
    // It stands flush with today's face and is cut with it.
    let need = |tap| {
        plain_need(
            long,
            thread.pitch_mm(),
            tap,
            Some((Length::ZERO, Length::ZERO)),
        )
    };
    Candidate {
        bolt: situation.thread,
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

/// Length of a plug below the finished face: two diameters of the wanted thread, room for 1.5 of full thread and the tap's chamfer.
pub(super) fn plug_length(wanted: Thread) -> Length {
    wanted.nominal() * 2
}

fn holds(situation: &Situation, plug: &Candidate) -> bool {
    let cut = situation.cut_or_none();
    let engaged = Span {
        from: plug.engaged.0 + cut,
        to: plug.engaged.1 + cut,
    };
    let whole = effective_engagement(&situation.damage, plug.drilled, plug.major, engaged);
    whole * 3 >= engaged.length() * 2
}
