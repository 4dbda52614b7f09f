//! Depths of a remedy, from the face as is and from the finished face.
//!
//! A remedy needs its depths below the finished face. Until the face is cut, every depth is larger
//! by the face cut.

use crate::length::Length;
use serde::{Serialize, Serializer};

/// Depths that a remedy needs below the finished face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DepthNeed {
    /// To the full diameter of the drill.
    pub drill: Length,
    /// To the end of full thread.
    pub full_thread: Length,
    /// Smallest and largest depth of the insert's top end; `None` if nothing is installed.
    pub install_below: Option<(Length, Length)>,
}

/// Depths from the face as is and from the finished face.
///
/// Depths from the face as is are `None` until the face cut is known.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Depths {
    /// Drill depth to full diameter, face as is; the point goes deeper. In a through hole, the
    /// thickness of the metal.
    pub drill: Option<Length>,
    /// Full thread to this depth, face as is.
    pub full_thread: Option<Length>,
    /// Depth of the insert's top end below the face as is, if it is installed before the face cut.
    #[serde(flatten, serialize_with = "install_now_json")]
    pub install_now: Option<Length>,
    /// Depth of the insert's top end below the finished face: the middle of the allowed range.
    #[serde(flatten, serialize_with = "install_after_cut_json")]
    pub install_after_cut: Option<Length>,
    /// Drill depth to full diameter, finished face.
    pub drill_after_cut: Length,
    /// Full thread to this depth, finished face.
    pub full_thread_after_cut: Length,
    /// Smallest allowed depth of the insert's top end below the finished face.
    pub install_below_min: Option<Length>,
    /// Largest allowed depth of the insert's top end below the finished face.
    pub install_below_max: Option<Length>,
}

/// Serializes the depth under its promised key and under the one that says "install".
fn install_now_json<S: Serializer>(
    depth: &Option<Length>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    #[derive(Serialize)]
    struct Keys {
        set_now: Option<Length>,
        install_now: Option<Length>,
    }
    Keys {
        set_now: *depth,
        install_now: *depth,
    }
    .serialize(serializer)
}

/// Serializes the depth under its promised key and under the one that says "install".
fn install_after_cut_json<S: Serializer>(
    depth: &Option<Length>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    #[derive(Serialize)]
    struct Keys {
        set_after_cut: Option<Length>,
        install_after_cut: Option<Length>,
    }
    Keys {
        set_after_cut: *depth,
        install_after_cut: *depth,
    }
    .serialize(serializer)
}

impl Depths {
    /// Returns the depths of a need from both faces.
    ///
    /// `thickness` is the thickness of the metal with the face as is, for a through hole: it is
    /// drilled all the way, and its thread is at most as long as the metal is thick.
    pub fn of(need: &DepthNeed, face_cut: Option<Length>, thickness: Option<Length>) -> Depths {
        let now = |below: Length| face_cut.map(|cut| below + cut);
        let set = need.install_below.map(|(least, most)| (least + most) / 2);
        let mut depths = Depths {
            drill: now(need.drill),
            full_thread: now(need.full_thread),
            install_now: set.and_then(now),
            install_after_cut: set,
            drill_after_cut: need.drill,
            full_thread_after_cut: need.full_thread,
            install_below_min: need.install_below.map(|(least, _)| least),
            install_below_max: need.install_below.map(|(_, most)| most),
        };
        if let Some(thick) = thickness {
            let left = (thick - face_cut.unwrap_or(Length::ZERO)).clamp_at_zero();
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

    fn need() -> DepthNeed {
        DepthNeed {
            drill: mm(24.0),
            full_thread: mm(14.2),
            install_below: Some((mm(0.254), mm(0.762))),
        }
    }

    #[test]
    fn depths_from_the_face_as_is_include_the_face_cut() {
        let depths = Depths::of(&need(), Some(mm(0.5)), None);
        assert_eq!(depths.drill, Some(mm(24.5)));
        assert_eq!(depths.full_thread, Some(mm(14.7)));
        assert_eq!(depths.install_now, Some(mm(1.008)));
        assert_eq!(depths.install_after_cut, Some(mm(0.508)));
        assert_eq!(
            (depths.drill_after_cut, depths.full_thread_after_cut),
            (mm(24.0), mm(14.2))
        );
    }

    #[test]
    fn unknown_face_cut_leaves_depths_from_the_face_as_is_unknown() {
        let depths = Depths::of(&need(), None, None);
        assert_eq!(
            (depths.drill, depths.full_thread, depths.install_now),
            (None, None, None)
        );
        assert_eq!(depths.install_after_cut, Some(mm(0.508)));
    }

    #[test]
    fn through_hole_is_drilled_through() {
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
        fn deeper_face_cut_never_needs_less_depth(a in 0.0..20.0, more in 0.0..20.0, thick in prop::option::of(1.0..60.0)) {
            let thick = thick.map(mm);
            let (shallow, deep) = (Depths::of(&need(), Some(mm(a)), thick), Depths::of(&need(), Some(mm(a + more)), thick));
            prop_assert!(deep.drill >= shallow.drill);
            prop_assert!(deep.full_thread >= shallow.full_thread);
            prop_assert!(deep.install_now >= shallow.install_now);
            prop_assert_eq!(deep.install_after_cut, shallow.install_after_cut);
        }
    }
}
