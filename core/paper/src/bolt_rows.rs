//! The lines of the bolt-up sheet in words, for paper and screen.

use crate::PaperError;
use holebook_core::hole::bolt_up::{BoltPass, JointBolt, PassDone, pass_range};
use holebook_core::hole::caution::Caution;
use holebook_core::labels::{bolt_lines, engaged, failure};
use holebook_core::length::Unit;
use holebook_core::notebook::{BoltPlan, FaceId, JointPlan, Notebook};
use holebook_core::strength::{Lubrication, show_torque, show_torque_range};

/// What stays open to write on the print, by its name.
pub const TO_WRITE: [&str; 4] = [
    "Sealer, its maker's cure time",
    "Put on, and cured by",
    "Torque wrench, last checked",
    "Warmed up, and checked cold",
];

/// The cautions of a joint.
pub const CAUTIONS: [Caution; 3] = [
    Caution::ManualFirst,
    Caution::OilInBlindHole,
    Caution::Torque,
];

/// A line of the bolt-up sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoltRow {
    /// Its place in the order of tightening, from 1.
    pub place: usize,
    /// The number of its hole.
    pub number: u32,
    /// Whether the hole is open.
    pub open: bool,
    /// The bolt, and what to do if no stock length fits.
    pub bolt: Vec<String>,
    /// Grip: part, gasket and washer.
    pub grip: String,
    /// Engagement.
    pub engaged: String,
    /// The most torque of this hole.
    pub limit: String,
    /// What fails first, and at which load.
    pub weakest: String,
    /// What is recorded of each pass; `None`: a box to tick.
    pub passes: [Option<String>; 5],
}

/// A joint in words.
#[derive(Debug)]
pub struct BoltUpFacts {
    /// The joint.
    pub joint: JointPlan,
    /// Its lines, in the order of tightening.
    pub rows: Vec<BoltRow>,
    /// The unit.
    pub unit: Unit,
}

impl BoltUpFacts {
    /// Reads the joint of a face for bolts that are lubricated in one way; `None`: as recorded, or
    /// else as usual.
    ///
    /// # Errors
    /// If there is no such face, or the notebook cannot be read.
    pub fn read(
        notebook: &Notebook,
        face: FaceId,
        lubrication: Option<Lubrication>,
        unit: Unit,
    ) -> Result<BoltUpFacts, PaperError> {
        let joint = notebook.joint_plan(face, lubrication)?;
        let rows = joint.ordered().enumerate();
        let rows = rows.map(|(at, (bolt, up))| row(at + 1, bolt, up, joint.lubrication, unit));
        Ok(BoltUpFacts {
            rows: rows.collect(),
            joint,
            unit,
        })
    }

    /// Returns the title of a pass: its name and torque.
    pub fn pass_title(&self, pass: BoltPass) -> String {
        let torque = match self.joint.full {
            Some((full_nm, _)) => {
                let (least, most) = pass_range(full_nm, pass);
                show_torque_range(least, most, self.unit)
            }
            None => format!("{:.0}% of the manual's", pass.share() * 100.0),
        };
        format!("{}\n{torque}", short(pass))
    }

    /// Says how far the joint is.
    pub fn state(&self) -> String {
        let up = &self.joint.up;
        let open: Vec<String> = up.open_holes().iter().map(u32::to_string).collect();
        match (up.bolts.is_empty(), open.is_empty()) {
            (true, _) => "This face has no holes yet.".to_owned(),
            (_, false) => format!(
                "Not ready to bolt up: these holes are open: {}.",
                open.join(", ")
            ),
            _ if up.checked_warm => "Bolted up, and checked after the first warm-up.".to_owned(),
            _ if up.bolted_up => "Bolted up. Check it after the first warm-up.".to_owned(),
            _ => "Every hole has passed.".to_owned(),
        }
    }
}

/// A pass in a narrow column.
const fn short(pass: BoltPass) -> &'static str {
    match pass {
        BoltPass::First => "1st pass",
        BoltPass::Second => "2nd pass",
        BoltPass::Full => "Full torque",
        BoltPass::Again => "Once again",
        BoltPass::WarmUp => "After warm-up, cold",
    }
}

fn row(
    place: usize,
    bolt: &BoltPlan,
    up: &JointBolt,
    lubrication: Lubrication,
    unit: Unit,
) -> BoltRow {
    let torque = bolt.torque(lubrication);
    let grip = bolt.grip();
    BoltRow {
        place,
        number: up.number,
        open: up.open,
        bolt: bolt_lines(bolt, unit),
        grip: grip.map_or_else(|| "not measured".to_owned(), |grip| grip.show(unit)),
        engaged: engaged(bolt.assessment(), unit),
        limit: torque.map_or_else(
            || "unknown".to_owned(),
            |torque| show_torque(torque.usual_nm_torque, unit),
        ),
        weakest: failure(bolt.weakest(), unit),
        passes: BoltPass::ALL.map(|pass| {
            let done = up.done.iter().find(|done| done.pass == pass)?;
            Some(recorded(done, unit))
        }),
    }
}

/// What is recorded of a pass in a narrow column: `12 ft-lb, oiled`.
fn recorded(done: &PassDone, unit: Unit) -> String {
    let torque = done.torque_nm.map(|torque| show_torque(torque, unit));
    let torque = torque.unwrap_or_else(|| "done".to_owned());
    match done.lubrication {
        Some(lubrication) => format!("{torque}, {}", lubrication.word()),
        None => torque,
    }
}
