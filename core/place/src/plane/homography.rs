//! The perspective of a flat face: fit, covariance, and where marks lie.

use super::{KnownPoint, Mark, PhotoSurvey, PlacedMark, PlaneFit, PlaneWarning, warnings};
use crate::gauss::Covariance;
use crate::linear::{self, Matrix, apply, carried, dot, inverse, product, transposed};
use crate::pattern::CommonError;
use crate::{PlaceError, Point, input};

/// Rounds of refinement.
const ROUNDS: usize = 50;
/// A step smaller than this share has settled.
const SETTLED: f64 = 1e-14;
/// Times that the weights are worked out anew from the fit.
const REWEIGHTED: usize = 3;
/// Below this share of the scale in the middle, a point is at the horizon.
const HORIZON: f64 = 1e-6;

/// A map from a photo's pixels to the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Homography {
    /// From pixels to the face.
    forth: Map,
    /// From the face to pixels: worked out once, since a picture asks for it at every pixel.
    back: Option<Map>,
}

/// Derivatives of a place by the first eight entries of the matrix.
pub(super) type ByEntries = Matrix<2, 8>;

/// A map of points with a third coordinate.
type Map = Matrix<3, 3>;

/// A homography in coordinates of about size 1, with what is known about its accuracy.
pub(super) struct Fit {
    /// Moves pixels and millimeters to coordinates of about size 1.
    pixels: Scaling,
    face: Scaling,
    /// The map between those, its last entry 1.
    map: Map,
    /// The covariance of its first eight entries, for errors as stated.
    covariance: Matrix<8, 8>,
    /// How much the known points scatter beyond their errors, if by more than chance explains; else 1.
    pub factor: f64,
    /// Squared deviations of the known points over their freedom.
    freedom: f64,
    chi2: f64,
}

/// Moves a center to 0 and scales by a factor.
#[derive(Clone, Copy, Debug)]
struct Scaling {
    x: f64,
    y: f64,
    by: f64,
}

impl Scaling {
    fn of(points: &[Point], what: &'static str) -> Result<Self, PlaceError> {
        let spread = input::spread_out(points, what)?;
        Ok(Self {
            x: spread.center.x_mm,
            y: spread.center.y_mm,
            by: 1.0 / spread.along_mm,
        })
    }

    fn apply(&self, x: f64, y: f64) -> (f64, f64) {
        ((x - self.x) * self.by, (y - self.y) * self.by)
    }

    fn matrix(&self) -> Map {
        [
            [self.by, 0.0, -self.x * self.by],
            [0.0, self.by, -self.y * self.by],
            [0.0, 0.0, 1.0],
        ]
    }

    fn undo(&self) -> Map {
        [
            [1.0 / self.by, 0.0, self.x],
            [0.0, 1.0 / self.by, self.y],
            [0.0, 0.0, 1.0],
        ]
    }
}

impl Homography {
    /// Returns the place on the face of a pixel. `None` at or beyond the horizon.
    #[must_use]
    pub fn place(&self, px: f64, py: f64) -> Option<Point> {
        project(&self.forth, (px, py)).map(|(x, y)| Point::new(x, y))
    }

    /// Returns the pixel of a place on the face. `None` if it cannot be in the photo.
    #[must_use]
    pub fn pixel(&self, at: Point) -> Option<(f64, f64)> {
        let [x, y, z] = apply(self.back.as_ref()?, &[at.x_mm, at.y_mm, 1.0]);
        let pixel = (x / z, y / z);
        // The sign of the third coordinate tells the face in front from the one behind.
        let [.., forth] = apply(&self.forth, &[pixel.0, pixel.1, 1.0]);
        (forth > 0.0).then_some(pixel)
    }

    /// Fits a map to four or more known points.
    ///
    /// # Errors
    /// As for [`super::measure`].
    pub fn fit(survey: &PhotoSurvey) -> Result<Self, PlaceError> {
        super::check(survey)?;
        input::count(survey.known.len(), 4, "known points")?;
        Ok(Fit::of(survey)?.homography())
    }
}

/// Maps a point. `None` at or beyond the horizon.
fn project(map: &Map, (x, y): (f64, f64)) -> Option<(f64, f64)> {
    let [u, v, w] = apply(map, &[x, y, 1.0]);
    (w > HORIZON).then(|| (u / w, v / w))
}

/// A known point in coordinates of about size 1.
struct Pair {
    from: (f64, f64),
    to: (f64, f64),
    /// The error of its mark, in the same coordinates.
    error_px: f64,
    known: KnownPoint,
}

impl Fit {
    pub fn of(survey: &PhotoSurvey) -> Result<Self, PlaceError> {
        let known = &survey.known;
        let pixels: Vec<Point> = known.iter().map(|k| Point::new(k.px, k.py)).collect();
        let face: Vec<Point> = known.iter().map(|k| Point::new(k.x_mm, k.y_mm)).collect();
        let pixels = Scaling::of(&pixels, "known points in the photo")?;
        let face = Scaling::of(&face, "known points on the face")?;
        let pairs: Vec<Pair> = known
            .iter()
            .map(|k| Pair {
                from: pixels.apply(k.px, k.py),
                to: face.apply(k.x_mm, k.y_mm),
                error_px: survey.error_px(k.error_px) * pixels.by,
                known: *k,
            })
            .collect();
        let mut map = direct(&pairs).ok_or(PlaceError::OneLine {
            what: "known points, or three of four of them,",
        })?;
        let mut weights = weights(&pairs, &map, face.by)?;
        for _ in 0..REWEIGHTED {
            map = refine(&pairs, map, &weights)?;
            weights = self::weights(&pairs, &map, face.by)?;
        }
        let (information, _, chi2) = normal(&pairs, &map, &weights).ok_or(PlaceError::Folded)?;
        let covariance = inverse(&information).ok_or(PlaceError::OneLine {
            what: "known points, or three of four of them,",
        })?;
        let mut fit = Self {
            pixels,
            face,
            map,
            covariance,
            factor: 1.0,
            freedom: 2.0 * pairs.len() as f64 - 8.0,
            chi2,
        };
        if fit.is_loose() {
            fit.factor = (chi2 / fit.freedom).sqrt();
        }
        Ok(fit)
    }

    fn homography(&self) -> Homography {
        let to_face = product(&self.face.undo(), &self.map);
        let forth = product(&to_face, &self.pixels.matrix());
        Homography {
            forth,
            back: inverse(&forth),
        }
    }

    /// Where a pixel lies on the face, mm; its derivative by the pixel, and by the entries.
    pub fn place(&self, px: f64, py: f64) -> Option<(Point, Matrix<2, 2>, ByEntries)> {
        let from = self.pixels.apply(px, py);
        let (x, y) = project(&self.map, from)?;
        let (by_point, by_entries) = derivatives(&self.map, from)?;
        let at = Point::new(
            x / self.face.by + self.face.x,
            y / self.face.by + self.face.y,
        );
        let scale = self.pixels.by / self.face.by;
        let by_pixel = by_point.map(|row| row.map(|entry| entry * scale));
        let by_entries = by_entries.map(|row| row.map(|entry| entry / self.face.by));
        Some((at, by_pixel, by_entries))
    }

    /// The covariance of a place by the known points alone, mm².
    pub fn covariance(&self, by_entries: &ByEntries) -> Covariance {
        covariance_of(&carried(by_entries, &self.covariance)).times(self.factor.powi(2))
    }

    /// Whether the known points miss by more than errors explain in 999 of 1,000 surveys.
    pub fn is_loose(&self) -> bool {
        if self.freedom < 1.0 {
            return false;
        }
        let third = 2.0 / (9.0 * self.freedom);
        let limit = (1.0 - third + 3.09 * third.sqrt()).powi(3);
        self.chi2 / self.freedom > limit
    }
}

/// The direct linear transform: the matrix that solves all equations best, by the smallest
/// eigenvalue. `None` if more than one does.
fn direct(pairs: &[Pair]) -> Option<Map> {
    let mut squares = [[0.0; 9]; 9];
    for pair in pairs {
        let ((x, y), (u, v)) = (pair.from, pair.to);
        let first = [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, -u];
        let second = [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y, -v];
        let both = [first, second];
        squares = linear::plus(&squares, &product(&transposed(&both), &both), 1.0);
    }
    let (values, vectors) = linear::eigen(squares);
    let mut order: Vec<usize> = (0..9).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    if values[order[1]] < 1e-10 * values[order[8]] {
        return None;
    }
    let [a, b, c, d, e, f, g, h, last] = vectors[order[0]];
    let map = [[a, b, c], [d, e, f], [g, h, last]];
    // The middle of the known points is in the photo, so its third coordinate is not 0; and a map
    // that flattens the face comes from three of four points in one line.
    let is_usable = last.abs() > 1e-9 && determinant(&map).abs() > 1e-9;
    is_usable.then(|| map.map(|row| row.map(|entry| entry / last)))
}

fn determinant(map: &Map) -> f64 {
    let [[a, b, c], [d, e, f], [g, h, i]] = map;
    a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
}

/// Derivatives of a mapped point by the point, and by the first eight entries of the matrix.
fn derivatives(map: &Map, (x, y): (f64, f64)) -> Option<(Matrix<2, 2>, ByEntries)> {
    let [u, v, w] = apply(map, &[x, y, 1.0]);
    if w <= HORIZON {
        return None;
    }
    let (u, v) = (u / w, v / w);
    let [[a, b, _], [d, e, _], [g, h, _]] = map;
    let by_point = [
        [(a - u * g) / w, (b - u * h) / w],
        [(d - v * g) / w, (e - v * h) / w],
    ];
    let (p, q, r) = (x / w, y / w, 1.0 / w);
    let by_entries = [
        [p, q, r, 0.0, 0.0, 0.0, -u * p, -u * q],
        [0.0, 0.0, 0.0, p, q, r, -v * p, -v * q],
    ];
    Some((by_point, by_entries))
}

fn covariance_of(matrix: &Matrix<2, 2>) -> Covariance {
    Covariance {
        xx: matrix[0][0],
        xy: matrix[0][1],
        yy: matrix[1][1],
    }
}

/// The inverse covariance of each known point's residual: its error on the face, and that of its
/// mark carried to the face.
fn weights(pairs: &[Pair], map: &Map, face_by: f64) -> Result<Vec<Matrix<2, 2>>, PlaceError> {
    let weight = |pair: &Pair| {
        let (by_point, _) = derivatives(map, pair.from).ok_or(PlaceError::Folded)?;
        let own = (pair.known.error_mm.max(input::LEAST_ERROR_MM) * face_by).powi(2);
        let of_mark = product(&by_point, &transposed(&by_point));
        let of_mark = of_mark.map(|row| row.map(|entry| entry * pair.error_px.powi(2)));
        let variance = linear::plus(&of_mark, &linear::identity(), own);
        inverse(&variance).ok_or(PlaceError::Folded)
    };
    pairs.iter().map(weight).collect()
}

/// The normal equations, and the sum of squared deviations.
type Normal = (Matrix<8, 8>, [f64; 8], f64);

/// Sums up the normal equations. `None` if a point lies beyond the horizon.
fn normal(pairs: &[Pair], map: &Map, weights: &[Matrix<2, 2>]) -> Option<Normal> {
    let mut information = [[0.0; 8]; 8];
    let mut gradient = [0.0; 8];
    let mut chi2 = 0.0;
    for (pair, weight) in pairs.iter().zip(weights) {
        let (x, y) = project(map, pair.from)?;
        let (_, by_entries) = derivatives(map, pair.from)?;
        let miss = [pair.to.0 - x, pair.to.1 - y];
        let weighted = product(&transposed(&by_entries), weight);
        information = linear::plus(&information, &product(&weighted, &by_entries), 1.0);
        let pull = apply(&weighted, &miss);
        gradient = std::array::from_fn(|at| gradient[at] + pull[at]);
        chi2 += dot(&miss, &apply(weight, &miss));
    }
    Some((information, gradient, chi2))
}

/// Weighted least squares from a first map, by Levenberg's damping.
fn refine(pairs: &[Pair], mut map: Map, weights: &[Matrix<2, 2>]) -> Result<Map, PlaceError> {
    let mut damping = 1e-6;
    for _ in 0..ROUNDS {
        let (information, gradient, chi2) =
            normal(pairs, &map, weights).ok_or(PlaceError::Folded)?;
        let mut damped = information;
        (0..8).for_each(|at| damped[at][at] *= 1.0 + damping);
        let Some(step) = inverse(&damped).map(|back| apply(&back, &gradient)) else {
            break;
        };
        let moved = moved(&map, &step);
        match normal(pairs, &moved, weights) {
            Some((_, _, better)) if better <= chi2 => {
                map = moved;
                damping *= 0.1;
            }
            _ => damping *= 10.0,
        }
        let largest = step
            .iter()
            .fold(0.0_f64, |most, entry| most.max(entry.abs()));
        if largest < SETTLED || damping > 1e12 {
            break;
        }
    }
    Ok(map)
}

fn moved(map: &Map, step: &[f64; 8]) -> Map {
    let [a, b, c, d, e, f, g, h] = *step;
    linear::plus(map, &[[a, b, c], [d, e, f], [g, h, 0.0]], 1.0)
}

pub(super) fn measure(survey: &PhotoSurvey) -> Result<PlaneFit, PlaceError> {
    let fit = Fit::of(survey)?;
    let points = (1..)
        .zip(&survey.marks)
        .map(|(at, mark)| placed(&fit, survey, mark).ok_or(PlaceError::BeyondHorizon { mark: at }))
        .collect::<Result<Vec<PlacedMark>, PlaceError>>()?;
    let misses = survey.known.iter().map(|known| {
        let at = fit.place(known.px, known.py).map(|(at, ..)| at);
        at.map_or(f64::NAN, |at| {
            at.distance_mm(Point::new(known.x_mm, known.y_mm))
        })
    });
    let known_residuals_mm: Vec<f64> = misses.collect();
    let tilt_deg = warnings::tilt_deg(&fit, survey);
    let mut found: Vec<PlaneWarning> = Vec::new();
    if survey.known.len() == 4 {
        found.push(PlaneWarning::NotChecked);
    }
    found.extend(warnings::of_fit(
        &fit,
        survey,
        &known_residuals_mm,
        tilt_deg,
    ));
    found.extend(warnings::outside(survey, &points));
    Ok(PlaneFit {
        residual_mm: root_mean_square(&known_residuals_mm),
        points,
        known_residuals_mm,
        tilt_deg,
        warnings: found,
    })
}

fn placed(fit: &Fit, survey: &PhotoSurvey, mark: &Mark) -> Option<PlacedMark> {
    let (at, by_pixel, by_entries) = fit.place(mark.px, mark.py)?;
    let own = covariance_of(&product(&by_pixel, &transposed(&by_pixel)));
    let own = own.times(survey.error_px(mark.error_px).powi(2));
    let covariance = fit.covariance(&by_entries).plus(own);
    Some(PlacedMark {
        x_mm: at.x_mm,
        y_mm: at.y_mm,
        error_mm: covariance.error(),
        radius95_mm: covariance.radius95(),
    })
}

/// The eight entries of the map are uncertain together: each principal direction of their
/// covariance is one cause.
pub(super) fn common_errors(survey: &PhotoSurvey) -> Result<Vec<CommonError>, PlaceError> {
    let fit = Fit::of(survey)?;
    let (variances, directions) = linear::eigen(fit.covariance);
    let causes: Vec<[f64; 8]> = (0..8)
        .map(|at| {
            let deviation = variances[at].max(0.0).sqrt() * fit.factor;
            std::array::from_fn(|entry| directions[at][entry] * deviation)
        })
        .collect();
    (1..)
        .zip(&survey.marks)
        .map(|(at, mark)| {
            let placed = fit.place(mark.px, mark.py);
            let (.., by_entries) = placed.ok_or(PlaceError::BeyondHorizon { mark: at })?;
            let moved = causes.iter().map(|cause| apply(&by_entries, cause));
            Ok(moved.map(|[x, y]| (x, y)).collect())
        })
        .collect()
}

pub(super) fn root_mean_square(values: &[f64]) -> f64 {
    let squares: f64 = values.iter().map(|value| value * value).sum();
    (squares / values.len().max(1) as f64).sqrt()
}
