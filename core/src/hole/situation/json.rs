//! Reads and writes a situation as the JSON of `holebook remedies --hole`.
//!
//! The keys are those of [`Situation`]'s fields, except for the damage, whose parts are keys next to
//! them. Readings are as read, with their tolerances under `errors`.

use super::tolerance::MEASURED;
use super::{Situation, SituationError, Tolerances};
use crate::hole::damage::{BrokenTool, Damage, HardZone, Lean, Station};
use crate::length::Length;
use crate::strength::Grade;
use serde::de::{Deserializer, Error};
use serde::{Deserialize, Serialize, Serializer};

/// The keys of the damage. A `damage` that is null or missing means: not described.
#[derive(Serialize, Deserialize)]
struct DamageKeys {
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

impl Situation {
    /// Reads a situation and validates it.
    ///
    /// A key that is null or missing means: not known. Other keys are ignored.
    ///
    /// # Errors
    /// Text that is not such JSON, with its line; or what [`Situation::validate`] rejects.
    pub fn from_json(text: &str) -> serde_json::Result<Situation> {
        // Two passes instead of `flatten`, which would lose the line of an error.
        let mut fields = serde_json::Deserializer::from_str(text);
        let mut situation = Situation::deserialize(&mut fields)?;
        fields.end()?;
        let damage: DamageKeys = serde_json::from_str(text)?;
        situation.damage_described = damage.damage.is_some();
        situation.damage = Damage {
            stations: damage.damage.unwrap_or_default(),
            hard: damage.hard.unwrap_or_default(),
            lean: damage.lean,
            broken_tool: damage.broken_tool,
            crack: damage.crack.unwrap_or_default(),
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
            damage: DamageKeys,
        }
        let mut fields = self.clone();
        for reading in MEASURED {
            fields.set_reading(reading, self.stated(reading), Length::ZERO);
        }
        fields.tolerances = self.tolerances;
        let damage = std::mem::take(&mut fields.damage);
        serde_json::to_string(&Json {
            fields,
            damage: DamageKeys {
                damage: self.damage_described.then_some(damage.stations),
                hard: Some(damage.hard),
                lean: damage.lean,
                broken_tool: damage.broken_tool,
                crack: Some(damage.crack),
            },
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

/// The bolt's grade as `{"grade": ...}`.
pub(super) mod bolt {
    use super::*;

    #[derive(Serialize, Deserialize)]
    struct Bolt {
        #[serde(default)]
        grade: Option<Grade>,
    }

    pub fn serialize<S: Serializer>(
        grade: &Option<Grade>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        grade
            .map(|grade| Bolt { grade: Some(grade) })
            .serialize(serializer)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<Grade>, D::Error> {
        let bolt = Option::<Bolt>::deserialize(deserializer)?;
        Ok(bolt.and_then(|bolt| bolt.grade))
    }
}
