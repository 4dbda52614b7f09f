//! What a fit says about each hole.

use super::common::Common;
use super::consensus::Consensus;
use super::least_squares::{variance, weight};
use super::{FitWarning, Pair, PatternFit, PredictedHole, Survey, WantedHole};
use crate::gauss::Covariance;

/// A hole that is this share of the pattern's size off its place may have a wrong number.
const FAR_OFF: f64 = 0.1;

pub(super) fn report(
    survey: &Survey,
    pairs: &[Pair],
    found: &Consensus,
    common: Option<&Common<'_>>,
) -> PatternFit {
    let spread = scatter(pairs, found, survey.scale);
    let factor = found.factor * spread;
    let mut by_wanted = vec![None; survey.wanted.len()];
    for (at, pair) in pairs.iter().enumerate() {
        by_wanted[pair.index] = Some((pair, found.agreeing.binary_search(&at).is_ok()));
    }
    let holes: Vec<PredictedHole> = survey
        .wanted
        .iter()
        .zip(&by_wanted)
        .map(|(wanted, pair)| predict(wanted, *pair, found, (spread, common)))
        .collect();
    PatternFit {
        angle_deg: found.fit.placement.angle_deg(),
        scale: if survey.scale {
            found.fit.placement.scale()
        } else {
            1.0
        },
        mirrored: found.fit.placement.mirrored,
        agreeing: found.agreeing.len() as u32,
        warnings: warnings(survey, pairs, found, factor, &holes),
        holes,
    }
}

/// By how much the agreeing holes scatter more than by chance; 1 if they do not. Where the errors
/// were taken larger to make the holes agree, by how much of that they do scatter.
fn scatter(pairs: &[Pair], found: &Consensus, scale: bool) -> f64 {
    let size = found.fit.placement.scale();
    let parameters = if scale { 4.0 } else { 3.0 };
    let freedom = 2.0 * found.agreeing.len() as f64 - parameters;
    if freedom < 1.0 {
        return 1.0;
    }
    let own = found.factor.powi(2);
    let squares = found.agreeing.iter().map(|at| {
        let (x, y) = found.fit.placement.residual(&pairs[*at]);
        (x * x + y * y) / variance(&pairs[*at], size) / own
    });
    let ratio = squares.sum::<f64>() / freedom;
    // Chi-squared over its freedom stays below this in 999 of 1,000 surveys (normal approximation
    // of its cube root, by Wilson and Hilferty).
    let third = 2.0 / (9.0 * freedom);
    let limit = (1.0 - third + 3.09 * third.sqrt()).powi(3);
    if ratio > limit || found.factor > 1.0 {
        return ratio.sqrt();
    }
    1.0
}

fn predict(
    wanted: &WantedHole,
    pair: Option<(&Pair, bool)>,
    found: &Consensus,
    (spread, common): (f64, Option<&Common<'_>>),
) -> PredictedHole {
    let at = found.fit.placement.predict(wanted.at());
    let off = pair.map(|(pair, _)| found.fit.placement.residual(pair));
    PredictedHole {
        hole: wanted.hole,
        x_mm: at.x_mm,
        y_mm: at.y_mm,
        residual_mm: off.map(|(x, y)| x.hypot(y)),
        off_x_mm: off.map(|(x, _)| x),
        off_y_mm: off.map(|(_, y)| y),
        direction_deg: off.map(|(x, y)| y.atan2(x).to_degrees()),
        wandered: pair.is_some_and(|(_, agrees)| !agrees),
        radius95_mm: uncertainty(wanted, pair, found, common)
            .times(spread.powi(2))
            .radius95(),
    }
}

/// The covariance of the true center about the predicted one: that of the fit, and of the pattern
/// at this hole. A hole in the fit has drawn the fit toward its own error of the pattern.
fn uncertainty(
    wanted: &WantedHole,
    pair: Option<(&Pair, bool)>,
    found: &Consensus,
    common: Option<&Common<'_>>,
) -> Covariance {
    let size = found.fit.placement.scale();
    let of_fit = match common {
        Some(common) => common.covariance(wanted.at()).times(found.factor.powi(2)),
        None => found.fit.covariance(wanted.at()),
    };
    let of_pattern = (size * wanted.error_mm * found.factor).powi(2);
    let drawn = match pair {
        Some((pair, true)) => 2.0 * weight(&inflated(pair, found.factor), size) * of_pattern,
        _ => 0.0,
    };
    Covariance::round(of_pattern).plus(of_fit.times(1.0 - drawn))
}

fn inflated(pair: &Pair, factor: f64) -> Pair {
    Pair {
        found_error_mm: pair.found_error_mm * factor,
        wanted_error_mm: pair.wanted_error_mm * factor,
        ..*pair
    }
}

fn warnings(
    survey: &Survey,
    pairs: &[Pair],
    found: &Consensus,
    factor: f64,
    holes: &[PredictedHole],
) -> Vec<FitWarning> {
    let mut warnings = Vec::new();
    let agreeing = found.agreeing.len();
    if agreeing == 2 {
        warnings.push(FitWarning::NotChecked);
    }
    if 2 * agreeing <= pairs.len() {
        warnings.push(FitWarning::FewAgree {
            agreeing: agreeing as u32,
            found: pairs.len() as u32,
        });
    }
    if factor > 1.0 {
        warnings.push(FitWarning::ErrorsTooSmall { factor });
    }
    if found.either_side {
        warnings.push(FitWarning::EitherSide);
    }
    let known = |hole: u32| survey.wanted.iter().any(|wanted| wanted.hole == hole);
    let strangers = survey.found.iter().filter(|found| !known(found.hole));
    warnings.extend(strangers.map(|found| FitWarning::NotInPattern { hole: found.hole }));
    let places: Vec<_> = holes
        .iter()
        .map(|hole| crate::Point::new(hole.x_mm, hole.y_mm))
        .collect();
    let size_mm = crate::input::spread(&places).along_mm;
    warnings.extend(holes.iter().filter_map(|hole| {
        let by_mm = hole.residual_mm.filter(|_| hole.wandered)?;
        (by_mm > FAR_OFF * size_mm).then_some(FitWarning::FarOff {
            hole: hole.hole,
            by_mm,
        })
    }));
    warnings
}
