//! Splits a designation into size, pitch and series, before the lookup.

use super::super::standard::numbered_size;
use super::super::{Pitch, Series, System, Thread, ThreadError, ThreadsPerInch, standard_threads};
use super::not_a_thread;
use super::series::{PREFIXES, SeriesName, series_named};
use crate::length::{Length, Unit};

/// The parts of a designation.
pub(super) struct Query {
    /// Possible sizes: `1` is No. 1 or one inch.
    pub sizes: Vec<Length>,
    pub pitch: Option<Pitch>,
    /// The series, if named.
    pub named: Option<SeriesName>,
    pub metric: bool,
}

pub(super) fn parse(body: &str, written: &str) -> Result<Query, ThreadError> {
    let plain = body.to_ascii_lowercase();
    match plain.strip_prefix('m') {
        Some(rest) => metric(rest.trim_start(), written),
        None => inch(&plain, written),
    }
}

/// `10`, `10x1.5`, `10 x 1,5`, `10-1.5`.
fn metric(rest: &str, written: &str) -> Result<Query, ThreadError> {
    let parse_mm = |text: &str| {
        Length::parse(text.trim(), Some(Unit::Millimeter))
            .ok()
            .filter(|l| l.is_positive() && text.trim().starts_with(|c: char| c.is_ascii_digit()))
            .ok_or_else(|| not_a_thread(written))
    };
    let (size, pitch) = match rest.split_once(['x', '-']) {
        Some((size, pitch)) => (size, Some(Pitch::Length(parse_mm(pitch)?))),
        None => (rest, None),
    };
    let coarse = SeriesName::Current(Series::MetricCoarse);
    Ok(Query {
        sizes: vec![parse_mm(size)?],
        pitch,
        named: pitch.is_none().then_some(coarse),
        metric: true,
    })
}

/// `3/8-16`, `3/8-16 unc`, `3/8 unc`, `#10-24`, `1-1/8-12`, `.375-16`, `g 1/2`, `2-4 1/2 unc`.
fn inch(plain: &str, written: &str) -> Result<Query, ThreadError> {
    let (body, named) = match series_prefix(plain) {
        Some((rest, called)) => (rest, Some(called)),
        None => series_suffix(plain, written)?,
    };
    if named == Some(SeriesName::Unsupported) {
        let series = plain
            .rsplit([' ', '-'])
            .next()
            .unwrap_or(plain)
            .trim_start_matches(|c: char| !c.is_ascii_alphabetic());
        return Err(ThreadError::UnsupportedSeries {
            input: written.to_owned(),
            series: series.to_ascii_uppercase(),
        });
    }
    let (size, per_inch) = size_and_pitch(body.trim().trim_end_matches("tpi").trim());
    Ok(Query {
        sizes: inch_sizes(size, may_be_numbered(named)).ok_or_else(|| not_a_thread(written))?,
        pitch: match per_inch {
            Some(text) => {
                let read = ThreadsPerInch::parse(text).ok_or_else(|| not_a_thread(written))?;
                Some(Pitch::PerInch(read))
            }
            None => None,
        },
        named,
        metric: false,
    })
}

fn series_prefix(plain: &str) -> Option<(&str, SeriesName)> {
    // `R 1/2` needs its space: a lone `r` before a digit is too ambiguous.
    if let Some(rest) = plain.strip_prefix("r ") {
        return series_named("r").map(|called| (rest, called));
    }
    PREFIXES.iter().find_map(|word| {
        let rest = plain.strip_prefix(word)?.trim_start();
        let sized = rest.starts_with(|c: char| c.is_ascii_digit() || c == '.');
        sized.then(|| series_named(word).map(|called| (rest, called)))?
    })
}

fn series_suffix<'a>(
    plain: &'a str,
    written: &str,
) -> Result<(&'a str, Option<SeriesName>), ThreadError> {
    let start = plain
        .char_indices()
        .rev()
        .find(|(_, c)| !c.is_ascii_alphabetic())
        .map_or(0, |(i, c)| i + c.len_utf8());
    let word = &plain[start..];
    if matches!(word, "" | "tpi" | "in") {
        return Ok((plain, None));
    }
    let called = series_named(word).ok_or_else(|| not_a_thread(written))?;
    Ok((plain[..start].trim_end_matches([' ', '-']), Some(called)))
}

/// Splits size and threads per inch at the last hyphen or `x`. `1-1/8` is a size alone, since its
/// hyphen joins the fraction; in `2-4-1/2` the last hyphen joins the half thread.
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

/// Whether the text is a plain fraction: `1/8`, but not `4 1/2`.
fn is_fraction(text: &str) -> bool {
    let text = text.trim();
    text.contains('/') && !text.contains(' ')
}

/// Whether the size may be a number: only Unified threads have numbered sizes.
fn may_be_numbered(named: Option<SeriesName>) -> bool {
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
