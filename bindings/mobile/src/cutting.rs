//! Speeds and feeds in iron, the tools back to the centre, chamfers of taps, and wear.

use crate::border::{In, Out, record_out, words};
use crate::error::NotebookError;
use crate::guard::guard;
use crate::inserts::{Drill, TapChamfer};
use crate::length::Length;
use holebook_core::cutting as core;
use holebook_core::drill::{self, Drawer};
use holebook_core::thread::Thread;

words! {
    /// What a tool is to do.
    CuttingPurpose = core::Purpose {
        /// Drilling with a twist drill.
        Drill,
        /// Plunging or milling with a centre-cutting end mill.
        EndMill,
        /// Reaming.
        Ream,
        /// Tapping by machine.
        Tap,
    }
}

words! {
    /// What a tool is made of.
    ToolMaterial = core::ToolMaterial {
        /// High speed steel.
        HighSpeedSteel,
        /// Carbide.
        Carbide,
    }
}

words! {
    /// How hard the iron is, as a file and a drill tell it.
    Hardness = core::Hardness {
        /// Up to about 190 Brinell; a file bites freely.
        Soft,
        /// About 190 to 220 Brinell; a file bites.
        Medium,
        /// About 220 to 260 Brinell; a file bites with force.
        Hard,
        /// Above that, and white iron that a file slides off.
        Chilled,
    }
}

words! {
    /// What a feed is counted by.
    FeedPer = core::Per {
        /// By the turn.
        Turn,
        /// By the tooth.
        Tooth,
    }
}

record_out! {
    /// How far a tool goes in by the turn or by the tooth.
    Feed = core::Feed {
        /// Least; harder iron wants this.
        least: Length,
        /// Most.
        most: Length,
        /// By the turn or the tooth.
        per: FeedPer,
        /// Where it comes from.
        source: String,
    }
}

/// How fast to turn a tool, and how to feed it. Start at the least: an old machine, a worn spindle or a hole that is cut on one
/// side only wants less, and the machine's own manual comes first.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Speeds {
    /// Least surface speed, metres a minute.
    pub surface_least_m_min: f64,
    /// Most.
    pub surface_most_m_min: f64,
    /// Fewest turns a minute of the spindle.
    pub least_rpm: f64,
    /// Most.
    pub most_rpm: f64,
    /// Feed; none where the tool's own pitch feeds it, or where no figure was found.
    pub feed: Option<Feed>,
    /// Where the surface speed comes from.
    pub source: String,
    /// What else to know, in a sentence.
    pub note: Option<String>,
}

impl Out for core::Speeds {
    type Face = Speeds;
    fn out(self) -> Speeds {
        let Self {
            surface_ft_min: _, // the same as in metres
            surface_m_min: (surface_least_m_min, surface_most_m_min),
            rpm: (least_rpm, most_rpm),
            feed,
            source,
            note,
        } = self;
        Speeds {
            surface_least_m_min,
            surface_most_m_min,
            least_rpm,
            most_rpm,
            feed: feed.out(),
            source: source.out(),
            note: note.out(),
        }
    }
}

/// Speed and feed of a tool of a diameter in iron.
///
/// Fails with `Unfit` for a diameter that no such tool has, or a tool that should not be tried in that iron.
#[uniffi::export]
pub fn cutting_speeds(
    purpose: CuttingPurpose,
    material: ToolMaterial,
    hardness: Hardness,
    diameter: Length,
) -> Result<Speeds, NotebookError> {
    guard("cutting_speeds", || {
        let speeds = core::speeds(
            purpose.inward()?,
            material.inward()?,
            hardness.inward()?,
            diameter.inward()?,
        );
        Ok(speeds.map_err(NotebookError::unfit)?.out())
    })
}

record_out! {
    /// How much slower and lighter to go in a deep hole, as shares to take off.
    DepthLoss = core::DepthLoss {
        /// Off the speed: 0.1 is a tenth.
        speed: f64,
        /// Off the feed.
        feed: f64,
    }
}

/// What to take off speed and feed in a hole so many diameters deep; none where it is less than three.
#[uniffi::export]
pub fn depth_loss(depth_in_diameters: f64) -> Result<Option<DepthLoss>, NotebookError> {
    guard("depth_loss", || {
        Ok(core::depth_loss(depth_in_diameters).out())
    })
}

record_out! {
    /// The chamfer of one kind of tap, in threads and in length.
    ChamferLead = core::ChamferLead {
        /// Which tap.
        tap: TapChamfer,
        /// Fewest threads that its chamfer takes.
        threads_min: u8,
        /// Most threads.
        threads_max: u8,
        /// Shortest chamfer.
        shortest: Length,
        /// Longest chamfer: so far from its end the tap may leave no full thread.
        longest: Length,
    }
}

/// The chamfers of taper, plug and bottoming taps for a thread.
///
/// Fails with `Unreadable` where the thread is none known here.
#[uniffi::export]
pub fn chamfer_leads(thread: String) -> Result<Vec<ChamferLead>, NotebookError> {
    guard("chamfer_leads", || {
        let thread: Thread = thread.inward()?;
        Ok(core::chamfer_leads(thread.pitch_mm()).to_vec().out())
    })
}

/// A tool on the way back to the intended centre.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Cutter {
    /// A short, centre-cutting end mill.
    EndMill {
        /// Its diameter.
        diameter: Length,
    },
    /// A short drill.
    ShortDrill {
        /// Which.
        drill: Drill,
    },
    /// The last drill, to size.
    LastDrill {
        /// Which.
        drill: Drill,
    },
}

impl Out for core::Cutter {
    type Face = Cutter;
    fn out(self) -> Cutter {
        match self {
            Self::EndMill(diameter) => Cutter::EndMill {
                diameter: diameter.out(),
            },
            Self::ShortDrill(drill) => Cutter::ShortDrill { drill: drill.out() },
            Self::Drill(drill) => Cutter::LastDrill { drill: drill.out() },
        }
    }
}

record_out! {
    /// One tool with its reason.
    Pilot = core::Pilot {
        /// The tool.
        cutter: Cutter,
        /// How deep below the face as it is, where the sequence says so.
        depth: Option<Length>,
        /// Why, and what to look at, in one or two sentences.
        why: String,
    }
}

/// The tools from a hole that lies wrong back to the intended centre, first to last: an end mill, a short drill from its bore, and
/// `last` to size. `offset` is how far the old hole's centre lies off; without it there is none. A judgement after common practice.
///
/// Fails with `Unreadable` where `last` is no drill that is sold.
#[uniffi::export(default(offset = None, old_diameter = None))]
pub fn pilots(
    last: String,
    offset: Option<Length>,
    old_diameter: Option<Length>,
) -> Result<Vec<Pilot>, NotebookError> {
    guard("pilots", || {
        let read = drill::Drill::parse(&last);
        let last = read.map_err(|error| NotebookError::unreadable("drill", last, &error))?;
        let offset: Option<holebook_core::length::Length> = offset.inward()?;
        let diameter = old_diameter.inward()?;
        let old = offset.map(|offset| core::OldHole { offset, diameter });
        Ok(core::pilots(&last, old, &Drawer::ALL).out())
    })
}

/// Tools to have at hand for one hole: a judgement, nothing of it was measured.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Wear {
    /// Fewest drills, or as many sharp points on one drill.
    pub drills_least: u8,
    /// Most.
    pub drills_most: u8,
    /// Fewest taps; none where the iron must not be tapped.
    pub taps_least: Option<u8>,
    /// Most.
    pub taps_most: Option<u8>,
    /// Why, each in a sentence.
    pub reasons: Vec<String>,
}

impl Out for core::Wear {
    type Face = Wear;
    fn out(self) -> Wear {
        let Self {
            drills: (drills_least, drills_most),
            taps,
            reasons,
        } = self;
        let (taps_least, taps_most) = taps.unzip();
        Wear {
            drills_least,
            drills_most,
            taps_least,
            taps_most,
            reasons: reasons.out(),
        }
    }
}

/// What a hole is likely to wear out or break. `hard_skin`: chilled metal at some depth; `interrupted`: the old hole or damage takes
/// part of the circumference away.
#[uniffi::export]
pub fn tool_wear(
    hardness: Hardness,
    hard_skin: bool,
    interrupted: bool,
) -> Result<Wear, NotebookError> {
    guard("tool_wear", || {
        Ok(core::wear(hardness.inward()?, hard_skin, interrupted).out())
    })
}

record_out! {
    /// One piece of advice with its reason, and where it comes from.
    Advice = core::Advice {
        /// What to do.
        what: String,
        /// Why.
        why: String,
        /// Where it comes from.
        source: String,
    }
}

/// What to do where the mouth is chilled (`hard_skin`) and where the tool cuts on one side only (`interrupted`), and always when to
/// sharpen a drill.
#[uniffi::export]
pub fn cutting_advice(hard_skin: bool, interrupted: bool) -> Result<Vec<Advice>, NotebookError> {
    guard("cutting_advice", || {
        let mut advice = Vec::new();
        if hard_skin {
            advice.extend(core::hard_skin());
        }
        if interrupted {
            advice.extend(core::interrupted());
        }
        advice.extend(core::resharpening());
        Ok(advice.out())
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn turns_and_surface_speed_agree() {
        let diameter = Length { nm: 10_000_000 };
        let steel = ToolMaterial::HighSpeedSteel;
        let speeds = cutting_speeds(CuttingPurpose::Drill, steel, Hardness::Soft, diameter);
        let speeds = speeds.unwrap();
        let surface = speeds.least_rpm * std::f64::consts::PI * 0.010;
        assert!((surface - speeds.surface_least_m_min).abs() < 1e-9);
        assert!(speeds.feed.is_some());
    }

    #[test]
    fn what_should_not_be_tried_says_why() {
        let diameter = Length { nm: 10_000_000 };
        let carbide = ToolMaterial::Carbide;
        let refused = cutting_speeds(CuttingPurpose::Tap, carbide, Hardness::Soft, diameter);
        assert!(
            matches!(refused, Err(NotebookError::Unfit { reason }) if reason.contains("carbide"))
        );
    }

    #[test]
    fn the_way_back_to_the_centre_ends_with_the_drill_asked_for() {
        let offset = Some(Length { nm: 1_200_000 });
        let tools = pilots("29/64".to_owned(), offset, None).unwrap();
        assert!(matches!(tools[0].cutter, Cutter::EndMill { .. }));
        let last = tools.last().map(|tool| &tool.cutter);
        assert!(matches!(last, Some(Cutter::LastDrill { drill }) if drill.name == "29/64"));
        assert!(pilots("an awl".to_owned(), None, None).is_err());
    }

    #[test]
    fn a_longer_chamfer_takes_more_threads() {
        let leads = chamfer_leads("1/2-13".to_owned()).unwrap();
        assert!(
            leads
                .windows(2)
                .all(|pair| pair[0].longest > pair[1].longest)
        );
        assert_eq!(depth_loss(2.0).unwrap(), None);
        assert!(depth_loss(5.0).unwrap().unwrap().speed > 0.0);
        let soft = tool_wear(Hardness::Soft, false, false).unwrap();
        assert!(soft.drills_least <= soft.drills_most && soft.taps_least.is_some());
        assert!(
            cutting_advice(true, true).unwrap().len() > cutting_advice(false, false).unwrap().len()
        );
    }
}
