//! What stands beside a thread's numbers.

use crate::thread::{Hand, Series, System, Thread, look_alikes, tell_apart};

/// How many look-alikes are named.
const ALIKE_SHOWN: usize = 2;

pub(super) fn notes(thread: Thread) -> Vec<String> {
    let mut notes: Vec<String> = of_series(thread).into_iter().collect();
    if thread.hand() == Hand::Left {
        notes.push(
            "Limits are those of the right-hand thread; tap, die and insert must be left-hand ones too, and few inserts are sold so \
             (common practice, no source)."
                .to_owned(),
        );
    }
    let alike = look_alikes(thread).into_iter().take(ALIKE_SHOWN);
    notes.extend(alike.filter_map(|other| {
        let tell = tell_apart(thread, other)?;
        Some(format!(
            "Easily taken for {other}; what tells is {}.",
            tell.words
        ))
    }));
    notes
}

fn of_series(thread: Thread) -> Option<String> {
    match thread.series().system() {
        System::Whitworth => Some(
            "Whitworth has no class here: the tolerances of BS 84 are not kept, and both limits are the basic sizes.".to_owned(),
        ),
        System::Pipe => Some(format!(
            "Pipe sizes are not what they measure: {thread} is {} across{}. Both limits are the basic sizes{}.",
            thread.nominal().both(),
            if thread.series() == Series::Npt { ", which is the outside of the pipe" } else { "" },
            if thread.series().is_taper() {
                ", where the thread is hand-tight; it gets wider by one in sixteen"
            } else {
                ""
            }
        )),
        System::Unified if thread.series() == Series::Uns => Some(
            "A special: worked out by the formulas of ASME B1.1 for an engagement of nine pitches; for 15 to 30 pitches the pitch diameter \
             tolerance is 1.25 times as much (FED-STD-H28/2B, example of 2-1/2-28)."
                .to_owned(),
        ),
        System::Unified | System::Metric => None,
    }
}

pub(super) fn cautions(thread: Thread) -> Vec<&'static str> {
    if thread.is_pipe() {
        vec![
            "Gas, steam, fuel or air under pressure can kill: leave a joint that holds them to the machine's manual, the local rules and \
             licensed practice.",
        ]
    } else {
        Vec::new()
    }
}

pub(super) fn source(thread: Thread) -> &'static str {
    match thread.series() {
        Series::Unc | Series::Unf | Series::Unef | Series::Un | Series::Uns | Series::Ns => {
            "ASME B1.1 by its formulas: Machinery's Handbook 31 and FED-STD-H28/2B (read), tolerances from a transcription (secondary source)"
        }
        Series::MetricCoarse | Series::MetricFine => {
            "ISO 965-1, its tables as transcribed (secondary source), each cell compared with the formulas"
        }
        Series::Bsw | Series::Bsf => {
            "BS 84 form by its formulas; which size has which pitch from published lists (secondary sources)"
        }
        Series::BspParallel => "ISO 228-1 as published data has it (secondary source)",
        Series::BspTaper => {
            "ISO 7-1: diameters of ISO 228-1 (secondary source), gauge lengths from memory"
        }
        Series::Npt => {
            "ASME B1.20.1: pipe diameters and pitches from a published list (secondary source), formulas and gauge lengths from memory"
        }
    }
}
