//! The sequence of tools that brings an off-center hole back to the intended center.

use crate::drill::{Drill, DrillKinds, DrillName, nearest_at_or_below};
use crate::length::{Length, NM_PER_MM};
use std::fmt;

/// The existing hole, relative to the intended center.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OldHole {
    /// Distance of its center from the intended one.
    pub offset: Length,
    /// Diameter, if measured.
    pub diameter: Option<Length>,
}

/// A tool in the sequence.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cutter {
    /// A short, center-cutting end mill of this diameter.
    EndMill(Length),
    /// A stub-length drill.
    StubDrill(Drill),
    /// The final drill, to size.
    Drill(Drill),
}

/// One step of the sequence.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq)]
pub struct Pilot {
    /// The tool.
    pub cutter: Cutter,
    /// Depth below the face as is, if the sequence sets one.
    pub depth: Option<Length>,
    /// Why, and what to watch, in one or two sentences.
    pub why: String,
}

impl Cutter {
    /// Returns the diameter.
    pub const fn diameter(self) -> Length {
        match self {
            Cutter::EndMill(diameter) => diameter,
            Cutter::StubDrill(drill) | Cutter::Drill(drill) => drill.diameter,
        }
    }
}

/// `end mill 3/8`, `stub drill 11/32`, `drill X`.
impl fmt::Display for Cutter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Cutter::EndMill(diameter) if diameter.nm() % NM_PER_MM == 0 => {
                write!(f, "end mill {} mm", diameter.nm() / NM_PER_MM)
            }
            // Inch mills come by sixteenths and are written like drills.
            Cutter::EndMill(diameter) => {
                let sixty_fourths = (diameter.inches() * 64.0).round() as u16;
                write!(f, "end mill {}", Drill::fraction(sixty_fourths))
            }
            Cutter::StubDrill(drill) => write!(f, "stub drill {drill}"),
            Cutter::Drill(drill) => write!(f, "drill {drill}"),
        }
    }
}

/// Least stock on the diameter for the final drill: 1/64 in (judgment).
const MIN_STOCK: Length = Length::from_fraction(1, 64);

/// Metric end mill diameters in mm (common practice, no source).
const METRIC_MILLS_MM: [i64; 12] = [3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 25];

/// Returns the largest end mill that leaves stock for a drill; `None` if the drill is too small.
///
/// Inch mills from 1/8 to 1 in by 1/16 for inch drills, metric mills for metric ones. Sizes as
/// shops have them (common practice, no source).
pub fn end_mill_below(drill: &Drill) -> Option<Length> {
    let most = drill.diameter - MIN_STOCK;
    let metric = METRIC_MILLS_MM.map(|mm| Length::from_nm(mm * NM_PER_MM));
    let inch = (2..=16).map(|sixteenths| Length::from_fraction(sixteenths, 16));
    match drill.name {
        DrillName::Metric(_) => metric.into_iter().filter(|mill| *mill <= most).max(),
        _ => inch.filter(|mill| *mill <= most).max(),
    }
}

/// Returns the tools that bring an off-center hole, or one with a broken tool in it, back to the
/// intended center: end mill, stub drill in its bore, final drill.
///
/// Without an old hole, or for a drill too small for an end mill: stub drill and final drill. Order
/// and depths are judgment, from common practice, no source.
pub fn pilot_sequence(last: &Drill, old: Option<OldHole>, kinds: &DrillKinds) -> Vec<Pilot> {
    let mill = old.and_then(|_| end_mill_below(last));
    let mut tools = Vec::with_capacity(3);
    if let (Some(mill), Some(old)) = (mill, old) {
        tools.push(Pilot {
            cutter: Cutter::EndMill(mill),
            depth: Some(last.diameter),
            why: why_mill(mill, old),
        });
    }
    let below = mill.unwrap_or(last.diameter - MIN_STOCK);
    if let Some(short) = nearest_at_or_below(below, kinds) {
        tools.push(Pilot {
            cutter: Cutter::StubDrill(short),
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
    let start = "Center-cutting, the shortest you have, held rigidly, casting clamped. It cuts where it is held; a drill would slide into \
                 the old hole.";
    let reach = old.diameter.map(|diameter| old.offset + diameter / 2);
    let meets = match reach {
        Some(reach) if reach * 2 <= mill => "It cleans up the whole mouth of the old hole.",
        _ => "One side cuts air in the old hole, so feed slowly.",
    };
    format!(
        "{start} {meets} Plunge one diameter of the final drill, deeper if the bottom still shows the old hole."
    )
}

fn why_short(from_mill: bool) -> String {
    if from_mill {
        "A stub drill deflects least. It fits the bore that the end mill left and is guided until it is past that bore."
            .to_owned()
    } else {
        "A stub drill deflects least. Start it in a center mark.".to_owned()
    }
}

fn why_last(last: &Drill, old: Option<OldHole>) -> String {
    let reach = old.and_then(|old| Some(old.offset + old.diameter? / 2));
    match reach.filter(|reach| *reach * 2 > last.diameter) {
        Some(reach) => format!(
            "It only opens up the bore, so it follows it. The old hole reaches {} from the center and breaks into the wall: the drill cuts \
             air on that side, so feed by hand and clear chips often.",
            reach.both()
        ),
        None => "It only opens up the bore, so it follows it, and both lips cut evenly.".to_owned(),
    }
}
