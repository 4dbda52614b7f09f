//! The words and letters that name a series.

use super::super::{Series, Thread};
use super::OldName;

/// Series that somebody asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Called {
    /// One of today.
    Series(Series),
    /// An older or looser name.
    Old(OldName),
    /// One that is not kept.
    NotKept,
}

impl Called {
    /// Whether it may mean that thread.
    pub fn means(self, thread: Thread) -> bool {
        match self {
            Called::Series(series) => thread.series() == series,
            Called::Old(name) => name.means(thread),
            Called::NotKept => false,
        }
    }
}

/// What a word in small letters names; `None` when it names no series.
pub(super) fn called(word: &str) -> Option<Called> {
    let called = match word {
        "unc" => Called::Series(Series::Unc),
        "unf" => Called::Series(Series::Unf),
        "unef" => Called::Series(Series::Unef),
        "un" => Called::Series(Series::Un),
        "uns" => Called::Series(Series::Uns),
        "ns" => Called::Series(Series::Ns),
        "bsw" | "whitworth" | "whit" | "w" => Called::Series(Series::Bsw),
        "bsf" => Called::Series(Series::Bsf),
        "bspp" | "g" => Called::Series(Series::BspParallel),
        "bspt" | "r" => Called::Series(Series::BspTaper),
        "npt" => Called::Series(Series::Npt),
        "uss" => Called::Old(OldName::Uss),
        "sae" => Called::Old(OldName::Sae),
        "nc" | "anc" => Called::Old(OldName::NationalCoarse),
        "nf" | "anf" => Called::Old(OldName::NationalFine),
        "nef" | "anef" => Called::Old(OldName::NationalExtraFine),
        "n" => Called::Old(OldName::National),
        "bsp" => Called::Old(OldName::Bsp),
        "rp" => Called::Old(OldName::Rp),
        "rc" => Called::Old(OldName::Rc),
        "nps" | "npsm" | "npsf" | "nptf" | "nptr" | "unr" | "unj" | "unjc" | "unjf" | "unrc"
        | "unrf" | "ba" | "bsb" | "bsc" | "cei" | "acme" | "tr" | "whitf" | "bsww" => {
            Called::NotKept
        }
        _ => return None,
    };
    Some(called)
}

/// Words that stand before the size: `G 1/2`, `W1/2`, `BSP 1/2`.
pub(super) const BEFORE: [&str; 11] = [
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
