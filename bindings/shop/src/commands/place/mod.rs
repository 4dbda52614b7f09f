//! `holebook place`: where things are on a face.

mod faces;
mod holes;
mod machine;

use super::json_file::read;
use super::output::OutputOptions;
use crate::cli::{Place, PlaceMoves, PlaceQuestion};
use crate::failure::Failure;
use crate::out;
use crate::table::item;
use holebook_core::length::{Length, Rounding, Unit, in_unit};
use holebook_place::flatness::{self, HeightReading, Jack, TableReadings};
use holebook_place::moves::{self, MovePlan};
use holebook_place::pattern::Layout;
use holebook_place::plane::PhotoPoint;
use holebook_place::{HolePoint, PlaceError, distances, pattern, plane, tightening};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::fmt::Display;
use std::path::Path;

/// Answers a question about a face.
///
/// # Errors
/// If the file cannot be read, or what it says has no answer.
pub fn run(args: &Place, output: OutputOptions) -> Result<(), Failure> {
    use PlaceQuestion as Q;
    match &args.question {
        Q::Pattern(input) => answer(&input.file, output, pattern::fit, holes::fit),
        Q::Layout(input) => {
            let show = |found: &Vec<pattern::WantedHole>, unit| holes::layout(found, unit);
            answer(&input.file, output, |it: &Layout| it.holes(), show)
        }
        Q::Distances(input) => answer(&input.file, output, distances::solve, holes::distances),
        Q::Plane(input) => answer(&input.file, output, plane::measure, holes::plane),
        Q::Photos(input) => {
            let show = |found: &Vec<plane::AgreedPoint>, unit| holes::photos(found, unit);
            answer(&input.file, output, compare_photos, show)
        }
        Q::Flatness(input) => answer(&input.file, output, flatness::judge, faces::flatness),
        Q::Leveling(input) => answer(&input.file, output, leveling, faces::leveling),
        Q::Droop(input) => {
            let droop = |it: &TableReadings| flatness::table_droop(it);
            answer(&input.file, output, droop, faces::droop)
        }
        Q::Rocking(input) => answer(&input.file, output, rocking, faces::rocking),
        Q::Moves(args) => table_moves(args, output),
        Q::Tightening(input) => answer(&input.file, output, tighten, machine::tightening),
    }
}

/// Reads a question, and prints its answer as JSON or as text.
fn answer<Question: DeserializeOwned, Answer: Serialize>(
    file: &Path,
    output: OutputOptions,
    work_out: impl Fn(&Question) -> Result<Answer, PlaceError>,
    show: impl Fn(&Answer, Unit) -> String,
) -> Result<(), Failure> {
    let found = work_out(&read(file)?)?;
    if output.json {
        return out::print_json(&found);
    }
    out::print(&show(&found, output.unit()))
}

/// Places by several photos.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PhotoPlaces {
    points: Vec<PhotoPoint>,
}

fn compare_photos(places: &PhotoPlaces) -> Result<Vec<plane::AgreedPoint>, PlaceError> {
    plane::compare_photos(&places.points)
}

/// A face on jacks.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FaceOnJacks {
    points: Vec<HeightReading>,
    jacks: Vec<Jack>,
}

fn leveling(face: &FaceOnJacks) -> Result<flatness::Leveling, PlaceError> {
    flatness::level(&face.points, &face.jacks)
}

/// Two faces with readings at the same places.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TwoFaces {
    lower: Vec<HeightReading>,
    upper: Vec<HeightReading>,
}

fn rocking(faces: &TwoFaces) -> Result<flatness::Rocking, PlaceError> {
    flatness::rock(&faces.lower, &faces.upper)
}

/// The bolts of a joint.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Joint {
    holes: Vec<HolePoint>,
}

fn tighten(joint: &Joint) -> Result<tightening::Tightening, PlaceError> {
    tightening::order(&joint.holes)
}

fn table_moves(args: &PlaceMoves, output: OutputOptions) -> Result<(), Failure> {
    let file = &args.input.file;
    if args.csv {
        let found = moves::plan(&read(file)?)?;
        return out::print(&moves::csv(&found, output.unit() == Unit::Inch));
    }
    if args.dxf {
        let plan: MovePlan = read(file)?;
        return out::print(&moves::dxf(&plan.holes)?);
    }
    answer(file, output, moves::plan, machine::moves)
}

/// A coordinate in the reader's unit, without the unit.
fn number(mm: f64, unit: Unit) -> String {
    Length::from_mm(mm).map_or_else(
        |_| "unknown".to_owned(),
        |length| length.rounded_number(unit, Rounding::Nearest),
    )
}

/// A length in the reader's unit.
fn length(mm: f64, unit: Unit, rounding: Rounding) -> String {
    Length::from_mm(mm).map_or_else(|_| "unknown".to_owned(), |it| it.rounded(unit, rounding))
}

/// A number that may not be known.
fn optional(mm: Option<f64>, unit: Unit) -> String {
    mm.map_or_else(|| "-".to_owned(), |mm| number(mm, unit))
}

/// Warnings as a list.
fn warnings(found: &[impl Display], unit: Unit) -> String {
    let line = |warning: &dyn Display| item(&in_unit(&warning.to_string(), unit));
    let lines: String = found.iter().map(|warning| line(warning)).collect();
    if lines.is_empty() {
        lines
    } else {
        format!("\n{lines}")
    }
}
