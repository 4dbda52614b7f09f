//! What was said, with who said it, and the answers that stand to one question.

use crate::border::Out;
use crate::castings::CastingBody;
use crate::damage::Damage;
use crate::drawer::InsertsBody;
use crate::faces::FaceBody;
use crate::holes::HoleBody;
use crate::ids::{DeviceId, EntryId};
use crate::photos::MarkBody;
use crate::record::{
    Checked, Choice, Cut, DryFit, FaceCut, FaceMilled, InsertSet, KeysDriven, Note, Proof, Reading,
    Wanted,
};
use crate::time::Moment;
use holebook_core::hole::{damage, record};
use holebook_core::notebook as core;

/// Each body with who said it.
macro_rules! said {
    ($($(#[$doc:meta])* $name:ident = $core:ty => $body:ty;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, uniffi::Record)]
        pub struct $name {
            /// The entry that says it.
            pub entry: EntryId,
            /// The device that wrote the entry.
            pub device: DeviceId,
            /// The person; empty where nobody was named.
            pub by: String,
            /// When, by that device's clock; shown, never used to decide.
            pub at: Moment,
            /// What was said.
            pub body: $body,
        }

        impl Out for record::Said<$core> {
            type Face = $name;
            fn out(self) -> $name {
                let record::Said { entry, device, by, at, body } = self;
                $name {
                    entry: core::EntryId(entry).out(),
                    device: core::DeviceId(device).out(),
                    by,
                    at: at.out(),
                    body: body.out(),
                }
            }
        }
    )+};
}

said! {
    /// What a casting is, as somebody said it.
    SaidCasting = core::CastingBody => CastingBody;
    /// What a face is, as somebody said it.
    SaidFace = core::FaceBody => FaceBody;
    /// A hole's number and place, as somebody said it.
    SaidHole = core::HoleBody => HoleBody;
    /// A mark, as somebody set it.
    SaidMark = core::MarkBody => MarkBody;
    /// What a hole shall hold, as somebody said it.
    SaidWanted = record::Wanted => Wanted;
    /// What is missing, as somebody said it.
    SaidDamage = damage::Damage => Damage;
    /// A remedy, as somebody chose it.
    SaidChoice = record::Choice => Choice;
    /// A reading, as somebody took it.
    SaidReading = record::Reading => Reading;
    /// A cut, as somebody recorded it.
    SaidCut = record::Cut => Cut;
    /// A dry fit, as somebody recorded it.
    SaidDryFit = record::DryFit => DryFit;
    /// An insert set, as somebody recorded it.
    SaidInsertSet = record::Set => InsertSet;
    /// Keys driven, as somebody recorded it.
    SaidKeysDriven = record::Keys => KeysDriven;
    /// A check, as somebody made it.
    SaidChecked = record::Checked => Checked;
    /// A proof, as somebody gave it.
    SaidProof = record::Proof => Proof;
    /// A note, as somebody wrote it.
    SaidNote = record::Note => Note;
    /// A planned face cut, as somebody said it.
    SaidFaceCut = record::FaceCut => FaceCut;
    /// A face cut that was made, as somebody recorded it.
    SaidFaceMilled = record::FaceMilled => FaceMilled;
    /// A file of the shop's own inserts, as somebody added it.
    SaidInserts = core::InsertsBody => InsertsBody;
}

/// The answers that stand to one question: none yet, one, or several that a person has still to settle.
macro_rules! answers {
    ($($(#[$doc:meta])* $name:ident = $core:ty => $said:ty, $body:ty;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, uniffi::Record)]
        pub struct $name {
            /// All that stand, in the order of their entries; a new answer names those that it replaces.
            pub all: Vec<$said>,
            /// The answer, where just one stands or all that stand say the same.
            pub settled: Option<$body>,
            /// Whether answers stand that differ.
            pub differ: bool,
        }

        impl Out for record::Answers<$core> {
            type Face = $name;
            fn out(self) -> $name {
                $name {
                    settled: self.settled().cloned().out(),
                    differ: self.differ(),
                    all: self.0.out(),
                }
            }
        }
    )+};
}

answers! {
    /// What stands about what a casting is.
    CastingAnswers = core::CastingBody => SaidCasting, CastingBody;
    /// What stands about what a face is.
    FaceAnswers = core::FaceBody => SaidFace, FaceBody;
    /// What stands about a hole's number and place.
    HoleAnswers = core::HoleBody => SaidHole, HoleBody;
    /// What stands about where a hole is in a photo.
    MarkAnswers = core::MarkBody => SaidMark, MarkBody;
    /// What stands about what a hole shall hold.
    WantedAnswers = record::Wanted => SaidWanted, Wanted;
    /// What stands about what is missing.
    DamageAnswers = damage::Damage => SaidDamage, Damage;
    /// What stands about the chosen remedy.
    ChoiceAnswers = record::Choice => SaidChoice, Choice;
    /// What stands about the cut still to come.
    FaceCutAnswers = record::FaceCut => SaidFaceCut, FaceCut;
}
