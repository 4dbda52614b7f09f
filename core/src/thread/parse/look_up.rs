//! Looks up the one thread that a designation means.

use super::super::standard::pipe;
use super::super::{
    Hand, Pitch, Series, System, Thread, ThreadError, ThreadsPerInch, standard_threads,
};
use super::query::Query;
use super::series::SeriesName;
use crate::length::Length;

/// How far a decimal size may be from its nominal size (`.438` for 7/16), in nanometers: .0006 in.
const DECIMAL_SLACK_NM: i64 = 15_240;
/// Most threads that an error suggests.
const MAX_SUGGESTIONS: usize = 6;
/// Least and largest size of a special: No. 0 and 6 in (judgment).
const SPECIAL_SIZES: [Length; 2] = [Length::from_fraction(60, 1000), Length::from_fraction(6, 1)];
/// Fewest and most threads of a special in a length of one diameter. ASME B1.1 lists from 4.7 (No.
/// 1-64) to 70 (2-1/2-28 UNS); values far outside are typing errors (judgment).
const SPECIAL_THREADS: [f64; 2] = [3.5, 100.0];

pub(super) fn look_up(query: &Query, written: &str) -> Result<Thread, ThreadError> {
    let of_size: Vec<Thread> = series_candidates(query)
        .filter(|t| has_size(query, t))
        .collect();
    let fits: Vec<Thread> = of_size
        .iter()
        .copied()
        .filter(|t| query.pitch.is_none_or(|p| p == t.pitch))
        .collect();
    let is_specific = query.pitch.is_some() || query.named.is_some();
    match fits.as_slice() {
        &[thread] if is_specific => Ok(thread),
        [] if query.named == Some(SeriesName::Current(Series::Uns)) => special(query, written),
        [] => Err(unknown_thread(query, written)),
        several => Err(ThreadError::Ambiguous {
            input: written.to_owned(),
            candidates: if is_specific {
                several.to_vec()
            } else {
                candidates(query, of_size)
            },
        }),
    }
}

/// Returns the threads of the named series, or all Unified or metric threads if none is named.
/// Whitworth threads are then suggested only if nothing else fits.
fn series_candidates(query: &Query) -> impl Iterator<Item = Thread> + '_ {
    let usual = if query.metric {
        System::Metric
    } else {
        System::Unified
    };
    standard_threads().filter(move |&thread| match query.named {
        Some(named) => named.means(thread),
        None => thread.series().system() == usual,
    })
}

/// Returns the difference between the size given and that of a thread; for a pipe thread, the size
/// in its name.
fn size_difference(query: &Query, thread: &Thread) -> Length {
    let size = pipe(*thread).map_or(thread.nominal(), |pipe| pipe.size());
    let off = |&given: &Length| (size - given).abs();
    query.sizes.iter().map(off).min().unwrap_or_default()
}

fn has_size(query: &Query, thread: &Thread) -> bool {
    size_difference(query, thread).nm() <= DECIMAL_SLACK_NM
}

/// Returns the threads that a size without a pitch could mean, Whitworth included.
fn candidates(query: &Query, of_size: Vec<Thread>) -> Vec<Thread> {
    let mut shown = common_first(of_size);
    if query.named.is_none() && !query.metric {
        shown.extend(whitworth_of_size(query));
    }
    shown.truncate(MAX_SUGGESTIONS);
    shown
}

fn whitworth_of_size(query: &Query) -> impl Iterator<Item = Thread> + '_ {
    standard_threads()
        .filter(|t| t.series().system() == System::Whitworth)
        .filter(|t| has_size(query, t))
}

/// Returns only the common series of a size, unless it has none.
fn common_first(threads: Vec<Thread>) -> Vec<Thread> {
    let common: Vec<Thread> = threads
        .iter()
        .copied()
        .filter(|t| t.series.is_common())
        .collect();
    let mut shown = if common.is_empty() { threads } else { common };
    shown.truncate(MAX_SUGGESTIONS);
    shown
}

fn unknown_thread(query: &Query, written: &str) -> ThreadError {
    let other_form: Vec<Thread> = whitworth_of_size(query)
        .filter(|t| query.pitch == Some(t.pitch))
        .filter(|_| query.named.is_none() && !query.metric)
        .collect();
    if other_form.is_empty() {
        return ThreadError::UnknownThread {
            input: written.to_owned(),
            nearest: nearest(query),
        };
    }
    ThreadError::OtherForm {
        input: written.to_owned(),
        candidates: other_form,
    }
}

/// Returns the nearest threads by size, then by pitch. For an existing size, its common threads.
fn nearest(query: &Query) -> Vec<Thread> {
    let pitch_off = |t: &Thread| query.pitch.map_or(0.0, |p| (t.pitch_mm() - p.mm()).abs());
    let near = |threads: &mut Vec<Thread>| {
        threads.sort_by(|a, b| {
            let by_size = size_difference(query, a).cmp(&size_difference(query, b));
            by_size.then(pitch_off(a).total_cmp(&pitch_off(b)))
        });
    };
    // If the series lacks the thread, suggest from the others of its system.
    let systems: Vec<System> = series_candidates(query)
        .map(|t| t.series().system())
        .collect();
    let mut threads: Vec<Thread> = standard_threads()
        .filter(|t| systems.contains(&t.series().system()))
        .filter(|t| !t.is_pipe() || query.named.is_none_or(|named| named.means(*t)))
        .collect();
    near(&mut threads);
    let of_size = |t: &&Thread| has_size(query, t);
    let same_size: Vec<Thread> = threads.iter().filter(of_size).copied().collect();
    if same_size.is_empty() {
        if threads.iter().any(|t| t.series.is_common()) {
            threads.retain(|t| t.series.is_common());
        }
        threads.truncate(MAX_SUGGESTIONS);
        return threads;
    }
    let same_pitch = same_size.iter().filter(|t| query.pitch == Some(t.pitch));
    let mut shown: Vec<Thread> = same_pitch.copied().collect();
    let more = common_first(same_size);
    shown.extend(more.into_iter().filter(|t| query.pitch != Some(t.pitch)));
    shown.truncate(MAX_SUGGESTIONS);
    shown
}

/// Creates a Unified thread that no series lists, written as UNS.
fn special(query: &Query, written: &str) -> Result<Thread, ThreadError> {
    let listed = standard_threads()
        .filter(|t| t.series().system() == System::Unified)
        .any(|t| has_size(query, &t) && Some(t.pitch) == query.pitch);
    let (Some(Pitch::PerInch(per_inch)), false) = (query.pitch, listed) else {
        return Err(unknown_thread(query, written));
    };
    let mut sizes = query.sizes.iter().map(|&size| snap_to_64th(size));
    let Some(nominal) = sizes.find(|&size| is_valid_special(size, per_inch)) else {
        return Err(ThreadError::InvalidSpecial {
            input: written.to_owned(),
        });
    };
    Ok(Thread {
        series: Series::Uns,
        nominal,
        pitch: Pitch::PerInch(per_inch),
        hand: Hand::Right,
        sti: false,
    })
}

fn is_valid_special(size: Length, per_inch: ThreadsPerInch) -> bool {
    let [least, largest] = SPECIAL_SIZES;
    let [fewest, most] = SPECIAL_THREADS;
    let threads = size.inches() * per_inch.count();
    (least..=largest).contains(&size) && (fewest..=most).contains(&threads)
}

/// Rounds a decimal size to its 64th of an inch.
fn snap_to_64th(size: Length) -> Length {
    let scale = Length::from_fraction((size.inches() * 64.0).round() as i64, 64);
    if (scale - size).abs().nm() <= DECIMAL_SLACK_NM {
        scale
    } else {
        size
    }
}
