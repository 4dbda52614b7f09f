//! `holebook remedies`: assesses every remedy for one hole, with reasons.

use super::insert::catalog;
use super::json_file::read_text;
use super::open_existing;
use super::output::{OutputOptions, distinct};
use super::phrases::{
    computed_mm, drill_depth, failed_check, percent, remedy_label, remedy_name, short_length,
};
use crate::cli;
use crate::failure::Failure;
use crate::folders;
use crate::out;
use crate::table::{Side, Table, item};
use holebook_core::hole::limits::{LimitInfo, Limits};
use holebook_core::hole::remedies::{Assessment, Verdict, Weight, assessments};
use holebook_core::hole::situation::Situation;
use holebook_core::length::{Rounding, Unit, in_unit};
use holebook_core::strength::{Lubrication, manual_torque_advice, show_load};
use std::path::Path;

/// Shown with every figure of thread left and strength.
const CONSERVATIVE: &str = "Thread left and strength are judged conservatively: a thread's shear strength drops later than \
                            its flank height.";

/// Assesses every remedy for the hole that a file describes.
///
/// # Errors
/// If the file cannot be read, or describes an impossible hole.
pub fn run(
    args: &cli::Remedies,
    notebook: &Path,
    named: bool,
    output: OutputOptions,
) -> Result<(), Failure> {
    let situation = Situation {
        limits: Some(limits(args, notebook, named)?),
        ..read(&args.hole)?
    };
    let all = assessments(&situation, &*catalog(notebook, named)?);
    if output.json {
        return out::print_json(&all);
    }
    out::print(&remedies_text(
        &situation,
        &all,
        output.unit_for_thread(situation.thread),
    ))
}

/// Returns the limits of a file, or else those of the notebook.
fn limits(args: &cli::Remedies, notebook: &Path, named: bool) -> Result<Limits, Failure> {
    let Some(file) = &args.limits else {
        return notebook_limits(notebook, named);
    };
    let text = read_text(file, "reading the limits from")?;
    Limits::from_json(&text).map_err(|error| {
        let (file, why) = (file.display(), error.to_string());
        Failure::Message(format!("the limits in `{file}` cannot be read: {why}"))
    })
}

/// Loads the limits of the notebook, or the standard ones if there is none. A named notebook must
/// exist.
fn notebook_limits(notebook: &Path, named: bool) -> Result<Limits, Failure> {
    if named || folders::is_notebook(notebook) {
        return Ok(open_existing(notebook)?.limits()?);
    }
    Ok(Limits::STANDARD)
}

fn read(file: &Path) -> Result<Situation, Failure> {
    let text = read_text(file, "reading the hole from")?;
    Situation::from_json(&text).map_err(|error| unreadable(file, &error))
}

/// Builds the error for a description. An impossible hole has no line.
fn unreadable(file: &Path, error: &serde_json::Error) -> Failure {
    let (file, why) = (file.display(), error.to_string());
    let position = format!(" at line {} column {}", error.line(), error.column());
    let why = why.strip_suffix(&position).unwrap_or(&why);
    Failure::Message(match (error.is_data(), error.line()) {
        (true, 0) => format!("the hole in `{file}` is impossible: {why}"),
        (true, line) => format!("the hole in `{file}` cannot be read: line {line}: {why}"),
        (false, line) => format!("`{file}` is not JSON: line {line}: {why}; fix that line"),
    })
}

fn remedies_text(situation: &Situation, all: &[Assessment], unit: Unit) -> String {
    let mut text = format!(
        "Remedies for a {} hole, best first\n\n",
        situation.thread.designation()
    );
    text.push_str(&overview(all, unit).to_string());
    if let Some(why) = all.first().and_then(|first| first.first_because.as_ref()) {
        text.push_str(&format!(
            "\n{}",
            item(&format!("1 is first: {}", in_unit(why, unit)))
        ));
    }
    for line in own_limits(situation.limits(), unit) {
        text.push_str(&item(&line));
    }
    text.push_str(&format!("\n{}", depths(all, unit)));
    text.push_str(&format!("\n{}", item(CONSERVATIVE)));
    for (index, assessment) in all.iter().enumerate() {
        text.push_str(&reasons(index + 1, assessment, unit));
    }
    text.push_str(&thread_left(all, unit));
    text.push_str(&joint(situation, all, unit));
    let usable = all
        .iter()
        .filter(|assessment| assessment.verdict != Verdict::DoesNotFit);
    let cautions = distinct(
        usable
            .flat_map(|assessment| &assessment.cautions)
            .map(|caution| in_unit(&caution.to_string(), unit)),
    );
    text.push_str("\nCaution:\n");
    cautions
        .iter()
        .for_each(|caution| text.push_str(&item(caution)));
    text
}

/// Returns a line for each limit that differs from the standard one.
fn own_limits(limits: &Limits, unit: Unit) -> Vec<String> {
    let changed = limits.changed().into_iter();
    let line = |(info, value): (&LimitInfo, f64)| {
        let (value, standard) = (info.show(value, unit), info.show(info.standard, unit));
        format!(
            "limit of this shop, {}: {value}, standard {standard}",
            info.key
        )
    };
    changed.map(line).collect()
}

/// Formats each remedy, its verdict, and its strength.
fn overview(all: &[Assessment], unit: Unit) -> Table {
    let mut table = Table::new(&[
        ("", Side::Right),
        ("remedy", Side::Left),
        ("thread", Side::Left),
        ("long", Side::Right),
        ("verdict", Side::Left),
        ("holds", Side::Right),
        ("of sound", Side::Right),
    ]);
    for (index, assessment) in all.iter().enumerate() {
        let insert = assessment.insert.as_ref();
        let holds = assessment
            .parent_strength_n
            .map(|strength| show_load(strength, unit));
        let of_sound = assessment.sound_ratio;
        let of_sound = of_sound.map_or_else(String::new, |ratio| percent(ratio * 100.0));
        table.row([
            (index + 1).to_string(),
            remedy_name(assessment),
            assessment.outside_thread.clone().unwrap_or_default(),
            insert.map_or_else(String::new, |insert| short_length(insert, unit)),
            assessment.verdict.to_string(),
            holds.unwrap_or_default(),
            of_sound,
        ]);
    }
    table
}

/// Formats the depths of each remedy that cuts, by its rank.
fn depths(all: &[Assessment], unit: Unit) -> Table {
    let mut table = Table::new(&[
        ("", Side::Right),
        ("drill", Side::Left),
        ("face as is", Side::Right),
        ("finished face", Side::Right),
        ("effective thread", Side::Right),
    ]);
    for (index, assessment) in all.iter().enumerate() {
        let (Some(drill), Some(depths)) = (assessment.drill, assessment.depths) else {
            continue;
        };
        table.row([
            (index + 1).to_string(),
            drill.show(unit),
            drill_depth(depths.drill, unit),
            drill_depth(Some(depths.drill_after_cut), unit),
            assessment.effective_engagement.map_or_else(
                || "unknown".into(),
                |engagement| engagement.rounded(unit, Rounding::Down),
            ),
        ]);
    }
    table
}

/// Formats why a remedy does not fit, or fits only marginally. For one that does not fit, only
/// failed musts.
fn reasons(rank: usize, assessment: &Assessment, unit: Unit) -> String {
    let failing = assessment
        .checks
        .iter()
        .filter(|check| assessment.verdict != Verdict::DoesNotFit || check.weight == Weight::Must)
        .filter_map(|check| failed_check(check, unit));
    let sensitivities = assessment
        .sensitivities
        .iter()
        .map(|sensitivity| sensitivity.words(unit));
    let rationale = assessment
        .rationale
        .iter()
        .map(|reason| in_unit(reason, unit));
    let all: Vec<String> = rationale.chain(sensitivities).chain(failing).collect();
    let mut text = String::new();
    if !all.is_empty() {
        let verdict = assessment.verdict;
        text.push_str(&format!(
            "\n{rank}, {}, {verdict}:\n",
            remedy_label(assessment, unit)
        ));
        all.iter().for_each(|reason| text.push_str(&item(reason)));
    }
    for missing in &assessment.not_on_hand {
        text.push_str(&item(&format!("not in the drawer: {missing}")));
    }
    text
}

/// Formats what fails first in the first remedy, and the bolt that it takes.
fn joint(situation: &Situation, all: &[Assessment], unit: Unit) -> String {
    let Some((first, failure)) = all
        .first()
        .and_then(|first| first.failure.as_ref().map(|failure| (first, failure)))
    else {
        return String::new();
    };
    let mut text = format!(
        "\nThe finished joint for 1, {}:\n",
        remedy_label(first, unit)
    );
    if let Some(ratio) = first.sound_ratio {
        text.push_str(&item(&manual_torque_advice(ratio)));
    }
    for load in &failure.loads {
        let low = load.floor_n.map_or_else(String::new, |low| {
            format!(", could be as low as {}", show_load(low, unit))
        });
        text.push_str(&item(&format!(
            "{} at {}{low}",
            load.failure_mode,
            show_load(load.load_n, unit)
        )));
    }
    for condition in [Lubrication::Dry, Lubrication::Oiled] {
        if let Some(torque) = first.torque(situation.bolt, condition) {
            text.push_str(&item(&in_unit(&torque.describe(condition), unit)));
        }
    }
    for missing in &failure.missing {
        text.push_str(&item(&format!("unknown: {missing}")));
    }
    if let Some(found) = &failure.engagement {
        let needed = |mm| computed_mm(mm, |length| length.rounded(unit, Rounding::Up));
        let iso = found.iso16224_mm.map_or_else(String::new, |mm| {
            format!("; {} by ISO/TR 16224", needed(mm))
        });
        text.push_str(&item(&format!(
            "thread needed for the bolt to break first: {} by FED-STD-H28/2B, {}{iso}. {}",
            needed(found.h28_mm),
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
            "bolt: give grip_mm (part, gasket, and washer) to get the length that reaches and does not bottom",
        );
    };
    let most = bolt.most.map_or_else(String::new, |most| {
        format!(", at most {}", most.rounded(unit, Rounding::Down))
    });
    let name = bolt.name.as_deref().unwrap_or("no stock length");
    item(&format!(
        "bolt: {name}; at least {}{most} under the head",
        bolt.least.rounded(unit, Rounding::Up)
    ))
}

/// Formats the thread left for the first remedy, from the top of its engagement to the bottom.
fn thread_left(all: &[Assessment], unit: Unit) -> String {
    let Some(first) = all.first().filter(|first| !first.thread_left.is_empty()) else {
        return String::new();
    };
    let mut table = Table::new(&[
        ("below face as is", Side::Right),
        ("thread left", Side::Right),
    ]);
    for left in &first.thread_left {
        table.row([
            left.depth.rounded(unit, Rounding::Nearest),
            percent(left.fraction * 100.0),
        ]);
    }
    format!(
        "\nThread left for 1, {}:\n\n{table}",
        remedy_label(first, unit)
    )
}
