//! The sample's scenario, read from `samples/pump-end-cover`. All of it is invented.

use holebook_core::hole::condition::Condition;
use holebook_core::hole::damage::Damage;
use holebook_core::hole::face_setup::MeasuringTool;
use holebook_core::hole::record::{
    CheckResult, Choice, Cut, FinalCheck, Install, Reading, StakeKeys, TrialFit, WantedThread,
};
use holebook_core::length::Length;
use holebook_core::strength::Metal;
use serde::Deserialize;

const SCENARIO: &str = include_str!("../../../../samples/pump-end-cover/scenario.json");
const MARKS: &str = include_str!("../../../../samples/pump-end-cover/marks.json");
/// The picture of the face.
pub const PHOTO: &[u8] = include_bytes!("../../../../samples/pump-end-cover/joint-face.jpg");

/// One casting with one face.
#[derive(Debug, Deserialize)]
pub struct Scenario {
    /// Says that all of it is invented.
    pub invented: String,
    /// The part.
    pub casting: Casting,
    /// Its joint face.
    pub face: Face,
    /// The face's picture.
    pub photo: Photo,
    /// Its holes.
    pub holes: Vec<Hole>,
}

/// The part.
#[derive(Debug, Deserialize)]
pub struct Casting {
    /// Its name.
    pub name: String,
    /// A note on it.
    pub note: String,
    /// Its metal.
    #[serde(rename = "iron")]
    pub metal: Metal,
}

/// The joint face.
#[derive(Debug, Deserialize)]
pub struct Face {
    /// Its name.
    pub name: String,
    /// The planned face cut.
    #[serde(rename = "planned_cut_mm")]
    pub planned_cut: Length,
    /// What its holes have in common.
    pub setup: Setup,
    /// The reason for the face cut.
    pub flatness_note: String,
    /// Heights read on it.
    pub flatness_points: Vec<Height>,
    /// What they were read with.
    pub flatness_instrument: String,
    /// Where its pattern comes from, in words.
    pub pattern: String,
}

/// A height on the face, out of the metal.
#[derive(Debug, Deserialize)]
pub struct Height {
    /// To the right.
    #[serde(rename = "x_mm")]
    pub x: Length,
    /// Up.
    #[serde(rename = "y_mm")]
    pub y: Length,
    /// Out of the metal.
    #[serde(rename = "z_mm")]
    pub z: Length,
}

/// What the holes of the face have in common.
#[derive(Debug, Deserialize)]
pub struct Setup {
    /// Their wanted thread.
    pub wanted: WantedThread,
    /// The measuring tools in use.
    pub tools: Vec<MeasuringTool>,
}

/// The photo.
#[derive(Debug, Deserialize)]
pub struct Photo {
    /// Its file's name.
    pub file: String,
    /// Who took it.
    pub by: String,
    /// Its caption.
    pub caption: String,
}

/// One hole.
#[derive(Debug, Deserialize)]
pub struct Hole {
    /// Its number on the face.
    pub number: u32,
    /// Its condition by a first look; `None`: nobody looked yet.
    pub condition: Option<Condition>,
    /// Its intended center.
    #[serde(rename = "x_mm")]
    pub x: Length,
    /// Its intended center.
    #[serde(rename = "y_mm")]
    pub y: Length,
    /// Its wanted thread; `None`: that of the face's setup.
    pub wanted: Option<WantedThread>,
    /// Its readings.
    pub readings: Vec<Reading>,
    /// Its damage.
    pub damage: Option<Damage>,
    /// Another person's conflicting answer to the damage.
    pub damage_conflict: Option<ConflictingEntry>,
    /// Choices and work, oldest first.
    pub progress: Vec<ProgressEntry>,
    /// A note.
    pub note: String,
    /// Who measured it.
    pub read_by: Option<String>,
}

/// A second, conflicting answer to the damage.
#[derive(Debug, Deserialize)]
pub struct ConflictingEntry {
    /// Who recorded it.
    pub by: String,
    /// The answer.
    pub body: Damage,
    /// Why it differs.
    pub why: String,
}

/// One choice or piece of work, and who did it.
#[derive(Debug, Deserialize)]
pub struct ProgressEntry {
    /// The person.
    pub by: String,
    /// The entry.
    #[serde(flatten)]
    pub work: WorkEntry,
}

/// A choice or a piece of work.
#[derive(Debug, Clone, Deserialize)]
#[serde(tag = "kind", content = "body", rename_all = "kebab-case")]
pub enum WorkEntry {
    /// A remedy was chosen.
    Remedy(Choice),
    /// Metal was cut.
    Cut(Cut),
    /// A trial fit.
    TrialFit(TrialFit),
    /// The insert was installed.
    Install(Install),
    /// Its keys were staked.
    StakeKeys(StakeKeys),
    /// A check.
    Check(CheckResult),
    /// The final check.
    FinalCheck(FinalCheck),
}

/// A hole's mark in the photo.
#[derive(Debug, Clone, Copy, Deserialize)]
pub struct Mark {
    /// The hole's number.
    pub number: u32,
    /// Pixels from the left of the upright picture.
    #[serde(rename = "px")]
    pub x_px: f64,
    /// Pixels from its top.
    #[serde(rename = "py")]
    pub y_px: f64,
}

#[derive(Deserialize)]
struct Marks {
    marks: Vec<Mark>,
}

/// Reads the scenario.
///
/// # Errors
/// If it does not match this version's types; a test rules that out.
pub fn read() -> Result<Scenario, serde_json::Error> {
    serde_json::from_str(SCENARIO)
}

/// Reads the marks of the holes in the photo.
///
/// # Errors
/// As [`read`].
pub fn marks() -> Result<Vec<Mark>, serde_json::Error> {
    Ok(serde_json::from_str::<Marks>(MARKS)?.marks)
}
