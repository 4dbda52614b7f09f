//! Checks that the subject of a new entry exists.

use super::error::Fault;
use super::id::{CastingId, FaceId, HoleId};
use super::write::WriteTx;
use rusqlite::Connection;
use uuid::Uuid;

fn require(conn: &Connection, sql: &str, what: &'static str, id: Uuid) -> Result<(), Fault> {
    match conn.prepare_cached(sql)?.exists([id])? {
        true => Ok(()),
        false => Err(Fault::no_such(what, id)),
    }
}

/// Fails if there is no such face, or if it was struck out.
pub(crate) fn face(conn: &Connection, id: FaceId) -> Result<(), Fault> {
    require(conn, "SELECT 1 FROM face WHERE id = ?1", "face", id.0)
}

impl WriteTx<'_> {
    /// Fails if there is no such casting, or if it was struck out.
    pub(crate) fn require_casting(&self, id: CastingId) -> Result<(), Fault> {
        let sql = "SELECT 1 FROM casting WHERE id = ?1";
        require(self.conn(), sql, "casting", id.0)
    }

    /// Fails if there is no such face, or if it was struck out.
    pub(crate) fn require_face(&self, id: FaceId) -> Result<(), Fault> {
        face(self.conn(), id)
    }

    /// Fails if there is no such hole, or if it was struck out.
    pub(crate) fn require_hole(&self, id: HoleId) -> Result<(), Fault> {
        let sql = "SELECT 1 FROM hole WHERE id = ?1";
        require(self.conn(), sql, "hole", id.0)
    }
}
