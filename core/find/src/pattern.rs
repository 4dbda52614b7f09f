//! Finds the holes of a known pattern: the holes that are known say where the others must be, and
//! the picture says where exactly.

use crate::FindError;
use crate::look::{Look, near};
use crate::plane::Picture;
use crate::propose::{Candidate, SizeTrend, candidates};
use crate::rim::{Point, Rim};
use crate::score::sureness;
use crate::view::{Pair, Prediction, View};

/// A rim's center is off by about this, in diameters.
const CENTER_ERROR: f64 = 0.02;
/// A rim where the pattern says that a hole is, is one with this much more ease, as a logarithm of
/// odds. A judgement.
const PATTERN_ODDS: f64 = 4.5;
/// A rim further from the prediction than this many standard deviations is another thing.
const FURTHEST: f64 = 3.5;
/// A proposal is at least this sure.
const LEAST_SURE: f64 = 0.5;

/// The wanted places of the holes of a face.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// Each hole's place, to the right and up, in any one unit.
    pub places: Vec<(f64, f64)>,
    /// How far a real hole may be from its place, in the same unit; one standard deviation.
    pub error: f64,
}

/// A hole of the pattern that was not marked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Its index in the pattern.
    pub place: usize,
    /// Where it must be by the others, pixels.
    pub center: Point,
    /// The true center is within this distance with 95 % probability, pixels, if the hole is where
    /// the pattern says.
    pub radius95_px: f64,
    /// The rim that was found there, and how sure it is; `None`: nothing like a hole shows.
    pub rim: Option<(Rim, f64)>,
}

/// Proposes a place in the picture for every hole of the pattern that is not marked, in the
/// pattern's order. `marks` are indices into the pattern and where they are.
///
/// After each hole that is found, the others are predicted again.
///
/// # Errors
/// If fewer than two different places are marked, an index is not in the pattern, a mark is outside
/// the picture, or if no rim is found around the marks.
pub fn propose_on_pattern(
    picture: &Picture,
    pattern: &Pattern,
    marks: &[(usize, Point)],
) -> Result<Vec<Expected>, FindError> {
    if marks.iter().any(|mark| mark.0 >= pattern.places.len()) {
        return Err(FindError::NotInPattern);
    }
    let points: Vec<Point> = marks.iter().map(|mark| mark.1).collect();
    let look = Look::learn(picture, &points)?;
    let size = SizeTrend::of(&look, &points);
    let mut search = Search {
        picture,
        pattern,
        rims: candidates(picture, &look),
        found: Vec::new(),
        pairs: Vec::new(),
        look,
        size,
    };
    search.pairs = search.marked(marks);
    let mirrored = search.is_mirrored()?;
    loop {
        let view = search.view(mirrored)?;
        match search.surest(&view) {
            Some(next) => search.take(next),
            None => return Ok(search.expected(&view)),
        }
    }
}

struct Search<'a> {
    picture: &'a Picture,
    pattern: &'a Pattern,
    look: Look,
    size: SizeTrend,
    rims: Vec<Candidate>,
    pairs: Vec<(usize, Pair)>,
    found: Vec<Next>,
}

/// A hole that was found.
#[derive(Clone, Copy)]
struct Next {
    place: usize,
    rim: Rim,
    sureness: f64,
    /// How much it is worth to take it before others.
    worth: f64,
}

impl Search<'_> {
    fn marked(&self, marks: &[(usize, Point)]) -> Vec<(usize, Pair)> {
        let error_px = CENTER_ERROR * 2.0 * self.look.shape.radius();
        let pairs = marks
            .iter()
            .zip(&self.look.rims)
            .map(|(&(place, mark), rim)| {
                let (found, error_px) = match rim {
                    Some(rim) => (rim.center, error_px),
                    None => (mark, 5.0 * error_px),
                };
                (
                    place,
                    Pair {
                        plan: self.pattern.places[place],
                        found,
                        error_px,
                    },
                )
            });
        pairs.collect()
    }

    fn view(&self, mirrored: bool) -> Result<View, FindError> {
        // The pattern's own error is added in pixels, by the scale that a first fit gives.
        let fit = |pairs: &[Pair]| View::fit(&self.pattern.places, pairs, mirrored);
        let mut pairs: Vec<Pair> = self.pairs.iter().map(|pair| pair.1).collect();
        let first = fit(&pairs).ok_or(FindError::TooFewMarks)?;
        for pair in &mut pairs {
            let plan_px = first.pixels_per_unit(pair.plan) * self.pattern.error;
            pair.error_px = pair.error_px.hypot(plan_px);
        }
        fit(&pairs).ok_or(FindError::TooFewMarks)
    }

    /// Whether the pattern fits the marks better as seen from the other side; two marks cannot
    /// tell.
    fn is_mirrored(&self) -> Result<bool, FindError> {
        let as_given = self.view(false)?;
        let from_behind = self.view(true)?;
        Ok(self.pairs.len() > 2 && from_behind.misfit + 9.0 < as_given.misfit)
    }

    fn surest(&self, view: &View) -> Option<Next> {
        let nexts = self.waiting().filter_map(|place| self.best(view, place));
        nexts.max_by(|a, b| a.worth.total_cmp(&b.worth))
    }

    fn waiting(&self) -> impl Iterator<Item = usize> + '_ {
        let known = |place: &usize| self.pairs.iter().any(|pair| pair.0 == *place);
        (0..self.pattern.places.len()).filter(move |place| !known(place))
    }

    /// The best rim for a place; `None` if there is none that is likely the hole.
    fn best(&self, view: &View, place: usize) -> Option<Next> {
        let prediction = view.predict(self.pattern.places[place], self.pattern.error);
        let radius = self.look.shape.radius();
        let seen = self
            .rims
            .iter()
            .filter_map(|rim| self.judged(&prediction, place, rim));
        let best = seen.max_by(|a, b| a.sureness.total_cmp(&b.sureness));
        // A faint hole may have too few votes to stand out in the whole picture.
        let reach = (2.0 * prediction.spread() / radius).clamp(0.4, 1.5);
        if best.is_some_and(|best| best.sureness > 0.9) || !self.picture.contains(prediction.center)
        {
            return best.filter(|best| best.sureness >= LEAST_SURE);
        }
        let shape = self.size.at(prediction.center);
        let faint = near(self.picture, prediction.center, shape, reach)
            .map(|fit| Candidate { fit, votes: 0.2 })
            .and_then(|rim| self.judged(&prediction, place, &rim));
        let both = best.into_iter().chain(faint);
        both.max_by(|a, b| a.sureness.total_cmp(&b.sureness))
            .filter(|best| best.sureness >= LEAST_SURE)
    }

    fn judged(&self, prediction: &Prediction, place: usize, rim: &Candidate) -> Option<Next> {
        let center = rim.fit.rim.center;
        let error_px = CENTER_ERROR * 2.0 * self.look.shape.radius();
        let off = prediction.distance_squared(center, error_px);
        let is_taken = self
            .pairs
            .iter()
            .any(|(_, pair)| pair.found.distance(center) < self.look.shape.radius());
        if off > FURTHEST * FURTHEST || is_taken {
            return None;
        }
        let alone = sureness(&rim.features(&self.look, &self.size));
        let odds = (alone / (1.0 - alone).max(1e-9)).max(1e-9).ln() + PATTERN_ODDS - off / 2.0;
        let sureness = 1.0 / (1.0 + (-odds).exp());
        // The least uncertain first, of those that are as sure.
        let worth = odds.min(6.0) - 2.0 * (prediction.spread() / self.look.shape.radius()).ln_1p();
        Some(Next {
            place,
            rim: rim.fit.rim,
            sureness,
            worth,
        })
    }

    fn take(&mut self, next: Next) {
        let pair = Pair {
            plan: self.pattern.places[next.place],
            found: next.rim.center,
            error_px: CENTER_ERROR * next.rim.diameter() / next.sureness,
        };
        self.pairs.push((next.place, pair));
        self.found.push(next);
    }

    fn expected(&self, view: &View) -> Vec<Expected> {
        let marked = self.pairs.len() - self.found.len();
        let known = |place: &usize| self.pairs[..marked].iter().any(|pair| pair.0 == *place);
        let places = (0..self.pattern.places.len()).filter(|place| !known(place));
        let expected = places.map(|place| {
            let prediction = view.predict(self.pattern.places[place], self.pattern.error);
            let found = self.found.iter().find(|found| found.place == place);
            Expected {
                place,
                center: prediction.center,
                // The 95 % quantile of two normal errors' distance, for the larger of both.
                radius95_px: 2.448 * prediction.spread(),
                rim: found.map(|found| (found.rim, found.sureness)),
            }
        });
        expected.collect()
    }
}
