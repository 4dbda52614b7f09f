//! Speeds and feeds in iron, tools back to the intended center, chamfers of taps, and tool wear.

use crate::error::NotebookError;
use crate::guard::guard;
use crate::inserts::{Drill, TapChamfer};
use crate::lend::lend;
use holebook_core::cutting as core;
use holebook_core::drill::{self, DrillKinds};
use holebook_core::length::Length;
use holebook_core::thread::Thread;

lend! {
    holebook_core::cutting {
        Advice,
        ChamferLead,
        Cutter,
        DeepHoleReduction,
        Feed,
        FeedPer,
        Hardness,
        Operation,
        Pilot,
        Speeds,
        ToolMaterial,
        ToolWear,
    }
}

/// Speed and feed of a tool of a diameter in iron.
///
/// Fails with `Invalid` for a diameter that no such tool has, or a tool that should not be tried in
/// that iron.
#[uniffi::export]
pub fn cutting_speeds(
    operation: Operation,
    material: ToolMaterial,
    hardness: Hardness,
    diameter: Length,
) -> Result<Speeds, NotebookError> {
    guard("cutting_speeds", || {
        core::speeds(operation, material, hardness, diameter).map_err(NotebookError::invalid)
    })
}

/// Returns the speed and feed reduction for a hole of this depth in diameters; none if it is less
/// than three.
#[uniffi::export]
pub fn deep_hole_reduction(
    depth_in_diameters: f64,
) -> Result<Option<DeepHoleReduction>, NotebookError> {
    guard("deep_hole_reduction", || {
        Ok(core::deep_hole_reduction(depth_in_diameters))
    })
}

/// The chamfers of taper, plug and bottoming taps for a thread.
///
/// Fails with `Unreadable` if the thread is not known.
#[uniffi::export]
pub fn chamfer_leads(thread: Thread) -> Result<Vec<ChamferLead>, NotebookError> {
    guard("chamfer_leads", || {
        Ok(core::chamfer_leads(thread.pitch_mm()).to_vec())
    })
}

/// The tools from an old hole back to the intended center, first to last: an end mill, a stub drill
/// from its bore, and `last` to size. `offset` is how far off the old hole's center is; none
/// means no old hole. A judgment after common practice.
///
/// Fails with `Unreadable` if `last` is not a standard drill.
#[uniffi::export(default(offset = None, old_diameter = None))]
pub fn pilots(
    last: String,
    offset: Option<Length>,
    old_diameter: Option<Length>,
) -> Result<Vec<Pilot>, NotebookError> {
    guard("pilots", || {
        let read = drill::Drill::parse(&last);
        let last = read.map_err(|error| NotebookError::unreadable("drill", last, &error))?;
        let old = offset.map(|offset| core::OldHole {
            offset,
            diameter: old_diameter,
        });
        Ok(core::pilot_sequence(&last, old, &DrillKinds::ALL))
    })
}

/// How a hole is likely to wear out or break its tool. `hard_skin`: chilled metal at some depth;
/// `interrupted`: the old hole or damage takes part of the circumference away.
#[uniffi::export]
pub fn tool_wear(
    hardness: Hardness,
    hard_skin: bool,
    interrupted: bool,
) -> Result<ToolWear, NotebookError> {
    guard("tool_wear", || {
        Ok(core::tool_wear(hardness, hard_skin, interrupted))
    })
}

/// Advice for a chilled surface (`hard_skin`) and for a tool that cuts on one side only
/// (`interrupted`), and always on when to sharpen a drill.
#[uniffi::export]
pub fn cutting_advice(hard_skin: bool, interrupted: bool) -> Result<Vec<Advice>, NotebookError> {
    guard("cutting_advice", || {
        let mut advice = Vec::new();
        if hard_skin {
            advice.extend(core::hard_skin_advice());
        }
        if interrupted {
            advice.extend(core::interrupted_cut_advice());
        }
        advice.extend(core::resharpening_advice());
        Ok(advice)
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn ten_mm() -> Length {
        Length::from_nm(10_000_000)
    }

    #[test]
    fn turns_and_surface_speed_agree() {
        let steel = ToolMaterial::HighSpeedSteel;
        let speeds = cutting_speeds(Operation::Drill, steel, Hardness::Soft, ten_mm()).unwrap();
        let surface = speeds.rpm.0 * std::f64::consts::PI * 0.010;
        assert!((surface - speeds.surface_m_min.0).abs() < 1e-9);
        assert!(speeds.feed.is_some());
    }

    #[test]
    fn what_should_not_be_tried_says_why() {
        let carbide = ToolMaterial::Carbide;
        let refused = cutting_speeds(Operation::Tap, carbide, Hardness::Soft, ten_mm());
        assert!(
            matches!(refused, Err(NotebookError::Invalid { reason }) if reason.contains("carbide"))
        );
    }

    #[test]
    fn the_tools_back_to_the_center_end_with_the_drill_asked_for() {
        let offset = Some(Length::from_nm(1_200_000));
        let tools = pilots("29/64".to_owned(), offset, None).unwrap();
        assert!(matches!(tools[0].cutter, Cutter::EndMill(_)));
        let last = tools.last().map(|tool| tool.cutter);
        assert!(matches!(last, Some(Cutter::Drill(drill)) if drill.name.to_string() == "29/64"));
        assert!(pilots("an awl".to_owned(), None, None).is_err());
    }

    #[test]
    fn a_longer_chamfer_takes_more_threads() {
        let leads = chamfer_leads(Thread::parse("1/2-13").unwrap()).unwrap();
        assert!(
            leads
                .windows(2)
                .all(|pair| pair[0].longest > pair[1].longest)
        );
        assert_eq!(deep_hole_reduction(2.0).unwrap(), None);
        assert!(deep_hole_reduction(5.0).unwrap().unwrap().speed > 0.0);
        let soft = tool_wear(Hardness::Soft, false, false).unwrap();
        assert!(soft.drills.0 <= soft.drills.1 && soft.taps.is_some());
        assert!(
            cutting_advice(true, true).unwrap().len() > cutting_advice(false, false).unwrap().len()
        );
    }
}
