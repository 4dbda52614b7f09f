//! What must be left of the thread where it matters: everywhere, to guide what is screwed in, and where keys bite.

use super::candidate::Candidate;
use super::check::{Check, Weight};
use super::holds::or_unread;
use crate::drill::clearance;
use crate::hole::damage::{Damage, Slice, Span, Station};
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
const SQUARE: &str = "a bolt follows the old axis and bends as its head is drawn down; with a spherical washer more may do (judgement)";
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
        Remedy::Chase | Remedy::LargerBolt | Remedy::SteppedStud => {
            (Some((0.5, EVERYWHERE)), Some(0.75))
        }
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
        .map(|station| mouth(station, situation.cut_or_none()))
        .max()
        .filter(|off| off.is_positive());
    let Some(off) = off else {
        return;
    };
    checks.push(off_centre(candidate, off));
}

fn off_centre(candidate: &Candidate, off: Length) -> Check {
    let play = clearance(&candidate.bolt).map_or(NO_TABLE, |hole| (hole - candidate.major) / 2);
    let numbers = (off.mm(), play.mm());
    let check = "old hole off the intended centre";
    Check::most(check, "mm", numbers, Weight::Must, FOLLOWS)
}

/// How far an old hole lies off where the bolt leaves the finished face; zero where its circle does not hold the intended centre.
fn mouth(station: &Station, face: Length) -> Length {
    let circle = station.at(face);
    if circle.holds_centre() {
        circle.offset
    } else {
        Length::ZERO
    }
}

/// A bolt in the thread that is there follows its axis, and bends as its head comes down on a face that is not square to it.
pub(super) fn leaning(situation: &Situation, candidate: &Candidate, checks: &mut Vec<Check>) {
    let Some(lean) = situation.damage.lean.as_ref() else {
        return;
    };
    if !candidate.keeps_the_thread() {
        return;
    }
    let tilt_deg = lean.tilt.degrees();
    let names = [
        "old hole out of square",
        "old hole out of square, preferred",
    ];
    let check = |name, most, weight| Check::most(name, "deg", (tilt_deg, most), weight, SQUARE);
    checks.push(check(names[0], MOST_TILT_DEG, Weight::Must));
    checks.push(check(names[1], BETTER_TILT_DEG, Weight::Preferred));
    let off = lean.offset_at(situation.cut_or_none());
    if off.is_positive() {
        checks.push(off_centre(candidate, off));
    }
}

/// Tilts that a bolt stands for in a thread that is kept, in degrees: 1 in 57, and 1 in 19.
const BETTER_TILT_DEG: f64 = 1.0;
const MOST_TILT_DEG: f64 = 3.0;

/// What a hole may be off centre where no clearance hole is kept for its size: 0.2 mm (judgement).
const NO_TABLE: Length = Length::from_nm(200_000);

/// A wire thread insert lies against the wall all round: the mean height of the flank does not tell where there is none at all.
pub(super) fn bare_wall(
    damage: &Damage,
    candidate: &Candidate,
    slices: Option<&[Slice]>,
    checks: &mut Vec<Check>,
) {
    if candidate.remedy != Remedy::WireInsert {
        return;
    }
    let at = |depth: Length| bare_share(damage, candidate.major, depth);
    let depths = slices.into_iter().flatten().flat_map(depths_of);
    let bare = depths.map(at).fold(0.0, f64::max);
    if bare > 0.0 {
        let name = ["turn without a wall", "turn without a wall, preferred"];
        let check = |name, most, weight| Check::most(name, "", (bare, most), weight, BARE);
        checks.push(check(name[0], 0.25, Weight::Must));
        checks.push(check(name[1], 0.1, Weight::Preferred));
    }
}

/// The depths that tell what a slice is like; its lower end belongs to the next one.
fn depths_of(slice: &Slice) -> Vec<Length> {
    if !slice.changes() {
        return vec![slice.span.from];
    }
    let just_above = slice.span.to - Length::from_nm(1);
    let samples = slice.samples().into_iter();
    samples.map(|(depth, _)| depth.min(just_above)).collect()
}

/// Hard metal is ground away before a tap comes to it.
fn left(slice: &Slice) -> f64 {
    if slice.hard { 0.0 } else { slice.least() }
}
