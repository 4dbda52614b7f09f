//! What must be left of the thread where it matters: everywhere, to guide what is screwed in, and where keys bite.

use super::candidate::Candidate;
use super::check::{Check, Weight};
use super::holds::or_unread;
use crate::hole::damage::{Slice, Span};
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::hole::wall::engagement_of;

const EVERYWHERE: &str =
    "so much of the flank at every engaged depth, to guide what is screwed in (judgement)";
const COILS: &str = "coils without a wall behind them spring open (judgement)";
const KEYS: &str = "keys lock only where they bite into a wall (judgement)";
const LEAVE: &str = "a thread that is left as it is must be whole at every depth (judgement)";

/// The keys of a key-locking insert lie in its upper part, taken as a third of its length: the mean of what is left there. Metal that is
/// relieved first is none.
pub(super) fn key_wall(
    situation: &Situation,
    candidate: &Candidate,
    slices: Option<&[Slice]>,
    checks: &mut Vec<Check>,
) {
    let Some(insert) = candidate.insert.as_ref().filter(|insert| insert.keys > 0) else {
        return;
    };
    let mean = slices
        .zip(slices.and_then(<[Slice]>::first))
        .map(|(slices, first)| {
            let from = first.span.from;
            let upper = Span {
                from,
                to: from + insert.length / 3,
            };
            engagement_of(slices, upper).mm() / upper.length().mm()
        });
    let check = Check::least(
        "thread left for the keys",
        "",
        (mean, 0.2),
        Weight::Must,
        KEYS,
    );
    checks.push(or_unread(situation, check));
}

/// The depth at which least is left, against what must be left everywhere.
pub(super) fn worst_depth(
    situation: &Situation,
    candidate: &Candidate,
    slices: Option<&[Slice]>,
    checks: &mut Vec<Check>,
) {
    let least = slices.map(|slices| slices.iter().map(left).fold(1.0, f64::min));
    let (must, better) = match candidate.remedy {
        Remedy::Leave => (Some((0.9, LEAVE)), None),
        Remedy::Chase | Remedy::LargerBolt => (Some((0.5, EVERYWHERE)), Some(0.75)),
        Remedy::WireInsert => (Some((0.2, COILS)), Some(0.5)),
        _ => (None, Some(0.5)),
    };
    if let Some((must, from)) = must {
        let check = Check::least(
            "thread left at the worst depth",
            "",
            (least, must),
            Weight::Must,
            from,
        );
        checks.push(or_unread(situation, check));
    }
    if let Some(better) = better {
        let name = "thread left at the worst depth, preferred";
        let check = Check::least(name, "", (least, better), Weight::Preferred, EVERYWHERE);
        checks.push(or_unread(situation, check));
    }
}

/// Hard metal is ground away before a tap comes to it.
fn left(slice: &Slice) -> f64 {
    if slice.hard { 0.0 } else { slice.fraction }
}
