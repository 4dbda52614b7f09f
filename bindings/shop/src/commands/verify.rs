//! `holebook verify`: whether the notebook is whole, and with `--repair` making it whole again.

use super::look::Look;
use super::number;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::item;
use holebook_core::mend::{Gap, Mended, Saved, mend};
use holebook_core::notebook::{Finding, Report};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// What a repair did, beside how the notebook is now.
#[derive(Debug, Serialize)]
struct Repaired<'a> {
    #[serde(flatten)]
    now: &'a Report,
    repair: Repair<'a>,
}

#[derive(Debug, Serialize)]
struct Repair<'a> {
    found: &'a [Finding],
    moved: &'a [PathBuf],
    saved: Option<&'a Saved>,
}

/// Verifies or repairs the notebook in `folder`, and says what was found.
///
/// # Errors
/// Where there is no notebook, it cannot be read, or something is wrong in it, or still is after a repair.
pub fn run(folder: &Path, asked: &cli::Verify, look: Look) -> Result<(), Failure> {
    if asked.repair {
        return repair(folder, look);
    }
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
        "the notebook in {} is not whole: {} found; `holebook verify --repair` mends what can be mended and deletes nothing",
        folder.display(),
        faults(&report)
    )))
}

fn repair(folder: &Path, look: Look) -> Result<(), Failure> {
    let mended = mend(folder)?;
    if look.json {
        let Mended {
            found,
            moved,
            saved,
            now,
        } = &mended;
        let saved = saved.as_ref();
        let repair = Repair {
            found,
            moved,
            saved,
        };
        out::json(&Repaired { now, repair })?;
    } else {
        out::say(&repair_words(&mended))?;
    }
    if mended.now.is_sound() {
        return Ok(());
    }
    Err(Failure::Said(format!(
        "the notebook in {} can be used, but {} left that a repair cannot mend; exchange with a shelf or device that has what is missing",
        folder.display(),
        faults(&mended.now)
    )))
}

fn faults(report: &Report) -> String {
    number(report.findings.len() as u64, "fault", "faults")
}

fn repair_words(mended: &Mended) -> String {
    let mut text = String::new();
    for finding in &mended.found {
        text.push_str(&item(&format!("Found: {finding}.")));
    }
    for place in &mended.moved {
        text.push_str(&item(&format!("Moved aside: {}.", place.display())));
    }
    if let Some(saved) = &mended.saved {
        text.push_str(&saved_words(saved));
    }
    text.push_str(&words(&mended.now));
    text
}

fn saved_words(saved: &Saved) -> String {
    let entries = number(saved.entries, "entry was", "entries were");
    let mut text = format!("{entries} saved into a new database.\n");
    for Gap {
        device,
        first,
        last,
    } in &saved.gaps
    {
        let lost = match last - first {
            0 => format!("Entry {first} of device {device} is lost here"),
            _ => format!("Entries {first} to {last} of device {device} are lost here"),
        };
        text.push_str(&item(&format!(
            "{lost}; an exchange with a shelf that has them brings them back."
        )));
    }
    if let Some(shelf) = &saved.waiting_on {
        let waiting = number(
            saved.waiting,
            "entry reads, but stands",
            "entries read, but stand",
        );
        text.push_str(&item(&format!(
            "{waiting} behind one that is lost. Once that is back, exchange with the folder {} in the notebook's folder.",
            shelf.display()
        )));
    }
    if let Some(device) = saved.went_on_as {
        text.push_str(&item(&format!(
            "Not all that this notebook wrote is certain to be here, so it goes on as device {device}; what it wrote stays its own."
        )));
    }
    if saved.settings_lost {
        text.push_str(&item(
            "The settings could not be read for certain; look at them, and set the person's name again.",
        ));
    }
    text
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
    if !report.stray.is_empty() {
        text.push_str("Also in the folder, and harmless:\n");
    }
    for stray in &report.stray {
        text.push_str(&item(&stray.to_string()));
    }
    text
}
