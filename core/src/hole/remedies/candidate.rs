//! Candidate: a remedy before its assessment, with the thread that it would cut and engage.

use crate::drill::Drill;
use crate::hole::depths::DepthNeed;
use crate::hole::record::{Remedy, RemedySpec};
use crate::insert::{Family, Insert, TapChamfer};
use crate::length::Length;
use crate::strength::{insert_shear_area_mm2_per_mm, tapped_shear_area_mm2_per_mm};
use crate::thread::{Form, Hand, Thread};
use std::sync::Arc;

/// A remedy before its assessment.
pub(super) struct Candidate {
    pub remedy: Remedy,
    pub insert: Option<Arc<Insert>>,
    /// Designation of the thread cut into the casting, if any.
    pub outside: Option<String>,
    /// Thread of the bolt that the finished hole takes.
    pub bolt: Thread,
    /// Diameter of the hole before tapping.
    pub drilled: Length,
    /// Major diameter of the thread in the parent metal.
    pub major: Length,
    /// Pitch of the thread in the parent metal.
    pub pitch_mm: f64,
    /// Minimum shear area of the parent metal per millimeter engaged.
    pub area_mm2_per_mm: f64,
    /// Minimum shear area published for the insert in a sound wall.
    pub published_area_mm2: Option<f64>,
    /// Start and end of the engaged thread, below the finished face.
    pub engaged: (Length, Length),
    pub drill: Option<Drill>,
    pub tap: Option<String>,
    /// Depths that it may be cut to, the first that fits preferred; empty if nothing is cut.
    pub needs: Vec<TapNeed>,
    /// Length of a plug below the finished face, if the remedy is one.
    pub plug_length: Option<Length>,
}

/// Depths that a remedy needs with one tap: a plug tap only, or a bottoming tap after it.
#[derive(Clone, Copy)]
pub(super) struct TapNeed {
    pub tap: TapChamfer,
    pub need: DepthNeed,
}

impl TapNeed {
    /// Returns the depths with a plug tap, then with a bottoming tap after it.
    pub fn plug_or_bottoming(need: impl Fn(TapChamfer) -> DepthNeed) -> [TapNeed; 2] {
        [TapChamfer::Plug, TapChamfer::Bottoming].map(|tap| TapNeed {
            tap,
            need: need(tap),
        })
    }
}

/// Half the tolerance band of a key-locking insert's length: 0.015 in (MS51830E).
const LENGTH_TOLERANCE: Length = Length::from_fraction(15, 1000);

impl Candidate {
    /// Returns its spec.
    pub fn spec(&self) -> RemedySpec {
        let insert = self.insert.as_ref();
        RemedySpec {
            remedy: self.remedy,
            family: insert.map(|insert| insert.family),
            length: insert.map(|insert| insert.length),
            outside_thread: self.outside.clone(),
        }
    }

    /// Returns the basic pitch diameter of the thread in the casting, by the 60 degree form, which
    /// every plug has.
    pub fn pitch_diameter_mm(&self) -> f64 {
        self.major.mm() - 2.0 * Form::Sixty.addendum_mm(self.pitch_mm)
    }

    /// Returns whether the bolt runs in the existing thread, on the axis of the old hole.
    pub fn keeps_old_thread(&self) -> bool {
        matches!(
            self.remedy,
            Remedy::Leave | Remedy::LongerBolt | Remedy::Chase | Remedy::TapDeeper
        )
    }

    /// Returns whether no tap touches the thread, so that hard metal in it stays.
    pub fn cuts_nothing(&self) -> bool {
        matches!(self.remedy, Remedy::Leave | Remedy::LongerBolt)
    }

    /// Returns whether the thread in the casting is of the other hand than the bolt's: tightening
    /// the bolt then unscrews the insert or plug.
    pub fn unscrews(&self) -> bool {
        let outside = match (&self.insert, self.remedy) {
            (Some(insert), _) => insert.outside.thread.map(Thread::hand),
            (None, Remedy::ThreadedPlug) => Some(Hand::Right),
            _ => None,
        };
        outside.is_some_and(|hand| hand != self.bolt.hand())
    }

    /// Returns the candidate that installs an insert.
    pub fn of_insert(insert: &Arc<Insert>) -> Candidate {
        let outside = &insert.outside;
        let below = (insert.set_below_min + insert.set_below_max) / 2;
        Candidate {
            remedy: match insert.family {
                Family::WireThread => Remedy::WireInsert,
                Family::Bushing => Remedy::Bushing,
                _ => Remedy::KeyLockingInsert,
            },
            outside: Some(outside.designation.clone()),
            bolt: insert.internal,
            drilled: insert.drill.diameter,
            major: outside.major,
            pitch_mm: outside.pitch_mm,
            area_mm2_per_mm: insert_shear_area_mm2_per_mm(insert),
            published_area_mm2: insert.published_shear_area_mm2,
            engaged: engaged_by(insert, below),
            drill: Some(insert.drill),
            tap: Some(insert.tap.clone()),
            needs: TapNeed::plug_or_bottoming(|tap| insert_need(insert, tap)).into(),
            plug_length: None,
            insert: Some(Arc::clone(insert)),
        }
    }

    /// Returns the candidate for a bolt in the parent metal, engaged from the finished face to a
    /// depth, in a hole that exists or is still to be drilled.
    pub fn of_bolt(remedy: Remedy, bolt: Thread, drilled: Length, engaged: Length) -> Candidate {
        Candidate {
            remedy,
            insert: None,
            outside: (!matches!(remedy, Remedy::Leave | Remedy::LongerBolt))
                .then(|| bolt.designation()),
            bolt,
            drilled,
            major: bolt.nominal(),
            pitch_mm: bolt.pitch_mm(),
            area_mm2_per_mm: tapped_shear_area_mm2_per_mm(&bolt),
            published_area_mm2: None,
            engaged: (Length::ZERO, engaged),
            drill: None,
            tap: None,
            needs: Vec::new(),
            plug_length: None,
        }
    }
}

/// Returns start and end of the outside thread that counts as engaged, for an insert installed at a
/// depth below the face.
///
/// A wire thread insert ends 1/2 to 3/4 of a pitch short of its nominal length (ASME B18.29 rule,
/// secondary source). A key-locking insert may be short by its tolerance, and 3/4 of a pitch at
/// each end is chamfer: a judgment, chosen so that the area is at most the area published for plain
/// inserts (overhaul manual 20-00-02, Tables 402 and 403).
fn engaged_by(insert: &Insert, below: Length) -> (Length, Length) {
    let part = Length::from_computed_mm(0.75 * insert.outside.pitch_mm);
    match insert.family {
        Family::WireThread => (below, below + insert.length - part),
        _ => (
            below + part,
            below + insert.length - LENGTH_TOLERANCE - part,
        ),
    }
}

fn insert_need(insert: &Insert, tap: TapChamfer) -> DepthNeed {
    DepthNeed {
        drill: insert.drill_depth_min(tap),
        full_thread: insert.full_thread_needed(),
        install_below: Some((insert.set_below_min, insert.set_below_max)),
    }
}

/// Returns the depths for a thread without an insert.
///
/// The drill needs the full thread, the chamfer of the tap and one pitch of clearance. A plug tap
/// of 3/8 in and under needs half a diameter more for the male center at its end (ASME B18.29 rule,
/// secondary source).
pub(super) fn tapped_need(
    full_thread: Length,
    thread: &Thread,
    tap: TapChamfer,
    set: Option<(Length, Length)>,
) -> DepthNeed {
    let nominal = thread.nominal();
    let has_center = tap != TapChamfer::Bottoming && nominal <= Length::from_fraction(3, 8);
    let center = if has_center {
        nominal / 2
    } else {
        Length::ZERO
    };
    DepthNeed {
        drill: full_thread
            + Length::from_computed_mm(thread.pitch_mm()) * (tap.threads() + 1)
            + center,
        full_thread,
        install_below: set,
    }
}
