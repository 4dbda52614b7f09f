//! Which holes agree: the placement that most holes fit within their errors.

use super::least_squares::{Fit, Placement, variance};
use super::{Pair, Survey};
use crate::PlaceError;
use crate::gauss::{Covariance, WANDERED_CHI2};

/// The most pairs of holes that are tried; of more, a fixed choice is.
const MOST_PAIRS: usize = 2_500;
/// How many of the best placements are refined.
const REFINED: usize = 8;
/// Rounds of refitting until the agreeing holes stay the same.
const ROUNDS: usize = 12;
/// Factors by which errors are taken larger if too few holes agree; the last only checks the one
/// before.
const FACTORS: [f64; 4] = [2.0, 4.0, 8.0, 16.0];
/// The share of holes that must agree for errors to be called too small, rather than holes wandered.
const MOST_AGREE: f64 = 0.6;
/// A share of holes that is no more.
const NO_MORE: f64 = 0.05;
/// The least variance of a residual, as a share of the hole's own.
const ROOM: f64 = 1e-6;

/// The placement that most holes agree with.
#[derive(Clone, Debug)]
pub(super) struct Consensus {
    pub fit: Fit,
    /// The pairs that agree, by index.
    pub agreeing: Vec<usize>,
    /// By how much the errors were taken larger.
    pub factor: f64,
    /// Whether the other side fits as well, since the holes lie on one line.
    pub either_side: bool,
    /// The sum of squared deviations in units of their variance, each counted up to the limit.
    score: f64,
}

/// Finds the placement.
pub(super) fn search(pairs: &[Pair], survey: &Survey) -> Result<Consensus, PlaceError> {
    let needs = needed(pairs.len(), survey.scale);
    let one_side = |mirrored| best_of_factors(pairs, mirrored, survey.scale, needs);
    let (plain, turned) = (one_side(false), one_side(true));
    match (plain, turned, survey.mirror) {
        (Ok(plain), Ok(turned), true) => Ok(choose(plain, turned)),
        (Err(_), Ok(turned), true) => Ok(turned),
        (plain, Ok(turned), false) => refuse_mirrored(pairs.len(), plain, &turned),
        (plain, Err(_), _) => plain,
    }
}

/// Refuses a fit that most holes agree with only if the pattern is turned over.
fn refuse_mirrored(
    found: usize,
    plain: Result<Consensus, PlaceError>,
    turned: &Consensus,
) -> Result<Consensus, PlaceError> {
    let unmirrored = plain.as_ref().map_or(0, |plain| plain.agreeing.len());
    let mirrored = turned.agreeing.len();
    if mirrored >= 4 && mirrored > unmirrored && 2 * mirrored > found {
        return Err(PlaceError::Mirrored {
            mirrored: mirrored as u32,
            unmirrored: unmirrored as u32,
        });
    }
    plain
}

/// How many holes must agree.
fn needed(found: usize, scale: bool) -> usize {
    match (found, scale) {
        // Two at the right distance are some evidence; with a free scale, any two fit.
        (2, _) | (3, false) => 2,
        _ => 3,
    }
}

/// The better side; of two that are equally good, the pattern as given.
fn choose(plain: Consensus, turned: Consensus) -> Consensus {
    let alike = (plain.score - turned.score).abs() < 1e-6 * (1.0 + plain.score);
    if alike {
        return Consensus {
            either_side: true,
            ..plain
        };
    }
    if turned.score < plain.score {
        turned
    } else {
        plain
    }
}

/// With the stated errors; or, if few holes agree with these, with larger ones, once more holes do
/// and still larger errors add no more.
fn best_of_factors(
    pairs: &[Pair],
    mirrored: bool,
    scale: bool,
    needs: usize,
) -> Result<Consensus, PlaceError> {
    let with_factor = |factor: f64| {
        let larger: Vec<Pair> = pairs.iter().map(|pair| with_errors(pair, factor)).collect();
        let found = best(&larger, mirrored, scale, needs)?;
        Ok(Consensus { factor, ..found })
    };
    let share = |found: &Result<Consensus, PlaceError>| {
        let agreeing = found.as_ref().map_or(0, |found| found.agreeing.len());
        agreeing as f64 / pairs.len() as f64
    };
    let stated = with_factor(1.0);
    if share(&stated) > 0.5 || pairs.len() == 2 || is_split(&stated, pairs.len()) {
        return stated;
    }
    let mut last = with_factor(FACTORS[0]);
    for factor in &FACTORS[1..] {
        let next = with_factor(*factor);
        if share(&last) >= MOST_AGREE && share(&next) - share(&last) <= NO_MORE {
            return last;
        }
        last = next;
    }
    stated
}

/// Whether nearly all holes belong to one of two placements.
fn is_split(found: &Result<Consensus, PlaceError>, count: usize) -> bool {
    match found {
        Err(PlaceError::Ambiguous { first, second }) => {
            (first.len() + second.len()) as f64 >= MOST_AGREE * count as f64
        }
        _ => false,
    }
}

fn with_errors(pair: &Pair, factor: f64) -> Pair {
    Pair {
        found_error_mm: pair.found_error_mm * factor,
        wanted_error_mm: pair.wanted_error_mm * factor,
        ..*pair
    }
}

fn best(
    pairs: &[Pair],
    mirrored: bool,
    scale: bool,
    needs: usize,
) -> Result<Consensus, PlaceError> {
    let mut tried: Vec<(f64, Placement)> = candidates(pairs.len())
        .filter_map(|(i, j)| Placement::of_two(&pairs[i], &pairs[j], mirrored, scale))
        .map(|placement| (score(pairs, &placement), placement))
        .collect();
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut refined: Vec<Consensus> = Vec::new();
    for (_, placement) in tried.iter().take(REFINED) {
        refined.extend(refine(pairs, placement, scale, needs));
    }
    refined.sort_by(|a, b| {
        let more = b.agreeing.len().cmp(&a.agreeing.len());
        more.then(a.score.total_cmp(&b.score))
    });
    let mut refined = refined.into_iter();
    let Some(first) = refined.next() else {
        return Err(none_agrees(pairs, scale, needs));
    };
    let rival = refined.find(|other| is_rival(&first, other));
    match rival {
        Some(rival) if 2 * first.agreeing.len() <= pairs.len() || pairs.len() == 3 => {
            Err(PlaceError::Ambiguous {
                first: numbers(pairs, &first.agreeing),
                second: numbers(pairs, &rival.agreeing),
            })
        }
        _ => Ok(first),
    }
}

/// Whether as many holes agree with another placement, and most of them are others.
fn is_rival(first: &Consensus, other: &Consensus) -> bool {
    let is_shared = |at: &&usize| first.agreeing.binary_search(at).is_ok();
    let shared = other.agreeing.iter().filter(is_shared).count();
    other.agreeing.len() == first.agreeing.len() && 2 * shared <= first.agreeing.len()
}

fn none_agrees(pairs: &[Pair], scale: bool, needs: usize) -> PlaceError {
    if let ([first, second], false) = (pairs, scale) {
        return PlaceError::PairDisagrees {
            first: first.hole,
            second: second.hole,
            found_mm: first.found.distance_mm(second.found),
            wanted_mm: first.wanted.distance_mm(second.wanted),
        };
    }
    PlaceError::NoAgreement {
        found: pairs.len() as u32,
        needs: needs as u32,
    }
}

fn numbers(pairs: &[Pair], at: &[usize]) -> Vec<u32> {
    at.iter().map(|at| pairs[*at].hole).collect()
}

/// The pairs of holes to try: all, or a fixed choice of very many, each hole about as often.
fn candidates(count: usize) -> Box<dyn Iterator<Item = (usize, usize)>> {
    if count * (count - 1) / 2 <= MOST_PAIRS {
        return Box::new((0..count).flat_map(move |i| (i + 1..count).map(move |j| (i, j))));
    }
    // A linear congruential generator (constants of Numerical Recipes) picks the other hole.
    let mut state = 1_u32;
    Box::new((0..MOST_PAIRS).filter_map(move |at| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let (i, j) = (at % count, (state >> 8) as usize % count);
        (i != j).then_some((i, j))
    }))
}

/// The sum of squared deviations, each up to the limit.
fn score(pairs: &[Pair], placement: &Placement) -> f64 {
    let size = placement.scale();
    pairs
        .iter()
        .map(|pair| {
            let (x, y) = placement.residual(pair);
            ((x * x + y * y) / variance(pair, size)).min(WANDERED_CHI2)
        })
        .sum()
}

/// Refits to the holes that agree until these stay the same.
fn refine(pairs: &[Pair], start: &Placement, scale: bool, needs: usize) -> Option<Consensus> {
    let size = start.scale();
    let fit = |agreeing: &[usize]| {
        let enough = agreeing.len() >= needs;
        enough.then(|| Fit::of(pairs, agreeing, start.mirrored, scale, size))?
    };
    // The first placement comes from two holes, so its own error may double the deviations.
    let mut agreeing = within(pairs, |_, pair| {
        let (x, y) = start.residual(pair);
        (x * x + y * y) / variance(pair, size) / 4.0
    });
    for _ in 0..ROUNDS {
        let found = fit(&agreeing)?;
        let next = within(pairs, |at, pair| {
            deviation(pair, &found, agreeing.binary_search(&at).is_ok())
        });
        if next == agreeing {
            break;
        }
        agreeing = next;
    }
    let fit = fit(&agreeing)?;
    Some(Consensus {
        score: score(pairs, &fit.placement),
        fit,
        agreeing,
        factor: 1.0,
        either_side: false,
    })
}

fn within(pairs: &[Pair], chi2: impl Fn(usize, &Pair) -> f64) -> Vec<usize> {
    let agrees = |at: &usize| chi2(*at, &pairs[*at]) <= WANDERED_CHI2;
    (0..pairs.len()).filter(agrees).collect()
}

/// The squared deviation of a hole in units of the covariance of its residual, which the fit makes
/// smaller for a hole that is part of it, and larger for one that is not.
fn deviation(pair: &Pair, fit: &Fit, is_in: bool) -> f64 {
    let own = variance(pair, fit.placement.scale());
    let sign = if is_in { -1.0 } else { 1.0 };
    // With two or three holes a residual has no room at all in some direction.
    Covariance::round(own * (1.0 + ROOM))
        .plus(fit.covariance(pair.wanted).times(sign))
        .chi2(fit.placement.residual(pair))
}
