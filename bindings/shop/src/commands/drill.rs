//! `holebook drill`: which drill of a drawer to take for a hole.

use super::look::{Look, drill_words};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, item};
use holebook_core::drill::{Choice, Choices, Drawer, HoleWanted, choices, usual_drawer};
use holebook_core::insert::{Catalogue, holes_for};
use holebook_core::length::{Length, LengthError, Unit};
use holebook_core::thread::Thread;

/// Belongs to every drill that cuts iron.
const CARE: &str = "A drill cuts over its size, by the mean of tests in iron and steel (FED-STD-H28/2B Table II.A.1); yours may cut more: \
                    try it on scrap and measure the hole. Clamp the casting, and wear eye protection.";

/// Says which drills come nearest; `own` is what is at hand where the command does not say.
///
/// # Errors
/// What was written is neither a thread nor a diameter, or names no kind of drill.
pub fn run(
    asked: &cli::Drill,
    own: Option<Drawer>,
    catalogue: &Catalogue,
    look: Look,
) -> Result<(), Failure> {
    let drawer = asked.drawer.as_deref().map(str::parse).transpose()?;
    let engagement = asked
        .engagement
        .as_deref()
        .map(|text| Length::parse(text, look.unit))
        .transpose()?;
    let Asked { holes, unit, usual } = holes(asked, engagement, catalogue, look)?;
    let drawer = drawer.or(own).unwrap_or(usual);
    let all: Vec<Choices> = holes.iter().map(|hole| choices(hole, drawer)).collect();
    if look.json {
        return out::json(&all);
    }
    let what = asked
        .what()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    let mut text = format!("Drills for {what}, from {}\n", drawer.name());
    all.iter()
        .for_each(|found| text.push_str(&words(found, unit)));
    out::say(&format!("{text}\n{}", item(CARE)))
}

/// The holes asked for, the unit to show them in, and the drills that are usual for them.
struct Asked {
    holes: Vec<HoleWanted>,
    unit: Unit,
    usual: Drawer,
}

/// A thread has several holes. What is no thread is read as a diameter, and where it is neither the thread's sentence says more.
fn holes(
    asked: &cli::Drill,
    engagement: Option<Length>,
    catalogue: &Catalogue,
    look: Look,
) -> Result<Asked, Failure> {
    match (
        Thread::parse(&asked.what()),
        Length::parse(&asked.what(), look.unit),
    ) {
        (Ok(thread), _) => Ok(Asked {
            holes: holes_for(catalogue, &thread, engagement),
            unit: look.unit_for(thread),
            usual: usual_drawer(&thread),
        }),
        (Err(_), Ok(diameter)) if diameter.is_positive() => Ok(Asked {
            holes: vec![HoleWanted::diameter(diameter)],
            unit: look.unit(),
            usual: Drawer::ALL,
        }),
        (
            Err(_),
            Err(error @ (LengthError::NoUnit { .. } | LengthError::InchOrMillimetre { .. })),
        ) => Err(error.into()),
        (Err(error), _) => Err(error.into()),
    }
}

fn words(found: &Choices, unit: Unit) -> String {
    let wanted = &found.wanted;
    let best = found.best().map(|choice| choice.drill);
    let mut table = Table::bare(&[Side::Left; 4]);
    for choice in found.each() {
        let take = if best == Some(choice.drill) {
            "  take"
        } else {
            "      "
        };
        table.row([
            take.into(),
            drill_words(&choice.drill, unit),
            nominal(choice),
            cuts(choice, unit),
        ]);
    }
    let limits = match (wanted.least, wanted.largest) {
        (Some(least), Some(largest)) => {
            format!(", {} to {}", least.show(unit), largest.show(unit))
        }
        (None, Some(largest)) => format!(", at most {}", largest.show(unit)),
        _ => String::new(),
    };
    let none = found
        .why_none()
        .map_or_else(String::new, |why| format!("  {why}\n"));
    format!(
        "\n{}: {}{limits}\n{table}{none}{}",
        wanted.job,
        wanted.aim.show(unit),
        item(&wanted.source)
    )
}

fn nominal(choice: &Choice) -> String {
    match choice.thread_percent {
        Some(percent) => format!("{percent:.0} % thread, {}", choice.standing),
        None => choice.standing.to_string(),
    }
}

fn cuts(choice: &Choice, unit: Unit) -> String {
    let Some(hole) = choice.cuts else {
        return String::new();
    };
    let mut words = format!("cuts {}", hole.show(unit));
    if let Some(percent) = choice.cut_percent {
        words.push_str(&format!(", {percent:.0} %"));
    }
    if let Some(standing) = choice.cut_standing.filter(|cut| *cut != choice.standing) {
        words.push_str(&format!(", {standing}"));
    }
    words
}
