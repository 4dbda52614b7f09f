//! The sample's scenario, as `samples/pump-end-cover` tells it. All of it is invented.

use holebook_core::hole::damage::Damage;
use holebook_core::hole::record::{
    Checked, Choice, Cut, DryFit, Keys, Proof, Reading, Set, Wanted,
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
    /// What it is called.
    pub name: String,
    /// What is known of it.
    pub note: String,
    /// What it is cast from.
    #[serde(rename = "iron")]
    pub metal: Metal,
}

/// The joint face.
#[derive(Debug, Deserialize)]
pub struct Face {
    /// What it is called.
    pub name: String,
    /// Metal still to come off.
    #[serde(rename = "planned_cut_mm")]
    pub planned_cut: Length,
    /// Why so much.
    pub flatness_note: String,
}

/// The picture.
#[derive(Debug, Deserialize)]
pub struct Photo {
    /// Its file's name.
    pub file: String,
    /// Who took it.
    pub by: String,
    /// What it shows.
    pub caption: String,
}

/// One hole.
#[derive(Debug, Deserialize)]
pub struct Hole {
    /// Its number on the face.
    pub number: u32,
    /// Where its centre shall be.
    #[serde(rename = "x_mm")]
    pub x: Length,
    /// Where its centre shall be.
    #[serde(rename = "y_mm")]
    pub y: Length,
    /// What it shall hold.
    pub wanted: Wanted,
    /// What was measured.
    pub readings: Vec<Reading>,
    /// What is missing round it.
    pub damage: Option<Damage>,
    /// What another person found missing.
    pub damage_in_question: Option<OtherAnswer>,
    /// What was decided and done, oldest first.
    pub progress: Vec<Done>,
    /// What was seen.
    pub note: String,
    /// Who read it.
    pub read_by: Option<String>,
}

/// A second answer to what is missing.
#[derive(Debug, Deserialize)]
pub struct OtherAnswer {
    /// Who gives it.
    pub by: String,
    /// The answer.
    pub body: Damage,
    /// How it was come by.
    pub why: String,
}

/// Something decided or done, by somebody.
#[derive(Debug, Deserialize)]
pub struct Done {
    /// By whom.
    pub by: String,
    /// What.
    #[serde(flatten)]
    pub what: Deed,
}

/// What was decided or done.
#[derive(Debug, Clone, Deserialize)]
#[serde(tag = "kind", content = "body", rename_all = "kebab-case")]
pub enum Deed {
    /// A remedy was chosen.
    Choice(Choice),
    /// Metal was cut.
    Cut(Cut),
    /// The insert was tried.
    DryFit(DryFit),
    /// The insert was set.
    Set(Set),
    /// Its keys were driven.
    Keys(Keys),
    /// It was checked.
    Check(Checked),
    /// It was proved.
    Proof(Proof),
}

/// Where a hole is in the picture.
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

/// The scenario.
///
/// # Errors
/// Where it does not read as this version's types, which a test rules out.
pub fn read() -> Result<Scenario, serde_json::Error> {
    serde_json::from_str(SCENARIO)
}

/// Where the holes are in the picture.
///
/// # Errors
/// As [`read`].
pub fn marks() -> Result<Vec<Mark>, serde_json::Error> {
    Ok(serde_json::from_str::<Marks>(MARKS)?.marks)
}
