//! Limits that are judgments: no standard fixes them, so a shop may set its own.
//!
//! This is the only list of them, each with its reason. A notebook's own values are a journal
//! entry, and every judgment of that notebook uses them. Those that start with `usual_` decide no
//! verdict: an entry beyond them is asked about before it is saved. Limits that a standard or a published
//! table gives stay beside the code that uses them.

use crate::length::{Length, Unit};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;

/// Unit of a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitUnit {
    /// A fraction, 0 to 1.
    Fraction,
    /// Millimeters.
    Millimeters,
    /// Millimeters, up to the size of a casting.
    LargeMillimeters,
    /// Pitches of the thread.
    Pitches,
    /// Diameters.
    Diameters,
    /// Diameters of the wanted thread.
    ThreadDiameters,
    /// Degrees.
    Degrees,
    /// A factor of 1 or more.
    Factor,
}

impl LimitUnit {
    /// Returns the least and largest value that makes sense.
    pub const fn range(self) -> (f64, f64) {
        match self {
            LimitUnit::Fraction => (0.0, 1.0),
            LimitUnit::Millimeters => (0.0, 50.0),
            LimitUnit::Pitches => (0.0, 20.0),
            LimitUnit::LargeMillimeters => (0.0, 5000.0),
            LimitUnit::Diameters => (0.0, 5.0),
            LimitUnit::ThreadDiameters => (1.0, 100.0),
            LimitUnit::Degrees => (0.0, 45.0),
            LimitUnit::Factor => (1.0, 10.0),
        }
    }

    /// Returns whether a value is a length.
    pub const fn is_length(self) -> bool {
        matches!(self, LimitUnit::Millimeters | LimitUnit::LargeMillimeters)
    }

    /// Returns the word after a number; empty for a fraction.
    pub const fn word(self) -> &'static str {
        match self {
            LimitUnit::Fraction => "",
            LimitUnit::Millimeters | LimitUnit::LargeMillimeters => "mm",
            LimitUnit::Pitches => "pitches",
            LimitUnit::Diameters => "diameters",
            LimitUnit::ThreadDiameters => "thread diameters",
            LimitUnit::Degrees => "degrees",
            LimitUnit::Factor => "times",
        }
    }
}

/// One limit: its name, its standard value and the reason for it.
#[derive(Debug, Clone, Copy)]
pub struct LimitInfo {
    /// Key in JSON and in forms.
    pub key: &'static str,
    /// What it limits, for people, in sentence case.
    pub label: &'static str,
    /// Unit of its value.
    pub unit: LimitUnit,
    /// Whether a larger value is stricter; otherwise a smaller one is.
    pub larger_is_stricter: bool,
    /// Value unless a shop sets its own.
    pub standard: f64,
    /// Why that value.
    pub reason: &'static str,
    get: fn(&Limits) -> f64,
    set: fn(&mut Limits, f64),
}

impl LimitInfo {
    /// Returns its value in a set of limits.
    pub fn value(&self, limits: &Limits) -> f64 {
        (self.get)(limits)
    }

    /// Returns a value of this limit as a length; `None` if it is none.
    pub fn length(&self, value: f64) -> Option<Length> {
        self.unit
            .is_length()
            .then(|| Length::from_computed_mm(value))
    }

    /// Formats a value of this limit with its unit, lengths in the reader's unit.
    pub fn show(&self, value: f64, unit: Unit) -> String {
        if let Some(length) = self.length(value) {
            return length.show(unit);
        }
        match self.unit {
            LimitUnit::Fraction => value.to_string(),
            other => format!("{value} {}", other.word()),
        }
    }
}

/// A limit with its source, as a check states it.
pub(in crate::hole) struct Sourced {
    /// The value.
    pub value: f64,
    /// The reason for the standard value, or that the shop set another.
    pub from: Cow<'static, str>,
}

impl Sourced {
    fn of(value: f64, standard: f64, reason: &'static str) -> Sourced {
        let from = if value == standard {
            Cow::Borrowed(reason)
        } else {
            Cow::Owned(format!("this shop's limit; the standard one is {standard}"))
        };
        Sourced { value, from }
    }

    /// Returns the limit times a number, such as millimeters per pitch.
    pub fn times(self, factor: f64) -> Sourced {
        Sourced {
            value: self.value * factor,
            ..self
        }
    }

    /// Returns the larger of two limits.
    pub fn or_larger(self, other: Sourced) -> Sourced {
        if other.value > self.value {
            other
        } else {
            self
        }
    }

    /// Returns the limit, which is in millimeters, as a length.
    pub fn length(&self) -> Length {
        Length::from_computed_mm(self.value)
    }
}

/// Generates [`Limits`] and its table from one list.
macro_rules! limits {
    ($(
        $(#[doc = $doc:literal])+
        $key:ident: $standard:literal $unit:ident, $stricter:ident, $label:literal, $reason:literal;
    )+) => {
        /// Limits that are judgments, with a shop's own values or the standard ones.
        ///
        /// In JSON only values that differ from the standard ones are written.
        #[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
        pub struct Limits {
            $( $(#[doc = $doc])+ pub $key: f64, )+
        }

        impl Limits {
            /// The standard limits.
            pub const STANDARD: Limits = Limits { $( $key: $standard, )+ };

            $(
                /// Returns the value of this limit and its source.
                #[allow(dead_code)] // some limits are no checks
                pub(in crate::hole) fn $key(&self) -> Sourced {
                    let reason = concat!($reason, " (judgment)");
                    Sourced::of(self.$key, $standard, reason)
                }
            )+

            /// Every limit, in the order of the page.
            pub const ALL: &[LimitInfo] = &[$(
                LimitInfo {
                    key: stringify!($key),
                    label: $label,
                    unit: LimitUnit::$unit,
                    larger_is_stricter: limits!(@ $stricter),
                    standard: $standard,
                    reason: $reason,
                    get: |limits| limits.$key,
                    set: |limits, value| limits.$key = value,
                },
            )+];
        }
    };
    (@ larger) => { true };
    (@ smaller) => { false };
}

limits! {
    /// Least fraction of a thread that is left as it is, at every engaged depth.
    thread_left_as_is: 0.9 Fraction, larger, "Thread left, thread stays as it is",
        "a bolt that bears on a worn thread wears it further each time";
    /// Least fraction of a thread that is chased or cut new, at every engaged depth.
    thread_left_tapped: 0.5 Fraction, larger, "Thread left, chased or tapped thread",
        "less does not guide a tap or a bolt";
    /// The same, preferred.
    thread_left_tapped_preferred: 0.75 Fraction, larger, "Thread left, chased or tapped thread, preferred",
        "as much as a usual tap drill leaves";
    /// Most of a thread that is left as it is or chased that may be lost at the mouth, in pitches.
    mouth_pitches: 1.0 Pitches, smaller, "Thread lost at the mouth",
        "a countersink; where more is lost, a longer bolt makes up for it";
    /// Least fraction of the thread behind the coils of a wire thread insert.
    thread_left_coils: 0.2 Fraction, larger, "Thread left behind coils",
        "coils without a wall behind them spring open";
    /// Least fraction of the thread around any insert or plug, preferred.
    thread_left_insert_preferred: 0.5 Fraction, larger, "Thread left around an insert, preferred",
        "it guides what is screwed in";
    /// Least fraction of the thread at the keys of a key-locking insert.
    thread_left_keys: 0.2 Fraction, larger, "Thread left at the keys",
        "keys lock only where they bite into a wall";
    /// Largest part of a turn without a wall behind coils.
    unsupported_arc: 0.25 Fraction, smaller, "Turn without a wall behind coils",
        "coils do not bridge more than a quarter of a turn";
    /// The same, preferred.
    unsupported_arc_preferred: 0.1 Fraction, smaller, "Turn without a wall behind coils, preferred",
        "coils bridge a tenth of a turn";
    /// Largest tilt of a thread that is kept, degrees.
    tilt_deg: 3.0 Degrees, smaller, "Old hole not square",
        "a bolt bends as it is tightened, even with a spherical washer";
    /// The same, preferred.
    tilt_preferred_deg: 1.0 Degrees, smaller, "Old hole not square, preferred",
        "a bolt bends as it is tightened";
    /// Least strength, as a fraction of a sound hole's.
    strength_share: 0.5 Fraction, larger, "Strength, part of a sound hole's",
        "half of what a sound hole holds; below that, the joint does not work as it was designed";
    /// Least wall between an outside thread and an edge or void.
    wall_mm: 1.5 Millimeters, larger, "Wall to an edge or void",
        "thinner iron breaks out under the tap";
    /// The same in outside diameters; the larger of both counts.
    wall_diameters: 0.2 Diameters, larger, "Wall to an edge or void, in outside diameters",
        "a wire thread insert one bolt diameter from an edge is everyday work in iron and leaves a fifth or more";
    /// Least wall to an edge or void at an insert with keys.
    key_wall_mm: 3.0 Millimeters, larger, "Wall to an edge or void beside keys",
        "driven keys wedge the wall outward";
    /// Least wall between two outside threads.
    hole_wall_pitches: 6.0 Pitches, larger, "Wall to the next hole",
        "both bolts load it";
    /// Factor on a wall or floor with pressure behind it.
    pressure_factor: 2.0 Factor, larger, "Wall or floor with pressure behind it",
        "water or oil finds every crack, and a leak costs more than a thread";
    /// Least metal left under a drill's point.
    floor_mm: 1.0 Millimeters, larger, "Metal under a drill's point",
        "thinner iron breaks through under the feed";
    /// The same in pitches of the thread; the larger of both counts.
    floor_pitches: 0.5 Pitches, larger, "Metal under a drill's point, in pitches",
        "a coarse thread pulls harder on it";
    /// Least metal under a drill's point that goes deeper than the old hole, in drill diameters;
    /// preferred elsewhere.
    floor_drill_diameters: 0.5 Diameters, larger, "Metal under a point below the old hole, in drill diameters",
        "brittle iron";
    /// Clearance between a bolt's tip and the end of the cut that it runs in.
    tip_clear_pitches: 1.0 Pitches, larger, "Clearance at a bolt's tip",
        "lengths of bolts and depths of taps scatter";
    /// How much deeper a hole is cut than a bolt that is cut to length needs, if the metal is there.
    cut_to_length_mm: 0.79375 Millimeters, larger, "Play of a bolt cut to length",
        "1/32 in: a bolt that is sawn off and dressed is good to 1/64 in either way";
    /// Pitches at the bottom of an old blind hole without full thread.
    unfinished_pitches: 5.0 Pitches, larger, "Unfinished thread at the bottom of an old hole",
        "four threads of a plug tap's chamfer, and one of clearance";
    /// Least wall of a plug between the wanted thread and the plug's thread.
    plug_wall_mm: 3.048 Millimeters, larger, "Wall of a threaded plug",
        "as the least wall outside a solid insert, .12 in";
    /// Deepest hole that is not asked about, in diameters of its thread.
    usual_depth_diameters: 10.0 ThreadDiameters, smaller, "Asked about: deeper hole",
        "a tap does not reach as deep";
    /// The same where the thread is not known; the thickest floor and grip that are not asked about,
    /// and half the longest bolt.
    usual_depth_mm: 304.8 LargeMillimeters, smaller, "Asked about: depth, floor or grip of any thread",
        "12 in: deeper or thicker than what one bolt usually holds";
    /// Widest damage that is not asked about, in diameters of the thread.
    usual_damage_diameters: 6.0 ThreadDiameters, smaller, "Asked about: wider damage",
        "no insert or plug fills it";
    /// Widest damage or bore of any thread that is not asked about.
    usual_damage_mm: 152.4 LargeMillimeters, smaller, "Asked about: damage or bore of any thread",
        "6 in: no insert or plug fills it";
    /// Longest grip that is not asked about, in diameters of the thread.
    usual_grip_diameters: 20.0 ThreadDiameters, smaller, "Asked about: longer grip",
        "longer than the bolts of most joints";
    /// Thinnest grip that is not asked about.
    usual_grip_least_mm: 0.79375 Millimeters, larger, "Asked about: thinner grip",
        "1/32 in, thinner than a washer";
    /// Largest distance to an edge or hole that is not asked about.
    usual_distance_mm: 1016.0 LargeMillimeters, smaller, "Asked about: farther edge or hole",
        "40 in: an edge or hole so far away decides nothing";
    /// Smallest bore that is not asked about, as a fraction of the thread's smallest minor diameter.
    usual_bore_share: 0.9 Fraction, larger, "Asked about: smaller bore, part of the minor diameter",
        "rust and burrs take less than the rest";
    /// Largest lean of an old hole that is not asked about, degrees.
    usual_lean_deg: 10.0 Degrees, smaller, "Asked about: more lean",
        "it is seen at a glance, and was most likely typed in the wrong field";
    /// Thickest face cut that is not asked about.
    usual_face_cut_mm: 3.175 Millimeters, smaller, "Asked about: thicker face cut",
        "1/8 in: a joint face cleans up within less";
}

impl Default for Limits {
    fn default() -> Limits {
        Limits::STANDARD
    }
}

/// Why limits are not valid. Each message is one sentence: what is wrong, and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LimitsError {
    /// A name that no limit has.
    #[error("`{key}` is not a limit{}; `core/README.md` lists them", Near(*nearest))]
    Unknown {
        /// What was given.
        key: String,
        /// The nearest name.
        nearest: Option<&'static str>,
    },
    /// A value out of range.
    #[error("{key} is {value}; it must be a number from {} to {}", range.0, range.1)]
    OutOfRange {
        /// The limit.
        key: &'static str,
        /// The value.
        value: f64,
        /// Least and largest value.
        range: (f64, f64),
    },
}

/// Formats a suggestion: `, did you mean crack?`.
struct Near(Option<&'static str>);

impl fmt::Display for Near {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Some(name) => write!(f, " (the nearest is `{name}`)"),
            None => Ok(()),
        }
    }
}

impl Limits {
    /// Returns the limits that differ from the standard ones, with their values.
    pub fn changed(&self) -> Vec<(&'static LimitInfo, f64)> {
        let with_value = |info: &'static LimitInfo| (info, info.value(self));
        let all = Limits::ALL.iter().map(with_value);
        all.filter(|(info, value)| *value != info.standard)
            .collect()
    }

    /// Sets one limit by its key.
    ///
    /// # Errors
    /// If no limit has that key, or if the value is out of range.
    pub fn set(&mut self, key: &str, value: f64) -> Result<(), LimitsError> {
        let info = Limits::ALL.iter().find(|info| info.key == key);
        let Some(info) = info else {
            let names = Limits::ALL.iter().map(|info| info.key);
            return Err(LimitsError::Unknown {
                key: key.to_owned(),
                nearest: super::nearest_name::nearest(key, names),
            });
        };
        let range = info.unit.range();
        if !(range.0..=range.1).contains(&value) {
            let key = info.key;
            return Err(LimitsError::OutOfRange { key, value, range });
        }
        (info.set)(self, value);
        Ok(())
    }

    /// Checks every value's range.
    ///
    /// # Errors
    /// The first value that is out of range.
    pub fn validate(&self) -> Result<(), LimitsError> {
        let mut checked = Limits::STANDARD;
        let mut all = Limits::ALL.iter();
        all.try_for_each(|info| checked.set(info.key, info.value(self)))
    }

    /// Reads limits from a JSON object of keys and numbers; a key that is missing keeps its
    /// standard value.
    ///
    /// # Errors
    /// Text that is not such JSON, an unknown key, or a value out of range.
    pub fn from_json(text: &str) -> serde_json::Result<Limits> {
        let values: BTreeMap<String, f64> = serde_json::from_str(text)?;
        let mut limits = Limits::STANDARD;
        for (key, value) in values {
            limits.set(&key, value).map_err(serde::de::Error::custom)?;
        }
        Ok(limits)
    }

    /// Returns the stricter of both for each limit.
    pub fn strictest(&self, other: &Limits) -> Limits {
        let mut strictest = self.clone();
        for info in Limits::ALL {
            let (a, b) = (info.value(self), info.value(other));
            let stricter = if info.larger_is_stricter {
                a.max(b)
            } else {
                a.min(b)
            };
            (info.set)(&mut strictest, stricter);
        }
        strictest
    }
}

impl Serialize for Limits {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let changed = self.changed().into_iter();
        serializer.collect_map(changed.map(|(info, value)| (info.key, value)))
    }
}

impl<'de> Deserialize<'de> for Limits {
    /// Keys of a newer version are ignored.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Limits, D::Error> {
        let values = BTreeMap::<String, f64>::deserialize(deserializer)?;
        let mut limits = Limits::STANDARD;
        for info in Limits::ALL {
            if let Some(value) = values.get(info.key) {
                limits
                    .set(info.key, *value)
                    .map_err(serde::de::Error::custom)?;
            }
        }
        Ok(limits)
    }
}

#[cfg(test)]
mod tests;
