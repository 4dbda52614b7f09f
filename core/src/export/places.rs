//! The names of what entries are about.

use crate::notebook::{CastingId, FaceId, HoleId, Notebook, NotebookError, PhotoId};
use std::collections::HashMap;
use uuid::Uuid;

/// Casting, face and hole of a subject, as the tables name them.
#[derive(Debug, Clone, Default)]
pub(super) struct Place {
    pub casting: String,
    pub face: String,
    pub hole: Option<u32>,
}

/// A face with its holes and photos.
#[derive(Debug, Clone)]
pub(super) struct FacePlace {
    pub id: FaceId,
    pub place: Place,
    pub holes: Vec<HoleId>,
    pub photos: Vec<PhotoId>,
}

/// All castings with their faces, and the names of every subject that is not struck out.
#[derive(Debug, Clone, Default)]
pub(super) struct Places {
    pub castings: Vec<CastingId>,
    pub faces: Vec<FacePlace>,
    names: HashMap<Uuid, Place>,
}

impl Places {
    pub fn of(notebook: &Notebook) -> Result<Self, NotebookError> {
        let mut places = Places::default();
        for casting in notebook.list()?.castings {
            places.castings.push(casting.id);
            let on_casting = Place {
                casting: casting.name,
                ..Place::default()
            };
            places.names.insert(casting.id.0, on_casting.clone());
            for face in casting.faces {
                let place = Place {
                    face: face.name,
                    ..on_casting.clone()
                };
                let photos = notebook.face(face.id)?.photos;
                let photos: Vec<PhotoId> = photos.iter().map(|photo| photo.id).collect();
                places.names.insert(face.id.0, place.clone());
                for photo in &photos {
                    places.names.insert(photo.0, place.clone());
                }
                for hole in &face.holes {
                    let hole_place = Place {
                        hole: Some(hole.number),
                        ..place.clone()
                    };
                    places.names.insert(hole.id.0, hole_place);
                }
                places.faces.push(FacePlace {
                    id: face.id,
                    place,
                    holes: face.holes.iter().map(|hole| hole.id).collect(),
                    photos,
                });
            }
        }
        Ok(places)
    }

    /// Returns the names of a subject; empty ones if it was struck out, or is no part of a casting.
    pub fn name(&self, subject: Uuid) -> Place {
        self.names.get(&subject).cloned().unwrap_or_default()
    }
}
