//! Names and abbreviations of thread series.

use super::super::{Series, Thread};
use super::OldName;

/// A series named in a designation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SeriesName {
    /// A current series.
    Current(Series),
    /// An older or looser name.
    Old(OldName),
    /// A known series that is not supported.
    Unsupported,
}

impl SeriesName {
    /// Whether the name can mean this thread.
    pub fn means(self, thread: Thread) -> bool {
        match self {
            SeriesName::Current(series) => thread.series() == series,
            SeriesName::Old(name) => name.means(thread),
            SeriesName::Unsupported => false,
        }
    }
}

/// Finds the series for a lowercase word; `None` if it names no series.
pub(super) fn series_named(word: &str) -> Option<SeriesName> {
    let called = match word {
        "unc" => SeriesName::Current(Series::Unc),
        "unf" => SeriesName::Current(Series::Unf),
        "unef" => SeriesName::Current(Series::Unef),
        "un" => SeriesName::Current(Series::Un),
        "uns" => SeriesName::Current(Series::Uns),
        "ns" => SeriesName::Current(Series::Ns),
        "bsw" | "whitworth" | "whit" | "w" => SeriesName::Current(Series::Bsw),
        "bsf" => SeriesName::Current(Series::Bsf),
        "bspp" | "g" => SeriesName::Current(Series::BspParallel),
        "bspt" | "r" => SeriesName::Current(Series::BspTaper),
        "npt" => SeriesName::Current(Series::Npt),
        "uss" => SeriesName::Old(OldName::Uss),
        "sae" => SeriesName::Old(OldName::Sae),
        "nc" | "anc" => SeriesName::Old(OldName::NationalCoarse),
        "nf" | "anf" => SeriesName::Old(OldName::NationalFine),
        "nef" | "anef" => SeriesName::Old(OldName::NationalExtraFine),
        "n" => SeriesName::Old(OldName::National),
        "bsp" => SeriesName::Old(OldName::Bsp),
        "rp" => SeriesName::Old(OldName::Rp),
        "rc" => SeriesName::Old(OldName::Rc),
        "nps" | "npsm" | "npsf" | "nptf" | "nptr" | "unr" | "unj" | "unjc" | "unjf" | "unrc"
        | "unrf" | "ba" | "bsb" | "bsc" | "cei" | "acme" | "tr" | "whitf" | "bsww" => {
            SeriesName::Unsupported
        }
        _ => return None,
    };
    Some(called)
}

/// Series names that may come before the size: `G 1/2`, `W1/2`, `BSP 1/2`.
pub(super) const PREFIXES: [&str; 11] = [
    "bspp",
    "bspt",
    "bsp",
    "bsw",
    "bsf",
    "whitworth",
    "npt",
    "rc",
    "rp",
    "g",
    "w",
];
