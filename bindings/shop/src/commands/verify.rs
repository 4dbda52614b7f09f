//! `holebook verify`: whether the notebook is whole.

use super::look::Look;
use super::number;
use crate::failure::Failure;
use crate::out;
use crate::table::item;
use holebook_core::notebook::Report;
use std::path::Path;

/// Verifies the notebook in `folder` and says what was found.
///
/// # Errors
/// Where there is no notebook, it cannot be read, or something is wrong in it.
pub fn run(folder: &Path, look: Look) -> Result<(), Failure> {
    let report = super::existing(folder)?.verify()?;
    if look.json {
        out::json(&report)?;
    } else {
        out::say(&words(&report))?;
    }
    if report.is_sound() {
        return Ok(());
    }
    Err(Failure::Said(format!(
        "the notebook in {} is not whole: {} found; keep a copy of the folder before anything else is done to it",
        folder.display(),
        number(report.findings.len() as u64, "fault", "faults")
    )))
}

fn words(report: &Report) -> String {
    let entries = number(report.entries, "entry", "entries");
    let devices = number(report.devices, "device", "devices");
    let photos = number(report.photos, "photo", "photos");
    let mut text = format!("{entries} of {devices}, and {photos}, were looked at.\n");
    if report.not_understood > 0 {
        let kept = number(report.not_understood, "entry is", "entries are");
        text.push_str(&format!(
            "{kept} of a kind that this version does not know; it keeps them and passes them on.\n"
        ));
    }
    if report.is_sound() {
        text.push_str("Nothing is wrong.\n");
    }
    for finding in &report.findings {
        text.push_str(&item(&finding.to_string()));
    }
    text
}
