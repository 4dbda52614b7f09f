//! Whether the things that an entry is about are there.

use super::error::Fault;
use super::id::{CastingId, FaceId, HoleId};
use super::write::Pen;
use rusqlite::Connection;
use uuid::Uuid;

fn expect(conn: &Connection, sql: &str, what: &'static str, id: Uuid) -> Result<(), Fault> {
    match conn.prepare_cached(sql)?.exists([id])? {
        true => Ok(()),
        false => Err(Fault::no_such(what, id)),
    }
}

/// The face is there, not struck.
pub(crate) fn face(conn: &Connection, id: FaceId) -> Result<(), Fault> {
    expect(conn, "SELECT 1 FROM face_now WHERE id = ?1", "face", id.0)
}

impl Pen<'_> {
    /// The casting is there, not struck.
    pub(crate) fn expect_casting(&self, id: CastingId) -> Result<(), Fault> {
        expect(
            self.conn(),
            "SELECT 1 FROM casting_now WHERE id = ?1",
            "casting",
            id.0,
        )
    }

    /// The face is there, not struck.
    pub(crate) fn expect_face(&self, id: FaceId) -> Result<(), Fault> {
        face(self.conn(), id)
    }

    /// The hole is there, not struck.
    pub(crate) fn expect_hole(&self, id: HoleId) -> Result<(), Fault> {
        expect(
            self.conn(),
            "SELECT 1 FROM hole_now WHERE id = ?1",
            "hole",
            id.0,
        )
    }
}
