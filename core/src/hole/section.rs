//! The cross section of a hole, to scale: outlines in millimeters for drawings.
//!
//! The section plane runs through the intended center, left to right in the picture. `x_mm` is to
//! the right of the intended center, `depth_mm` into the metal from the face as is. Nothing unknown
//! is drawn.

mod above;

pub use above::{FromAbove, from_above};

use super::damage::{Circle, Span, Station, metal_start, slices};
use super::record::Remedy;
use super::remedies::{Assessment, point_length};
use super::situation::Situation;
use crate::length::Length;
use serde::Serialize;

/// A point of an outline.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Point {
    /// To the right of the intended center.
    pub x_mm: f64,
    /// Below the face as is.
    pub depth_mm: f64,
}

/// What an outline shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OutlineKind {
    /// The metal of the casting, before anything is removed.
    Metal,
    /// The stock left to remove.
    FaceCut,
    /// The hole as intended, at the minor diameter of its thread.
    Hole,
    /// A circle of missing metal, where the plane cuts it.
    Damage,
    /// A hard zone, on both sides of the hole.
    Hard,
    /// A broken piece in the hole.
    BrokenPiece,
    /// The hole to drill, with the drill point.
    Drilled,
    /// The part of the thread to cut that has metal in the plane: an outline per side and slice.
    Thread,
    /// The insert or plug at its depth.
    Insert,
    /// The face as is.
    FaceAsIs,
    /// The finished face.
    FinishedFace,
    /// The far side of the floor, or of the metal around a through hole.
    FarSide,
}

/// One outline.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outline {
    /// What it shows.
    pub kind: OutlineKind,
    /// Its corners, in order.
    pub points: Vec<Point>,
    /// Whether it is a closed shape; otherwise it is a line.
    pub closed: bool,
}

/// All outlines of one hole in drawing order, and their frame.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Section {
    /// The outlines, bottom layer first.
    pub outlines: Vec<Outline>,
    /// From the intended center to either side of the frame.
    pub half_width_mm: f64,
    /// The top of the frame: zero, or negative if a broken piece sticks out of the face.
    pub top_mm: f64,
    /// The bottom of the frame.
    pub bottom_mm: f64,
}

/// Width of metal drawn beside the widest outline, in nominal diameters.
const MARGIN_DIAMETERS: f64 = 0.6;

/// Returns the section of a hole, with the cuts and the insert of an assessment.
pub fn section(situation: &Situation, assessment: Option<&Assessment>) -> Section {
    let mut draw = Draw(Vec::with_capacity(16));
    draw.hole(situation);
    draw.damage(situation);
    if let Some(assessment) = assessment {
        draw.remedy(situation, assessment);
    }
    let margin_mm = situation.thread.nominal().mm() * MARGIN_DIAMETERS;
    let corners = || draw.0.iter().flat_map(|outline| &outline.points);
    let half_width_mm = corners().fold(0.0, |widest: f64, p| widest.max(p.x_mm.abs())) + margin_mm;
    let deepest = corners().fold(0.0, |deepest: f64, p| deepest.max(p.depth_mm));
    let top_mm = corners().fold(0.0, |top: f64, p| top.min(p.depth_mm));
    let far_side_mm = far_side(situation).map(Length::mm);
    let bottom_mm = far_side_mm.unwrap_or(deepest + margin_mm).max(deepest);
    let mut outlines = Draw(vec![]);
    outlines.rectangle(
        OutlineKind::Metal,
        (-half_width_mm, half_width_mm),
        (0.0, far_side_mm.unwrap_or(bottom_mm)),
    );
    outlines.0.append(&mut draw.0);
    outlines.faces(situation, half_width_mm, far_side_mm);
    Section {
        outlines: outlines.0,
        half_width_mm,
        top_mm,
        bottom_mm,
    }
}

/// Returns where the metal ends: under the floor, or at the exit of a through hole.
fn far_side(situation: &Situation) -> Option<Length> {
    match situation.blind() {
        Some(false) => situation.depth,
        _ => Some(situation.depth? + situation.floor?),
    }
}

struct Draw(Vec<Outline>);

impl Draw {
    fn outline(&mut self, kind: OutlineKind, closed: bool, points: &[(f64, f64)]) {
        let points = points
            .iter()
            .map(|&(x_mm, depth_mm)| Point { x_mm, depth_mm })
            .collect();
        self.0.push(Outline {
            kind,
            points,
            closed,
        });
    }

    fn rectangle(
        &mut self,
        kind: OutlineKind,
        (left, right): (f64, f64),
        (top, bottom): (f64, f64),
    ) {
        self.outline(
            kind,
            true,
            &[(left, top), (right, top), (right, bottom), (left, bottom)],
        );
    }

    /// Adds a rectangle on each side of the intended center.
    fn both_sides(&mut self, kind: OutlineKind, (inner, outer): (f64, f64), depths: (f64, f64)) {
        self.rectangle(kind, (-outer, -inner), depths);
        self.rectangle(kind, (inner, outer), depths);
    }

    fn hole(&mut self, situation: &Situation) {
        if let Some(depth) = situation.depth {
            let radius = situation.thread.basic().minor_mm / 2.0;
            self.rectangle(OutlineKind::Hole, (-radius, radius), (0.0, depth.mm()));
        }
    }

    fn damage(&mut self, situation: &Situation) {
        let damage = &situation.damage;
        for station in &situation.damage_to_cut().stations {
            self.station(station);
        }
        let nominal = situation.thread.nominal().mm();
        for zone in &damage.hard {
            self.both_sides(
                OutlineKind::Hard,
                (nominal / 2.0, nominal * 0.75),
                depths_of(zone.span),
            );
        }
        if let Some(piece) = &damage.broken_tool
            && let Some(end) = piece
                .length
                .map(|long| piece.top.unwrap_or(Length::ZERO) + long)
                .or(situation.depth)
        {
            let radius = situation.thread.basic().minor_mm / 2.0;
            let top = piece.top.unwrap_or(Length::ZERO);
            self.rectangle(
                OutlineKind::BrokenPiece,
                (-radius, radius),
                (top.mm(), end.mm()),
            );
        }
    }

    /// Adds a station where the plane cuts it; several outlines if it leaves the plane and comes
    /// back.
    fn station(&mut self, station: &Station) {
        let mut chords: Vec<(f64, f64, f64)> = Vec::with_capacity(STEPS as usize + 1);
        for depth in steps_down(station.span, station.changes()) {
            match chord(&station.at(depth)) {
                Some((left, right)) => chords.push((depth.mm(), left, right)),
                None => self.between_chords(OutlineKind::Damage, std::mem::take(&mut chords)),
            }
        }
        self.between_chords(OutlineKind::Damage, chords);
    }

    /// Adds the outline around chords (depth, left, right), clockwise from the upper left.
    fn between_chords(&mut self, kind: OutlineKind, chords: Vec<(f64, f64, f64)>) {
        let Some((first, rest)) = chords.split_first().filter(|(_, rest)| !rest.is_empty()) else {
            return;
        };
        let mut points = vec![(first.1, first.0), (first.2, first.0)];
        points.extend(rest.iter().map(|chord| (chord.2, chord.0)));
        points.extend(rest.iter().rev().map(|chord| (chord.1, chord.0)));
        self.outline(kind, true, &points);
    }

    fn remedy(&mut self, situation: &Situation, assessment: &Assessment) {
        let (Some(depths), Some(drill)) = (&assessment.depths, assessment.drill) else {
            return;
        };
        let radius = drill.diameter.mm() / 2.0;
        if let Some(depth) = depths.drill {
            let tip = if situation.blind() == Some(false) {
                Length::ZERO
            } else {
                point_length(&drill)
            };
            let (end, tip) = (depth.mm(), (depth + tip).mm());
            self.outline(
                OutlineKind::Drilled,
                true,
                &[
                    (-radius, 0.0),
                    (-radius, end),
                    (0.0, tip),
                    (radius, end),
                    (radius, 0.0),
                ],
            );
        }
        if let (Some(to), Some(major)) = (depths.full_thread, major(assessment)) {
            self.thread(situation, drill.diameter, major, to);
            self.insert(situation, assessment, major);
        }
    }

    /// Adds what is left of the thread on the left and right, slice by slice.
    fn thread(&mut self, situation: &Situation, drilled: Length, major: Length, to: Length) {
        let cut = Span {
            from: Length::ZERO,
            to,
        };
        let damage = situation.damage_to_cut();
        let outer = major.mm() / 2.0;
        for slice in slices(&damage, drilled, major, cut) {
            let just_above = slice.span.to - Length::from_nm(1);
            for (direction_deg, side) in [(180.0, -1.0), (0.0, 1.0)] {
                let chord = |depth: Length| {
                    let at = depth.min(just_above);
                    let inner = metal_start(&damage, drilled, major, at, direction_deg).mm();
                    let (near, far) = (side * inner, side * outer);
                    (depth.mm(), near.min(far), near.max(far))
                };
                let chords: Vec<_> = steps_down(slice.span, slice.varies()).map(chord).collect();
                if chords.iter().any(|(_, left, right)| left < right) {
                    self.between_chords(OutlineKind::Thread, chords);
                }
            }
        }
    }

    fn insert(&mut self, situation: &Situation, assessment: &Assessment, major: Length) {
        let Some(depths) = &assessment.depths else {
            return;
        };
        let outer = major.mm() / 2.0;
        if assessment.remedy == Remedy::ThreadedPlug {
            let long = depths.full_thread.unwrap_or(depths.full_thread_after_cut);
            self.rectangle(OutlineKind::Insert, (-outer, outer), (0.0, long.mm()));
        } else if let Some((insert, top)) = assessment.insert.as_ref().zip(depths.install_now) {
            let bore = situation.thread.basic().minor_mm / 2.0;
            self.both_sides(
                OutlineKind::Insert,
                (bore, outer),
                (top.mm(), (top + insert.length).mm()),
            );
        }
    }

    fn faces(&mut self, situation: &Situation, half_width_mm: f64, far_side_mm: Option<f64>) {
        let across = |depth_mm: f64| [(-half_width_mm, depth_mm), (half_width_mm, depth_mm)];
        if let Some(cut) = situation.face_cut.filter(|cut| cut.is_positive()) {
            self.rectangle(
                OutlineKind::FaceCut,
                (-half_width_mm, half_width_mm),
                (0.0, cut.mm()),
            );
            self.outline(OutlineKind::FinishedFace, false, &across(cut.mm()));
        }
        self.outline(OutlineKind::FaceAsIs, false, &across(0.0));
        if let Some(depth_mm) = far_side_mm {
            self.outline(OutlineKind::FarSide, false, &across(depth_mm));
        }
    }
}

/// Number of steps in which a taper or lean is drawn.
const STEPS: i64 = 24;

/// Returns the depths of a span to draw at: its ends, and steps between if something changes.
fn steps_down(span: Span, changes: bool) -> impl Iterator<Item = Length> {
    let steps = if changes { STEPS } else { 1 };
    (0..=steps).map(move |step| span.from + (span.to - span.from) * step / steps)
}

/// Returns the left and right ends of the chord that the plane cuts; `None` if it misses the
/// circle.
fn chord(circle: &Circle) -> Option<(f64, f64)> {
    let (x, y) = circle.center_mm();
    let radius = circle.diameter.mm() / 2.0;
    let half2 = radius * radius - y * y;
    (half2 > 0.0).then(|| (x - half2.sqrt(), x + half2.sqrt()))
}

fn depths_of(span: Span) -> (f64, f64) {
    (span.from.mm(), span.to.mm())
}

/// Returns the major diameter of the thread cut into the casting.
fn major(assessment: &Assessment) -> Option<Length> {
    let insert = assessment
        .insert
        .as_ref()
        .map(|insert| insert.outside.major);
    insert.or_else(|| {
        let thread = crate::thread::Thread::parse(assessment.outside_thread.as_deref()?);
        thread.ok().map(|thread| thread.nominal())
    })
}

#[cfg(test)]
mod tests;
