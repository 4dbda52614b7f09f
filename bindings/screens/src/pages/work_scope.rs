//! Pages about the work on all castings, one casting, or one face: their addresses and links.

use crate::page::Crumb;
use crate::pages::below_face;
use holebook_core::notebook::{CastingId, FaceId, Notebook, NotebookError, WorkScope};

/// What a page about the work is for.
#[derive(Debug, Clone, Copy)]
pub enum WorkOf {
    /// All castings.
    All,
    /// One casting.
    Casting(CastingId),
    /// One face.
    Face(FaceId),
}

impl WorkOf {
    /// Returns the address of a page of it: `/kit`, `/casting/ID/kit`.
    pub fn path(self, page: &str) -> String {
        match self {
            WorkOf::All => format!("/{page}"),
            WorkOf::Casting(id) => format!("/casting/{id}/{page}"),
            WorkOf::Face(id) => format!("/face/{id}/{page}"),
        }
    }

    /// Returns the holes that it is about.
    pub fn scope(self) -> WorkScope {
        match self {
            WorkOf::All => WorkScope::All,
            WorkOf::Casting(id) => WorkScope::Castings(vec![id]),
            WorkOf::Face(id) => WorkScope::Face(id),
        }
    }

    /// Returns its name, and the links to the pages above.
    pub fn name_and_crumbs(
        self,
        notebook: &Notebook,
    ) -> Result<(String, Vec<Crumb>), NotebookError> {
        let mut crumbs = vec![Crumb::to("Castings", "/")];
        Ok(match self {
            WorkOf::All => ("all castings".to_owned(), crumbs),
            WorkOf::Casting(id) => {
                let name = notebook.casting(id)?.name;
                crumbs.push(Crumb::to(&name, format!("/casting/{id}")));
                (name, crumbs)
            }
            WorkOf::Face(id) => {
                let face = notebook.face(id)?;
                let name = format!("{}, {}", face.casting_name, face.name);
                (name, below_face::crumbs(&face))
            }
        })
    }
}
