//! Older and looser names of thread series.

use super::super::{Series, Thread, ThreadsPerInch};
use crate::length::Length;

/// An older or looser name of a series, mapped to the current one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OldName {
    /// United States Standard, before 1924.
    Uss,
    /// SAE fine screw threads.
    Sae,
    /// American National coarse: ANC, NC.
    NationalCoarse,
    /// American National fine: ANF, NF.
    NationalFine,
    /// American National extra fine: NEF.
    NationalExtraFine,
    /// American National of constant pitch: 8N, 12N.
    National,
    /// `BSP` without parallel or taper.
    Bsp,
    /// Rp, the parallel hole for a taper pipe end (ISO 7-1).
    Rp,
    /// Rc, the taper hole (ISO 7-1).
    Rc,
}

impl OldName {
    /// Whether the name can mean this current thread.
    ///
    /// National fine had 14 threads at 1 in, and SAE also 16 at 11/16 in (from memory): UNS and UN
    /// today.
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

    /// Returns a sentence on what the series is today, for the report.
    pub const fn note(self) -> &'static str {
        match self {
            OldName::Uss => {
                "USS is the United States Standard used before 1924, today UNC. Not all makers followed it, so check the pitch \
                 with a gauge."
            }
            OldName::Sae => {
                "SAE was the car makers' fine series, today mostly UNF. Check the pitch with a gauge."
            }
            OldName::NationalCoarse => {
                "NC (ANC) is the American National coarse series, today UNC: same size, pitch and angle, different tolerances."
            }
            OldName::NationalFine => {
                "NF (ANF) is the American National fine series, today UNF (1-14 is UNS): same size, pitch and angle, different \
                 tolerances."
            }
            OldName::NationalExtraFine => {
                "NEF is the American National extra fine series, today UNEF: same size, pitch and angle, different tolerances."
            }
            OldName::National => {
                "N is the American National constant-pitch series, today UN: same size, pitch and angle, different tolerances."
            }
            OldName::Bsp => {
                "BSP alone is read as the parallel thread G. The taper thread is written R (outside) or Rc (hole)."
            }
            OldName::Rp => {
                "Rp is the parallel hole for a taper pipe end. Its basic sizes are those of G."
            }
            OldName::Rc => "Rc is the taper hole for the taper pipe end R.",
        }
    }
}
