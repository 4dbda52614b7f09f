//! The wanted pattern of a face, fitted to the holes that were found.
//!
//! The fit is by weighted least squares over the holes that agree; holes that wandered are found
//! first, by trying the placement that each pair of holes gives, and are left out. A hole has
//! wandered if its deviation would happen by the stated errors once in 1,000 holes (the .999
//! quantile of chi-squared with two degrees of freedom).

mod common;
mod consensus;
mod layout;
mod least_squares;
mod report;

pub use layout::{Layout, circle, ellipse, grid, line, slot};

use crate::input;
use crate::show::both;
use crate::{PlaceError, Point};
use serde::{Deserialize, Serialize, Serializer};
use std::fmt;

/// A hole of the wanted pattern.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WantedHole {
    /// The hole's number.
    pub hole: u32,
    /// To the right in the pattern, mm.
    pub x_mm: f64,
    /// Up in the pattern, mm.
    pub y_mm: f64,
    /// The standard deviation of each coordinate, mm; 0 for a drawing, more for a gasket or a
    /// sister part.
    #[serde(default)]
    pub error_mm: f64,
}

/// A hole that was found.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FoundHole {
    /// The hole's number.
    pub hole: u32,
    /// To the right, mm.
    pub x_mm: f64,
    /// Up, mm.
    pub y_mm: f64,
    /// The standard deviation of each coordinate, mm; less than 0.001 counts as 0.001.
    pub error_mm: f64,
}

/// A pattern and what was found of it.
#[derive(holebook_shape::Shape, Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Survey {
    /// The wanted pattern: at least two holes.
    pub wanted: Vec<WantedHole>,
    /// The holes found: at least two of the pattern.
    pub found: Vec<FoundHole>,
    /// Whether the pattern may be turned over.
    #[serde(default)]
    pub mirror: bool,
    /// Whether its size may differ, as on a shrunk gasket or a photo without a scale.
    #[serde(default)]
    pub scale: bool,
}

/// A pattern placed on the holes found.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct PatternFit {
    /// How far the pattern is turned, degrees, from X toward Y; after mirroring, if it is mirrored.
    pub angle_deg: f64,
    /// Its size, 1 unless a scale was allowed.
    pub scale: f64,
    /// Whether it is turned over (its Y negated, then turned).
    pub mirrored: bool,
    /// Every hole of the pattern, in its order.
    pub holes: Vec<PredictedHole>,
    /// How many of the holes found agree.
    pub agreeing: u32,
    /// What to be careful about.
    pub warnings: Vec<FitWarning>,
}

/// Where a hole of the pattern belongs, in the coordinates of the holes found.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PredictedHole {
    /// The hole's number.
    pub hole: u32,
    /// To the right, mm.
    pub x_mm: f64,
    /// Up, mm.
    pub y_mm: f64,
    /// How far the hole found lies from there, mm; none if it was not found.
    pub residual_mm: Option<f64>,
    /// How far it lies to the right of there, mm.
    pub off_x_mm: Option<f64>,
    /// How far it lies above there, mm.
    pub off_y_mm: Option<f64>,
    /// Which way it lies from there, degrees from X toward Y.
    pub direction_deg: Option<f64>,
    /// Whether the hole found was left out of the fit.
    pub wandered: bool,
    /// The radius of the circle around the place given that holds the true center with 95 %
    /// probability, mm.
    pub radius95_mm: f64,
}

/// What to be careful about in a fit.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq)]
pub enum FitWarning {
    /// Nothing checks the fit: as many holes as it takes.
    NotChecked,
    /// Half of the holes found or fewer agree.
    FewAgree {
        /// How many agree.
        agreeing: u32,
        /// How many were found.
        found: u32,
    },
    /// The holes scatter more than their errors say; the fit takes the errors as so many times
    /// larger.
    ErrorsTooSmall {
        /// How many times.
        factor: f64,
    },
    /// The agreeing holes lie on one line, and both sides of it fit.
    EitherSide,
    /// A hole was found that the pattern does not have; it was not used.
    NotInPattern {
        /// The hole's number.
        hole: u32,
    },
    /// A hole wandered so far that its number may be wrong.
    FarOff {
        /// The hole's number.
        hole: u32,
        /// How far it lies from its place, mm.
        by_mm: f64,
    },
}

impl fmt::Display for FitWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotChecked => f.write_str("nothing checks this fit: add a hole that is surely good"),
            Self::FewAgree { agreeing, found } => write!(
                f,
                "only {agreeing} of the {found} holes found agree with the pattern; check it by one more good hole"
            ),
            Self::ErrorsTooSmall { factor } => write!(
                f,
                "the holes scatter {factor:.1} times as much as their stated errors; the regions are that much larger"
            ),
            Self::EitherSide => f.write_str(
                "the agreeing holes lie on one line, so the pattern fits on either side of it; it is shown not mirrored",
            ),
            Self::NotInPattern { hole } => {
                write!(f, "hole {hole} is not in the pattern and was not used")
            }
            Self::FarOff { hole, by_mm } => write!(
                f,
                "hole {hole} is {} from its place; check its number",
                both(*by_mm)
            ),
        }
    }
}

/// As its sentence.
impl Serialize for FitWarning {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl WantedHole {
    /// Returns the hole's place in the pattern.
    #[must_use]
    pub const fn at(&self) -> Point {
        Point::new(self.x_mm, self.y_mm)
    }
}

impl FoundHole {
    /// Returns the hole's place.
    #[must_use]
    pub const fn at(&self) -> Point {
        Point::new(self.x_mm, self.y_mm)
    }
}

/// A hole of the pattern that was found.
#[derive(Clone, Copy, Debug)]
struct Pair {
    /// Its place in the list of wanted holes.
    index: usize,
    /// Its place in the list of holes found.
    found_index: usize,
    hole: u32,
    wanted: Point,
    wanted_error_mm: f64,
    found: Point,
    found_error_mm: f64,
}

/// Fits a pattern to the holes found.
///
/// # Errors
/// If a number is not usable, a hole is given twice, fewer than two holes of the pattern were
/// found, all are at one place, or no placement agrees with enough holes: three, or two if no more
/// were found or they are at the right distance.
pub fn fit(survey: &Survey) -> Result<PatternFit, PlaceError> {
    fit_with_common_errors(survey, &[])
}

/// The part of a place's error that it has in common with others: how far each of some independent
/// causes of variance 1 moves it, mm to the right and up. Of all places the first cause is the same
/// one, and so on.
pub type CommonError = Vec<(f64, f64)>;

/// The same for holes whose errors are partly common, such as those read off one photo. `common` has
/// a row for each hole found, in their order, or is empty; an `error_mm` includes it.
///
/// # Errors
/// As for [`fit`].
pub fn fit_with_common_errors(
    survey: &Survey,
    common: &[CommonError],
) -> Result<PatternFit, PlaceError> {
    check(survey)?;
    let pairs = pairs(survey)?;
    let found = consensus::search(&pairs, survey)?;
    let common = common::Common::of(survey, common, &pairs, &found);
    Ok(report::report(survey, &pairs, &found, common.as_ref()))
}

fn check(survey: &Survey) -> Result<(), PlaceError> {
    input::count(survey.wanted.len(), 2, "holes in the pattern")?;
    input::count(survey.found.len(), 2, "holes found")?;
    input::once(
        survey.wanted.iter().map(|hole| hole.hole),
        "holes of the pattern",
    )?;
    input::once(survey.found.iter().map(|hole| hole.hole), "holes found")?;
    for hole in &survey.wanted {
        let name = || format!("hole {} of the pattern", hole.hole);
        input::point(hole.at(), name)?;
        input::error(hole.error_mm, || format!("the error of {}", name()))?;
    }
    for hole in &survey.found {
        let name = || format!("hole {} as found", hole.hole);
        input::point(hole.at(), name)?;
        input::error(hole.error_mm, || format!("the error of {}", name()))?;
    }
    Ok(())
}

/// The holes that are both wanted and found.
fn pairs(survey: &Survey) -> Result<Vec<Pair>, PlaceError> {
    let by_number: std::collections::HashMap<u32, usize> = survey
        .wanted
        .iter()
        .enumerate()
        .map(|(index, hole)| (hole.hole, index))
        .collect();
    let pairs: Vec<Pair> = survey
        .found
        .iter()
        .enumerate()
        .filter_map(|(found_index, found)| {
            let index = *by_number.get(&found.hole)?;
            let wanted = &survey.wanted[index];
            Some(Pair {
                index,
                found_index,
                hole: found.hole,
                wanted: wanted.at(),
                wanted_error_mm: wanted.error_mm,
                found: found.at(),
                found_error_mm: found.error_mm.max(input::LEAST_ERROR_MM),
            })
        })
        .collect();
    input::count(pairs.len(), 2, "holes found that are in the pattern")?;
    let (wanted, found): (Vec<_>, Vec<_>) =
        pairs.iter().map(|pair| (pair.wanted, pair.found)).unzip();
    input::apart(&wanted, "holes of the pattern")?;
    input::apart(&found, "holes found")?;
    Ok(pairs)
}

#[cfg(test)]
mod tests;
