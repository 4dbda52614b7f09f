//! What must be left of the thread where it matters: everywhere, to guide what is screwed in, and where keys bite.

use super::candidate::Candidate;
use super::check::{Check, Weight};
use super::holds::or_unread;
use crate::drill::clearance;
use crate::hole::damage::{Slice, Span};
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::hole::wall::{bare_share, engagement_of};
use crate::length::Length;

const EVERYWHERE: &str =
    "so much of the flank at every engaged depth, to guide what is screwed in (judgement)";
const COILS: &str = "coils without a wall behind them spring open (judgement)";
const KEYS: &str = "keys lock only where they bite into a wall (judgement)";
const BARE: &str =
    "coils bridge a gap in the wall of a tenth of a turn, and of a quarter at the most (judgement)";
const FOLLOWS: &str = "a tap and a bolt follow the old hole; half the play of the bolt in a clearance hole of normal fit (ASME B18.2.8, ISO 273)";
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

/// A hole that has wandered over more than half the engaged depth: a tap run through it again does not bring it back. A crater at the
/// mouth is no wandered hole.
pub(super) fn wandered(
    situation: &Situation,
    candidate: &Candidate,
    engaged: Span,
    checks: &mut Vec<Check>,
) {
    if candidate.remedy != Remedy::Chase {
        return;
    }
    let stations = situation.damage.stations.iter();
    let off = stations
        .filter(|station| station.span.shared_with(engaged).length() * 2 > engaged.length())
        .filter(|station| station.offset * 2 <= station.diameter)
        .map(|station| station.offset)
        .max()
        .filter(|off| off.is_positive());
    let Some(off) = off else {
        return;
    };
    let play = clearance(&candidate.bolt).map_or(NO_TABLE, |hole| (hole - candidate.major) / 2);
    let numbers = (off.mm(), play.mm());
    let check = "old hole off the intended centre";
    checks.push(Check::most(check, "mm", numbers, Weight::Must, FOLLOWS));
}

/// What a hole may be off centre where no clearance hole is kept for its size: 0.2 mm (judgement).
const NO_TABLE: Length = Length::from_nm(200_000);

/// A wire thread insert lies against the wall all round: the mean height of the flank does not tell where there is none at all.
pub(super) fn bare_wall(
    situation: &Situation,
    candidate: &Candidate,
    slices: Option<&[Slice]>,
    checks: &mut Vec<Check>,
) {
    if candidate.remedy != Remedy::WireInsert {
        return;
    }
    let at = |slice: &Slice| bare_share(&situation.damage, candidate.major, slice.span.from);
    let bare = slices.map_or(0.0, |slices| slices.iter().map(at).fold(0.0, f64::max));
    if bare > 0.0 {
        let name = ["turn without a wall", "turn without a wall, preferred"];
        let check = |name, most, weight| Check::most(name, "", (bare, most), weight, BARE);
        checks.push(check(name[0], 0.25, Weight::Must));
        checks.push(check(name[1], 0.1, Weight::Preferred));
    }
}

/// Hard metal is ground away before a tap comes to it.
fn left(slice: &Slice) -> f64 {
    if slice.hard { 0.0 } else { slice.fraction }
}
