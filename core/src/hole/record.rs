//! What people record about a hole: the bodies of journal entries, and the record built from them.
//!
//! These types are stored in the journal as JSON and read by other versions. A new field needs a
//! default; a renamed field or variant keeps its old name as a `serde` alias.

use crate::hole::bolt_up::BoltTightened;
use crate::hole::condition::FirstLook;
use crate::hole::damage::Damage;
use crate::hole::face_setup::FaceSetup;
use crate::hole::limits::Limits;
use crate::hole::place_change::PlaceChange;
use crate::hole::removal::Removal;
use crate::hole::tries::{TimeSpent, ToolTrouble, Try};
use crate::hole::verdict::Verdict;
use crate::id::{DeviceId, EntryId, Seen};
use crate::insert::Family;
use crate::length::Length;
use crate::places::record::{GoodHoles, WantedPattern};
use crate::strength::{Grade, Metal};
use crate::thread::Thread;
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

/// The thread that the finished hole must have, and the bolt that goes into it.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WantedThread {
    /// The bolt's thread.
    pub thread: Thread,
    /// The bolt's strength grade; `None`: not known.
    #[serde(default)]
    pub bolt: Option<Grade>,
    /// Whether the hole opens into a passage or out the far side; `None`: not known.
    #[serde(default)]
    pub through: Option<bool>,
    /// Whether water, oil or air under pressure is behind the wall around the hole or its floor.
    #[serde(default)]
    pub pressure: bool,
}

/// What a reading measures. Distances are from the intended center, depths from the face as it was
/// when the reading was taken.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Quantity {
    /// Depth from the face to the bottom of the hole.
    Depth,
    /// Floor thickness: metal under the bottom of the hole.
    Floor,
    /// From the intended center to the nearest edge of the face, or to a passage.
    NearestEdge,
    /// From the intended center to the center of the nearest other hole.
    NearestHole,
    /// Bore: smallest diameter across the thread crests that are left.
    Bore,
    /// Diameter of the clearance hole in the mating part.
    MatingHole,
    /// Thickness that the bolt clamps: part, gasket and washer.
    Grip,
    /// Depth from the face to the end of full thread in the hole as it is.
    FullThread,
    /// Depth from the face to the end of the full diameter, where the cone of the drill starts.
    FullDiameter,
    /// Outside diameter of the thread or insert in the nearest other hole.
    NeighborDiameter,
    /// Length under the head of the bolt in hand.
    BoltLength,
    /// Length of thread on the bolt in hand; the rest of it is plain shank.
    BoltThreadLength,
}

/// A measured value.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What was measured.
    pub quantity: Quantity,
    /// The value measured.
    #[serde(rename = "value_mm")]
    pub value: Length,
    /// The tolerance, plus or minus; `None`: not given.
    #[serde(rename = "tolerance_mm", alias = "error_mm", default)]
    pub tolerance: Option<Length>,
    /// The measuring tool.
    #[serde(default)]
    pub instrument: Option<String>,
}

impl Reading {
    /// The instrument of a distance that was only seen to be long enough.
    pub const AT_LEAST: &str = "not measured, seen to be at least this";

    /// Returns whether the value is a lower limit that was seen and not measured.
    pub fn is_at_least(&self) -> bool {
        self.instrument.as_deref() == Some(Self::AT_LEAST)
    }
}

/// A way to make the hole hold a bolt again.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Remedy {
    /// The thread is sound: leave it and do the final check.
    Leave,
    /// Use a longer bolt that reaches the good thread below a stripped or counterbored mouth.
    LongerBolt,
    /// Run a tap through the existing thread.
    Chase,
    /// Drill and tap the hole deeper for the wanted thread, with a longer bolt.
    TapDeeper,
    /// Tap oversize and wind in a wire thread insert.
    WireInsert,
    /// Tap oversize and screw in a solid insert that keys lock in place.
    KeyLockingInsert,
    /// Tap oversize and bond in a shop-made threaded bushing.
    Bushing,
    /// Tap oversize for a stud whose upper end has the wanted thread.
    SteppedStud,
    /// Tap for the next larger bolt.
    LargerBolt,
    /// Fill the hole with a threaded plug, then drill and tap the plug.
    ThreadedPlug,
    /// Beyond this notebook: send it out to a specialist.
    Specialist,
}

/// How a tapped hole is checked before the part is installed in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FitCheck {
    /// The part is tried and removed.
    TrialFit,
    /// The tapped hole is gauged: a coil that was wound in is spent when it comes out.
    Gauge,
}

impl Remedy {
    /// Returns how the tapped hole is checked before the part is installed; `None` if nothing is
    /// installed. Common practice, no source.
    pub const fn fit_check(self) -> Option<FitCheck> {
        match self {
            Remedy::WireInsert => Some(FitCheck::Gauge),
            Remedy::KeyLockingInsert | Remedy::Bushing | Remedy::SteppedStud => {
                Some(FitCheck::TrialFit)
            }
            Remedy::Leave
            | Remedy::LongerBolt
            | Remedy::Chase
            | Remedy::TapDeeper
            | Remedy::LargerBolt
            | Remedy::ThreadedPlug
            | Remedy::Specialist => None,
        }
    }

    /// Returns whether its inserts come in a locking kind, which never passes a bolt by hand.
    pub const fn may_be_locking(self) -> bool {
        matches!(self, Remedy::WireInsert | Remedy::KeyLockingInsert)
    }
}

/// A remedy with the insert, thread or plug that it uses.
///
/// Every entry about work carries one, so that work done for a remedy other than the chosen one is
/// noticed.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct RemedySpec {
    /// The remedy.
    pub remedy: Remedy,
    /// The insert's family, if the remedy is an insert.
    #[serde(default)]
    pub family: Option<Family>,
    /// The insert's nominal length, if the remedy is an insert.
    #[serde(rename = "length_mm", default)]
    pub length: Option<Length>,
    /// Designation of the thread cut into the casting, if any.
    #[serde(default)]
    pub outside_thread: Option<String>,
}

impl RemedySpec {
    /// What work that counts for any remedy is recorded for before one is chosen.
    pub const BEFORE_CHOICE: RemedySpec = RemedySpec {
        remedy: Remedy::Leave,
        family: None,
        length: None,
        outside_thread: None,
    };
}

/// The chosen remedy.
#[derive(holebook_shape::Shape, Debug, Clone, Serialize, Deserialize)]
pub struct Choice {
    /// The remedy and its parts.
    #[serde(flatten)]
    pub spec: RemedySpec,
    /// Reason for choosing it over the first in the list, or despite a failed check.
    #[serde(default)]
    pub reason: Option<String>,
    /// The numbers that it was chosen on; the notebook fills them in. `None` in older entries, and
    /// if the remedy could not be assessed then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basis: Option<ChoiceBasis>,
}

/// Two choices are the same if they name the same remedy for the same reason: what they were made on
/// is not a matter of opinion.
impl PartialEq for Choice {
    fn eq(&self, other: &Choice) -> bool {
        self.spec == other.spec && self.reason == other.reason
    }
}

/// The numbers that a remedy was chosen on.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ChoiceBasis {
    /// The verdict.
    pub verdict: Verdict,
    /// Strength of the thread in the parent metal over that of the bolt; `None`: not known.
    #[serde(default)]
    pub strength_ratio: Option<f64>,
}

/// Returns whether no reason was given.
pub(super) fn is_blank(reason: &Option<String>) -> bool {
    reason
        .as_deref()
        .is_none_or(|reason| reason.trim().is_empty())
}

/// A cutting step that can be recorded as done.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum CutStep {
    /// Remove the broken bolt or tap.
    ClearBroken,
    /// Grind or mill hard metal away.
    RelieveHard,
    /// Cut a flat and a pilot on the intended center with an end mill.
    #[serde(alias = "centre")]
    Center,
    /// Drill to size and depth.
    Drill,
    /// Countersink.
    Countersink,
    /// Tap.
    Tap,
    /// Fit the plug and lock it.
    Plug,
    /// Drill the plug.
    DrillPlug,
    /// Tap the plug.
    TapPlug,
    /// Turn the bushing.
    MakeBushing,
    /// Broach the slots for the locking keys.
    BroachSlots,
}

impl CutStep {
    /// Returns whether the step counts for whatever remedy is chosen: removing a broken piece,
    /// grinding out hard metal, and centering do.
    pub const fn counts_for_any_remedy(self) -> bool {
        matches!(
            self,
            CutStep::ClearBroken | CutStep::RelieveHard | CutStep::Center
        )
    }
}

/// A cutting step that was done.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cut {
    /// The remedy that this was done for.
    #[serde(rename = "for")]
    pub spec: RemedySpec,
    /// The step.
    pub step: CutStep,
    /// Depth reached, from the face as it was then, if the step has one.
    #[serde(rename = "depth_mm", default)]
    pub depth: Option<Length>,
    /// Diameter reached, if the step has one: of a countersink at the face, of ground-out metal.
    #[serde(
        rename = "diameter_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub diameter: Option<Length>,
    /// The tool, by its trade name (drill X, 1/2-13 plug tap).
    #[serde(default)]
    pub tool: Option<String>,
    /// How the broken piece came out, if the step removed one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub removal: Option<Removal>,
    /// Reason for doing it out of the planned order, or why it was not needed.
    #[serde(default)]
    pub reason: Option<String>,
}

/// A trial fit: the insert was tried and removed. For a remedy that is checked with a gauge (see
/// [`Remedy::fit_check`]), the gauge check of the tapped hole.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrialFit {
    /// The remedy that this was done for.
    #[serde(rename = "for")]
    pub spec: RemedySpec,
    /// Whether it went in correctly.
    pub fits: bool,
    /// Depth of its top below the face as it was then.
    #[serde(rename = "below_face_mm", default)]
    pub below_face: Option<Length>,
    /// Remarks.
    #[serde(default)]
    pub note: Option<String>,
}

/// The insert, bushing or stud was installed for good.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Install {
    /// The remedy that this was done for.
    #[serde(rename = "for")]
    pub spec: RemedySpec,
    /// Depth of its top below the face as it was then; `None`: not measured.
    #[serde(rename = "below_face_mm", default)]
    pub below_face: Option<Length>,
    /// Whether the planned face cut was already done.
    pub after_face_cut: bool,
    /// Reason for installing it before the planned face cut.
    #[serde(default)]
    pub reason: Option<String>,
}

/// The locking keys were driven down.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StakeKeys {
    /// The remedy that this was done for.
    #[serde(rename = "for")]
    pub spec: RemedySpec,
    /// Number of keys driven.
    pub driven: u8,
    /// Reason for doing it out of the planned order.
    #[serde(default)]
    pub reason: Option<String>,
}

/// What a check tests.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum CheckKind {
    /// Straightedge across the hole: insert, keys and burrs are all below the face.
    #[serde(alias = "rule-across")]
    StakeCheck,
    /// A gauge or new bolt runs in by hand to full depth, or in a locking insert with a wrench.
    #[serde(alias = "runs-in")]
    RunsInByHand,
    /// The bolt is square to the face.
    Square,
}

impl CheckKind {
    /// All kinds.
    pub const ALL: [CheckKind; 3] = [
        CheckKind::StakeCheck,
        CheckKind::RunsInByHand,
        CheckKind::Square,
    ];
}

/// One check and its result.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CheckResult {
    /// What was checked.
    pub check: CheckKind,
    /// Whether it passed.
    pub passes: bool,
    /// The reading, if the check has one: depth below the face, or out of square over the bolt's
    /// length.
    #[serde(rename = "reading_mm", default)]
    pub reading: Option<Length>,
    /// The measuring tool.
    #[serde(default)]
    pub instrument: Option<String>,
    /// Whether the insert is a locking one, which never passes a bolt by hand: it was run in with a
    /// wrench.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub locking: bool,
    /// Reason for recording a reading outside its limits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// The final check of a hole, with a bolt or gauge, and its reading.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FinalCheck {
    /// The remedy that was checked; [`Remedy::Leave`] for a sound hole.
    #[serde(rename = "for")]
    pub spec: RemedySpec,
    /// Whether it passed.
    pub passes: bool,
    /// How it was checked (thread plug gauge, bolt torqued to spec).
    pub how: String,
    /// Torque held, newton meters, if it was checked by torque.
    #[serde(default)]
    pub torque_nm: Option<f64>,
    /// Thread length that the gauge or bolt engaged.
    #[serde(rename = "engaged_mm", default)]
    pub engaged: Option<Length>,
    /// Reason for recording it outside its limits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// The planned face cut.
#[derive(holebook_shape::Shape, Debug, Clone, Serialize, Deserialize)]
pub struct FaceCut {
    /// Stock to remove, square to the face. Zero: the face stays as is.
    #[serde(rename = "planned_mm")]
    pub planned: Length,
    /// The entries of the heights that it was taken from; none: it was typed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<EntryId>,
}

/// Two plans are the same if they remove the same: what they were taken from is not a matter of
/// opinion.
impl PartialEq for FaceCut {
    fn eq(&self, other: &FaceCut) -> bool {
        self.planned == other.planned
    }
}

impl FaceCut {
    /// Returns a cut that somebody typed.
    pub const fn typed(planned: Length) -> Self {
        Self {
            planned,
            rests_on: Vec::new(),
        }
    }
}

/// A face cut that was made.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct FaceMilled {
    /// Stock removed.
    #[serde(rename = "removed_mm", alias = "taken_mm")]
    pub removed: Length,
    /// How it was measured.
    #[serde(default)]
    pub instrument: Option<String>,
    /// The places of entries that were measured on the face as this cut left it, though they were
    /// recorded before it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub came_before: Vec<Seen>,
}

/// A note in free text.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// The text.
    pub text: String,
}

/// An entry's body with its id, device, person and time.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct Recorded<T> {
    /// The entry's id.
    pub entry: EntryId,
    /// The device that wrote the entry.
    pub device: DeviceId,
    /// The entry's sequence number among that device's entries.
    pub seq: u64,
    /// What the writer had seen of other devices' entries about the hole, its face, and casting.
    pub seen: Vec<Seen>,
    /// The place of the entry that this one corrects; `seen` is then that of its writer, and lists
    /// the device of this one too.
    pub corrects: Option<Seen>,
    /// The person.
    pub by: String,
    /// Time by the device's clock; shown, never used to decide anything.
    pub at: DateTime<FixedOffset>,
    /// What was recorded.
    pub body: T,
}

impl<T> Recorded<T> {
    /// Returns the entry's place among the entries of its device.
    pub fn position(&self) -> Seen {
        Seen {
            device: self.device,
            seq: self.seq,
        }
    }

    /// Returns the place that it counts from: its own, or that of the first entry that it corrects.
    pub fn place(&self) -> Seen {
        self.corrects.unwrap_or(self.position())
    }

    /// Returns whether its writer knew another entry: it is an earlier one of the same device, or
    /// had come to that device before. No clock is asked.
    pub fn knows(&self, other: Seen) -> bool {
        let seen = self.seen.iter().find(|seen| seen.device == other.device);
        match seen {
            Some(seen) => seen.seq >= other.seq,
            None => self.device == other.device && self.corrects.is_none() && self.seq > other.seq,
        }
    }
}

impl Recorded<Reading> {
    /// Returns the value from the face as is: a depth is less by the stock removed since.
    pub fn value_as_is(&self, face: &FaceRecord) -> Length {
        match self.body.quantity {
            quantity if quantity.is_depth() => self.body.value - face.removed_after(self),
            _ => self.body.value,
        }
    }
}

impl Recorded<FaceMilled> {
    /// Returns whether an entry was measured on the face as this cut left it: its writer knew of the
    /// cut, or a person says so.
    pub fn precedes<T>(&self, entry: &Recorded<T>) -> bool {
        entry.knows(self.place()) || self.came_before(entry)
    }

    /// Returns whether an entry was measured before this cut, whose writer knew it. If neither this
    /// nor [`precedes`](Self::precedes) holds, it is not known.
    pub fn surely_follows<T>(&self, entry: &Recorded<T>) -> bool {
        self.knows(entry.place()) && !self.came_before(entry)
    }

    /// Returns whether an entry was recorded before this cut but measured after it, as a person says.
    pub fn came_before<T>(&self, entry: &Recorded<T>) -> bool {
        self.body.came_before.contains(&entry.place())
    }
}

impl<T> Recorded<T> {
    /// Returns who recorded it, and what they knew.
    pub(crate) fn without_body(&self) -> Recorded<()> {
        Recorded {
            entry: self.entry,
            device: self.device,
            seq: self.seq,
            seen: self.seen.clone(),
            corrects: self.corrects,
            by: String::new(),
            at: self.at,
            body: (),
        }
    }

    /// Returns the entry with its body converted.
    pub fn map<U>(self, convert: impl FnOnce(T) -> U) -> Recorded<U> {
        Recorded {
            entry: self.entry,
            device: self.device,
            seq: self.seq,
            seen: self.seen,
            corrects: self.corrects,
            by: self.by,
            at: self.at,
            body: convert(self.body),
        }
    }
}

/// The active entries for one fact: none, one, or several in conflict until a person picks one.
#[derive(Debug, Clone, PartialEq)]
pub struct FactEntries<T>(pub Vec<Recorded<T>>);

impl<T> Default for FactEntries<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: PartialEq> FactEntries<T> {
    /// Returns the value if there is exactly one, or if all entries have the same value.
    pub fn agreed(&self) -> Option<&T> {
        let (first, rest) = self.0.split_first()?;
        rest.iter()
            .all(|other| other.body == first.body)
            .then_some(&first.body)
    }

    /// Returns whether entries with different values are active.
    pub fn differ(&self) -> bool {
        !self.0.is_empty() && self.agreed().is_none()
    }
}

/// All active entries about one hole, without those struck out or replaced.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Default)]
pub struct HoleRecord {
    /// The wanted thread.
    pub wanted: FactEntries<WantedThread>,
    /// The condition by a first look.
    pub condition: FactEntries<FirstLook>,
    /// The damage.
    pub damage: FactEntries<Damage>,
    /// The chosen remedy.
    pub choice: FactEntries<Choice>,
    /// Readings, in journal order.
    pub readings: Vec<Recorded<Reading>>,
    /// Cutting steps done.
    pub cuts: Vec<Recorded<Cut>>,
    /// Trial fits.
    pub trial_fits: Vec<Recorded<TrialFit>>,
    /// Installs.
    pub installs: Vec<Recorded<Install>>,
    /// Keys driven.
    pub stake_keys: Vec<Recorded<StakeKeys>>,
    /// Checks made.
    pub checks: Vec<Recorded<CheckResult>>,
    /// Final checks.
    pub final_checks: Vec<Recorded<FinalCheck>>,
    /// Notes.
    pub notes: Vec<Recorded<Note>>,
    /// What was tried before.
    pub tries: Vec<Recorded<Try>>,
    /// Tools that were worn out, chipped or broken in it.
    pub tool_troubles: Vec<Recorded<ToolTrouble>>,
    /// Time spent.
    pub times: Vec<Recorded<TimeSpent>>,
    /// How its bolt was tightened.
    pub tightened: Vec<Recorded<BoltTightened>>,
    /// What its damage was worked out from and does not hold any more.
    pub place_changes: Vec<PlaceChange>,
}

impl HoleRecord {
    /// Returns whether the hole is sound as far as anyone said, and nothing was cut in it. Such a hole
    /// is left as is and judged by its final check; what was not measured stays unknown.
    pub fn is_sound(&self) -> bool {
        let described = &self.damage.0;
        let no_damage =
            !described.is_empty() && described.iter().all(|damage| damage.body.is_empty());
        self.cuts.is_empty() && (no_damage || self.is_graded_sound())
    }

    /// Returns the readings of a quantity that count: one that was only seen to be long enough
    /// counts until the distance is measured.
    pub fn readings_of(&self, quantity: Quantity) -> impl Iterator<Item = &Recorded<Reading>> {
        let all = || {
            let readings = self.readings.iter();
            readings.filter(move |reading| reading.body.quantity == quantity)
        };
        let measured = all().any(|reading| !reading.body.is_at_least());
        all().filter(move |reading| !(measured && reading.body.is_at_least()))
    }
}

/// The active entries about a face that its holes depend on.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FaceRecord {
    /// The planned face cut.
    pub planned_cut: FactEntries<FaceCut>,
    /// Face cuts made.
    pub milled: Vec<Recorded<FaceMilled>>,
    /// What its holes have in common.
    pub setup: FaceSetup,
    /// Where its holes belong.
    pub pattern: FactEntries<WantedPattern>,
    /// The holes that their places rest on; none: by their conditions.
    pub good: FactEntries<GoodHoles>,
    /// What the planned face cut was taken from and does not hold any more.
    pub cut_changes: Vec<PlaceChange>,
    /// The casting's metal.
    pub metal: Option<Metal>,
    /// The shop's limits where judgment decides; `None`: the standard ones.
    pub limits: Option<Limits>,
}

impl FaceRecord {
    /// Returns the limits to judge by: the shop's own or the standard ones.
    pub fn limits(&self) -> &Limits {
        self.limits.as_ref().unwrap_or(&Limits::STANDARD)
    }

    /// Returns the stock removed so far.
    pub fn removed(&self) -> Length {
        let removed = self.milled.iter().map(|cut| cut.body.removed);
        removed.map(Length::clamp_at_zero).sum()
    }

    /// Returns the stock removed after an entry: by all cuts that its writer did not know of, without
    /// those that were recorded late. A depth in that entry is from a face that was higher by so
    /// much.
    ///
    /// A cut that somebody else recorded at the same time counts as made after it, which is the safe
    /// side for every depth.
    pub fn removed_after<T>(&self, entry: &Recorded<T>) -> Length {
        let later = self.milled.iter().filter(|cut| !cut.precedes(entry));
        later.map(|cut| cut.body.removed.clamp_at_zero()).sum()
    }

    /// Returns the stock that was surely removed after an entry: by the cuts whose writer knew it.
    /// Whether [the others](FaceRecord::removed_after) came before or after it is not known.
    pub fn surely_removed_after<T>(&self, entry: &Recorded<T>) -> Length {
        let later = self.milled.iter().filter(|cut| cut.surely_follows(entry));
        later.map(|cut| cut.body.removed.clamp_at_zero()).sum()
    }

    /// Returns the deepest planned face cut; `None`: no cut is planned or ruled out yet.
    pub fn planned(&self) -> Option<Length> {
        let plans = self.planned_cut.0.iter().map(|plan| plan.body.planned);
        plans.max()
    }

    /// Returns the stock left to remove: the deepest active plan, less what was removed.
    ///
    /// `None`: no face cut is planned or ruled out yet.
    pub fn left_to_remove(&self) -> Option<Length> {
        self.planned().map(|planned| {
            if planned < Length::ZERO {
                planned
            } else {
                (planned - self.removed()).clamp_at_zero()
            }
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::testing::mm;
    use super::*;
    use serde::de::DeserializeOwned;

    fn read<T: DeserializeOwned>(body: &str) -> T {
        serde_json::from_str(body).unwrap()
    }

    /// Bodies as the notebook `notebook/tests/stored/v1.sql` and its successors hold them.
    #[test]
    fn old_names_in_the_journal_are_still_read() {
        let reading: Reading =
            read(r#"{"quantity": "depth", "value_mm": 32.0, "error_mm": 0.1, "instrument": null}"#);
        assert_eq!(reading.tolerance, Some(mm(0.1)));
        let milled: FaceMilled = read(r#"{"taken_mm": 0.5}"#);
        assert_eq!(milled.removed, mm(0.5));
        let cut: Cut = read(r#"{"for": {"remedy": "wire-insert"}, "step": "centre"}"#);
        assert_eq!(cut.step, CutStep::Center);
        for (word, kind) in [
            ("rule-across", CheckKind::StakeCheck),
            ("runs-in", CheckKind::RunsInByHand),
        ] {
            let check: CheckResult = read(&format!(r#"{{"check": "{word}", "passes": true}}"#));
            assert_eq!(check.check, kind);
        }
    }

    /// Entries from before a cut had a diameter and a check named a locking insert.
    #[test]
    fn later_fields_are_optional_and_not_written_if_empty() {
        let cut: Cut = read(r#"{"for": {"remedy": "wire-insert"}, "step": "countersink"}"#);
        assert_eq!(cut.diameter, None);
        let check: CheckResult = read(r#"{"check": "runs-in-by-hand", "passes": true}"#);
        assert!(!check.locking);
        let written = serde_json::to_string(&(cut, check)).unwrap();
        assert!(!written.contains("diameter") && !written.contains("locking"));
        for (step, word) in [
            (CutStep::MakeBushing, r#""make-bushing""#),
            (CutStep::BroachSlots, r#""broach-slots""#),
        ] {
            assert_eq!(serde_json::to_string(&step).unwrap(), word);
        }
    }

    #[test]
    fn new_names_are_written() {
        let reading = Reading {
            quantity: Quantity::Depth,
            value: mm(32.0),
            tolerance: Some(mm(0.1)),
            instrument: None,
        };
        let written = serde_json::to_string(&reading).unwrap();
        assert!(written.contains(r#""tolerance_mm":0.1"#), "{written}");
        let step = serde_json::to_string(&CutStep::Center).unwrap();
        assert_eq!(step, r#""center""#);
        let check = serde_json::to_string(&CheckKind::StakeCheck).unwrap();
        assert_eq!(check, r#""stake-check""#);
    }
}
