//! Inserts: the tapped hole that each wants in the parent metal, its drill, depth and countersink.
//!
//! Wire thread inserts follow from their thread by formula. The other kinds stand in files: those that come with the notebook, and
//! those that a shop writes from the cards in its drawer. A [`Catalogue`] holds both.

pub mod bushing;
mod catalogue;
mod confidence;
mod family;
mod file;
mod from_row;
mod holes;
mod report;
mod standard;
mod sti;
mod wire;

pub use catalogue::{Catalogue, ShopFile};
pub use confidence::Confidence;
pub use family::{Family, FamilyError, TapChamfer};
pub use file::{FileError, FileFault, InsertFile, LARGEST_FILE, MOST_ROWS};
pub use holes::holes_for;
pub use report::{InsertReport, Span, report};

use crate::drill::{Drill, mean_oversize};
use crate::length::Length;
use crate::thread::{Form, Thread};
use serde::Serialize;

/// One insert of one length, and the hole it wants.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Insert {
    /// Its kind.
    pub family: Family,
    /// The thread it gives the bolt.
    pub internal: Thread,
    /// The thread it holds by in the parent metal.
    pub outside: OutsideThread,
    /// Least diameter of the hole before tapping.
    #[serde(rename = "hole_min_mm")]
    pub hole_min: Length,
    /// Largest diameter of the hole before tapping.
    #[serde(rename = "hole_max_mm")]
    pub hole_max: Length,
    /// The drill for it.
    pub drill: Drill,
    /// The tap for it.
    pub tap: String,
    /// The countersink at its mouth.
    pub countersink: Option<Countersink>,
    /// Nominal length of the insert.
    #[serde(rename = "length_mm")]
    pub length: Length,
    /// Least depth of its upper end below the face.
    #[serde(rename = "set_below_min_mm")]
    pub set_below_min: Length,
    /// Largest depth of its upper end below the face.
    #[serde(rename = "set_below_max_mm")]
    pub set_below_max: Length,
    /// Least depth of full thread in the parent metal.
    #[serde(rename = "full_thread_min_mm")]
    pub full_thread_min: Length,
    /// Locking keys to be driven down; 0 where it has none.
    pub keys: u8,
    /// Whether it has a driving tang to be broken off.
    pub tang: bool,
    /// What becomes of the coil, for a wire thread insert.
    pub coil: Option<Coil>,
    /// Least area of its outside thread under shear, locking type, in mm², where one is published:
    /// pull-out load is this area times the shear strength of the parent metal.
    pub published_shear_area_mm2: Option<f64>,
    /// Where these numbers come from.
    pub source: String,
    /// How sure the least sure of them is.
    pub confidence: Confidence,
    /// The shop's own file that it stands in; none for what comes with the notebook.
    pub shop_file: Option<String>,
    /// What a person must know beside the numbers, in sentences.
    pub notes: Vec<String>,
}

/// The outside thread of an insert, and of the hole it goes into.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutsideThread {
    /// `3/8-16 STI` for a wire thread insert, `1/2-13 UNC` for others.
    pub designation: String,
    /// Pitch in millimetres.
    pub pitch_mm: f64,
    /// Least major diameter of the insert; for a wire thread insert the basic one, which the tapped
    /// hole sets.
    #[serde(rename = "major_min_mm")]
    pub major_min: Length,
    /// Basic major diameter, from which walls and neighbours are reckoned.
    #[serde(rename = "major_mm")]
    pub major: Length,
    /// Basic pitch diameter.
    #[serde(rename = "pitch_diameter_mm")]
    pub pitch_diameter: Length,
    /// Largest pitch diameter of the tapped hole.
    #[serde(rename = "tapped_pitch_diameter_max_mm")]
    pub tapped_pitch_diameter_max: Length,
    /// The shape of its groove.
    pub form: Form,
    /// The standard thread it is; none for the STI threads of wire thread inserts.
    pub thread: Option<Thread>,
}

impl OutsideThread {
    /// Percent of thread that a hole leaves to it, as [`crate::drill::thread_percent`].
    pub fn thread_percent(&self, hole: Length) -> f64 {
        100.0 * (self.major - hole).mm() / (2.0 * self.form.full_thread_mm(self.pitch_mm))
    }
}

/// A countersink: diameter at the face, and included angle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Countersink {
    /// Least diameter.
    #[serde(rename = "min_mm")]
    pub min: Length,
    /// Largest diameter.
    #[serde(rename = "max_mm")]
    pub max: Length,
    /// Least included angle, in degrees.
    pub angle_min_deg: f64,
    /// Largest included angle, in degrees.
    pub angle_max_deg: f64,
}

/// A wire thread insert once it is set.
///
/// How long the coil is before that follows from the diameter it is wound to, which no source at hand gives: measure the one in hand.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Coil {
    /// Least length once it is set: nominal less three quarters of a pitch (ASME B18.29 rule, secondary source).
    #[serde(rename = "set_length_min_mm")]
    pub set_length_min: Length,
    /// Largest length once it is set: nominal less half a pitch (the same).
    #[serde(rename = "set_length_max_mm")]
    pub set_length_max: Length,
    /// Least turns once it is set: that length over the pitch.
    pub turns_min: f64,
    /// Most turns once it is set.
    pub turns_max: f64,
    /// Least depth of its upper end below the face in a hole without a countersink: a quarter of a pitch (secondary sources).
    #[serde(rename = "plain_below_min_mm")]
    pub plain_below_min: Length,
    /// Largest depth there: half a pitch (secondary sources).
    #[serde(rename = "plain_below_max_mm")]
    pub plain_below_max: Length,
}

impl Insert {
    /// Least depth to which the full diameter of the drill must go in a blind hole: the full
    /// thread, the chamfer of the tap and one pitch of clearance, and half the nominal diameter
    /// more for the male centre that small taps have.
    ///
    /// Rule of ASME B18.29 (secondary source; it gives the depth of Machinery's Handbook 31 p. 1746
    /// example 3), applied to key-locking inserts too. A male centre is reckoned with up to 8 mm
    /// nominal for wire thread inserts, and for taps up to 3/8 in otherwise (TM 9-254). The point
    /// of the drill goes deeper still.
    pub fn drill_depth_min(&self, tap: TapChamfer) -> Length {
        let pitch = Length::computed_mm(self.outside.pitch_mm);
        let centre = if tap != TapChamfer::Bottoming && self.tap_has_male_centre() {
            self.centre_diameter() / 2
        } else {
            Length::ZERO
        };
        self.full_thread_needed() + pitch * (tap.threads() + 1) + centre
    }

    /// Depth of full thread to plan for: the least that the source gives, or what the insert takes to go to its depth, where that is
    /// more. The sheets for miniature key-locking inserts give less.
    pub fn full_thread_needed(&self) -> Length {
        match self.family {
            // It ends half a pitch and more short of its nominal length.
            Family::WireThread => self.full_thread_min,
            _ => self.full_thread_min.max(self.length + self.set_below_max),
        }
    }

    /// Whether two are the same piece: kind, threads and length.
    pub fn is_same_as(&self, other: &Insert) -> bool {
        self.family == other.family
            && self.internal == other.internal
            && self.outside.designation == other.outside.designation
            && self.length == other.length
    }

    fn centre_diameter(&self) -> Length {
        match self.family {
            Family::WireThread => self.internal.nominal(),
            _ => self.outside.major,
        }
    }

    fn tap_has_male_centre(&self) -> bool {
        match self.family {
            Family::WireThread => self.internal.nominal() <= Length::from_nm(8_000_000),
            _ => self.outside.major <= Length::from_fraction(3, 8),
        }
    }
}

/// What a twist drill does to a hole whose limits are close: `None` where its usual oversize stays within them.
fn oversize_note(drill: Drill, largest: Length) -> Option<String> {
    let cut = drill.diameter + mean_oversize(drill.diameter)?;
    (cut > largest).then(|| {
        format!(
            "A twist drill cuts over its size: {drill} made holes of {} in the mean in tests in iron and steel (FED-STD-H28/2B Table \
             II.A.1), and at most {} is allowed. Try it on scrap, or drill under and ream to size; measure the hole before you tap it.",
            cut.both(),
            largest.both()
        )
    })
}

#[cfg(test)]
mod tests;
