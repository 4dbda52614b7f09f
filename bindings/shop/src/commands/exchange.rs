//! `holebook exchange`: this notebook and others brought together over a shelf.

use super::look::Look;
use super::number;
use super::underway::Underway;
#[cfg(feature = "bucket")]
use crate::bucket::Address;
use crate::cli;
use crate::failure::Failure;
use crate::meet::shelves::{Known, Shelves, name_of_folder};
use crate::out;
use crate::table::{item, paragraph, plain};
use holebook_core::exchange::{ExchangeError, Report, Watch};
use holebook_core::notebook::Notebook;
use serde::Serialize;
use std::path::Path;
use std::sync::Arc;

/// Exchanges the notebook in `folder` with the shelf that was asked for, or with every one that is known; a new notebook is
/// made where there is none, to take what the shelf has.
///
/// # Errors
/// Where the notebook or the shelf cannot be reached, read or written, or not all of the shelf could be taken.
pub fn run(folder: &Path, asked: &cli::Exchange, look: Look) -> Result<(), Failure> {
    let shelves = Shelves::new(Arc::new(Notebook::open(folder)?));
    if let Some(file) = &asked.bundle {
        let name = format!("the bundle {}", file.display());
        let underway = Underway::begin()?;
        let report = shelves.take_bundle(file, &underway.watch(&name))?;
        drop(underway);
        let taken = count(report.entries_taken, report.photos_taken);
        let moved = format!("Taken from the bundle: {taken}.\n");
        return told(&report, &moved, &name, look);
    }
    #[cfg(feature = "bucket")]
    if let Some(address) = &asked.bucket.bucket {
        return with_bucket(&shelves, address, &asked.bucket, look);
    }
    match (&asked.folder, &asked.shop) {
        (Some(place), _) => {
            let name = name_of_folder(place);
            with_named(&name, look, |watch| shelves.with_folder(place, watch))
        }
        (None, Some(name)) => {
            let shop = one_shop(shelves.shops()?, name)?;
            with_named(&shop.name, look, |watch| shelves.exchange(&shop, watch))
        }
        (None, None) => with_all(&shelves, look),
    }
}

/// Exchanges with a bucket or a WebDAV folder; where its keys are was said now, or is known from the last time.
#[cfg(feature = "bucket")]
fn with_bucket(
    shelves: &Shelves,
    address: &str,
    asked: &cli::Bucket,
    look: Look,
) -> Result<(), Failure> {
    let address = Address::read(address, asked.endpoint.as_deref())?;
    let keys = asked.bucket_keys.as_ref().map(|file| {
        std::path::absolute(file)
            .map_err(|error| Failure::file("looking for the keys in", file, &error))
    });
    let way = shelves.buckets().way(&address)?;
    let way = way.and_said(keys.transpose()?, asked.unencrypted);
    with_named(&address.name(), look, |watch| {
        shelves.with_bucket(&address, way, watch)
    })
}

/// The shop computer of this name; the only one, where none is given.
fn one_shop(shops: Vec<Known>, name: &str) -> Result<Known, Failure> {
    let all: Vec<String> = shops.iter().map(|shop| shop.name.clone()).collect();
    let is_it = |shop: &Known| {
        name.is_empty()
            || shop.id == format!("shop:{name}")
            || shop.name.to_lowercase() == format!("the shop computer {}", name.to_lowercase())
    };
    let mut found: Vec<Known> = shops.into_iter().filter(is_it).collect();
    match (found.pop(), found.is_empty()) {
        (Some(shop), true) => Ok(shop),
        (None, _) if all.is_empty() => Err(Failure::Said(
            "this computer is paired with no shop computer; pair it with `holebook pair --code` and the words that one shows"
                .to_owned(),
        )),
        _ => Err(Failure::Said(format!(
            "which shop computer is not clear from '{}'; this computer is paired with {}",
            plain(name),
            plain(&all.join(", "))
        ))),
    }
}

/// Exchanges with the one shelf that was asked for.
fn with_named(
    name: &str,
    look: Look,
    exchange: impl FnOnce(&Watch<'_>) -> Result<Report, Failure>,
) -> Result<(), Failure> {
    let underway = Underway::begin()?;
    let report = exchange(&underway.watch(name))?;
    drop(underway);
    told(&report, &moved(&report), name, look)
}

/// Says what the exchange with the one shelf that was asked for did; `moved` says what passed.
fn told(report: &Report, moved: &str, name: &str, look: Look) -> Result<(), Failure> {
    if look.json {
        out::json(report)?;
    } else {
        out::say(&format!("{moved}{}", words(report)))?;
    }
    match lacking(report, name) {
        None => Ok(()),
        Some(sentence) => Err(Failure::Said(sentence)),
    }
}

/// The sentence of files that were not taken.
fn lacking(report: &Report, name: &str) -> Option<String> {
    let problems = report.problems.len() as u64;
    (problems > 0).then(|| {
        format!(
            "{} on {name} could not be taken, and all else was; exchange again from the devices that left them",
            number(problems, "file", "files")
        )
    })
}

/// What the exchange with one of several shelves did.
#[derive(Serialize)]
struct Outcome {
    shelf: String,
    name: String,
    report: Option<Report>,
    error: Option<String>,
}

#[derive(Serialize)]
struct Answer<'a> {
    exchanges: &'a [Outcome],
}

fn with_all(shelves: &Shelves, look: Look) -> Result<(), Failure> {
    let known = shelves.known()?;
    if known.is_empty() {
        return Err(Failure::Said(
            "this notebook has exchanged with no shelf yet; name one, such as a folder on a stick with --folder DIR"
                .to_owned(),
        ));
    }
    let underway = Underway::begin()?;
    let outcomes: Vec<Outcome> = known
        .into_iter()
        .map(|known| with_one(shelves, known, &underway))
        .collect();
    drop(underway);
    if look.json {
        out::json(&Answer {
            exchanges: &outcomes,
        })?;
    } else {
        out::say(&outcomes.iter().map(outcome_words).collect::<String>())?;
    }
    let failed = outcomes.iter().filter(|outcome| outcome.error.is_some());
    match failed.count() {
        0 => Ok(()),
        failed => Err(Failure::Said(format!(
            "{} of {} not exchanged with as it should be; what is said above names why",
            failed,
            number(outcomes.len() as u64, "shelf was", "shelves were")
        ))),
    }
}

fn with_one(shelves: &Shelves, known: Known, underway: &Underway) -> Outcome {
    let done = if underway.is_told_to_end() {
        Err(ExchangeError::Stopped.into())
    } else {
        shelves.exchange(&known, &underway.watch(&known.name))
    };
    let error = match &done {
        Ok(report) => lacking(report, &known.name),
        Err(why) => Some(why.to_string()),
    };
    Outcome {
        shelf: known.id,
        name: known.name,
        report: done.ok(),
        error,
    }
}

fn outcome_words(outcome: &Outcome) -> String {
    let mut text = format!("With {}:\n", plain(&outcome.name));
    if let Some(report) = &outcome.report {
        text += &moved(report);
        text += &words(report);
    }
    if let Some(why) = &outcome.error {
        text += &item(why);
    }
    text
}

fn count(entries: usize, photos: usize) -> String {
    let entries = number(entries as u64, "entry", "entries");
    format!("{entries} and {}", number(photos as u64, "photo", "photos"))
}

/// What passed between the notebook and a shelf.
fn moved(report: &Report) -> String {
    format!(
        "Taken from the shelf: {}.\nLeft on the shelf: {}.\n",
        count(report.entries_taken, report.photos_taken),
        count(report.entries_left, report.photos_left)
    )
}

/// All else that an exchange found.
fn words(report: &Report) -> String {
    let mut text = String::new();
    if report.made_shelf {
        text.push_str("The shelf was new.\n");
    }
    if !report.in_question.is_empty() {
        let holes = number(report.in_question.len() as u64, "hole", "holes");
        text.push_str(&paragraph(&format!(
            "Two devices wrote different things of {holes}; `holebook open` shows both, and a person says which stands."
        )));
    }
    if !report.photos_missing.is_empty() {
        let missing = number(report.photos_missing.len() as u64, "photo is", "photos are");
        text.push_str(&format!(
            "{missing} still with another device; exchange there, then here again.\n"
        ));
    }
    if let Some(device) = report.went_on_as {
        text.push_str(&item(&format!(
            "This notebook was copied or restored from a copy; nothing is lost, and it goes on as device {device}."
        )));
    }
    for problem in &report.problems {
        text.push_str(&item(&problem.to_string()));
    }
    text
}
