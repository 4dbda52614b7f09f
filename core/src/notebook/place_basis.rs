//! The entries that a hole's center rests on, and those that a photo's scale rests on: an amount that
//! is recorded from them names them, so that it is asked for again when one changes.

use super::EntryKind;
use super::error::Fault;
use super::id::{EntryId, PhotoId};
use super::views::{FaceView, HoleSummary, PhotoView};
use super::write::active_entries;
use crate::hole::record::Recorded;
use crate::places::centers::{Basis, Centers};
use crate::places::outline::{OutlineCenter, OutlineScale};
use crate::places::plane::PhotoPlane;
use rusqlite::Connection;
use std::collections::BTreeSet;
use uuid::Uuid;

/// Gathers entries about a face.
pub(super) struct PlaceBasis<'a> {
    conn: &'a Connection,
    face: &'a FaceView,
    entries: BTreeSet<EntryId>,
}

impl<'a> PlaceBasis<'a> {
    pub fn new(conn: &'a Connection, face: &'a FaceView) -> Self {
        Self {
            conn,
            face,
            entries: BTreeSet::new(),
        }
    }

    /// Returns what was gathered, in the order of the ids.
    pub fn finish(self) -> Vec<EntryId> {
        self.entries.into_iter().collect()
    }

    /// Adds what the center of a hole rests on, and how far the hole is off: the pattern, the holes
    /// that the fit rests on, and the photos that say where those are.
    pub fn center(&mut self, centers: &Centers, number: u32) -> Result<(), Fault> {
        self.pattern();
        let used = centers.holes.iter().filter(|center| center.used);
        let numbers: BTreeSet<u32> = used.map(|center| center.number).chain([number]).collect();
        self.places(&numbers)?;
        for photo in &self.face.photos {
            let known = match centers.basis {
                Basis::Photo => Vec::new(),
                Basis::Places => self.active(photo.id.0, EntryKind::KnownPlace)?,
            };
            // The photo that they are shown in tells which way a hole is off.
            if known.is_empty() && centers.photo != Some(photo.id) {
                continue;
            }
            self.entries.extend(known);
            self.photo(photo)?;
            self.marks(photo, &numbers);
        }
        Ok(())
    }

    /// Adds what an edge rests on that was traced in a photo. `plane` is the photo as a map, if it is
    /// one.
    pub fn outline(
        &mut self,
        photo: PhotoId,
        plane: Option<&PhotoPlane>,
        (scale, center): (OutlineScale, OutlineCenter),
        (number, centers): (u32, Option<&Centers>),
    ) -> Result<(), Fault> {
        let Some(photo) = self.face.photos.iter().find(|it| it.id == photo) else {
            return Ok(());
        };
        self.photo(photo)?;
        match (scale, plane) {
            (OutlineScale::Plane, Some(plane)) if plane.by_holes.is_empty() => {
                let known = self.active(photo.id.0, EntryKind::KnownPlace)?;
                self.entries.extend(known);
            }
            (OutlineScale::Plane, plane) => {
                let numbers = plane.map_or(&[][..], |plane| &plane.by_holes);
                let numbers = numbers.iter().copied().collect();
                self.pattern();
                self.places(&numbers)?;
                self.marks(photo, &numbers);
            }
            (OutlineScale::Thread, _) => self.rims(photo)?,
        }
        match (center, centers) {
            (OutlineCenter::Pattern, Some(centers)) => self.center(centers, number),
            _ => {
                let own = BTreeSet::from([number]);
                self.places(&own)?;
                self.marks(photo, &own);
                Ok(())
            }
        }
    }

    fn active(&self, subject: Uuid, kind: EntryKind) -> Result<Vec<EntryId>, Fault> {
        active_entries(self.conn, subject, kind)
    }

    fn pattern(&mut self) {
        let record = &self.face.record;
        self.entries.extend(ids(&record.pattern.0));
        self.entries.extend(ids(&record.good.0));
    }

    fn photo(&mut self, photo: &PhotoView) -> Result<(), Fault> {
        let entries = self.active(photo.id.0, EntryKind::Photo)?;
        self.entries.extend(entries);
        Ok(())
    }

    /// Adds the numbers and measured places of holes.
    fn places(&mut self, numbers: &BTreeSet<u32>) -> Result<(), Fault> {
        for hole in &self.face.holes {
            if numbers.contains(&hole.number) {
                let entries = self.active(hole.id.0, EntryKind::Hole)?;
                self.entries.extend(entries);
            }
        }
        Ok(())
    }

    fn marks(&mut self, photo: &PhotoView, numbers: &BTreeSet<u32>) {
        let marks = photo
            .marks
            .iter()
            .filter(|mark| numbers.contains(&mark.number));
        self.entries
            .extend(marks.flat_map(|mark| ids(&mark.entries.0)));
    }

    /// Adds the rims of known thread, and the threads.
    fn rims(&mut self, photo: &PhotoView) -> Result<(), Fault> {
        let has_rim = |hole: &&HoleSummary| {
            let mut marks = photo.marks.iter().filter(|mark| mark.hole == hole.id);
            let mark = marks.find_map(|mark| mark.entries.agreed());
            hole.thread.is_some() && mark.is_some_and(|mark| mark.rim_radius_px.is_some())
        };
        let holes: Vec<&HoleSummary> = self.face.holes.iter().filter(has_rim).collect();
        let numbers: BTreeSet<u32> = holes.iter().map(|hole| hole.number).collect();
        self.places(&numbers)?;
        self.marks(photo, &numbers);
        for hole in holes {
            let own = self.active(hole.id.0, EntryKind::WantedThread)?;
            match own.is_empty() {
                true => self.entries.extend(ids(&self.face.record.setup.thread.0)),
                false => self.entries.extend(own),
            }
        }
        Ok(())
    }
}

fn ids<T>(entries: &[Recorded<T>]) -> impl Iterator<Item = EntryId> + '_ {
    entries.iter().map(|entry| entry.entry)
}
