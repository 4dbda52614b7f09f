//! What a designation says, before it is looked up.

use super::super::standard::numbered_size;
use super::super::{Pitch, Series, System, Thread, ThreadError, ThreadsPerInch, standard_threads};
use super::series::{BEFORE, Called, called};
use super::unreadable;
use crate::length::{Length, Unit};

/// A designation taken apart.
pub(super) struct Asked {
    /// Sizes that it may mean: `1` is No. 1 or one inch.
    pub sizes: Vec<Length>,
    pub pitch: Option<Pitch>,
    /// The series that it names.
    pub named: Option<Called>,
    pub metric: bool,
}

pub(super) fn read(body: &str, written: &str) -> Result<Asked, ThreadError> {
    let plain = body.to_ascii_lowercase();
    match plain.strip_prefix('m') {
        Some(rest) => metric(rest.trim_start(), written),
        None => inch(&plain, written),
    }
}

/// `10`, `10x1.5`, `10 x 1,5`, `10-1.5`.
fn metric(rest: &str, written: &str) -> Result<Asked, ThreadError> {
    let millimetres = |text: &str| {
        Length::parse(text.trim(), Some(Unit::Millimetre))
            .ok()
            .filter(|l| l.is_positive() && text.trim().starts_with(|c: char| c.is_ascii_digit()))
            .ok_or_else(|| unreadable(written))
    };
    let (size, pitch) = match rest.split_once(['x', '-']) {
        Some((size, pitch)) => (size, Some(Pitch::Length(millimetres(pitch)?))),
        None => (rest, None),
    };
    let coarse = Called::Series(Series::MetricCoarse);
    Ok(Asked {
        sizes: vec![millimetres(size)?],
        pitch,
        named: pitch.is_none().then_some(coarse),
        metric: true,
    })
}

/// `3/8-16`, `3/8-16 unc`, `3/8 unc`, `#10-24`, `1-1/8-12`, `.375-16`, `g 1/2`, `2-4 1/2 unc`.
fn inch(plain: &str, written: &str) -> Result<Asked, ThreadError> {
    let (body, named) = match series_before(plain) {
        Some((rest, called)) => (rest, Some(called)),
        None => series_behind(plain, written)?,
    };
    if named == Some(Called::NotKept) {
        let series = plain
            .rsplit([' ', '-'])
            .next()
            .unwrap_or(plain)
            .trim_start_matches(|c: char| !c.is_ascii_alphabetic());
        return Err(ThreadError::SeriesNotKept {
            asked: written.to_owned(),
            series: series.to_ascii_uppercase(),
        });
    }
    let (size, per_inch) = size_and_pitch(body.trim().trim_end_matches("tpi").trim());
    Ok(Asked {
        sizes: inch_sizes(size, may_be_numbered(named)).ok_or_else(|| unreadable(written))?,
        pitch: match per_inch {
            Some(text) => {
                let read = ThreadsPerInch::parse(text).ok_or_else(|| unreadable(written))?;
                Some(Pitch::PerInch(read))
            }
            None => None,
        },
        named,
        metric: false,
    })
}

fn series_before(plain: &str) -> Option<(&str, Called)> {
    // `R 1/2` only so: `r` alone before a digit is too little to go by.
    if let Some(rest) = plain.strip_prefix("r ") {
        return called("r").map(|called| (rest, called));
    }
    BEFORE.iter().find_map(|word| {
        let rest = plain.strip_prefix(word)?.trim_start();
        let sized = rest.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        sized.then(|| called(word).map(|called| (rest, called)))?
    })
}

fn series_behind<'a>(
    plain: &'a str,
    written: &str,
) -> Result<(&'a str, Option<Called>), ThreadError> {
    let start = plain
        .char_indices()
        .rev()
        .find(|(_, c)| !c.is_ascii_alphabetic())
        .map_or(0, |(i, c)| i + c.len_utf8());
    let word = &plain[start..];
    if matches!(word, "" | "tpi" | "in") {
        return Ok((plain, None));
    }
    let called = called(word).ok_or_else(|| unreadable(written))?;
    Ok((plain[..start].trim_end_matches([' ', '-']), Some(called)))
}

/// Parts the size from the threads per inch behind its last hyphen, or a lone `x`. `1-1/8` is a size alone: what stands behind its
/// hyphen is the fraction; in `2-4-1/2` it is the half thread.
fn size_and_pitch(body: &str) -> (&str, Option<&str>) {
    let joints = body.match_indices(['-', 'x']).map(|(at, _)| at);
    let from_behind: Vec<usize> = joints.collect::<Vec<_>>().into_iter().rev().collect();
    let parted = |at: usize| (body[..at].trim(), Some(body[at + 1..].trim()));
    match from_behind.as_slice() {
        [] => (body, None),
        &[last, before, ..]
            if body[last + 1..].trim() == "1/2" && !body[before + 1..last].contains('/') =>
        {
            parted(before)
        }
        &[last, ..] if !is_fraction(&body[last + 1..]) => parted(last),
        _ => (body, None),
    }
}

/// `1/8`, but not `4 1/2`.
fn is_fraction(text: &str) -> bool {
    let text = text.trim();
    text.contains('/') && !text.contains(' ')
}

/// Only Unified threads have numbered sizes.
fn may_be_numbered(named: Option<Called>) -> bool {
    let unified = |t: Thread| t.series().system() == System::Unified;
    named.is_none_or(|named| standard_threads().any(|t| unified(t) && named.means(t)))
}

fn inch_sizes(size: &str, may_be_numbered: bool) -> Option<Vec<Length>> {
    let size = size.trim().trim_end_matches('"').trim_end();
    let numbered = size
        .strip_prefix('#')
        .or_else(|| size.strip_prefix("no."))
        .or_else(|| size.strip_prefix("no "));
    let number = |text: &str| {
        text.trim()
            .parse::<i64>()
            .ok()
            .filter(|n| may_be_numbered && (0..=12).contains(n))
    };
    if let Some(text) = numbered {
        return Some(vec![numbered_size(number(text)?)]);
    }
    let plain = size
        .bytes()
        .all(|b| b.is_ascii_digit() || b" ./,-".contains(&b));
    if !plain || !size.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
        return None;
    }
    let inches = Length::parse(size, Some(Unit::Inch)).ok();
    let numbered = number(size).map(numbered_size);
    let sizes: Vec<Length> = inches
        .into_iter()
        .filter(|l| l.is_positive())
        .chain(numbered)
        .collect();
    (!sizes.is_empty()).then_some(sizes)
}
