//! Records that a bolt was tightened.

use super::with_lubrication;
use crate::carrier::Request;
use crate::form::{FormError, ask, torque};
use crate::form_names::Field;
use crate::notices::{Notice, with_notice};
use holebook_core::hole::bolt_up::{BoltPass, BoltTightened, pass_range};
use holebook_core::hole::question::Question;
use holebook_core::length::Unit;
use holebook_core::notebook::{FaceId, HoleEntry, HoleId, Notebook};
use holebook_core::strength::{Lubrication, show_torque_both};

/// Records one bolt of the joint in one pass; returns the address of the next page.
pub fn submit(
    notebook: &Notebook,
    face: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<String, FormError> {
    let lubrication = lubrication(request)?;
    let joint = notebook.joint_plan(face, lubrication)?;
    let open = joint.up.open_holes();
    if !open.is_empty() {
        let open: Vec<String> = open.iter().map(u32::to_string).collect();
        return Err(FormError::new(format!(
            "Not recorded: these holes are open: {}. Pass every hole before the joint is bolted up.",
            open.join(", ")
        )));
    }
    let hole: Option<HoleId> = request.field(Field::Hole).and_then(|id| id.parse().ok());
    let hole = hole.filter(|hole| joint.face.holes.iter().any(|it| it.id == *hole));
    let hole = hole
        .ok_or_else(|| FormError::new("This page names no hole of the face; reload the page."))?;
    let pass = request.field(Field::Pass).and_then(BoltPass::from_name);
    let pass =
        pass.ok_or_else(|| FormError::new("This page names no known pass; reload the page."))?;
    let torque_nm = torque(request, Field::Torque, "Torque", unit)?;
    let unusual = unusual(torque_nm, joint.full.map(|(full, _)| full), pass);
    ask(request, unusual.map(|it| (it, Some(Field::Torque))))?;
    let tightened = BoltTightened {
        pass,
        torque_nm,
        reason: request.field(Field::Reason).map(str::to_owned),
        lubrication,
    };
    notebook.record(hole, HoleEntry::BoltTightened(tightened), &[])?;
    let next = with_notice(&format!("/face/{face}/bolt-up"), Notice::Tightened);
    Ok(with_lubrication(&next, joint.lubrication))
}

/// Reads how the bolt was lubricated, as the page of the form showed it; `None` if the form does not
/// say.
fn lubrication(request: &Request) -> Result<Option<Lubrication>, FormError> {
    let named = request.field(Field::Lubrication).map(|word| {
        let known = Lubrication::from_word(word);
        known
            .ok_or_else(|| FormError::new("This page names no known lubrication; reload the page."))
    });
    named.transpose()
}

/// The question about a torque outside the range of its pass.
fn unusual(torque_nm: Option<f64>, full_nm: Option<f64>, pass: BoltPass) -> Option<Question> {
    let (torque_nm, full_nm) = torque_nm.zip(full_nm)?;
    let (least, most) = pass_range(full_nm, pass);
    // What the page offers is within the range, however it was rounded.
    if (least..=most).contains(&torque_nm) {
        return None;
    }
    let side = if torque_nm > most { "more" } else { "less" };
    let sentence = format!(
        "the torque is {}, {side} than the range of this pass, {} to {}; check the wrench and the unit",
        show_torque_both(torque_nm),
        show_torque_both(least),
        show_torque_both(most)
    );
    Some(Question::about(&sentence, false))
}
