//! Reads and writes a situation as the JSON of `holebook remedies --hole`.
//!
//! The keys are those of [`Situation`]'s fields, except for the damage, whose parts are keys next to
//! them, and the bolt, which is an object. Readings are as read, with their tolerances under
//! `errors`.

use super::keys::check_keys;
use super::tolerance::MEASURED;
use super::{Situation, SituationError, Tolerances};
use crate::hole::damage::{BrokenTool, Damage, HardZone, Lean, Station};
use crate::length::Length;
use crate::strength::Grade;
use serde::de::{Deserializer, Error};
use serde::{Deserialize, Serialize, Serializer};

/// The keys of the bolt and of the damage. A `damage` that is null or missing means: not described.
#[derive(Serialize, Deserialize)]
struct OtherKeys {
    #[serde(default)]
    bolt: Option<Bolt>,
    #[serde(default)]
    damage: Option<Vec<Station>>,
    #[serde(default)]
    hard: Option<Vec<HardZone>>,
    #[serde(default)]
    lean: Option<Lean>,
    #[serde(default)]
    broken_tool: Option<BrokenTool>,
    #[serde(default)]
    crack: Option<bool>,
}

/// The bolt: its grade, and the one in hand.
#[derive(Serialize, Deserialize)]
struct Bolt {
    #[serde(default)]
    grade: Option<Grade>,
    #[serde(rename = "length_mm", default)]
    length: Option<Length>,
    #[serde(rename = "thread_length_mm", default)]
    thread_length: Option<Length>,
}

impl Situation {
    /// Reads a situation and validates it.
    ///
    /// A key that is null or missing means: not known. Any other key is refused.
    ///
    /// # Errors
    /// Text that is not such JSON, or a key that is not known, with its line; or what
    /// [`Situation::validate`] rejects.
    pub fn from_json(text: &str) -> serde_json::Result<Situation> {
        check_keys(text)?;
        // Two passes instead of `flatten`, which would lose the line of an error.
        let mut fields = serde_json::Deserializer::from_str(text);
        let mut situation = Situation::deserialize(&mut fields)?;
        fields.end()?;
        let other: OtherKeys = serde_json::from_str(text)?;
        if let Some(bolt) = other.bolt {
            situation.bolt = bolt.grade;
            situation.bolt_length = bolt.length;
            situation.bolt_thread_length = bolt.thread_length;
        }
        situation.damage_described = other.damage.is_some();
        situation.damage = Damage {
            stations: other.damage.unwrap_or_default(),
            hard: other.hard.unwrap_or_default(),
            lean: other.lean,
            broken_tool: other.broken_tool,
            crack: other.crack.unwrap_or_default(),
        };
        let tolerances = std::mem::take(&mut situation.tolerances);
        situation
            .take_off(tolerances)
            .and_then(|()| situation.validate())
            .map_err(serde_json::Error::custom)?;
        Ok(situation)
    }

    /// Writes the JSON that [`Situation::from_json`] reads back.
    ///
    /// # Errors
    /// None that `serde_json` can raise for these types.
    pub fn to_json(&self) -> serde_json::Result<String> {
        #[derive(Serialize)]
        struct Json {
            #[serde(flatten, serialize_with = "Situation::serialize")]
            fields: Situation,
            #[serde(flatten)]
            other: OtherKeys,
        }
        let mut fields = self.clone();
        for reading in MEASURED {
            fields.set_reading(reading, self.stated(reading), Length::ZERO);
        }
        fields.tolerances = self.tolerances;
        let damage = std::mem::take(&mut fields.damage);
        serde_json::to_string(&Json {
            fields,
            other: OtherKeys {
                bolt: self.bolt_keys(),
                damage: self.damage_described.then_some(damage.stations),
                hard: Some(damage.hard),
                lean: damage.lean,
                broken_tool: damage.broken_tool,
                crack: Some(damage.crack),
            },
        })
    }

    /// Returns what is known of the bolt; `None` if nothing is.
    fn bolt_keys(&self) -> Option<Bolt> {
        let lengths = self.bolt_length.or(self.bolt_thread_length);
        (self.bolt.is_some() || lengths.is_some()).then_some(Bolt {
            grade: self.bolt,
            length: self.bolt_length,
            thread_length: self.bolt_thread_length,
        })
    }

    /// Takes tolerances off the readings, so that each is at its worst case.
    fn take_off(&mut self, tolerances: Tolerances) -> Result<(), SituationError> {
        for reading in MEASURED {
            let tolerance = tolerances.get(reading).unwrap_or_default();
            if let Some(what) = reading.quantity().filter(|_| tolerance < Length::ZERO) {
                return Err(SituationError::ToleranceNegative { what, tolerance });
            }
            self.set_reading(reading, self.measured(reading), tolerance);
        }
        Ok(())
    }
}

/// Reads a value; null stands for the default.
pub(super) fn or_default<'de, D: Deserializer<'de>, T: Deserialize<'de> + Default>(
    deserializer: D,
) -> Result<T, D::Error> {
    Option::<T>::deserialize(deserializer).map(Option::unwrap_or_default)
}

/// Writes a value; the default as null.
pub(super) fn null_if_default<S: Serializer, T: Serialize + Default + PartialEq>(
    value: &T,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    Some(value)
        .filter(|value| **value != T::default())
        .serialize(serializer)
}
