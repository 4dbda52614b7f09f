//! What people record of a hole: the bodies of journal entries, and a hole's record gathered from them.
//!
//! Every type here is written to the journal as JSON and read back by later and earlier versions, so
//! fields may be added (with a default) and never renamed.

use crate::hole::damage::Damage;
use crate::insert::Family;
use crate::length::Length;
use crate::strength::{Grade, Metal};
use crate::thread::Thread;
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// What the finished hole shall hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Wanted {
    /// The thread the bolt has.
    pub thread: Thread,
    /// The bolt's strength grade; `None`: not known.
    #[serde(default)]
    pub bolt: Option<Grade>,
    /// Whether the hole breaks through into a passage or out of the far side; `None`: not known.
    #[serde(default)]
    pub through: Option<bool>,
}

/// A quantity that is read off a hole. Distances run from the intended centre, depths from the face as
/// it was when the reading was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Quantity {
    /// Depth from the face to the bottom of the hole.
    Depth,
    /// Metal under the bottom of the hole.
    Floor,
    /// From the intended centre to the nearest edge of the face, or to a passage.
    NearestEdge,
    /// From the intended centre to the centre of the nearest other hole.
    NearestHole,
    /// Diameter of the hole, across the crests that are left.
    Bore,
    /// Diameter of the hole in the part that is bolted on, where the bolt goes through.
    MatingHole,
    /// Thickness of all that the bolt holds: the part, its gasket and the washer.
    Grip,
}

/// A measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What was measured.
    pub quantity: Quantity,
    /// The value read.
    #[serde(rename = "value_mm")]
    pub value: Length,
    /// How far the value may be off, either way; `None`: not said.
    #[serde(rename = "error_mm", default)]
    pub error: Option<Length>,
    /// What it was measured with.
    #[serde(default)]
    pub instrument: Option<String>,
}

/// One way to make the hole hold again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Remedy {
    /// The thread is sound: leave it, and prove it.
    Leave,
    /// Run a tap through the thread that is there.
    Chase,
    /// Tap larger and wind in a wire thread insert.
    WireInsert,
    /// Tap larger and screw in a solid insert, locked by keys.
    KeyLockingInsert,
    /// Tap larger and bond in a threaded bushing of the shop's own making.
    Bushing,
    /// Tap for a stud with a larger end in the casting, and the wanted thread above it.
    SteppedStud,
    /// Tap for the next larger bolt.
    LargerBolt,
    /// Fill the hole with a threaded plug and drill and tap the wanted hole in it.
    ThreadedPlug,
    /// Not for this notebook: hand it to a specialist.
    Specialist,
}

/// Which work it is: a remedy with the insert, thread or plug it takes. Entries of work done carry it, so that work
/// done for another remedy than the chosen one shows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Work {
    /// The remedy.
    pub remedy: Remedy,
    /// The insert's family, where the remedy is an insert.
    #[serde(default)]
    pub family: Option<Family>,
    /// The insert's nominal length, where the remedy is an insert.
    #[serde(rename = "length_mm", default)]
    pub length: Option<Length>,
    /// The thread cut into the casting, by its designation, where one is cut.
    #[serde(default)]
    pub outside_thread: Option<String>,
}

/// The chosen remedy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Choice {
    /// What is to be done.
    #[serde(flatten)]
    pub work: Work,
    /// Why, where the person chose another than the first, or one that the checks do not pass.
    #[serde(default)]
    pub reason: Option<String>,
}

/// A step of cutting that a person can record as done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CutStep {
    /// The broken bolt or tap is out.
    ClearBroken,
    /// Hard metal is relieved (ground or milled away).
    RelieveHard,
    /// A flat and a pilot back on the intended centre, by end mill.
    Centre,
    /// Drilled to size and depth.
    Drill,
    /// Countersunk.
    Countersink,
    /// Tapped.
    Tap,
    /// A plug is fitted and locked.
    Plug,
    /// The wanted hole is drilled in the plug.
    DrillPlug,
    /// The wanted hole is tapped in the plug.
    TapPlug,
}

/// Metal was cut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cut {
    /// The work it belongs to.
    #[serde(rename = "for")]
    pub work: Work,
    /// Which step.
    pub step: CutStep,
    /// Depth reached from the face as it was then, where the step has one.
    #[serde(rename = "depth_mm", default)]
    pub depth: Option<Length>,
    /// Tool used, as the trade names it (drill X, 1/2-13 plug tap).
    #[serde(default)]
    pub tool: Option<String>,
    /// Why, where it was done out of the planned order.
    #[serde(default)]
    pub reason: Option<String>,
}

/// The insert was tried and taken out again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DryFit {
    /// The work it belongs to.
    #[serde(rename = "for")]
    pub work: Work,
    /// Whether it went in as it should.
    pub fits: bool,
    /// How far its top lay below the face as it was then.
    #[serde(rename = "below_face_mm", default)]
    pub below_face: Option<Length>,
    /// What was seen.
    #[serde(default)]
    pub note: Option<String>,
}

/// The insert is installed for good.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Set {
    /// The work it belongs to.
    #[serde(rename = "for")]
    pub work: Work,
    /// How far its top lies below the face as it was then; `None`: not measured.
    #[serde(rename = "below_face_mm", default)]
    pub below_face: Option<Length>,
    /// Whether the face cut that the plan counts on was done before.
    pub after_face_cut: bool,
    /// Why, where the insert was set before the face cut that the plan counts on.
    #[serde(default)]
    pub reason: Option<String>,
}

/// Locking keys were driven down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Keys {
    /// The work it belongs to.
    #[serde(rename = "for")]
    pub work: Work,
    /// How many were driven.
    pub driven: u8,
    /// Why, where it was done out of the planned order.
    #[serde(default)]
    pub reason: Option<String>,
}

/// What a check looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CheckKind {
    /// A rule laid across: insert, keys and burrs all lie below the face.
    RuleAcross,
    /// A gauge or new bolt runs in by hand to full depth.
    RunsIn,
    /// The bolt stands square to the face.
    Square,
}

/// One check with its answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Checked {
    /// What was looked at.
    pub check: CheckKind,
    /// Whether it passed.
    pub passes: bool,
    /// The value read, where the check has one (how far below the face, how far out of square over the bolt's length).
    #[serde(rename = "reading_mm", default)]
    pub reading: Option<Length>,
    /// What it was checked with.
    #[serde(default)]
    pub instrument: Option<String>,
}

/// The hole was proved: the last check, by a bolt or gauge, with its reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Proof {
    /// The work it proves; a sound hole is proved for [`Remedy::Leave`].
    #[serde(rename = "for")]
    pub work: Work,
    /// Whether it held.
    pub passes: bool,
    /// How it was proved (thread plug gauge, bolt to so much torque).
    pub how: String,
    /// Torque held, newton metres, where it was proved by torque.
    #[serde(default)]
    pub torque_nm: Option<f64>,
    /// Length of thread that the gauge or bolt engaged.
    #[serde(rename = "engaged_mm", default)]
    pub engaged: Option<Length>,
}

/// Metal still to come off the face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FaceCut {
    /// How much, square to the face. Zero: the face stays as it is.
    #[serde(rename = "planned_mm")]
    pub planned: Length,
}

/// The face was cut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FaceMilled {
    /// How much came off.
    #[serde(rename = "taken_mm")]
    pub taken: Length,
    /// How it was measured.
    #[serde(default)]
    pub instrument: Option<String>,
}

/// Free words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// What the person wrote.
    pub text: String,
}

/// A body with who said it, when, and in which entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Said<T> {
    /// The entry's id.
    pub entry: Uuid,
    /// The device that wrote the entry.
    pub device: Uuid,
    /// The person.
    pub by: String,
    /// When, by the device's clock; shown, never used to decide.
    pub at: DateTime<FixedOffset>,
    /// What was said.
    pub body: T,
}

/// The answers that stand to one question: none yet, one, or several that a person has still to settle.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers<T>(pub Vec<Said<T>>);

impl<T> Default for Answers<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: PartialEq> Answers<T> {
    /// The answer, where just one stands, or where all that stand say the same.
    pub fn settled(&self) -> Option<&T> {
        let (first, rest) = self.0.split_first()?;
        rest.iter()
            .all(|other| other.body == first.body)
            .then_some(&first.body)
    }

    /// Whether answers stand that differ.
    pub fn differ(&self) -> bool {
        !self.0.is_empty() && self.settled().is_none()
    }
}

/// All that stands recorded of one hole: nothing struck, nothing replaced.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HoleRecord {
    /// What it shall hold.
    pub wanted: Answers<Wanted>,
    /// What is missing.
    pub damage: Answers<Damage>,
    /// The chosen remedy.
    pub choice: Answers<Choice>,
    /// Measured values, oldest entry first as the journal holds them.
    pub readings: Vec<Said<Reading>>,
    /// Steps of cutting that were done.
    pub cuts: Vec<Said<Cut>>,
    /// Dry fits.
    pub dry_fits: Vec<Said<DryFit>>,
    /// Inserts set.
    pub sets: Vec<Said<Set>>,
    /// Keys driven.
    pub keys: Vec<Said<Keys>>,
    /// Checks made.
    pub checks: Vec<Said<Checked>>,
    /// Proofs.
    pub proofs: Vec<Said<Proof>>,
    /// Free words.
    pub notes: Vec<Said<Note>>,
}

/// What stands recorded of a face that its holes depend on.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FaceRecord {
    /// The cut still to come, as planned.
    pub planned_cut: Answers<FaceCut>,
    /// Cuts that were made.
    pub milled: Vec<Said<FaceMilled>>,
    /// The casting's metal.
    pub metal: Option<Metal>,
}

impl FaceRecord {
    /// All that came off so far.
    pub fn taken_off(&self) -> Length {
        let taken = self.milled.iter().map(|said| said.body.taken);
        taken.map(Length::or_zero).sum()
    }

    /// What is still to come off: the deepest plan that stands, less what came off. `None`: nobody has said.
    pub fn cut_to_come(&self) -> Option<Length> {
        let plans = self.planned_cut.0.iter().map(|said| said.body.planned);
        plans.max().map(|planned| {
            if planned < Length::ZERO {
                planned
            } else {
                (planned - self.taken_off()).or_zero()
            }
        })
    }
}
