//! The keys that the JSON of a hole may have. Any other key is refused: a misspelled one would
//! silently leave out what it says.

use super::{Situation, Tolerances};
use crate::hole::damage::{BrokenTool, Damage, HardZone, Lean, Span, Station, Tilt};
use crate::hole::nearest_name::nearest;
use crate::length::Length;
use crate::places::record::OffsetSource;
use crate::strength::Grade;
use crate::thread::Thread;
use serde::de::{DeserializeSeed, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::fmt;
use std::sync::OnceLock;

/// Older names of keys, by the key that contains them.
const ALIASES: [(&str, &str); 3] = [
    ("damage", "diameter_error_mm"),
    ("damage", "offset_error_mm"),
    ("hard", "error_mm"),
];

/// Refuses a key that no hole has, with the nearest one that it has.
///
/// # Errors
/// The first such key, with its line; or text that is not JSON.
pub(super) fn check_keys(text: &str) -> serde_json::Result<()> {
    let mut json = serde_json::Deserializer::from_str(text);
    Known {
        at: "a hole",
        keys: known(),
    }
    .deserialize(&mut json)?;
    json.end()
}

/// Returns the known keys as an object of the same shape; where anything may follow, null.
fn known() -> &'static Value {
    static KNOWN: OnceLock<Value> = OnceLock::new();
    KNOWN.get_or_init(|| {
        let mut known = complete().map_or(Value::Null, |hole| {
            let text = hole.to_json().unwrap_or_default();
            serde_json::from_str(&text).unwrap_or_default()
        });
        for (at, alias) in ALIASES {
            let first = known.get_mut(at).and_then(|list| list.get_mut(0));
            if let Some(Value::Object(keys)) = first {
                keys.insert(alias.to_owned(), Value::Null);
            }
        }
        // The two ways to give a tilt exclude each other, so one hole has only one of them.
        if let Some(Value::Object(lean)) = known.get_mut("lean") {
            for key in ["by_mm", "over_mm", "tilt_deg"] {
                lean.insert(key.to_owned(), Value::Null);
            }
        }
        known
    })
}

/// Returns a hole with a value under every key.
fn complete() -> Option<Situation> {
    let one = Length::from_nm(1);
    let some = Some(one);
    let span = Span {
        from: Length::ZERO,
        to: one,
    };
    let station = Station {
        to_diameter: some,
        to_offset: some,
        to_direction_deg: Some(0.0),
        diameter_tolerance: some,
        offset_tolerance: some,
        offset_source: Some(OffsetSource::Pattern),
        ..Station::of(span, one, one, 0.0)
    };
    let lean = Lean {
        tilt: Tilt::Run { by: one, over: one },
        direction_deg: 0.0,
        offset: one,
        offset_direction_deg: 0.0,
        diameter: some,
    };
    Some(Situation {
        bolt: Some(Grade::Sae5),
        bolt_length: some,
        bolt_thread_length: some,
        tolerances: Tolerances {
            depth: some,
            ..Tolerances::default()
        },
        damage: Damage {
            stations: vec![station],
            hard: vec![HardZone {
                span,
                tolerance: some,
            }],
            lean: Some(lean),
            broken_tool: Some(BrokenTool {
                what: String::new(),
                length: some,
                top: some,
            }),
            crack: true,
        },
        damage_described: true,
        ..Situation::of(Thread::parse("M10").ok()?)
    })
}

/// The keys known at one place of the text.
#[derive(Clone, Copy)]
struct Known<'a> {
    /// The key that they belong to, for a message.
    at: &'a str,
    keys: &'a Value,
}

impl Known<'_> {
    fn refuse<E: Error>(self, key: &str, keys: &Map<String, Value>) -> E {
        let at = self.at;
        let names = || keys.keys().map(String::as_str);
        match nearest(key, names()) {
            Some(nearest) => E::custom(format!(
                "`{key}` is not a key of {at}; the nearest is `{nearest}`"
            )),
            None => {
                let names: Vec<&str> = names().collect();
                E::custom(format!(
                    "`{key}` is not a key of {at}, which are {}",
                    names.join(", ")
                ))
            }
        }
    }
}

impl<'de> DeserializeSeed<'de> for Known<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Known<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let Value::Object(keys) = self.keys else {
            // Not an object: reading the value says so.
            while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
            return Ok(());
        };
        while let Some(key) = map.next_key::<String>()? {
            let keys = keys.get(&key).ok_or_else(|| self.refuse(&key, keys))?;
            map.next_value_seed(Known {
                at: &format!("`{key}`"),
                keys,
            })?;
        }
        Ok(())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        if self.keys.is_object() {
            // Otherwise the values would be read by their order.
            let at = self.at;
            let why = format!("{at} is an object in braces, with a name before each value");
            return Err(A::Error::custom(why));
        }
        let keys = self.keys.get(0).unwrap_or(&Value::Null);
        while list
            .next_element_seed(Known { at: self.at, keys })?
            .is_some()
        {}
        Ok(())
    }

    fn visit_bool<E>(self, _: bool) -> Result<(), E> {
        Ok(())
    }

    fn visit_i64<E>(self, _: i64) -> Result<(), E> {
        Ok(())
    }

    fn visit_u64<E>(self, _: u64) -> Result<(), E> {
        Ok(())
    }

    fn visit_f64<E>(self, _: f64) -> Result<(), E> {
        Ok(())
    }

    fn visit_str<E>(self, _: &str) -> Result<(), E> {
        Ok(())
    }

    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn refused(text: &str) -> String {
        check_keys(text).unwrap_err().to_string()
    }

    #[test]
    fn misspelled_key_is_refused_by_name_with_the_nearest_one() {
        let why = refused("{\"thread\": \"M10\",\n \"cracked\": true}");
        assert!(
            why.contains("`cracked` is not a key of a hole; the nearest is `crack`"),
            "{why}"
        );
        assert!(why.contains("line 2"), "{why}");
        let nested = refused(r#"{"damage": [{"from_mm": 0, "diametre_mm": 9}]}"#);
        assert!(
            nested.contains("`diametre_mm` is not a key of `damage`; the nearest is `diameter_mm`"),
            "{nested}"
        );
        for (inside, key, near) in [
            ("bolt", "grad", "grade"),
            ("errors", "dept_mm", "depth_mm"),
            ("lean", "tilt_degrees", "tilt_deg"),
            ("broken_tool", "wat", "what"),
        ] {
            let why = refused(&format!(r#"{{"{inside}": {{"{key}": 1}}}}"#));
            assert!(why.contains(&format!("`{key}`")), "{why}");
            assert!(why.contains(&format!("`{near}`")), "{why}");
        }
        let far = refused(r#"{"weather_vane_x": 1}"#);
        assert!(
            far.contains("which are") && far.contains("nearest_edge_mm"),
            "{far}"
        );
    }

    #[test]
    fn every_key_ever_promised_is_known() {
        let text = r#"{"thread": "M10", "bolt": {"grade": null, "length_mm": 40, "thread_length_mm": 26},
            "iron": null, "through": null, "depth_mm": 1, "full_diameter_mm": 1, "full_thread_mm": 1,
            "floor_mm": 1, "nearest_edge_mm": 1, "nearest_hole_mm": 1, "nearest_hole_diameter_mm": 1,
            "pressure_behind_wall": null, "mating_hole_mm": 1, "grip_mm": 1, "face_cut_mm": 1, "milled_mm": 1,
            "errors": {"depth_mm": 1, "floor_mm": 1, "nearest_edge_mm": 1, "nearest_hole_mm": 1, "mating_hole_mm": 1},
            "damage": [{"from_mm": 0, "to_mm": 1, "diameter_mm": 1, "offset_mm": 1, "direction_deg": 0,
                "to_diameter_mm": 1, "to_offset_mm": 1, "to_direction_deg": 0, "diameter_tolerance_mm": 1,
                "offset_tolerance_mm": 1, "diameter_error_mm": 1, "offset_error_mm": 1}],
            "hard": [{"from_mm": 0, "to_mm": 1, "tolerance_mm": 1, "error_mm": 1}],
            "lean": {"by_mm": 1, "over_mm": 1, "tilt_deg": 1, "direction_deg": 0, "offset_mm": 1,
                "offset_direction_deg": 0, "diameter_mm": 1},
            "broken_tool": {"what": "tap", "length_mm": 1, "top_mm": 1}, "crack": null, "on_hand": ["x"],
            "may_be_hard": null}"#;
        check_keys(text).unwrap();
        // Where a value has the wrong type, reading it says so.
        check_keys(r#"{"depth_mm": {"inches": 1}, "damage": 3}"#).unwrap();
    }

    /// Values without names would be taken in the order of the fields.
    #[test]
    fn values_without_names_are_refused() {
        for (text, what) in [
            ("[]", "a hole"),
            (r#"["M10", null, 32]"#, "a hole"),
            (
                r#"{"thread": "M10", "damage": [[0, 4, 13, 0]]}"#,
                "`damage`",
            ),
            (r#"{"thread": "M10", "bolt": ["8.8", 40, 26]}"#, "`bolt`"),
            (r#"{"thread": "M10", "hard": [[0, 4]]}"#, "`hard`"),
            (r#"{"thread": "M10", "errors": [1, 1]}"#, "`errors`"),
            (
                r#"{"thread": "M10", "broken_tool": ["tap", 9, 3]}"#,
                "`broken_tool`",
            ),
        ] {
            let why = refused(text);
            let says = format!("{what} is an object in braces");
            assert!(why.contains(&says), "{text}: {why}");
        }
    }
}
