//! Names of series that are not the ones of today.

use super::super::{Series, Thread, ThreadsPerInch};
use crate::length::Length;

/// An older or looser name of a series, read as what it is today.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OldName {
    /// United States Standard, before 1924.
    Uss,
    /// SAE screw threads, the fine ones.
    Sae,
    /// American National coarse: ANC, NC.
    NationalCoarse,
    /// American National fine: ANF, NF.
    NationalFine,
    /// American National extra fine: NEF.
    NationalExtraFine,
    /// American National of constant pitch: 8N, 12N.
    National,
    /// `BSP` without saying parallel or taper.
    Bsp,
    /// Rp, the parallel hole for a taper pipe end (ISO 7-1).
    Rp,
    /// Rc, the taper hole (ISO 7-1).
    Rc,
}

impl OldName {
    /// Whether it may mean that thread of today.
    ///
    /// National fine had 14 threads at 1 in, and SAE also 16 at 11/16 in (from memory): today UNS and UN.
    pub(super) fn means(self, thread: Thread) -> bool {
        let is = |sixteenths: i64, per_inch: u32| {
            thread.nominal() == Length::from_fraction(sixteenths, 16)
                && thread.threads_per_inch() == Some(ThreadsPerInch::whole(per_inch))
        };
        match (self, thread.series()) {
            (OldName::Uss | OldName::NationalCoarse, Series::Unc)
            | (OldName::Sae | OldName::NationalFine, Series::Unf)
            | (OldName::NationalExtraFine, Series::Unef)
            | (OldName::National, Series::Un)
            | (OldName::Bsp | OldName::Rp, Series::BspParallel)
            | (OldName::Rc, Series::BspTaper) => true,
            (OldName::Sae | OldName::NationalFine, Series::Uns) => is(16, 14),
            (OldName::Sae, Series::Un) => is(11, 16),
            _ => false,
        }
    }

    /// One sentence on what it is today, for the report.
    pub const fn note(self) -> &'static str {
        match self {
            OldName::Uss => {
                "USS is the United States Standard of before 1924, today UNC; makers of that time did not all keep to it, so check the \
                 pitch with a gauge."
            }
            OldName::Sae => {
                "SAE was the fine series of the car makers, today mostly UNF; check the pitch with a gauge."
            }
            OldName::NationalCoarse => {
                "NC (ANC) is the American National coarse series, today UNC: same size, pitch and angle, other tolerances."
            }
            OldName::NationalFine => {
                "NF (ANF) is the American National fine series, today UNF except for 1-14, which is UNS: same size, pitch and angle, \
                 other tolerances."
            }
            OldName::NationalExtraFine => {
                "NEF is the American National extra fine series, today UNEF: same size, pitch and angle, other tolerances."
            }
            OldName::National => {
                "N is the American National series of constant pitch, today UN: same size, pitch and angle, other tolerances."
            }
            OldName::Bsp => {
                "BSP alone is read as the parallel thread, G; a taper one is written R (outside) or Rc (hole)."
            }
            OldName::Rp => {
                "Rp is the parallel hole for a taper pipe end; its basic sizes are those of G."
            }
            OldName::Rc => "Rc is the taper hole that belongs to the taper pipe end R.",
        }
    }
}
