//! The table of entry kinds: one row for each kind of journal entry.
//!
//! A row gives all parts of a kind, and a row with a part missing does not compile:
//!
//! - `body`: the Rust type of the entry's body
//! - `names`: the name written to the journal, then the older names that are still read
//! - `role`: a fact (one value is in force; two that differ are a conflict) or an addition
//! - `validate`: what is refused before it is recorded
//! - `updates`: the projection rows that an entry of the kind affects
//! - `loads`: where the entry goes when a hole or face is loaded; `alone` if it is loaded by kind
//! - `label`: what people read
//! - `slot`, `strikes_out`, `rests_on`: what separates its facts, and the entries that it names
//!
//! [`EntryKind`], [`EntryBody`], [`HoleEntry`], [`Body`], [`understand`], [`affected_rows`] and the
//! loading of holes and faces are generated from it.
//!
//! # Adding a kind
//!
//! A kind of hole entry touches five places:
//!
//! 1. its body, and its field in `HoleRecord`: `core/src/hole/record.rs`
//! 2. its row, with its validation: this file
//! 3. its line in the log: `bindings/screens/src/journal.rs` (does not compile without it)
//! 4. its body in the list of types lent to Kotlin and Python: `bindings/mobile/src/record.rs`
//!    (does not compile without it)
//! 5. an entry of it in the job that a test plays: `bindings/mobile/tests/mobile/job.rs` (it names
//!    the kind if it is missing)
//!
//! Migration is none of them: an older version keeps and syncs entries of a kind that it does not
//! know. Raise [`PROJECTION_VERSION`](super::projection::PROJECTION_VERSION) if the kind affects a
//! projection table, since a notebook may hold entries of it already.
//!
//! A kind about a face that its holes depend on has its field in `FaceRecord`, which
//! `bindings/mobile/src/record.rs` lends by hand. A kind about something else has its body in `notebook/body.rs`, and a method of
//! [`Notebook`](super::Notebook) in `notebook/edits.rs` in place of the field in `HoleRecord`. A
//! form that records the kind is listed in `bindings/screens/src/form_names.rs`, with its section
//! under `bindings/screens/src/pages/`.
//!
//! # Renaming a kind
//!
//! Put the new name first in `names` and keep the old one after it. Journals keep the old name in
//! their lines forever; comparisons treat both names as the same kind.

use super::body::{
    CastingBody, DeviceBody, FaceBody, HoleBody, InsertsBody, MarkBody, PhotoBody, ReminderBody,
    StrikeOutBody,
};
use super::error::Fault;
use super::facts::{FaceFacts, HoleFacts, recorded};
use super::id::EntryId;
use super::projection_row::{AffectedRows, affected};
use super::validation::{name, not_negative, optional, positive, short_text, text};
use crate::drawer::ItemCount;
use crate::hole::bolt_up::BoltTightened;
use crate::hole::condition::FirstLook;
use crate::hole::damage::Damage;
use crate::hole::face_setup::{
    MOST_TOOLS, MeasuringTools, USUAL_QUANTITIES, UsualReading, UsualThread,
};
use crate::hole::limits::Limits;
use crate::hole::record::{
    CheckResult, Choice, Cut, FaceCut, FaceMilled, FinalCheck, Install, Note, Reading, Recorded,
    StakeKeys, TrialFit, WantedThread,
};
use crate::hole::tool_use::ToolRenewed;
use crate::hole::tries::{MOST_MINUTES, TimeSpent, ToolTrouble, Try};
use crate::insert::InsertFile;
use crate::places::record::{FaceHeights, GoodHoles, KnownPlace, MillSetup, WantedPattern};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::fmt;
use uuid::Uuid;

/// How entries of one kind about one subject relate to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// One value is in force. Active entries with different values are a conflict.
    Fact,
    /// Entries add up and never conflict.
    Addition,
}

/// The body of one kind of entry.
pub(crate) trait Body: Serialize + DeserializeOwned {
    /// The kind.
    const KIND: EntryKind;

    /// Refuses values that cannot be right, such as a depth of zero.
    fn validate(&self) -> Result<(), Fault>;

    /// Validates the body and converts it to JSON.
    fn to_json(&self) -> Result<Value, Fault> {
        self.validate()?;
        let failed =
            |error| Fault::invalid(format!("the {} cannot be written: {error}", Self::KIND));
        serde_json::to_value(self).map_err(failed)
    }
}

/// What the projection needs to know about an entry that this version understands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Understood {
    /// Its kind.
    pub kind: EntryKind,
    /// What separates facts of the same kind about the same subject: the photo of a mark.
    pub slot: Option<Uuid>,
    /// The entry that it strikes out.
    pub strikes_out: Option<EntryId>,
    /// The entries that it was worked out from.
    pub rests_on: Vec<EntryId>,
}

/// Pushes an entry into the facts of a hole or face if the kind belongs to it.
macro_rules! load_entry {
    (hole: $facts:ident, $line:ident, $body:ident, hole, $load:expr) => {{
        let load: fn(&mut HoleFacts, Recorded<$body>) = $load;
        load($facts, recorded($line)?);
    }};
    (face: $facts:ident, $line:ident, $body:ident, face, $load:expr) => {{
        let load: fn(&mut FaceFacts, Recorded<$body>) = $load;
        load($facts, recorded($line)?);
    }};
    ($wanted:ident: $facts:ident, $line:ident, $body:ident, $other:ident $(, $load:expr)?) => {{}};
}

/// Generates what concerns all kinds.
macro_rules! all_kinds {
    ($(
        $(#[doc = $doc:literal])+
        $kind:ident {
            body: $body:ident,
            names: [$name:literal $(, $old_name:literal)*],
            role: $role:ident,
            validate: $validate:expr,
            updates: $updates:ident,
            loads: $loads:ident $(=> $load:expr)?,
            label: $label:literal,
            $(slot: $slot:expr,)?
            $(strikes_out: $strikes_out:expr,)?
            $(rests_on: $rests_on:expr,)?
        }
    )+) => {
        /// A kind of entry. [`fmt::Display`] writes its name in the journal.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum EntryKind {
            $( $(#[doc = $doc])+ $kind, )+
        }

        impl EntryKind {
            /// Every kind that this version knows.
            pub const ALL: &[EntryKind] = &[$(EntryKind::$kind),+];

            /// Returns the kind with this name, today's or an older one; `None` if this version
            /// does not know it.
            pub fn from_name(name: &str) -> Option<Self> {
                match name {
                    $($name $(| $old_name)* => Some(Self::$kind),)+
                    _ => None,
                }
            }

            /// Returns the name that is written to the journal.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$kind => $name),+ }
            }

            /// Returns every name that the kind has in journals, today's first.
            pub const fn names(self) -> &'static [&'static str] {
                match self { $(Self::$kind => &[$name $(, $old_name)*]),+ }
            }

            /// Returns whether entries of this kind are facts or additions.
            pub const fn role(self) -> Role {
                match self { $(Self::$kind => Role::$role),+ }
            }

            /// Returns what people read, in sentence case.
            pub const fn label(self) -> &'static str {
                match self { $(Self::$kind => $label),+ }
            }
        }

        /// An entry's body, by its kind.
        #[derive(Debug, Clone, PartialEq)]
        pub enum EntryBody {
            $( $(#[doc = $doc])+ $kind($body), )+
        }

        impl EntryBody {
            /// Reads a body; `None` if this version does not know the kind's name or cannot read
            /// the body.
            pub fn read(name: &str, body: &Value) -> Option<Self> {
                match EntryKind::from_name(name)? {
                    $(EntryKind::$kind => $body::deserialize(body).ok().map(Self::$kind),)+
                }
            }

            /// Returns the kind.
            pub const fn kind(&self) -> EntryKind {
                match self { $(Self::$kind(_) => EntryKind::$kind),+ }
            }
        }

        $(
            impl Body for $body {
                const KIND: EntryKind = EntryKind::$kind;

                fn validate(&self) -> Result<(), Fault> {
                    let validate: fn(&$body) -> Result<(), Fault> = $validate;
                    validate(self)
                }
            }
        )+

        /// Returns what the projection needs of an entry; `None` if this version does not know its
        /// kind or cannot read its body.
        pub(crate) fn understand(name: &str, body: &Value) -> Option<Understood> {
            let body = EntryBody::read(name, body)?;
            let mut understood = Understood {
                kind: body.kind(),
                slot: None,
                strikes_out: None,
                rests_on: Vec::new(),
            };
            match &body {
                $(EntryBody::$kind(_body) => {
                    $(
                        let slot: fn(&$body) -> Uuid = $slot;
                        understood.slot = Some(slot(_body));
                    )?
                    $(
                        let strikes_out: fn(&$body) -> EntryId = $strikes_out;
                        understood.strikes_out = Some(strikes_out(_body));
                    )?
                    $(
                        let rests_on: fn(&$body) -> Vec<EntryId> = $rests_on;
                        understood.rests_on.extend(rests_on(_body));
                    )?
                })+
            }
            Some(understood)
        }

        /// Returns the projection rows that an entry affects; none if its kind is unknown.
        pub(crate) fn affected_rows(name: &str, subject: Uuid, slot: Option<Uuid>) -> AffectedRows {
            match EntryKind::from_name(name) {
                $(Some(EntryKind::$kind) => affected::$updates(subject, slot),)+
                None => affected::none(subject, slot),
            }
        }

        /// Adds an entry about a hole to the hole's facts. Other kinds are ignored.
        pub(super) fn load_into_hole(
            facts: &mut HoleFacts,
            kind: EntryKind,
            line: &str,
        ) -> Result<(), Fault> {
            match kind {
                $(EntryKind::$kind => load_entry!(hole: facts, line, $body, $loads $(, $load)?),)+
            }
            Ok(())
        }

        /// Adds an entry about a face to the face's facts. Other kinds are ignored.
        pub(super) fn load_into_face(
            facts: &mut FaceFacts,
            kind: EntryKind,
            line: &str,
        ) -> Result<(), Fault> {
            match kind {
                $(EntryKind::$kind => load_entry!(face: facts, line, $body, $loads $(, $load)?),)+
            }
            Ok(())
        }
    };
}

/// Generates [`HoleEntry`].
macro_rules! hole_entry {
    ($(
        $(#[doc = $doc:literal])+
        $kind:ident {
            body: $body:ident,
            $($rest:tt)*
        }
    )+) => {
        /// An entry about a hole: what a person measured, decided or did.
        #[derive(holebook_shape::Shape)]
        #[derive(Debug, Clone, PartialEq)]
        pub enum HoleEntry {
            $( $(#[doc = $doc])+ $kind($body), )+
        }

        impl HoleEntry {
            /// Returns its kind.
            pub const fn kind(&self) -> EntryKind {
                match self { $(Self::$kind(_) => EntryKind::$kind),+ }
            }

            /// Validates the body and converts it to JSON.
            pub(super) fn to_json(&self) -> Result<Value, Fault> {
                match self { $(Self::$kind(body) => body.to_json()),+ }
            }
        }
    };
}

macro_rules! entry_kinds {
    (hole_entries { $($hole:tt)* } other_entries { $($other:tt)* }) => {
        all_kinds! { $($hole)* $($other)* }
        hole_entry! { $($hole)* }
    };
}

entry_kinds! {
    hole_entries {
        /// The thread that the finished hole is to take.
        WantedThread {
            body: WantedThread,
            names: ["wanted-thread", "wanted"],
            role: Fact,
            validate: |_| Ok(()),
            updates: place_of_hole,
            loads: hole => |facts, entry| facts.record.wanted.0.push(entry),
            label: "Wanted thread",
        }

        /// The condition of the hole by a first look.
        Condition {
            body: FirstLook,
            names: ["condition"],
            role: Fact,
            validate: |_| Ok(()),
            updates: place_of_hole,
            loads: hole => |facts, entry| facts.record.condition.0.push(entry),
            label: "Condition",
        }

        /// The metal that is missing.
        Damage {
            body: Damage,
            names: ["damage"],
            role: Fact,
            validate: validate_damage,
            updates: hole,
            loads: hole => |facts, entry| facts.record.damage.0.push(entry),
            label: "Damage described",
            rests_on: |damage| damage.rests_on().collect(),
        }

        /// The chosen remedy.
        Remedy {
            body: Choice,
            names: ["remedy"],
            role: Fact,
            validate: |choice| optional(&choice.reason, |reason| text("the reason", reason)),
            updates: hole,
            loads: hole => |facts, entry| facts.record.choice.0.push(entry),
            label: "Remedy",
        }

        /// A measured value.
        Reading {
            body: Reading,
            names: ["reading"],
            role: Addition,
            validate: validate_reading,
            updates: hole,
            loads: hole => |facts, entry| facts.record.readings.push(entry),
            label: "Measurement",
        }

        /// A step of cutting that was done.
        Cut {
            body: Cut,
            names: ["cut"],
            role: Addition,
            validate: |cut| {
                optional(&cut.depth, |depth| positive("the depth reached", *depth))?;
                optional(&cut.diameter, |diameter| positive("the diameter reached", *diameter))?;
                optional(&cut.tool, |tool| short_text("the tool", tool))
            },
            updates: hole,
            loads: hole => |facts, entry| facts.record.cuts.push(entry),
            label: "Cut",
        }

        /// The insert was tried and taken out again.
        TrialFit {
            body: TrialFit,
            names: ["trial-fit", "dry-fit"],
            role: Addition,
            validate: |fit| optional(&fit.note, |note| text("the note", note)),
            updates: hole,
            loads: hole => |facts, entry| facts.record.trial_fits.push(entry),
            label: "Trial fit",
        }

        /// The insert was installed for good.
        Install {
            body: Install,
            names: ["install", "set"],
            role: Addition,
            validate: |install| optional(&install.reason, |reason| text("the reason", reason)),
            updates: hole,
            loads: hole => |facts, entry| facts.record.installs.push(entry),
            label: "Installed",
        }

        /// Locking keys were driven.
        StakeKeys {
            body: StakeKeys,
            names: ["stake-keys", "keys"],
            role: Addition,
            validate: |keys| match keys.driven {
                0 => Err(Fault::invalid("the number of keys is 0; enter how many were driven")),
                _ => Ok(()),
            },
            updates: hole,
            loads: hole => |facts, entry| facts.record.stake_keys.push(entry),
            label: "Keys staked",
        }

        /// One check with its result.
        Check {
            body: CheckResult,
            names: ["check"],
            role: Addition,
            validate: |check| {
                optional(&check.instrument, |instrument| short_text("the instrument", instrument))
            },
            updates: hole,
            loads: hole => |facts, entry| facts.record.checks.push(entry),
            label: "Check",
        }

        /// The final check of the hole.
        FinalCheck {
            body: FinalCheck,
            names: ["final-check", "prove"],
            role: Addition,
            validate: validate_final_check,
            updates: hole,
            loads: hole => |facts, entry| facts.record.final_checks.push(entry),
            label: "Final check",
        }

        /// Something that was tried on the hole before.
        Try {
            body: Try,
            names: ["try"],
            role: Addition,
            validate: validate_try,
            updates: hole,
            loads: hole => |facts, entry| facts.record.tries.push(entry),
            label: "Tried",
        }

        /// A tool that was worn out, chipped or broken in the hole.
        ToolTrouble {
            body: ToolTrouble,
            names: ["tool-trouble"],
            role: Addition,
            validate: |trouble| name("the tool", &trouble.tool),
            updates: hole,
            loads: hole => |facts, entry| facts.record.tool_troubles.push(entry),
            label: "Tool trouble",
        }

        /// Time spent on the hole.
        TimeSpent {
            body: TimeSpent,
            names: ["time-spent"],
            role: Addition,
            validate: |time| match time.minutes {
                0 => Err(Fault::invalid("the time is 0 minutes; enter how many were spent")),
                minutes if minutes > MOST_MINUTES => Err(Fault::invalid(
                    "the time is more than a week; enter what was spent on this hole, in minutes",
                )),
                _ => Ok(()),
            },
            updates: none,
            loads: hole => |facts, entry| facts.record.times.push(entry),
            label: "Time spent",
        }

        /// The bolt was tightened in one pass.
        BoltTightened {
            body: BoltTightened,
            names: ["bolt-tightened"],
            role: Addition,
            validate: |tightened| {
                optional(&tightened.torque_nm, |torque| torque_is_valid(*torque))?;
                optional(&tightened.reason, |reason| text("the reason", reason))
            },
            updates: none,
            loads: hole => |facts, entry| facts.record.tightened.push(entry),
            label: "Bolt tightened",
        }

        /// A note in free text, about a hole, a face or a casting.
        Note {
            body: Note,
            names: ["note"],
            role: Addition,
            validate: |note| text("the note", &note.text),
            updates: none,
            loads: hole => |facts, entry| facts.record.notes.push(entry),
            label: "Note",
        }
    }

    other_entries {
        /// A device's name.
        Device {
            body: DeviceBody,
            names: ["device"],
            role: Fact,
            validate: |device| short_text("the device's name", &device.name),
            updates: device,
            loads: alone,
            label: "Device name",
        }

        /// A casting: its name, note and metal.
        Casting {
            body: CastingBody,
            names: ["casting"],
            role: Fact,
            validate: |casting| name("the casting's name", &casting.name),
            updates: casting_and_holes,
            loads: alone,
            label: "Casting details",
        }

        /// A face: its name and casting.
        Face {
            body: FaceBody,
            names: ["face"],
            role: Fact,
            validate: |face| name("the face's name", &face.name),
            updates: face_and_holes,
            loads: face => |facts, entry| facts.details.0.push(entry),
            label: "Face details",
        }

        /// The planned face cut.
        FaceCut {
            body: FaceCut,
            names: ["face-cut"],
            role: Fact,
            validate: |cut| not_negative("the face cut", cut.planned),
            updates: face_and_holes,
            loads: face => |facts, entry| facts.record.planned_cut.0.push(entry),
            label: "Stock to remove",
        }

        /// A face cut that was made.
        FaceMilled {
            body: FaceMilled,
            names: ["face-milled"],
            role: Addition,
            validate: |milled| positive("the stock removed", milled.removed),
            updates: face_and_holes,
            loads: face => |facts, entry| facts.record.milled.push(entry),
            label: "Face milled",
        }

        /// The thread that a face's holes are to have.
        UsualThread {
            body: UsualThread,
            names: ["usual-thread"],
            role: Fact,
            validate: |_| Ok(()),
            updates: place_on_face,
            loads: face => |facts, entry| {
                facts.record.setup.thread.0.push(entry.map(|usual| usual.wanted));
            },
            label: "Usual thread of the face",
        }

        /// A value that is the same at the face's holes.
        UsualReading {
            body: UsualReading,
            names: ["usual-reading"],
            role: Addition,
            validate: validate_usual_reading,
            updates: face_and_holes,
            loads: face => |facts, entry| {
                facts.record.setup.readings.push(entry.map(|usual| usual.reading));
            },
            label: "Usual value of the face",
        }

        /// The measuring tools in use on a face.
        MeasuringTools {
            body: MeasuringTools,
            names: ["measuring-tools"],
            role: Fact,
            validate: validate_tools,
            updates: none,
            loads: face => |facts, entry| facts.record.setup.tools.0.push(entry),
            label: "Measuring tools",
        }

        /// Where the holes of the face belong.
        WantedPattern {
            body: WantedPattern,
            names: ["wanted-pattern"],
            role: Fact,
            validate: |pattern| {
                pattern.validate().map_err(Fault::invalid)?;
                optional(&pattern.note, |note| short_text("the note", note))
            },
            updates: place_on_face,
            loads: face => |facts, entry| facts.record.pattern.0.push(entry),
            label: "Wanted pattern",
        }

        /// The holes that the places of the face rest on.
        GoodHoles {
            body: GoodHoles,
            names: ["good-holes"],
            role: Fact,
            validate: |good| good.validate().map_err(Fault::invalid),
            updates: place_on_face,
            loads: face => |facts, entry| facts.record.good.0.push(entry),
            label: "Good holes",
        }

        /// Heights read on the face.
        FaceHeights {
            body: FaceHeights,
            names: ["face-heights"],
            role: Addition,
            validate: |heights| {
                heights.validate().map_err(Fault::invalid)?;
                optional(&heights.instrument, |instrument| short_text("the instrument", instrument))
            },
            updates: face_and_holes,
            loads: alone,
            label: "Face heights",
        }

        /// A point of known place in a photo.
        KnownPlace {
            body: KnownPlace,
            names: ["known-place"],
            role: Addition,
            validate: |known| known.validate().map_err(Fault::invalid),
            updates: resting_on,
            loads: alone,
            label: "Known point",
        }

        /// The mill at hand.
        MillSetup {
            body: MillSetup,
            names: ["mill-setup"],
            role: Fact,
            validate: |mill| {
                mill.validate().map_err(Fault::invalid)?;
                optional(&mill.name, |name| short_text("the name of the mill", name))
            },
            updates: none,
            loads: alone,
            label: "Mill",
        }

        /// A photo of a face.
        Photo {
            body: PhotoBody,
            names: ["photo"],
            role: Addition,
            validate: |_| Ok(()),
            updates: photo,
            loads: alone,
            label: "Photo added",
        }

        /// A hole: its number, its face and its position.
        Hole {
            body: HoleBody,
            names: ["hole"],
            role: Fact,
            validate: |hole| match hole.number {
                0 => Err(Fault::invalid("the hole number is 0; number holes from 1")),
                _ => optional(&hole.tolerance, |tolerance| {
                    not_negative("the tolerance of the place", *tolerance)
                }),
            },
            updates: place_of_hole,
            loads: hole => |facts, entry| facts.placement.0.push(entry),
            label: "Hole number and position",
        }

        /// The position of a hole in a photo.
        Mark {
            body: MarkBody,
            names: ["mark"],
            role: Fact,
            validate: |mark| match mark.rim_radius_px {
                Some(radius) if !(radius.is_finite() && radius > 0.0) => Err(Fault::invalid(
                    "the radius of the rim must be more than 0 pixels; snap the mark again",
                )),
                _ => Ok(()),
            },
            updates: hole_and_mark,
            loads: hole => |facts, entry| {
                facts.marks.entry(entry.body.photo).or_default().0.push(entry);
            },
            label: "Marked on a photo",
            slot: |mark| mark.photo.0,
        }

        /// A file of the shop's own inserts.
        Inserts {
            body: InsertsBody,
            names: ["inserts"],
            role: Addition,
            validate: |file| {
                name("the file's name", &file.name)?;
                let read = InsertFile::parse(&file.name, &file.text);
                read.map(drop).map_err(|error| Fault::invalid(error.to_string()))
            },
            updates: chosen_holes,
            loads: alone,
            label: "Insert file",
        }

        /// The shop's own limits where judgment decides.
        Limits {
            body: Limits,
            names: ["limits"],
            role: Fact,
            validate: |limits| limits.validate().map_err(|error| Fault::invalid(error.to_string())),
            updates: chosen_holes,
            loads: alone,
            label: "Shop limits",
        }

        /// How many of an item the drawer holds.
        DrawerItem {
            body: ItemCount,
            names: ["drawer-item"],
            role: Fact,
            validate: super::drawer::validate,
            updates: none,
            loads: alone,
            label: "Drawer",
        }

        /// A drill or tap is new or sharpened.
        ToolRenewed {
            body: ToolRenewed,
            names: ["tool-renewed"],
            role: Addition,
            validate: |renewed| name("the tool", &renewed.tool),
            updates: none,
            loads: alone,
            label: "New or sharpened",
        }

        /// Something to do later, such as waiting until sealer has cured.
        Reminder {
            body: ReminderBody,
            names: ["reminder"],
            role: Addition,
            validate: |reminder| name("the reminder", &reminder.text),
            updates: none,
            loads: alone,
            label: "Reminder",
        }

        /// An entry is struck out.
        StrikeOut {
            body: StrikeOutBody,
            names: ["strike-out", "strike"],
            role: Addition,
            validate: |strike_out| text("the reason", &strike_out.reason),
            updates: none,
            loads: alone,
            label: "An entry was struck out",
            strikes_out: |strike_out| strike_out.entry,
        }
    }
}

fn validate_reading(reading: &Reading) -> Result<(), Fault> {
    positive(&format!("the {}", reading.quantity), reading.value)?;
    optional(&reading.tolerance, |tolerance| {
        not_negative("the tolerance", *tolerance)
    })?;
    optional(&reading.instrument, |instrument| {
        short_text("the instrument", instrument)
    })
}

fn validate_usual_reading(usual: &UsualReading) -> Result<(), Fault> {
    let quantity = usual.reading.quantity;
    if !USUAL_QUANTITIES.contains(&quantity) {
        return Err(Fault::invalid(format!(
            "the {quantity} is not the same at all holes of a face; measure it at each hole"
        )));
    }
    validate_reading(&usual.reading)
}

fn validate_tools(in_use: &MeasuringTools) -> Result<(), Fault> {
    if in_use.tools.len() > MOST_TOOLS {
        return Err(Fault::invalid(format!(
            "more than {MOST_TOOLS} measuring tools; leave some out"
        )));
    }
    for (at, tool) in in_use.tools.iter().enumerate() {
        name("the name of a measuring tool", &tool.name)?;
        optional(&tool.tolerance, |tolerance| {
            not_negative(&format!("the tolerance of the {}", tool.name), *tolerance)
        })?;
        if in_use.tools[..at]
            .iter()
            .any(|other| other.is_named(&tool.name))
        {
            return Err(Fault::invalid(format!(
                "the measuring tool '{}' is listed twice; leave one out",
                tool.name
            )));
        }
    }
    Ok(())
}

fn validate_damage(damage: &Damage) -> Result<(), Fault> {
    // The hole's depth is in another entry, so it is not compared here.
    damage
        .validate(None)
        .map_err(|error| Fault::invalid(error.to_string()))?;
    optional(&damage.broken_tool, |tool| {
        name("what broke off", &tool.what)
    })
}

fn validate_try(tried: &Try) -> Result<(), Fault> {
    match (&tried.way, &tried.note) {
        (None, None) => Err(Fault::invalid(
            "nothing says what was tried; pick a way or type what was done",
        )),
        (_, note) => optional(note, |note| text("what was tried", note)),
    }
}

fn torque_is_valid(torque_nm: f64) -> Result<(), Fault> {
    match torque_nm.is_finite() && torque_nm > 0.0 {
        true => Ok(()),
        false => Err(Fault::invalid(
            "the torque is not a number above 0; correct it or leave it blank",
        )),
    }
}

fn validate_final_check(check: &FinalCheck) -> Result<(), Fault> {
    name("how the hole was checked", &check.how)?;
    optional(&check.torque_nm, |torque| torque_is_valid(*torque))?;
    optional(&check.engaged, |engaged| {
        positive("the thread engagement", *engaged)
    })
}

impl fmt::Display for EntryKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use std::collections::BTreeSet;

    #[test]
    fn every_kind_is_found_by_each_of_its_names_and_no_name_has_two_kinds() {
        let mut seen = BTreeSet::new();
        for kind in EntryKind::ALL {
            assert_eq!(kind.names().first(), Some(&kind.name()));
            for name in kind.names() {
                assert_eq!(EntryKind::from_name(name), Some(*kind));
                assert!(seen.insert(*name), "{name} names two kinds");
            }
        }
        assert_eq!(EntryKind::from_name("weather"), None);
    }

    /// The names that were written before the terms changed; journals keep them forever.
    #[test]
    fn every_name_ever_written_is_read() {
        let written = [
            ("wanted", EntryKind::WantedThread),
            ("dry-fit", EntryKind::TrialFit),
            ("set", EntryKind::Install),
            ("keys", EntryKind::StakeKeys),
            ("prove", EntryKind::FinalCheck),
            ("strike", EntryKind::StrikeOut),
        ];
        for (name, kind) in written {
            assert_eq!(EntryKind::from_name(name), Some(kind));
            assert_ne!(kind.name(), name, "the old name is not written any more");
        }
    }

    #[test]
    fn a_body_of_the_wrong_shape_is_not_understood() {
        assert!(understand("note", &json!({"text": "dull drill"})).is_some());
        assert!(understand("note", &json!({"text": "dull drill", "mood": 3})).is_some());
        assert!(understand("note", &json!({"text": 3})).is_none());
        // A remedy or insert family from a newer version: the line is kept, and nothing is chosen.
        assert!(understand("remedy", &json!({"remedy": "shrink-ring"})).is_none());
        let family = json!({"remedy": "key-locking-insert", "family": "rivet nut"});
        assert!(understand("remedy", &family).is_none());
        assert!(understand("remedy", &json!({"remedy": "stepped-stud"})).is_some());
        assert!(understand("weather", &json!({"text": "rain"})).is_none());
    }

    #[test]
    fn a_mark_has_its_photo_as_slot_and_a_strike_out_its_target() {
        let (photo, entry) = (Uuid::now_v7(), EntryId::fresh());
        let mark = understand("mark", &json!({"photo": photo, "x_px": 1.5, "y_px": 2}));
        assert_eq!(mark.and_then(|mark| mark.slot), Some(photo));
        for name in EntryKind::StrikeOut.names() {
            let strike_out = understand(name, &json!({"entry": entry, "reason": "misread"}));
            assert_eq!(strike_out.and_then(|out| out.strikes_out), Some(entry));
        }
    }
}
