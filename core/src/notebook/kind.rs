//! The kinds of entries that this version knows, and how each takes part.

use super::body::{
    CastingBody, DeviceBody, FaceBody, HoleBody, InsertsBody, MarkBody, PhotoBody, StrikeBody,
};
use super::id::EntryId;
use crate::hole::damage::Damage;
use crate::hole::record::{
    Checked, Choice, Cut, DryFit, FaceCut, FaceMilled, Keys, Note, Proof, Reading, Set, Wanted,
};
use serde::Deserialize;
use serde_json::Value;
use std::fmt;
use uuid::Uuid;

macro_rules! kinds {
    ($($name:ident $text:literal $body:ty),+ $(,)?) => {
        /// A kind of entry. The word in the journal is what [`fmt::Display`] writes.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[allow(missing_docs)]
        pub enum Kind { $($name),+ }

        impl Kind {
            /// Every kind that this version knows.
            pub const ALL: &[Kind] = &[$(Kind::$name),+];

            /// The kind with this word; none where this version does not know it.
            pub fn of(word: &str) -> Option<Self> {
                match word {
                    $($text => Some(Self::$name),)+
                    _ => None,
                }
            }

            /// The word it has in the journal.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$name => $text),+ }
            }

            /// Whether the body is one of this kind.
            fn fits(self, body: &Value) -> bool {
                match self { $(Self::$name => <$body>::deserialize(body).is_ok()),+ }
            }
        }
    };
}

kinds! {
    Device "device" DeviceBody,
    Casting "casting" CastingBody,
    Face "face" FaceBody,
    FaceCut "face-cut" FaceCut,
    FaceMilled "face-milled" FaceMilled,
    Photo "photo" PhotoBody,
    Hole "hole" HoleBody,
    Mark "mark" MarkBody,
    Wanted "wanted" Wanted,
    Damage "damage" Damage,
    Remedy "remedy" Choice,
    Reading "reading" Reading,
    Cut "cut" Cut,
    DryFit "dry-fit" DryFit,
    Set "set" Set,
    Keys "keys" Keys,
    Check "check" Checked,
    Prove "prove" Proof,
    Note "note" Note,
    Inserts "inserts" InsertsBody,
    Strike "strike" StrikeBody,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// What an entry says, as far as the tables of what stands now need it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Understood {
    /// Its kind.
    pub kind: Kind,
    /// What tells its question from others of the same kind and subject: a mark's photo.
    pub slot: Option<Uuid>,
    /// The entry that it strikes.
    pub strikes: Option<EntryId>,
}

/// Reads an entry's kind and body; none where this version does not know the kind or cannot read the body.
pub fn understand(word: &str, body: &Value) -> Option<Understood> {
    let kind = Kind::of(word).filter(|kind| kind.fits(body))?;
    let mut understood = Understood {
        kind,
        slot: None,
        strikes: None,
    };
    match kind {
        Kind::Mark => understood.slot = MarkBody::deserialize(body).ok().map(|mark| mark.photo.0),
        Kind::Strike => {
            understood.strikes = StrikeBody::deserialize(body)
                .ok()
                .map(|strike| strike.entry)
        }
        _ => {}
    }
    Some(understood)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn every_kind_is_found_by_its_word() {
        for kind in Kind::ALL {
            assert_eq!(Kind::of(kind.word()), Some(*kind));
        }
        assert_eq!(Kind::of("weather"), None);
    }

    #[test]
    fn a_body_that_does_not_fit_its_kind_is_not_understood() {
        assert!(understand("note", &json!({"text": "dull drill"})).is_some());
        assert!(understand("note", &json!({"text": "dull drill", "mood": 3})).is_some());
        assert!(understand("note", &json!({"text": 3})).is_none());
        // A remedy or a kind of insert that a newer version knows: the line is kept, and nothing is chosen by it here.
        assert!(understand("remedy", &json!({"remedy": "shrink-ring"})).is_none());
        let family = json!({"remedy": "key-locking-insert", "family": "rivet nut"});
        assert!(understand("remedy", &family).is_none());
        assert!(understand("remedy", &json!({"remedy": "stepped-stud"})).is_some());
        assert!(understand("weather", &json!({"text": "rain"})).is_none());
    }

    #[test]
    fn a_mark_has_its_photo_as_slot_and_a_strike_its_target() {
        let (photo, entry) = (Uuid::now_v7(), EntryId::fresh());
        let mark = understand("mark", &json!({"photo": photo, "x_px": 1.5, "y_px": 2}));
        assert_eq!(mark.and_then(|mark| mark.slot), Some(photo));
        let strike = understand("strike", &json!({"entry": entry, "reason": "misread"}));
        assert_eq!(strike.and_then(|strike| strike.strikes), Some(entry));
    }
}
