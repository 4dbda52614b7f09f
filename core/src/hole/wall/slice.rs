//! Slices of depth: the wall cut wherever a station or a hard zone starts or ends.

use super::profile::Profile;
use super::track::Track;
use super::void::Ring;
use super::{Damage, left};
use crate::hole::damage::Span;
use crate::length::Length;
use std::sync::Arc;

/// A slice of depth in which no station and no hard zone starts or ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice {
    /// The depths.
    pub span: Span,
    /// Whether a hard zone lies there.
    pub hard: bool,
    left: Left,
}

/// The part of the flank height that the damage leaves, 0 to 1.
#[derive(Debug, Clone, PartialEq)]
enum Left {
    /// The same at every depth of the slice.
    Same(f64),
    /// It changes, since a circle tapers or leans.
    Changes(Arc<Changing>),
}

/// What is left where circles change on their way down.
#[derive(Debug, Clone, PartialEq)]
struct Changing {
    tracks: Vec<Track>,
    ring: Ring,
    profile: Profile,
}

impl Changing {
    fn at(&self, depth: Length) -> f64 {
        left_at(&self.tracks, self.ring, depth.mm())
    }
}

impl Slice {
    /// The depths at which what is left was worked out, from the upper end to the lower, with the part of the flank height that is left there,
    /// 0 to 1: the ends, the least, and between them as many as tell.
    pub fn samples(&self) -> Vec<(Length, f64)> {
        let Span { from, to } = self.span;
        match &self.left {
            Left::Same(fraction) => vec![(from, *fraction), (to, *fraction)],
            Left::Changes(changing) => {
                let between = changing.profile.between(from.mm(), to.mm());
                let inside = between.map(|(depth_mm, left)| (Length::computed_mm(depth_mm), left));
                let inside = inside.filter(|(depth, _)| from < *depth && *depth < to);
                let end = |depth: Length| (depth, changing.at(depth));
                [end(from)]
                    .into_iter()
                    .chain(inside)
                    .chain([end(to)])
                    .collect()
            }
        }
    }

    /// Whether what is left changes within it.
    pub fn changes(&self) -> bool {
        matches!(self.left, Left::Changes(_))
    }

    /// The least part of the flank height that is left anywhere in it, 0 to 1.
    pub fn least(&self) -> f64 {
        match &self.left {
            Left::Same(fraction) => *fraction,
            Left::Changes(_) => {
                let samples = self.samples().into_iter();
                samples.map(|(_, left)| left).fold(self.mean(), f64::min)
            }
        }
    }

    /// The mean part of the flank height that is left in it, 0 to 1.
    pub fn mean(&self) -> f64 {
        match &self.left {
            Left::Same(fraction) => *fraction,
            Left::Changes(_) => self.whole_mm(self.span) / self.span.length().mm(),
        }
    }

    /// Whole thread in the part of it that lies in a span, mm.
    pub(super) fn whole_mm(&self, within: Span) -> f64 {
        let shared = self.span.shared_with(within);
        match &self.left {
            Left::Same(fraction) => fraction * shared.length().mm(),
            Left::Changes(changing) => changing.profile.whole_mm(shared.from.mm(), shared.to.mm()),
        }
    }

    /// The part of it that lies in a span; of no length where none does.
    pub(in crate::hole) fn within(&self, span: Span) -> Slice {
        Slice {
            span: self.span.shared_with(span),
            ..self.clone()
        }
    }
}

/// A span cut wherever a station or a hard zone starts or ends, from the face down, with what is left in each piece.
pub fn slices(damage: &Damage, drilled: Length, major: Length, within: Span) -> Vec<Slice> {
    let ring = Ring::new(drilled, major);
    let mut cuts = vec![within.from, within.to];
    let stations = damage.stations.iter().map(|station| station.span);
    let hard = damage.hard.iter().map(|zone| zone.reach());
    for span in stations.chain(hard) {
        cuts.extend(
            [span.from, span.to]
                .into_iter()
                .filter(|d| within.holds(*d)),
        );
    }
    cuts.sort_unstable();
    cuts.dedup();
    cuts.windows(2)
        .map(|pair| Span {
            from: pair[0],
            to: pair[1],
        })
        .filter(|span| span.length().is_positive())
        .map(|span| Slice {
            span,
            hard: damage.hard.iter().any(|zone| zone.reach().holds(span.from)),
            left: ring.map_or(Left::Same(0.0), |ring| left_in(damage, ring, span)),
        })
        .collect()
}

fn left_in(damage: &Damage, ring: Ring, span: Span) -> Left {
    let here = damage.stations.iter().filter(|s| s.span.holds(span.from));
    let tracks: Vec<Track> = here.map(Track::of).collect();
    if !tracks.iter().any(Track::changes) {
        return Left::Same(left_at(&tracks, ring, span.from.mm()));
    }
    let cuts = cuts_mm(&tracks, ring, span);
    let profile = Profile::of(|depth_mm| left_at(&tracks, ring, depth_mm), &cuts);
    Left::Changes(Arc::new(Changing {
        tracks,
        ring,
        profile,
    }))
}

fn left_at(tracks: &[Track], ring: Ring, depth_mm: f64) -> f64 {
    left(
        tracks.iter().map(|track| track.at(depth_mm)).collect(),
        ring,
    )
}

/// The ends of the span, and every depth between at which what is left may bend.
fn cuts_mm(tracks: &[Track], ring: Ring, span: Span) -> Vec<f64> {
    let (from, to) = (span.from.mm(), span.to.mm());
    let mut cuts = Vec::with_capacity(16);
    for (i, track) in tracks.iter().enumerate() {
        track.bends(ring, &mut cuts);
        for other in &tracks[i + 1..] {
            track.touches(other, &mut cuts);
        }
    }
    cuts.retain(|depth| from < *depth && *depth < to);
    cuts.extend([from, to]);
    cuts.sort_unstable_by(f64::total_cmp);
    cuts.dedup_by(|later, earlier| *later - *earlier < A_HAIR_MM);
    if let Some(last) = cuts.last_mut() {
        *last = to;
    }
    cuts
}

/// Depths closer than this are one.
const A_HAIR_MM: f64 = 1e-7;
