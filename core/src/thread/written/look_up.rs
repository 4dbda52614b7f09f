//! From what was asked to the one thread that it is.

use super::super::standard::pipe;
use super::super::{
    Hand, Pitch, Series, System, Thread, ThreadError, ThreadsPerInch, standard_threads,
};
use super::asked::Asked;
use super::series::Called;
use crate::length::Length;

/// A decimal size may be this far from the nominal it stands for (`.438` for 7/16), in nanometres:
/// 0.0006 in.
const DECIMAL_SLACK_NM: i64 = 15_240;
/// How many neighbours an error names at most.
const NEAREST_SHOWN: usize = 6;
/// Least and largest size of a special: No. 0 and 6 in (judgement).
const SPECIAL_SIZES: [Length; 2] = [Length::from_fraction(60, 1000), Length::from_fraction(6, 1)];
/// Least and most threads of a special on a length of one diameter. ASME B1.1 lists threads from 4.7 (No. 1-64) to 70
/// (2-1/2-28 UNS); what lies far outside is a slip of the pen (judgement).
const SPECIAL_THREADS: [f64; 2] = [3.5, 100.0];

pub(super) fn look_up(asked: &Asked, written: &str) -> Result<Thread, ThreadError> {
    let of_size: Vec<Thread> = pool(asked).filter(|t| is_size(asked, t)).collect();
    let fits: Vec<Thread> = of_size
        .iter()
        .copied()
        .filter(|t| asked.pitch.is_none_or(|p| p == t.pitch))
        .collect();
    let said_enough = asked.pitch.is_some() || asked.named.is_some();
    match fits.as_slice() {
        &[thread] if said_enough => Ok(thread),
        [] if asked.named == Some(Called::Series(Series::Uns)) => special(asked, written),
        [] => Err(no_such(asked, written)),
        several => Err(ThreadError::NoPitch {
            asked: written.to_owned(),
            candidates: if said_enough {
                several.to_vec()
            } else {
                candidates(asked, of_size)
            },
        }),
    }
}

/// The threads that may be meant. Who names no series means a Unified or metric thread; that it may be a Whitworth one is said
/// where there is no other.
fn pool(asked: &Asked) -> impl Iterator<Item = Thread> + '_ {
    let usual = if asked.metric {
        System::Metric
    } else {
        System::Unified
    };
    standard_threads().filter(move |&thread| match asked.named {
        Some(named) => named.means(thread),
        None => thread.series().system() == usual,
    })
}

/// How far the size asked for lies from that of a thread; of a pipe thread from what it is called.
fn size_off(asked: &Asked, thread: &Thread) -> Length {
    let size = pipe(*thread).map_or(thread.nominal(), |pipe| pipe.size());
    let off = |&asked: &Length| (size - asked).abs();
    asked.sizes.iter().map(off).min().unwrap_or_default()
}

fn is_size(asked: &Asked, thread: &Thread) -> bool {
    size_off(asked, thread).nm() <= DECIMAL_SLACK_NM
}

/// What a size without a pitch could be, the Whitworth threads of that size among them.
fn candidates(asked: &Asked, of_size: Vec<Thread>) -> Vec<Thread> {
    let mut shown = common_first(of_size);
    if asked.named.is_none() && !asked.metric {
        shown.extend(whitworth_of_size(asked));
    }
    shown.truncate(NEAREST_SHOWN);
    shown
}

fn whitworth_of_size(asked: &Asked) -> impl Iterator<Item = Thread> + '_ {
    standard_threads()
        .filter(|t| t.series().system() == System::Whitworth)
        .filter(|t| is_size(asked, t))
}

/// Only the common series of a size, unless it has none.
fn common_first(threads: Vec<Thread>) -> Vec<Thread> {
    let common: Vec<Thread> = threads
        .iter()
        .copied()
        .filter(|t| t.series.is_common())
        .collect();
    let mut shown = if common.is_empty() { threads } else { common };
    shown.truncate(NEAREST_SHOWN);
    shown
}

fn no_such(asked: &Asked, written: &str) -> ThreadError {
    let other_form: Vec<Thread> = whitworth_of_size(asked)
        .filter(|t| asked.pitch == Some(t.pitch))
        .filter(|_| asked.named.is_none() && !asked.metric)
        .collect();
    if other_form.is_empty() {
        return ThreadError::NoSuchThread {
            asked: written.to_owned(),
            nearest: nearest(asked),
        };
    }
    ThreadError::OtherForm {
        asked: written.to_owned(),
        candidates: other_form,
    }
}

/// Nearest by size, then by pitch. At a size that exists its common threads are enough to name.
fn nearest(asked: &Asked) -> Vec<Thread> {
    let pitch_off = |t: &Thread| asked.pitch.map_or(0.0, |p| (t.pitch_mm() - p.mm()).abs());
    let near = |threads: &mut Vec<Thread>| {
        threads.sort_by(|a, b| {
            let by_size = size_off(asked, a).cmp(&size_off(asked, b));
            by_size.then(pitch_off(a).total_cmp(&pitch_off(b)))
        });
    };
    // A series that lacks the thread has neighbours in the others of its system.
    let systems: Vec<System> = pool(asked).map(|t| t.series().system()).collect();
    let mut threads: Vec<Thread> = standard_threads()
        .filter(|t| systems.contains(&t.series().system()))
        .filter(|t| !t.is_pipe() || asked.named.is_none_or(|named| named.means(*t)))
        .collect();
    near(&mut threads);
    let of_size = |t: &&Thread| is_size(asked, t);
    let same_size: Vec<Thread> = threads.iter().filter(of_size).copied().collect();
    if same_size.is_empty() {
        if threads.iter().any(|t| t.series.is_common()) {
            threads.retain(|t| t.series.is_common());
        }
        threads.truncate(NEAREST_SHOWN);
        return threads;
    }
    let same_pitch = same_size.iter().filter(|t| asked.pitch == Some(t.pitch));
    let mut shown: Vec<Thread> = same_pitch.copied().collect();
    let more = common_first(same_size);
    shown.extend(more.into_iter().filter(|t| asked.pitch != Some(t.pitch)));
    shown.truncate(NEAREST_SHOWN);
    shown
}

/// A Unified thread that no series lists, written as UNS.
fn special(asked: &Asked, written: &str) -> Result<Thread, ThreadError> {
    let listed = standard_threads()
        .filter(|t| t.series().system() == System::Unified)
        .any(|t| is_size(asked, &t) && Some(t.pitch) == asked.pitch);
    let (Some(Pitch::PerInch(per_inch)), false) = (asked.pitch, listed) else {
        return Err(no_such(asked, written));
    };
    let mut sizes = asked.sizes.iter().map(|&size| on_scale(size));
    let Some(nominal) = sizes.find(|&size| is_sane(size, per_inch)) else {
        return Err(ThreadError::AbsurdSpecial {
            asked: written.to_owned(),
        });
    };
    Ok(Thread {
        series: Series::Uns,
        nominal,
        pitch: Pitch::PerInch(per_inch),
        hand: Hand::Right,
    })
}

fn is_sane(size: Length, per_inch: ThreadsPerInch) -> bool {
    let [least, largest] = SPECIAL_SIZES;
    let [fewest, most] = SPECIAL_THREADS;
    let threads = size.inches() * per_inch.count();
    (least..=largest).contains(&size) && (fewest..=most).contains(&threads)
}

/// A decimal that stands for a 64th of an inch is that 64th.
fn on_scale(size: Length) -> Length {
    let scale = Length::from_fraction((size.inches() * 64.0).round() as i64, 64);
    if (scale - size).abs().nm() <= DECIMAL_SLACK_NM {
        scale
    } else {
        size
    }
}
