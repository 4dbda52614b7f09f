//! Parts of an assessment's JSON that differ from its fields.

use super::Assessment;
use crate::hole::depths::Depths;
use crate::insert::{Family, SharedInsert};
use crate::length::Length;
use serde::{Serialize, Serializer};

/// Serializes an insert as the keys `family`, `length_mm` and `source`, null without an insert.
pub(super) fn insert<S: Serializer>(
    insert: &Option<SharedInsert>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    #[derive(Serialize)]
    struct Keys<'a> {
        family: Option<Family>,
        length_mm: Option<Length>,
        source: Option<&'a str>,
    }
    let insert = insert.as_ref();
    Keys {
        family: insert.map(|insert| insert.family),
        length_mm: insert.map(|insert| insert.length),
        source: insert.map(|insert| insert.source.as_str()),
    }
    .serialize(serializer)
}

/// Serializes depths with the promised keys present even where nothing is cut; all are null then.
pub(super) fn depths<S: Serializer>(
    depths: &Option<Depths>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    #[derive(Default, Serialize)]
    struct Nothing {
        drill: (),
        full_thread: (),
        set_now: (),
        set_after_cut: (),
        install_now: (),
        install_after_cut: (),
    }
    match depths {
        Some(depths) => depths.serialize(serializer),
        None => Nothing::default().serialize(serializer),
    }
}

/// Serializes the fields and, as `reasons`, why it does not simply fit.
impl Serialize for Assessment {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        #[derive(Serialize)]
        struct WithReasons<'a> {
            #[serde(flatten, serialize_with = "Assessment::serialize")]
            fields: &'a Assessment,
            reasons: Vec<String>,
        }
        WithReasons {
            fields: self,
            reasons: self.reasons(),
        }
        .serialize(serializer)
    }
}
