//! The centers of a face's holes: where the pattern says each belongs, by the holes that are known
//! good, and how far those that were found are off.
//!
//! Where the holes are comes from their measured places, else from photos with known points. Without
//! either, the pattern itself makes a photo measurable: its good holes are the known points.

use super::agree::{WANDERED_CHI2, agreeing};
use super::photo_map::PhotoMap;
use super::photos::{FoundPlaces, PhotoPlaces, differing, places_by_known_points};
use super::record::{OffsetSource, WantedPattern};
use crate::hole::condition::Condition;
use crate::id::{EntryId, PhotoId};
use crate::length::Length;
use holebook_place::pattern::{self, FitWarning, FoundHole, Survey, WantedHole};
use holebook_place::plane::{KnownPoint, Mark, PhotoPoint, measure};
use holebook_place::{PlaceError, Point};
use std::collections::BTreeSet;

/// A measured place without a tolerance counts as known to ±.005 in. Judgment.
const USUAL_TOLERANCE: Length = Length::from_nm(127_000);
/// A tolerance is kept 19 times in 20: two standard deviations.
pub(super) const DEVIATIONS: f64 = 2.0;
/// The 95 % radius of two equal normal errors, in standard deviations.
const RADIUS95: f64 = 2.448;
/// So many holes graded sound carry a fit alone; with fewer, others that were found count too.
const ENOUGH_SOUND: usize = 4;

/// What is recorded about the places of a face.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FacePlaces {
    /// Its holes; holes that share a number are left out.
    pub holes: Vec<HolePlace>,
    /// Its photos.
    pub photos: Vec<PhotoPlaces>,
}

/// What is recorded about the place of a hole.
#[derive(Debug, Clone, PartialEq)]
pub struct HolePlace {
    /// Its number.
    pub number: u32,
    /// Its condition by a first look.
    pub condition: Option<Condition>,
    /// Its measured place, to the right and up.
    pub at: Option<(Length, Length)>,
    /// How far each coordinate may be off.
    pub tolerance: Option<Length>,
}

/// What the centers rest on.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Measured places of holes, or photos with known points.
    Places,
    /// The marks in one photo, which the pattern makes measurable.
    Photo,
}

/// The centers of a face's holes.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct Centers {
    /// What they rest on.
    pub basis: Basis,
    /// Every hole of the pattern, in its order.
    pub holes: Vec<Center>,
    /// How many of the good holes agree.
    pub agreeing: u32,
    /// The photo that they are shown in, if there is one.
    pub photo: Option<PhotoId>,
    /// Where photos of the face disagree about a hole.
    pub differing: Vec<PhotosDiffer>,
    /// What to be careful about, with lengths in both units.
    pub warnings: Vec<String>,
}

/// A hole that photos put at different places, farther apart than their errors explain: once in
/// 1,000 holes.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct PhotosDiffer {
    /// The hole's number.
    pub number: u32,
    /// The photos that disagree with the others; of two, both.
    pub photos: Vec<PhotoId>,
    /// How far the farthest lies from the mean of those that agree, or of two, how far they are
    /// apart, mm.
    pub by_mm: f64,
    /// Whether the hole is left out altogether, since nothing tells which photo is right.
    pub left_out: bool,
}

/// Where a hole belongs.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct Center {
    /// The hole's number.
    pub number: u32,
    /// Its place to the right, mm: as the holes were measured, or as the pattern counts.
    pub x_mm: f64,
    /// Its place up, mm.
    pub y_mm: f64,
    /// The true center is within this of there, 95 times in 100, mm.
    pub radius95_mm: f64,
    /// How far the hole that was found is off; `None`: it was not found.
    pub off: Option<Off>,
    /// Whether the fit rests on it.
    pub used: bool,
    /// Whether its center is lost: nothing was found there, it wandered, or it was graded off center
    /// or a crater.
    pub lost: bool,
    /// Where it belongs in the photo.
    pub in_photo: Option<InPhoto>,
}

/// Where one hole belongs, and what that was worked out from.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct HoleCenter {
    /// Its center.
    pub center: Center,
    /// The entries that it rests on: an amount that is recorded from it names them.
    pub rests_on: Vec<EntryId>,
}

/// A predicted center in a photo.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq)]
pub struct InPhoto {
    /// Pixels to the right.
    pub x_px: f64,
    /// Pixels down.
    pub y_px: f64,
    /// The 95 % radius, pixels.
    pub radius_px: f64,
}

/// How far a hole is off its center.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq)]
pub struct Off {
    /// How far, mm.
    pub by_mm: f64,
    /// How far to the right, mm.
    pub x_mm: f64,
    /// How far up, mm.
    pub y_mm: f64,
    /// Its tolerance, plus or minus, mm: two standard deviations.
    pub tolerance_mm: f64,
    /// Which way it lies, degrees counterclockwise from the right: as the photo shows it if there is
    /// one, else as the pattern counts.
    pub direction_deg: f64,
    /// Whether it is off by more than its error explains, once in 1,000 holes.
    pub wandered: bool,
    /// What it was worked out from.
    pub source: OffsetSource,
}

/// Why there are no centers: what is missing, or what does not fit, and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CentersError {
    /// The face has no pattern.
    #[error("this face has no wanted pattern yet; enter it")]
    NoPattern,
    /// Devices recorded different patterns.
    #[error("devices disagree about the wanted pattern; pick one")]
    PatternsDiffer,
    /// Too few good holes are marked or measured.
    #[error(
        "{have} good holes of the pattern are marked or measured, and 2 are needed, better 5: mark them in a \
         photo, and grade them sound"
    )]
    TooFew {
        /// How many there are.
        have: u32,
    },
    /// The good holes do not agree.
    #[error(
        "no 4 of the {have} good holes agree with the pattern; check the hole numbers, and whether it was taken \
         from the back"
    )]
    NoAgreement {
        /// How many there are.
        have: u32,
    },
    /// The pattern fits when it is turned over.
    #[error(
        "the pattern fits only when it is turned over: it was taken from the other side, or its holes are numbered \
         the other way around; change it"
    )]
    TurnedOver,
    /// The arithmetic refuses the numbers.
    #[error(transparent)]
    Place(PlaceError),
}

impl From<PlaceError> for CentersError {
    fn from(error: PlaceError) -> Self {
        match error {
            PlaceError::Mirrored { .. } => Self::TurnedOver,
            other => Self::Place(other),
        }
    }
}

/// Returns where the holes of a pattern belong. `good` names the holes that the fit may rest on;
/// `None`: those graded sound, and if those are few, all that are not graded off center or a crater.
///
/// # Errors
/// If fewer than two good holes were found, or they do not agree with the pattern.
pub fn centers(
    pattern: &WantedPattern,
    face: &FacePlaces,
    good: Option<&BTreeSet<u32>>,
) -> Result<Centers, CentersError> {
    let work = Work {
        wanted: wanted(pattern),
        face,
        good,
    };
    let found = work.found()?;
    let known = found.holes.iter().filter(|hole| work.is_wanted(hole.hole));
    match known.count() {
        0 | 1 => work.by_photo(),
        _ => work.by_places(&found),
    }
}

/// Returns whether a grade says that a hole's center is not where it belongs.
pub fn is_graded_off(condition: Option<Condition>) -> bool {
    matches!(
        condition,
        Some(Condition::OffCenter | Condition::Crater | Condition::Welded)
    )
}

/// The pattern's holes as seen on the face.
fn wanted(pattern: &WantedPattern) -> Vec<WantedHole> {
    let holes = pattern.seen_on_face().map(|hole| WantedHole {
        hole: hole.hole,
        x_mm: hole.x.mm(),
        y_mm: hole.y.mm(),
        error_mm: pattern.tolerance.unwrap_or_default().mm() / DEVIATIONS,
    });
    holes.collect()
}

struct Work<'a> {
    wanted: Vec<WantedHole>,
    face: &'a FacePlaces,
    good: Option<&'a BTreeSet<u32>>,
}

impl Work<'_> {
    fn is_wanted(&self, number: u32) -> bool {
        self.wanted.iter().any(|wanted| wanted.hole == number)
    }

    fn condition(&self, number: u32) -> Option<Condition> {
        let hole = self.face.holes.iter().find(|hole| hole.number == number)?;
        hole.condition
    }

    /// Whether its grade says that its center is not where it belongs.
    fn is_graded_off(&self, number: u32) -> bool {
        is_graded_off(self.condition(number))
    }

    /// The holes that the fit may rest on, of those that were found.
    fn good_of(&self, found: &[u32]) -> BTreeSet<u32> {
        let found = || found.iter().copied().filter(|it| self.is_wanted(*it));
        if let Some(good) = self.good {
            return found().filter(|it| good.contains(it)).collect();
        }
        let sound = found().filter(|it| self.condition(*it) == Some(Condition::Sound));
        let sound: BTreeSet<u32> = sound.collect();
        if sound.len() >= ENOUGH_SOUND {
            return sound;
        }
        found().filter(|it| !self.is_graded_off(*it)).collect()
    }

    /// The holes whose place is known: measured, or by photos with known points.
    fn found(&self) -> Result<FoundPlaces, CentersError> {
        let mut found = places_by_known_points(&self.face.photos)?;
        let measured = self.face.holes.iter().filter_map(|hole| {
            let (x, y) = hole.at?;
            let tolerance = hole.tolerance.unwrap_or(USUAL_TOLERANCE);
            Some(FoundHole {
                hole: hole.number,
                x_mm: x.mm(),
                y_mm: y.mm(),
                error_mm: tolerance.mm() / DEVIATIONS,
            })
        });
        measured.for_each(|hole| found.replace(hole));
        Ok(found)
    }

    /// The centers by the places of holes.
    fn by_places(&self, found: &FoundPlaces) -> Result<Centers, CentersError> {
        let numbers: Vec<u32> = found.holes.iter().map(|hole| hole.hole).collect();
        let good = self.good_of(&numbers);
        if good.len() < 2 {
            return Err(CentersError::TooFew {
                have: good.len() as u32,
            });
        }
        let (carrying, common) = found.of(&good);
        let survey = Survey {
            wanted: self.wanted.clone(),
            found: carrying,
            mirror: false,
            scale: false,
        };
        let fit = pattern::fit_with_common_errors(&survey, &common)?;
        let holes: Vec<Center> = fit
            .holes
            .iter()
            .map(|center| {
                let own = found.holes.iter().find(|hole| hole.hole == center.hole);
                let at = Point::new(center.x_mm, center.y_mm);
                let error_mm = center.radius95_mm / RADIUS95;
                let off = own
                    .map(|own| off_of(at, own.at(), own.error_mm.hypot(error_mm), self.source()));
                let used = off.is_some() && good.contains(&center.hole) && !center.wandered;
                let center = self.center(center.hole, at, center.radius95_mm, off, used);
                found.without_disputed(center)
            })
            .collect();
        let of_fit = fit.warnings.iter().filter(|warning| match warning {
            FitWarning::NotInPattern { hole } => good.contains(hole),
            _ => true,
        });
        let warnings = found.warnings.iter().cloned();
        let centers = Centers {
            basis: Basis::Places,
            agreeing: fit.agreeing,
            photo: None,
            differing: found.differing.clone(),
            warnings: warnings.chain(of_fit.map(ToString::to_string)).collect(),
            holes,
        };
        Ok(self.shown_in_photo(centers))
    }

    fn source(&self) -> OffsetSource {
        let measured = self.face.holes.iter().filter(|hole| hole.at.is_some());
        match measured.count() {
            0 => OffsetSource::PhotoPlane,
            _ => OffsetSource::Pattern,
        }
    }

    fn center(
        &self,
        number: u32,
        at: Point,
        radius95_mm: f64,
        off: Option<Off>,
        used: bool,
    ) -> Center {
        let lost = off.is_none_or(|off| off.wandered) || self.is_graded_off(number);
        Center {
            number,
            x_mm: at.x_mm,
            y_mm: at.y_mm,
            radius95_mm,
            off,
            used,
            lost,
            in_photo: None,
        }
    }

    /// The photo with the most good marks, if it has as many as `least`.
    fn best_photo(&self, least: usize) -> Option<(&PhotoPlaces, BTreeSet<u32>)> {
        let photos = self.face.photos.iter().map(|photo| {
            let numbers: Vec<u32> = photo.marks.iter().map(|mark| mark.number).collect();
            (photo, self.good_of(&numbers))
        });
        // Of equals the earlier one.
        let mut best: Option<(&PhotoPlaces, BTreeSet<u32>)> = None;
        for (photo, good) in photos {
            if best.as_ref().is_none_or(|best| good.len() > best.1.len()) {
                best = Some((photo, good));
            }
        }
        best.filter(|best| best.1.len() >= least)
    }

    /// The centers by the marks in one photo, which the pattern makes measurable.
    fn by_photo(&self) -> Result<Centers, CentersError> {
        let best = self.best_photo(0);
        let have = best.as_ref().map_or(0, |best| best.1.len() as u32);
        let Some((photo, good)) = best.filter(|best| best.1.len() >= 2) else {
            return Err(CentersError::TooFew { have });
        };
        let (used, known) = self
            .agreeing_in(photo, &good)
            .ok_or(CentersError::NoAgreement { have })?;
        let fit = measure(&photo.survey(known.clone(), photo.all_marks()))?;
        let map = PhotoMap::fit(known.clone())?;
        if map.is_turned_over((known[0].px, known[0].py)) {
            return Err(CentersError::TurnedOver);
        }
        let radii = self.radii_at_centers(photo, &known, &map)?;
        let holes: Vec<Center> = self
            .wanted
            .iter()
            .zip(radii)
            .map(|(wanted, radius95_mm)| {
                let mut marks = photo.marks.iter();
                let mark = marks.position(|mark| mark.number == wanted.hole);
                let placed = mark.map(|mark| fit.points[mark]);
                let off = placed.map(|placed| {
                    let error_mm = placed.error_mm.hypot(wanted.error_mm);
                    let place = Point::new(placed.x_mm, placed.y_mm);
                    off_of(wanted.at(), place, error_mm, OffsetSource::PhotoPlane)
                });
                let radius95_mm = radius95_mm.hypot(RADIUS95 * wanted.error_mm);
                let used = used.contains(&wanted.hole);
                self.center(wanted.hole, wanted.at(), radius95_mm, off, used)
            })
            .collect();
        Ok(Centers {
            basis: Basis::Photo,
            agreeing: used.len() as u32,
            photo: Some(photo.photo),
            differing: self.differing_by_pattern()?,
            warnings: fit
                .warnings
                .iter()
                .filter_map(|it| photo.warning(it))
                .collect(),
            holes: shown(holes, photo, &map),
        })
    }

    /// The good marks that agree with the pattern, by number and as known points. `None` if too few
    /// do.
    fn agreeing_in(
        &self,
        photo: &PhotoPlaces,
        good: &BTreeSet<u32>,
    ) -> Option<(BTreeSet<u32>, Vec<KnownPoint>)> {
        let (numbers, known) = self.known_by_pattern(photo, good);
        let kept = agreeing(&known, photo.mark_error_px());
        let enough = kept.len() >= known.len().min(4);
        enough.then(|| {
            let used = kept.iter().map(|at| numbers[*at]);
            (used.collect(), kept.iter().map(|at| known[*at]).collect())
        })
    }

    /// The good marks as known points, by the pattern.
    fn known_by_pattern(
        &self,
        photo: &PhotoPlaces,
        good: &BTreeSet<u32>,
    ) -> (Vec<u32>, Vec<KnownPoint>) {
        let marks = photo
            .marks
            .iter()
            .filter(|mark| good.contains(&mark.number));
        let known = marks.filter_map(|mark| {
            let mut wanted = self.wanted.iter();
            let wanted = wanted.find(|wanted| wanted.hole == mark.number)?;
            let known = photo.known_point(mark, wanted.at(), wanted.error_mm);
            Some((mark.number, known))
        });
        known.unzip()
    }

    /// Where photos disagree about a hole, each made measurable by the pattern on its own. A photo of
    /// which fewer than four marks agree with it tells nothing.
    fn differing_by_pattern(&self) -> Result<Vec<PhotosDiffer>, CentersError> {
        let mut points = Vec::new();
        for (photo, at) in self.face.photos.iter().zip(1..) {
            let numbers: Vec<u32> = photo.marks.iter().map(|mark| mark.number).collect();
            let agreeing = self.agreeing_in(photo, &self.good_of(&numbers));
            let Some((_, known)) = agreeing.filter(|(_, known)| known.len() >= 4) else {
                continue;
            };
            let Ok(fit) = measure(&photo.survey(known, photo.all_marks())) else {
                continue;
            };
            points.extend(
                photo
                    .marks
                    .iter()
                    .zip(&fit.points)
                    .map(|(mark, placed)| PhotoPoint {
                        photo: at,
                        hole: mark.number,
                        x_mm: placed.x_mm,
                        y_mm: placed.y_mm,
                        error_mm: placed.error_mm,
                    }),
            );
        }
        let differing = differing(&points, &self.face.photos)?.into_iter();
        Ok(differing
            .map(|differs| PhotosDiffer {
                left_out: false,
                ..differs
            })
            .collect())
    }

    /// The 95 % radius of each center of the pattern as the photo shows it, mm. Nobody had to hit
    /// that pixel, so only the errors of the known points count.
    fn radii_at_centers(
        &self,
        photo: &PhotoPlaces,
        known: &[KnownPoint],
        map: &PhotoMap,
    ) -> Result<Vec<f64>, CentersError> {
        let pixels = self.wanted.iter().map(|wanted| map.pixel(wanted.at()));
        // A center that cannot be in the photo is as unsure as one at its corner.
        let marks = pixels.map(|pixel| {
            let (px, py) = pixel.unwrap_or_default();
            Mark {
                px,
                py,
                error_px: Some(0.0),
            }
        });
        let fit = measure(&photo.survey(known.to_vec(), marks.collect()))?;
        Ok(fit.points.iter().map(|point| point.radius95_mm).collect())
    }

    /// Adds where the centers are in the photo that shows most of the holes that agree.
    fn shown_in_photo(&self, centers: Centers) -> Centers {
        let Some((photo, _)) = self.best_photo(2) else {
            return centers;
        };
        let known = photo.marks.iter().filter_map(|mark| {
            let mut used = centers.holes.iter().filter(|center| center.used);
            let center = used.find(|center| center.number == mark.number)?;
            let off = center.off?;
            let at = Point::new(center.x_mm + off.x_mm, center.y_mm + off.y_mm);
            Some(photo.known_point(mark, at, 0.0))
        });
        match PhotoMap::fit(known.collect()) {
            Ok(map) => Centers {
                holes: shown(centers.holes, photo, &map),
                photo: Some(photo.photo),
                ..centers
            },
            Err(_) => centers,
        }
    }
}

/// Adds the pixels of each center, and turns its deviation as the photo shows it.
fn shown(mut holes: Vec<Center>, photo: &PhotoPlaces, map: &PhotoMap) -> Vec<Center> {
    for center in &mut holes {
        let at = Point::new(center.x_mm, center.y_mm);
        let pixel = map.pixel(at).filter(|pixel| photo.contains(*pixel));
        let radius = map.pixels(at, center.radius95_mm);
        center.in_photo = pixel.zip(radius).map(|((x_px, y_px), radius_px)| InPhoto {
            x_px,
            y_px,
            radius_px,
        });
        let (Some(there), Some(off)) = (center.in_photo, &mut center.off) else {
            continue;
        };
        let place = Point::new(at.x_mm + off.x_mm, at.y_mm + off.y_mm);
        if let Some((px, py)) = map.pixel(place) {
            // Y counts down in the photo.
            off.direction_deg = (there.y_px - py).atan2(px - there.x_px).to_degrees();
        }
    }
    holes
}

fn off_of(center: Point, found: Point, error_mm: f64, source: OffsetSource) -> Off {
    let (x_mm, y_mm) = (found.x_mm - center.x_mm, found.y_mm - center.y_mm);
    let by_mm = x_mm.hypot(y_mm);
    Off {
        by_mm,
        x_mm,
        y_mm,
        tolerance_mm: DEVIATIONS * error_mm,
        direction_deg: y_mm.atan2(x_mm).to_degrees(),
        wandered: by_mm.powi(2) > WANDERED_CHI2 * error_mm.powi(2),
        source,
    }
}
