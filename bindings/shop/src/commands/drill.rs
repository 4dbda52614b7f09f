//! `holebook drill`: finds the nearest drills for a hole.

use super::output::OutputOptions;
use super::phrases::percent;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, item};
use holebook_core::drill::{
    DrillChoice, DrillChoices, DrillKinds, HoleSpec, drill_choices, usual_drills,
};
use holebook_core::insert::{Catalog, holes_for};
use holebook_core::length::{Length, LengthError, Rounding, Unit, in_unit, show_limits};
use holebook_core::thread::{Thread, ThreadError};

/// Shown with every answer.
const CAUTION: &str = "Caution: drills cut oversize. The sizes shown are the mean of tests in iron and steel (FED-STD-H28/2B Table II.A.1); \
                       yours may cut more, so drill scrap first and measure. Clamp the casting and wear eye protection.";

/// Prints the nearest drills; `own` are the kinds on hand, for a command that names none.
///
/// # Errors
/// If the argument is neither a thread nor a diameter, or a kind of drill is unknown.
pub fn run(
    args: &cli::Drill,
    own: Option<DrillKinds>,
    catalog: &Catalog,
    output: OutputOptions,
) -> Result<(), Failure> {
    let kinds = args.drawer.as_deref().map(str::parse).transpose()?;
    let engagement = args
        .engagement
        .as_deref()
        .map(|text| Length::parse(text, output.unit))
        .transpose()?;
    let Wanted { holes, unit, usual } = holes(args, engagement, catalog, output)?;
    let kinds = kinds.or(own).unwrap_or(usual);
    let all: Vec<DrillChoices> = holes
        .iter()
        .map(|hole| drill_choices(hole, kinds))
        .collect();
    if output.json {
        return out::print_json(&all);
    }
    let what = args.what().split_whitespace().collect::<Vec<_>>().join(" ");
    let mut text = format!("Drills for {what}, from {}\n", kinds.name());
    all.iter()
        .for_each(|found| text.push_str(&choices_text(found, unit)));
    out::print(&format!("{text}\n{}", item(CAUTION)))
}

/// The holes to drill, the unit to show them in, and the usual drills for them.
struct Wanted {
    holes: Vec<HoleSpec>,
    unit: Unit,
    usual: DrillKinds,
}

/// Reads a thread, which has several holes, or else a diameter. If it is neither, the thread's
/// error says more.
fn holes(
    args: &cli::Drill,
    engagement: Option<Length>,
    catalog: &Catalog,
    output: OutputOptions,
) -> Result<Wanted, Failure> {
    match (
        Thread::parse(&args.what()),
        Length::parse_diameter(&args.what(), output.unit),
    ) {
        (Ok(thread), _) => Ok(Wanted {
            holes: holes_for(catalog, &thread, engagement),
            unit: output.unit_for_thread(thread),
            usual: usual_drills(&thread),
        }),
        (Err(_), Ok(diameter)) if diameter.is_positive() => Ok(Wanted {
            holes: vec![HoleSpec::diameter(diameter)],
            unit: output.unit(),
            usual: DrillKinds::ALL,
        }),
        (
            Err(_),
            Err(error @ (LengthError::NoUnit { .. } | LengthError::InchOrMillimeter { .. })),
        ) => Err(error.into()),
        (Err(ThreadError::NotAThread { input }), _) => Err(Failure::Message(format!(
            "`{input}` is neither a thread nor a diameter; write one such as 3/8-16, M10, 25/64, .390 or 9.9mm"
        ))),
        (Err(error), _) => Err(error.into()),
    }
}

fn choices_text(found: &DrillChoices, unit: Unit) -> String {
    let hole = &found.hole;
    let best = found.best().map(|choice| choice.drill);
    let mut table = Table::bare(&[Side::Left; 4]);
    for choice in found.iter() {
        let take = if best == Some(choice.drill) {
            "  best"
        } else {
            "      "
        };
        table.row([
            take.into(),
            choice.drill.show(unit),
            nominal(choice),
            cut_size(choice, unit),
        ]);
    }
    // A hole without limits is as typed, so a fraction stays a fraction.
    let aim = match hole.largest {
        Some(_) => hole.aim.rounded(unit, Rounding::Nearest),
        None => hole.aim.show(unit),
    };
    let limits = match (hole.least, hole.largest) {
        (Some(least), Some(largest)) => {
            format!(", {}", show_limits(least, largest, unit))
        }
        (None, Some(largest)) => format!(", at most {}", largest.rounded(unit, Rounding::Down)),
        _ => String::new(),
    };
    let none = found
        .no_fit_advice(unit)
        .map_or_else(String::new, |why| format!("  {why}\n"));
    format!(
        "\n{}: {aim}{limits}\n{table}{none}{}",
        hole.job,
        item(&in_unit(&hole.source, unit))
    )
}

fn nominal(choice: &DrillChoice) -> String {
    match choice.thread_percent {
        Some(share) => format!("{} thread, {}", percent(share), choice.size_check),
        None => choice.size_check.to_string(),
    }
}

fn cut_size(choice: &DrillChoice, unit: Unit) -> String {
    let Some(hole) = choice.cuts else {
        return String::new();
    };
    let mut text = format!("cuts {} {unit}", hole.drill_equivalent(unit));
    if let Some(share) = choice.cut_percent {
        text.push_str(&format!(", {}", percent(share)));
    }
    if let Some(check) = choice
        .cut_size_check
        .filter(|cut| *cut != choice.size_check)
    {
        text.push_str(&format!(", {check}"));
    }
    text
}
