//! From an old hole that lies wrong back to the intended centre: which tools, in which order, and why.

use crate::drill::{Drawer, Drill, DrillName, nearest_at_or_below};
use crate::length::{Length, NM_PER_MM};
use std::fmt;

/// The hole that is there, beside the intended centre.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OldHole {
    /// How far its centre lies from the intended one.
    pub offset: Length,
    /// Its diameter, where it was read.
    pub diameter: Option<Length>,
}

/// A tool of the sequence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cutter {
    /// A short, centre-cutting end mill of a diameter.
    EndMill(Length),
    /// A short drill.
    ShortDrill(Drill),
    /// The last drill, to size.
    Drill(Drill),
}

/// One tool with its reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Pilot {
    /// The tool.
    pub cutter: Cutter,
    /// How deep below the face as it is, where the sequence says so.
    pub depth: Option<Length>,
    /// Why, and what to look at, in one or two sentences.
    pub why: String,
}

impl Cutter {
    /// Its diameter.
    pub const fn diameter(self) -> Length {
        match self {
            Cutter::EndMill(diameter) => diameter,
            Cutter::ShortDrill(drill) | Cutter::Drill(drill) => drill.diameter,
        }
    }
}

/// `end mill 3/8`, `short drill 11/32`, `drill X`.
impl fmt::Display for Cutter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Cutter::EndMill(diameter) if diameter.nm() % NM_PER_MM == 0 => {
                write!(f, "end mill {} mm", diameter.nm() / NM_PER_MM)
            }
            // Inch mills go by sixteenths, and are written as drills are.
            Cutter::EndMill(diameter) => {
                let sixty_fourths = (diameter.inches() * 64.0).round() as u16;
                write!(f, "end mill {}", Drill::fraction(sixty_fourths))
            }
            Cutter::ShortDrill(drill) => write!(f, "short drill {drill}"),
            Cutter::Drill(drill) => write!(f, "drill {drill}"),
        }
    }
}

/// What the last drill is left to cut, at the least: 1/64 in on the diameter (judgement).
const LEFT_TO_CUT: Length = Length::from_fraction(1, 64);

/// Metric end mills, in mm. Common practice, no source.
const METRIC_MILLS: [i64; 12] = [3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 25];

/// The largest end mill that leaves the drill something to cut; by sixteenths of an inch from 1/8 to 1 in for inch drills, and metric
/// for metric ones. Sizes as shops have them (common practice, no source).
pub fn end_mill_below(drill: &Drill) -> Option<Length> {
    let most = drill.diameter - LEFT_TO_CUT;
    let metric = METRIC_MILLS.map(|mm| Length::from_nm(mm * NM_PER_MM));
    let inch = (2..=16).map(|sixteenths| Length::from_fraction(sixteenths, 16));
    match drill.name {
        DrillName::Metric(_) => metric.into_iter().filter(|mill| *mill <= most).max(),
        _ => inch.filter(|mill| *mill <= most).max(),
    }
}

/// The tools from a wandered hole, or one with a broken tool in it, back to the intended centre: an end mill first, a short drill from
/// its bore, and the drill to size last. The order and depths are a judgement after common practice, no source.
///
/// Without an old hole, or for a drill too small for an end mill, it is a short drill and the last one.
pub fn pilots(last: &Drill, old: Option<OldHole>, drawer: &Drawer) -> Vec<Pilot> {
    let mill = old.and_then(|_| end_mill_below(last));
    let mut tools = Vec::with_capacity(3);
    if let (Some(mill), Some(old)) = (mill, old) {
        tools.push(Pilot {
            cutter: Cutter::EndMill(mill),
            depth: Some(last.diameter),
            why: why_mill(mill, old),
        });
    }
    let below = mill.unwrap_or(last.diameter - LEFT_TO_CUT);
    if let Some(short) = nearest_at_or_below(below, drawer) {
        tools.push(Pilot {
            cutter: Cutter::ShortDrill(short),
            depth: None,
            why: why_short(mill.is_some()),
        });
    }
    tools.push(Pilot {
        cutter: Cutter::Drill(*last),
        depth: None,
        why: why_last(last, old),
    });
    tools
}

fn why_mill(mill: Length, old: OldHole) -> String {
    let start = "Centre-cutting, the shortest there is, held rigid with the casting clamped: it cuts where it is held, where a drill would \
                 slide into the old hole.";
    let reach = old.diameter.map(|diameter| old.offset + diameter / 2);
    let meets = match reach {
        Some(reach) if reach * 2 <= mill => "It takes the whole mouth of the old hole away.",
        _ => "One side of it cuts air where the old hole lies, so feed it slowly.",
    };
    format!(
        "{start} {meets} Go in one diameter of the last drill, and deeper where its floor still shows the old hole."
    )
}

fn why_short(from_mill: bool) -> String {
    if from_mill {
        "A short drill bends least. It fits the bore that the end mill left and cannot find the old hole until it is past that bore."
            .to_owned()
    } else {
        "A short drill bends least; start it on a centre mark.".to_owned()
    }
}

fn why_last(last: &Drill, old: Option<OldHole>) -> String {
    let reach = old.and_then(|old| Some(old.offset + old.diameter? / 2));
    match reach.filter(|reach| *reach * 2 > last.diameter) {
        Some(reach) => format!(
            "It only opens the bore, so it follows it. The old hole reaches {} from the centre and still shows in the wall: on that side the \
             drill cuts air, so feed it by hand and clear the chips often.",
            reach.both()
        ),
        None => "It only opens the bore, so it follows it; both lips cut evenly.".to_owned(),
    }
}
