//! A remedy before it is judged: the thread it would cut, and how that thread would be engaged.

use crate::drill::Drill;
use crate::hole::budget::Need;
use crate::hole::record::{self, Remedy};
use crate::insert::{Family, Insert, TapChamfer};
use crate::length::Length;
use crate::strength::{parent_shear_area_mm2_per_mm, tapped_shear_area_mm2_per_mm};
use crate::thread::{Form, Thread};
use std::sync::Arc;

/// The thread that a remedy stands on, in the parent metal.
pub(super) struct Candidate {
    pub remedy: Remedy,
    pub insert: Option<Arc<Insert>>,
    /// The thread cut into the casting, by its designation; none where none is cut.
    pub outside: Option<String>,
    /// The bolt that the finished hole takes.
    pub bolt: Thread,
    /// Diameter of the hole before tapping.
    pub drilled: Length,
    pub major: Length,
    pub pitch_mm: f64,
    /// Least shear area of the parent metal for each millimetre engaged.
    pub area_mm2_per_mm: f64,
    /// The least area published for the insert in a whole wall.
    pub published_area_mm2: Option<f64>,
    /// Where the engaged thread starts and ends, below the finished face.
    pub engaged: (Length, Length),
    pub drill: Option<Drill>,
    pub tap: Option<String>,
    pub cut: Option<Work>,
    /// How long a plug is below the finished face, where the remedy is one.
    pub plug_length: Option<Length>,
}

/// How deep a remedy that cuts must go.
pub(super) struct Work {
    /// With a plug tap, and with a bottoming tap after it.
    pub plug_tap: Need,
    pub bottoming_tap: Need,
}

/// Half the tolerance band of a key-locking insert's length: 0.015 in (MS51830E).
const LENGTH_TOLERANCE: Length = Length::from_fraction(15, 1000);

impl Candidate {
    /// Whether it is the remedy that a piece of work was done for.
    pub fn is(&self, work: &record::Work) -> bool {
        let insert = self.insert.as_ref();
        self.remedy == work.remedy
            && insert.map(|insert| insert.family) == work.family
            && insert.map(|insert| insert.length) == work.length
            && self.outside == work.outside_thread
    }

    /// Basic pitch diameter of the thread in the casting, by the 60 degree form, which every plug has.
    pub fn pitch_diameter_mm(&self) -> f64 {
        self.major.mm() - 2.0 * Form::Sixty.addendum_mm(self.pitch_mm)
    }

    /// Whether the bolt runs in the thread that is there, on the axis of the old hole.
    pub fn keeps_the_thread(&self) -> bool {
        matches!(self.remedy, Remedy::Leave | Remedy::Chase)
    }

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
            area_mm2_per_mm: parent_shear_area_mm2_per_mm(outside),
            published_area_mm2: insert.published_shear_area_mm2,
            engaged: engaged_by(insert, below),
            drill: Some(insert.drill),
            tap: Some(insert.tap.clone()),
            cut: Some(Work {
                plug_tap: need_of(insert, TapChamfer::Plug),
                bottoming_tap: need_of(insert, TapChamfer::Bottoming),
            }),
            plug_length: None,
            insert: Some(Arc::clone(insert)),
        }
    }

    /// A bolt straight in the iron, engaged for so long, in a hole that is there or still to be drilled.
    pub fn of_bolt(remedy: Remedy, bolt: Thread, drilled: Length, engaged: Length) -> Candidate {
        Candidate {
            remedy,
            insert: None,
            outside: (remedy != Remedy::Leave).then(|| bolt.designation()),
            bolt,
            drilled,
            major: bolt.nominal(),
            pitch_mm: bolt.pitch_mm(),
            area_mm2_per_mm: tapped_shear_area_mm2_per_mm(&bolt),
            published_area_mm2: None,
            engaged: (Length::ZERO, engaged),
            drill: None,
            tap: None,
            cut: None,
            plug_length: None,
        }
    }
}

/// The outside thread that counts as engaged.
///
/// A wire thread insert ends half to three quarters of a pitch short of its nominal length (ASME B18.29 rule, secondary source). Of a key-locking insert
/// the length may be short by its tolerance, and three quarters of a pitch at either end are chamfer: a judgement, taken so that the area comes out
/// at what is published for plain inserts (overhaul manual 20-00-02, Tables 402 and 403), or below.
fn engaged_by(insert: &Insert, below: Length) -> (Length, Length) {
    let part = Length::computed_mm(0.75 * insert.outside.pitch_mm);
    match insert.family {
        Family::WireThread => (below, below + insert.length - part),
        _ => (
            below + part,
            below + insert.length - LENGTH_TOLERANCE - part,
        ),
    }
}

fn need_of(insert: &Insert, tap: TapChamfer) -> Need {
    Need {
        drill: insert.drill_depth_min(tap),
        full_thread: insert.full_thread_needed(),
        set_below: Some((insert.set_below_min, insert.set_below_max)),
    }
}

/// Depths for thread that no insert is set into: the thread, the chamfer of the tap, and one pitch of clearance; for a plug tap of
/// 3/8 in and under half a diameter more, for the male centre at its end (ASME B18.29 rule, secondary source).
pub(super) fn plain_need(
    full_thread: Length,
    thread: &Thread,
    tap: TapChamfer,
    set: Option<(Length, Length)>,
) -> Need {
    let nominal = thread.nominal();
    let centre = tap != TapChamfer::Bottoming && nominal <= Length::from_fraction(3, 8);
    let centre = if centre { nominal / 2 } else { Length::ZERO };
    Need {
        drill: full_thread + Length::computed_mm(thread.pitch_mm()) * (tap.threads() + 1) + centre,
        full_thread,
        set_below: set,
    }
}
