//! Notes, cautions and sources of a thread report.

use crate::thread::sti::sti_hole;
use crate::thread::{
    Form, Hand, Series, System, Thread, look_alikes, standard_threads, tell_apart,
};

/// Most look-alikes that a report names.
const MAX_LOOK_ALIKES: usize = 2;

pub(super) fn notes(thread: Thread) -> Vec<String> {
    if thread.is_sti() {
        return of_sti(thread);
    }
    let mut notes: Vec<String> = of_series(thread).into_iter().collect();
    if thread.hand() == Hand::Left {
        notes.push(
            "Limits are those of the right-hand thread. Tap, die and insert must be left-hand too, and few inserts are \
             sold left-hand (common practice, no source)."
                .to_owned(),
        );
    }
    let alike = look_alikes(thread).into_iter().take(MAX_LOOK_ALIKES);
    notes.extend(alike.filter_map(|other| {
        let tell = tell_apart(thread, other)?;
        Some(format!(
            "Easily confused with {other}. To tell them apart, check {}.",
            tell.text
        ))
    }));
    notes
}

fn of_sti(thread: Thread) -> Vec<String> {
    let bolt = thread.bolt();
    let mut notes = vec![format!(
        "This is the tapped hole for a wire thread insert that takes {bolt}; the screw limits are those of its bolt. \
         Cut it with an STI tap, not with the tap of {bolt}."
    )];
    notes.push(match (sti_hole(bolt).published, bolt.form()) {
        (_, Form::Whitworth) => {
            "Derived from the 55 degree form and not confirmed by a standard: measure tap and insert, and try both on \
             scrap."
                .to_owned()
        }
        (true, _) => {
            "Check the hole with an STI plug gauge or a sacrificial coil (common practice, no source).".to_owned()
        }
        (false, _) => {
            "The largest diameters are upper bounds; the standard's gauges are tighter. Check the hole with an STI \
             plug gauge or a sacrificial coil (common practice, no source)."
                .to_owned()
        }
    });
    notes
}

fn whitworth_note(thread: Thread) -> String {
    let (hole, screw) = (thread.toleranced_internal(), thread.toleranced_external());
    format!(
        "Both limits are the basic sizes. In the medium class of BS 84 (formulas as transcribed, secondary source) \
         the hole's minor diameter is at most {} and its pitch diameter at most {}; the screw's major diameter is at \
         least {} and its pitch diameter at least {}.",
        hole.minor_max.both_limit(),
        hole.pitch_diameter_max.both_limit(),
        screw.major_min.both_limit(),
        screw.pitch_diameter_min.both_limit()
    )
}

fn is_listed(thread: Thread) -> bool {
    standard_threads().any(|listed| listed == thread.with_hand(Hand::Right))
}

fn of_series(thread: Thread) -> Option<String> {
    match thread.series().system() {
        System::Whitworth => Some(
            whitworth_note(thread),
        ),
        System::Pipe => Some(format!(
            "The size in a pipe thread's name is not its diameter: {thread} measures {}{}. Both limits are the basic sizes{}.",
            thread.nominal().both(),
            if thread.series() == Series::Npt { ", the outside of the pipe" } else { "" },
            if thread.series().is_taper() {
                " at the hand-tight plane; the taper is 1 in 16"
            } else {
                ""
            }
        )),
        System::Unified if thread.series() == Series::Uns && !is_listed(thread) => Some(
            "Special thread: computed with the formulas of ASME B1.1 for an engagement of nine pitches. For 15 to 30 \
             pitches the pitch diameter tolerance is 1.25 times as large (FED-STD-H28/2B, example of 2-1/2-28)."
                .to_owned(),
        ),
        System::Unified | System::Metric => None,
    }
}

pub(super) fn cautions(thread: Thread) -> Vec<&'static str> {
    if thread.is_pipe() {
        vec![
            "Gas, steam, fuel or compressed air can kill. For a joint that holds them, follow the machine's manual and \
             local codes, and leave the work to a licensed professional.",
        ]
    } else {
        Vec::new()
    }
}

pub(super) fn source(thread: Thread) -> &'static str {
    if thread.is_sti() {
        return match sti_hole(thread.bolt()).published {
            true => {
                "STI hole by formula from the wire's section, largest diameters from ASME B18.29.1 as transcribed \
                 (secondary source)"
            }
            false => {
                "STI hole by formula from the wire's section, per ASME B18.29.1 and B18.29.2M from memory"
            }
        };
    }
    match thread.series() {
        Series::Unc | Series::Unf | Series::Unef | Series::Un | Series::Uns | Series::Ns => {
            "ASME B1.1 formulas: Machinery's Handbook 31 and FED-STD-H28/2B (read), tolerances from a transcription \
             (secondary source)"
        }
        Series::MetricCoarse | Series::MetricFine => {
            "ISO 965-1 tables as transcribed (secondary source), each cell compared with the formulas"
        }
        Series::Bsw | Series::Bsf => {
            "BS 84 formulas; pitches by size from published lists (secondary sources)"
        }
        Series::BspParallel => "ISO 228-1 from published data (secondary source)",
        Series::BspTaper => {
            "ISO 7-1: diameters of ISO 228-1 (secondary source), gauge lengths from memory"
        }
        Series::Npt => {
            "ASME B1.20.1: pipe diameters and pitches from a published list (secondary source), formulas and gauge lengths from memory"
        }
    }
}
