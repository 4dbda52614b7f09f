//! Reading and writing thread designations.

use super::standard::numbered_size;
use super::{Pitch, Series, Thread, ThreadError, standard_threads};
use crate::length::{Length, Unit};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// A decimal size may be this far from the nominal it stands for (`.438` for 7/16), in nanometres:
/// 0.0006 in.
const DECIMAL_SLACK_NM: i64 = 15_240;
/// How many neighbours an error names at most.
const NEAREST_SHOWN: usize = 4;

pub(super) fn write(thread: Thread) -> String {
    match thread.pitch {
        Pitch::Length(pitch) => format!("M{}x{}", number(thread.nominal), number(pitch)),
        Pitch::PerInch(n) => format!("{}-{n} {}", inch_size(thread.nominal), thread.series),
    }
}

/// Millimetres without their unit.
fn number(length: Length) -> String {
    length.exact().trim_end_matches(" mm").to_owned()
}

/// `10`, `3/8`, `1-1/8`.
fn inch_size(size: Length) -> String {
    if let Some(number) = (0..=12).find(|&n| numbered_size(n) == size) {
        return number.to_string();
    }
    let mut upper = size.nm() / Length::from_fraction(1, 64).nm();
    let mut lower = 64;
    while upper % 2 == 0 && lower > 1 {
        upper /= 2;
        lower /= 2;
    }
    match (upper / lower, upper % lower) {
        (whole, 0) => whole.to_string(),
        (0, part) => format!("{part}/{lower}"),
        (whole, part) => format!("{whole}-{part}/{lower}"),
    }
}

/// What a designation says, before it is looked up.
struct Asked {
    /// Sizes that it may mean: `1` is No. 1 or one inch.
    sizes: Vec<Length>,
    pitch: Option<Pitch>,
    series: Option<Series>,
    metric: bool,
}

pub(super) fn parse(text: &str) -> Result<Thread, ThreadError> {
    let written = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if written.is_empty() || written.len() > 40 {
        return Err(unreadable(&written.chars().take(20).collect::<String>()));
    }
    let plain = written
        .to_ascii_lowercase()
        .replace(['\u{2212}', '\u{2010}', '\u{2011}', '\u{2013}'], "-")
        .replace('\u{d7}', "x");
    refuse_hand_and_class(&plain, &written)?;
    let asked = match plain.strip_prefix('m') {
        Some(rest) => metric(rest.trim_start(), &written)?,
        None => inch(&plain, &written)?,
    };
    look_up(&asked, &written)
}

fn unreadable(written: &str) -> ThreadError {
    ThreadError::Unreadable {
        asked: written.to_owned(),
    }
}

fn refuse_hand_and_class(plain: &str, written: &str) -> Result<(), ThreadError> {
    let last = plain.rsplit([' ', '-', ',']).next().unwrap_or_default();
    match last {
        "lh" | "left" => Err(ThreadError::LeftHand {
            asked: written.to_owned(),
        }),
        "1a" | "2a" | "3a" | "1b" | "2b" | "3b" | "4h" | "5h" | "6h" | "6g" | "4g6g" => {
            Err(ThreadError::ClassInDesignation {
                asked: written.to_owned(),
                class: written[written.len() - last.len()..].to_owned(),
            })
        }
        _ => Ok(()),
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
    Ok(Asked {
        sizes: vec![millimetres(size)?],
        pitch,
        series: pitch.is_none().then_some(Series::MetricCoarse),
        metric: true,
    })
}

/// `3/8-16`, `3/8-16 unc`, `3/8 unc`, `#10-24`, `1-1/8-12`, `.375-16`.
fn inch(plain: &str, written: &str) -> Result<Asked, ThreadError> {
    let (body, series) = series_behind(plain, written)?;
    let body = body.trim().trim_end_matches("tpi").trim();
    let (size, per_inch) = match body.rsplit_once('-') {
        // `1-1/8` is a size alone: what stands behind its last hyphen is the fraction.
        Some((size, n)) if !n.contains('/') => {
            let n = n
                .trim()
                .parse::<u32>()
                .ok()
                .filter(|n| (1..=200).contains(n));
            (size.trim(), Some(n.ok_or_else(|| unreadable(written))?))
        }
        _ => (body, None),
    };
    Ok(Asked {
        sizes: inch_sizes(size).ok_or_else(|| unreadable(written))?,
        pitch: per_inch.map(Pitch::PerInch),
        series,
        metric: false,
    })
}

fn series_behind<'a>(
    plain: &'a str,
    written: &str,
) -> Result<(&'a str, Option<Series>), ThreadError> {
    let start = plain
        .char_indices()
        .rev()
        .find(|(_, c)| !c.is_ascii_alphabetic())
        .map_or(0, |(i, c)| i + c.len_utf8());
    let series = match &plain[start..] {
        "" | "tpi" | "in" => return Ok((plain, None)),
        "unc" | "nc" => Series::Unc,
        "unf" | "nf" => Series::Unf,
        "unef" | "nef" => Series::Unef,
        "un" => Series::Un,
        "uns" => Series::Uns,
        "ns" => Series::Ns,
        "bsw" | "bsf" | "whitworth" | "w" | "bspp" | "bsp" | "bspt" | "npt" | "npsm" | "unr"
        | "unj" | "unjc" | "unjf" | "unrc" | "unrf" | "ba" | "acme" | "tr" => {
            return Err(ThreadError::SeriesNotKept {
                asked: written.to_owned(),
                series: plain[start..].to_ascii_uppercase(),
            });
        }
        _ => return Err(unreadable(written)),
    };
    Ok((plain[..start].trim_end_matches([' ', '-']), Some(series)))
}

fn inch_sizes(size: &str) -> Option<Vec<Length>> {
    let size = size.trim().trim_end_matches('"').trim_end();
    let numbered = size
        .strip_prefix('#')
        .or_else(|| size.strip_prefix("no."))
        .or_else(|| size.strip_prefix("no "));
    let number = |text: &str| {
        text.trim()
            .parse::<i64>()
            .ok()
            .filter(|n| (0..=12).contains(n))
    };
    if let Some(text) = numbered {
        return Some(vec![numbered_size(number(text)?)]);
    }
    if !size.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
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

fn look_up(asked: &Asked, written: &str) -> Result<Thread, ThreadError> {
    let kept: Vec<Thread> = standard_threads()
        .filter(|t| t.series.is_metric() == asked.metric)
        .filter(|t| {
            asked
                .sizes
                .iter()
                .any(|&s| (t.nominal - s).abs().nm() <= DECIMAL_SLACK_NM)
        })
        .collect();
    let mut fits = kept.iter().filter(|t| {
        asked.pitch.is_none_or(|p| p == t.pitch) && asked.series.is_none_or(|s| s == t.series)
    });
    let first = fits.next();
    match (first, fits.next()) {
        (Some(&thread), None) if asked.pitch.is_some() || asked.series.is_some() => Ok(thread),
        (Some(_), _) => Err(ThreadError::NoPitch {
            asked: written.to_owned(),
            candidates: common_first(kept),
        }),
        (None, _) => Err(ThreadError::NoSuchThread {
            asked: written.to_owned(),
            nearest: nearest(asked),
        }),
    }
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

/// Nearest by size, then by pitch. At a size that exists its common threads are enough to name.
fn nearest(asked: &Asked) -> Vec<Thread> {
    let size_off = |t: &Thread| {
        asked
            .sizes
            .iter()
            .map(|&s| (t.nominal - s).abs())
            .min()
            .unwrap_or_default()
    };
    let pitch_off = |t: &Thread| asked.pitch.map_or(0.0, |p| (t.pitch_mm() - p.mm()).abs());
    let mut threads: Vec<Thread> = standard_threads()
        .filter(|t| t.series.is_metric() == asked.metric)
        .collect();
    threads.sort_by(|a, b| {
        size_off(a)
            .cmp(&size_off(b))
            .then(pitch_off(a).total_cmp(&pitch_off(b)))
    });
    let same_size: Vec<Thread> = threads
        .iter()
        .copied()
        .filter(|t| size_off(t).nm() <= DECIMAL_SLACK_NM)
        .collect();
    if same_size.is_empty() {
        threads.retain(|t| t.series.is_common());
        threads.truncate(NEAREST_SHOWN);
        threads
    } else {
        common_first(same_size)
    }
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.designation())
    }
}

impl FromStr for Thread {
    type Err = ThreadError;
    fn from_str(text: &str) -> Result<Thread, ThreadError> {
        parse(text)
    }
}

impl Serialize for Thread {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.designation())
    }
}

impl<'de> Deserialize<'de> for Thread {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Thread, D::Error> {
        parse(&String::deserialize(deserializer)?).map_err(de::Error::custom)
    }
}
