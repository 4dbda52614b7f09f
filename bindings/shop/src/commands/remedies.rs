//! `holebook remedies`: the ways to make one hole hold again, each with its reasons.

use super::insert::catalogue;
use super::look::{Look, distinct, drill_words};
use super::words::{failed, length, load, work};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, item};
use holebook_core::hole::remedies::{Assessment, Verdict, Weight, remedies};
use holebook_core::hole::situation::Situation;
use holebook_core::length::{Length, Unit};
use std::fs;
use std::io::{self, Read as _};
use std::path::Path;

/// A hole's description is some hundred bytes; what is larger than this is something else.
const LARGEST_DESCRIPTION: u64 = 1 << 20;
/// Belongs to every figure of thread left and strength.
const SAFE_SIDE: &str = "Thread left and strength are a judgement on the safe side: a thread's shear strength falls later than \
                         its flank height.";

/// Judges every way to mend the hole that a file describes.
///
/// # Errors
/// Where the file cannot be read, or describes a hole that cannot be.
pub fn run(asked: &cli::Remedies, notebook: &Path, named: bool, look: Look) -> Result<(), Failure> {
    let situation = read(&asked.hole)?;
    let all = remedies(&situation, &*catalogue(notebook, named)?);
    if look.json {
        return out::json(&all);
    }
    out::say(&words(&situation, &all, look.unit_for(situation.thread)))
}

fn read(file: &Path) -> Result<Situation, Failure> {
    let mut text = String::new();
    let found: io::Result<usize> = if file == Path::new("-") {
        io::stdin()
            .lock()
            .take(LARGEST_DESCRIPTION)
            .read_to_string(&mut text)
    } else {
        fs::File::open(file)
            .and_then(|file| file.take(LARGEST_DESCRIPTION).read_to_string(&mut text))
    };
    found.map_err(|error| Failure::file("reading the hole from", file, &error))?;
    serde_json::from_str(&text).map_err(|error| unreadable(file, &error))
}

/// Says what is wrong with a description. What can be read but cannot be comes with a sentence of its own.
fn unreadable(file: &Path, error: &serde_json::Error) -> Failure {
    let (file, why) = (file.display(), error.to_string());
    let place = format!(" at line {} column {}", error.line(), error.column());
    let why = why.strip_suffix(&place).unwrap_or(&why);
    Failure::Said(match (error.is_data(), error.line()) {
        (true, 0) => format!("the hole in `{file}` cannot be: {why}"),
        (true, line) => format!("the hole in `{file}` cannot be read: line {line}: {why}"),
        (false, line) => format!("`{file}` is not JSON: line {line}: {why}; correct it there"),
    })
}

fn words(situation: &Situation, all: &[Assessment], unit: Unit) -> String {
    let mut text = format!(
        "Ways to make a {} hole hold again, the best first\n\n",
        situation.thread.designation()
    );
    text.push_str(&ways(all, unit).to_string());
    text.push_str(&format!("\n{}", depths(all, unit)));
    text.push_str(&format!("\n{}", item(SAFE_SIDE)));
    for (place, assessment) in all.iter().enumerate() {
        text.push_str(&reasons(place + 1, assessment, unit));
    }
    text.push_str(&thread_left(all, unit));
    text.push_str(&joint(all, unit));
    let usable = all
        .iter()
        .filter(|assessment| assessment.verdict != Verdict::DoesNotFit);
    let cautions = distinct(
        usable
            .flat_map(|assessment| &assessment.cautions)
            .map(ToString::to_string),
    );
    text.push_str("\nBeware:\n");
    cautions
        .iter()
        .for_each(|caution| text.push_str(&item(caution)));
    text
}

/// What each way is, and what it holds.
fn ways(all: &[Assessment], unit: Unit) -> Table {
    let mut table = Table::new(&[
        ("", Side::Right),
        ("remedy", Side::Left),
        ("thread", Side::Left),
        ("long", Side::Right),
        ("verdict", Side::Left),
        ("holds", Side::Right),
        ("of bolt", Side::Right),
    ]);
    for (place, way) in all.iter().enumerate() {
        let family = way.family().map(|family| family.to_string());
        let insert = way.insert.as_ref();
        let holds = way.parent_strength_n.map(|strength| load(strength, unit));
        let ratio = way
            .strength_ratio
            .map(|ratio| format!("{:.0} %", ratio * 100.0));
        table.row([
            (place + 1).to_string(),
            family.unwrap_or_else(|| way.remedy.to_string()),
            way.outside_thread.clone().unwrap_or_default(),
            insert.map_or_else(String::new, |insert| insert.length.show(unit)),
            way.verdict.to_string(),
            holds.unwrap_or_default(),
            ratio.unwrap_or_default(),
        ]);
    }
    table
}

/// How deep each way that cuts goes, by the place it has among the ways.
fn depths(all: &[Assessment], unit: Unit) -> Table {
    let mut table = Table::new(&[
        ("", Side::Right),
        ("drill", Side::Left),
        ("deep now", Side::Right),
        ("after the cut", Side::Right),
        ("whole thread left", Side::Right),
    ]);
    for (place, way) in all.iter().enumerate() {
        let (Some(drill), Some(depths)) = (way.drill, way.depths) else {
            continue;
        };
        table.row([
            (place + 1).to_string(),
            drill_words(&drill, unit),
            length(depths.drill, unit),
            depths.drill_after_cut.show(unit),
            length(way.effective_engagement, unit),
        ]);
    }
    table
}

/// Why a way does not simply fit. Of one that does not fit at all, what would be better besides is not said.
fn reasons(place: usize, assessment: &Assessment, unit: Unit) -> String {
    let failing = assessment
        .checks
        .iter()
        .filter(|check| assessment.verdict != Verdict::DoesNotFit || check.weight == Weight::Must)
        .filter_map(|check| failed(check, unit));
    let depends = assessment.depends_on.iter().map(|hangs| hangs.words(unit));
    let because = assessment.because.iter().cloned();
    let all: Vec<String> = because.chain(depends).chain(failing).collect();
    let mut text = String::new();
    if !all.is_empty() {
        let verdict = assessment.verdict;
        text.push_str(&format!(
            "\n{place}, {}, {verdict}:\n",
            work(&assessment.work(), unit)
        ));
        all.iter().for_each(|reason| text.push_str(&item(reason)));
    }
    for missing in &assessment.not_on_hand {
        text.push_str(&item(&format!("not in the drawer: {missing}")));
    }
    text
}

/// What fails first in the first remedy, and which bolt it takes.
fn joint(all: &[Assessment], unit: Unit) -> String {
    let Some((first, fails)) = all
        .first()
        .and_then(|first| first.fails.as_ref().map(|fails| (first, fails)))
    else {
        return String::new();
    };
    let mut text = format!(
        "\nThe finished joint of 1, {}:\n",
        work(&first.work(), unit)
    );
    for held in &fails.loads {
        text.push_str(&item(&format!(
            "{} at {}",
            held.part,
            load(held.load_n, unit)
        )));
    }
    for lack in &fails.lacks {
        text.push_str(&item(&format!("not known: {lack}")));
    }
    if let Some(found) = &fails.engagement {
        let of = |mm: f64| {
            Length::from_mm(mm)
                .map_or_else(|_| "an unknown length".into(), |length| length.show(unit))
        };
        let iso = found.iso16224_mm.map_or_else(|| "none".to_owned(), of);
        text.push_str(&item(&format!(
            "thread for the bolt to break first: {} by FED-STD-H28/2B, {}; {iso} by ISO/TR 16224. {}",
            of(found.h28_mm),
            found.h28_formula,
            found.iso16224_note
        )));
    }
    text.push_str(&bolt(first, unit));
    text
}

fn bolt(first: &Assessment, unit: Unit) -> String {
    let Some(bolt) = &first.bolt else {
        return item(
            "bolt: say grip_mm, the thickness bolted on, to know which length reaches and does not bottom",
        );
    };
    let most = bolt
        .most
        .map_or_else(String::new, |most| format!(", at most {}", most.show(unit)));
    let name = bolt.name.as_deref().unwrap_or("no length that is sold");
    item(&format!(
        "bolt: {name}; at least {}{most} under the head",
        bolt.least.show(unit)
    ))
}

/// How much is left for the first remedy, from the top of its engagement to the bottom.
fn thread_left(all: &[Assessment], unit: Unit) -> String {
    let Some(first) = all.first().filter(|first| !first.thread_left.is_empty()) else {
        return String::new();
    };
    let mut table = Table::new(&[
        ("below today's face", Side::Right),
        ("thread left", Side::Right),
    ]);
    for left in &first.thread_left {
        table.row([
            left.depth.show(unit),
            format!("{:.0} %", left.fraction * 100.0),
        ]);
    }
    format!(
        "\nThread left to 1, {}:\n\n{table}",
        work(&first.work(), unit)
    )
}
