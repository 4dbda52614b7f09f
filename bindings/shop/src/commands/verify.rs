//! `holebook verify`: checks the notebook for damage; `--repair` repairs it.

use super::count_of;
use super::output::OutputOptions;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::item;
use holebook_core::notebook::{Finding, VerifyReport};
use holebook_core::repair::{Gap, Recovered, RepairReport, repair};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// What a repair did, and the report after it.
#[derive(Debug, Serialize)]
struct Repaired<'a> {
    #[serde(flatten)]
    now: &'a VerifyReport,
    repair: Repair<'a>,
}

#[derive(Debug, Serialize)]
struct Repair<'a> {
    found: &'a [Finding],
    moved: &'a [PathBuf],
    saved: Option<&'a Recovered>,
}

/// Verifies or repairs the notebook in `folder` and prints the findings.
///
/// # Errors
/// If there is no notebook, it cannot be read, or there are findings, also after a repair.
pub fn run(folder: &Path, args: &cli::Verify, output: OutputOptions) -> Result<(), Failure> {
    if args.repair {
        return repair_notebook(folder, output);
    }
    let notebook = super::open_existing(folder)?;
    let accepted = args.accept.then(|| notebook.accept_losses()).transpose()?;
    let report = notebook.verify()?;
    if output.json {
        out::print_json(&report)?;
    } else {
        out::print(&accepted.map(accepted_text).unwrap_or_default())?;
        out::print(&verify_text(&report))?;
    }
    if report.is_ok() {
        return Ok(());
    }
    Err(Failure::Message(format!(
        "the notebook in {} is damaged: {} found; `holebook verify --repair` repairs what it can and deletes nothing",
        folder.display(),
        faults(&report)
    )))
}

fn repair_notebook(folder: &Path, output: OutputOptions) -> Result<(), Failure> {
    let report = repair(folder)?;
    if output.json {
        let RepairReport {
            findings: found,
            moved,
            recovered: saved,
            now,
        } = &report;
        let saved = saved.as_ref();
        let repair = Repair {
            found,
            moved,
            saved,
        };
        out::print_json(&Repaired { now, repair })?;
    } else {
        out::print(&repair_text(&report))?;
    }
    if report.now.is_ok() {
        return Ok(());
    }
    Err(Failure::Message(format!(
        "the notebook in {} can be used, but {} cannot be repaired here; sync with a remote or device that has what is missing",
        folder.display(),
        faults(&report.now)
    )))
}

fn accepted_text(entries: u64) -> String {
    let entries = count_of(entries, "entry", "entries");
    format!("The losses are accepted. {entries} after them recorded again, so that they sync.\n")
}

fn faults(report: &VerifyReport) -> String {
    count_of(report.findings.len() as u64, "problem", "problems")
}

fn repair_text(report: &RepairReport) -> String {
    let mut text = String::new();
    for finding in &report.findings {
        text.push_str(&item(&format!("Found: {finding}.")));
    }
    for path in &report.moved {
        text.push_str(&item(&format!("Moved aside: {}.", path.display())));
    }
    if let Some(saved) = &report.recovered {
        text.push_str(&saved_text(saved));
    }
    text.push_str(&verify_text(&report.now));
    text
}

fn saved_text(saved: &Recovered) -> String {
    let entries = count_of(saved.entries, "entry was", "entries were");
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
            "{lost}; a sync with a remote that has them restores them."
        )));
    }
    if saved.unverified > 0 {
        let behind = count_of(saved.unverified, "entry comes", "entries come");
        text.push_str(&item(&format!(
            "{behind} after a lost one: shown, but not verified and not synced until that one is back, or until you accept the loss with `holebook verify --accept`."
        )));
    }
    if let Some(device) = saved.continued_as {
        text.push_str(&item(&format!(
            "Some entries of this notebook may be missing, so it continues as device {device}."
        )));
    }
    if saved.settings_lost {
        text.push_str(&item(
            "The settings could not be read reliably. Check them, and enter your name again.",
        ));
    }
    text
}

fn verify_text(report: &VerifyReport) -> String {
    let entries = count_of(report.entries, "entry", "entries");
    let devices = count_of(report.devices, "device", "devices");
    let photos = count_of(report.photos, "photo", "photos");
    let mut text = format!("Checked {entries} of {devices}, and {photos}.\n");
    if report.unknown_entries > 0 {
        let kept = count_of(report.unknown_entries, "entry is", "entries are");
        text.push_str(&format!(
            "{kept} of a kind that this version does not know; they are kept and synced.\n"
        ));
    }
    if report.unverified_entries > 0 {
        let behind = count_of(report.unverified_entries, "entry comes", "entries come");
        text.push_str(&format!(
            "{behind} after a lost one and cannot be verified.\n"
        ));
    }
    if report.is_ok() {
        text.push_str("No problems found.\n");
    }
    for finding in &report.findings {
        text.push_str(&item(&finding.to_string()));
    }
    if !report.unexpected_files.is_empty() {
        text.push_str("Also in the folder, and harmless:\n");
    }
    for file in &report.unexpected_files {
        text.push_str(&item(&file.to_string()));
    }
    text
}
