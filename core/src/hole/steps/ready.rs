//! Which open steps can be done now.

use super::{Step, StepKey};

/// Returns the first step that has to be done before the one at an index; `None` if that one can be
/// done now, or is done.
///
/// Work follows the order of the steps, except that checks do not wait for each other: with the
/// straightedge in hand, people check all holes. An insert that is installed already went in before
/// the face cut on purpose.
pub fn blocked_by(steps: &[Step], at: usize) -> Option<&Step> {
    let step = steps.get(at).filter(|step| step.done.is_none())?;
    let installed = steps
        .iter()
        .any(|step| step.key == StepKey::Install && step.done.is_some());
    let is_check = |step: &Step| matches!(step.key, StepKey::Check(_));
    steps[..at].iter().find(|earlier| {
        let waived =
            (is_check(step) && is_check(earlier)) || (installed && earlier.key == StepKey::FaceCut);
        earlier.done.is_none() && !waived
    })
}
