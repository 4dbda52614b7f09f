//! The depth budget: how deep to go from today's face, and how deep that is once the face is cut.
//!
//! A remedy's depths hold below the finished face: an insert sits so far below it, its thread must be full so far down.
//! As long as the cut is still to come, every depth is larger by the cut.

use crate::length::Length;
use serde::Serialize;

/// What a remedy needs below the finished face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Need {
    /// To the full diameter of the drill.
    pub drill: Length,
    /// To the end of full thread.
    pub full_thread: Length,
    /// Least and largest depth of the insert's upper end; none where nothing is set.
    pub set_below: Option<(Length, Length)>,
}

/// Depths from today's face and from the finished one.
///
/// Those from today's face are `None` while nobody has said how much is still to come off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Depths {
    /// Drill to here now, to the full diameter of the drill; its point goes deeper. The whole thickness in a hole that goes through.
    pub drill: Option<Length>,
    /// Full thread to here now.
    pub full_thread: Option<Length>,
    /// The insert's upper end lies so far below today's face if it is set now.
    pub set_now: Option<Length>,
    /// The insert's upper end lies so far below the finished face: the middle of what is allowed.
    pub set_after_cut: Option<Length>,
    /// How deep the drilled hole is, from the finished face.
    pub drill_after_cut: Length,
    /// How deep full thread goes, from the finished face.
    pub full_thread_after_cut: Length,
    /// The least that the insert's upper end may lie below the finished face.
    pub set_below_min: Option<Length>,
    /// The most.
    pub set_below_max: Option<Length>,
}

impl Depths {
    /// Lays off a need from both faces. `thickness` is that of the metal today, for a hole that goes through: it
    /// is drilled right through, and its thread can be no longer than the metal is thick.
    pub fn of(need: &Need, face_cut: Option<Length>, thickness: Option<Length>) -> Depths {
        let now = |below: Length| face_cut.map(|cut| below + cut);
        let set = need.set_below.map(|(least, most)| (least + most) / 2);
        let mut depths = Depths {
            drill: now(need.drill),
            full_thread: now(need.full_thread),
            set_now: set.and_then(now),
            set_after_cut: set,
            drill_after_cut: need.drill,
            full_thread_after_cut: need.full_thread,
            set_below_min: need.set_below.map(|(least, _)| least),
            set_below_max: need.set_below.map(|(_, most)| most),
        };
        if let Some(thick) = thickness {
            let left = (thick - face_cut.unwrap_or(Length::ZERO)).or_zero();
            depths.drill = Some(thick);
            depths.full_thread = depths.full_thread.map(|thread| thread.min(thick));
            depths.drill_after_cut = left;
            depths.full_thread_after_cut = need.full_thread.min(left);
        }
        depths
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::mm;
    use super::*;
    use proptest::prelude::*;

    fn need() -> Need {
        Need {
            drill: mm(24.0),
            full_thread: mm(14.2),
            set_below: Some((mm(0.254), mm(0.762))),
        }
    }

    #[test]
    fn every_depth_is_deeper_by_the_cut_while_it_is_to_come() {
        let depths = Depths::of(&need(), Some(mm(0.5)), None);
        assert_eq!(depths.drill, Some(mm(24.5)));
        assert_eq!(depths.full_thread, Some(mm(14.7)));
        assert_eq!(depths.set_now, Some(mm(1.008)));
        assert_eq!(depths.set_after_cut, Some(mm(0.508)));
        assert_eq!(
            (depths.drill_after_cut, depths.full_thread_after_cut),
            (mm(24.0), mm(14.2))
        );
    }

    #[test]
    fn an_unknown_cut_leaves_the_depths_of_today_unknown() {
        let depths = Depths::of(&need(), None, None);
        assert_eq!(
            (depths.drill, depths.full_thread, depths.set_now),
            (None, None, None)
        );
        assert_eq!(depths.set_after_cut, Some(mm(0.508)));
    }

    #[test]
    fn a_through_hole_is_drilled_through() {
        let depths = Depths::of(&need(), Some(mm(0.5)), Some(mm(12.0)));
        assert_eq!(depths.drill, Some(mm(12.0)));
        assert_eq!(depths.full_thread, Some(mm(12.0)));
        assert_eq!(
            (depths.drill_after_cut, depths.full_thread_after_cut),
            (mm(11.5), mm(11.5))
        );
    }

    proptest! {
        #[test]
        fn a_deeper_face_cut_never_needs_less_depth(a in 0.0..20.0, more in 0.0..20.0, thick in prop::option::of(1.0..60.0)) {
            let thick = thick.map(mm);
            let (shallow, deep) = (Depths::of(&need(), Some(mm(a)), thick), Depths::of(&need(), Some(mm(a + more)), thick));
            prop_assert!(deep.drill >= shallow.drill);
            prop_assert!(deep.full_thread >= shallow.full_thread);
            prop_assert!(deep.set_now >= shallow.set_now);
            prop_assert_eq!(deep.set_after_cut, shallow.set_after_cut);
        }
    }
}
