//! What a history's devices see, asked of the database in the plainest way.

use super::Done;
use crate::notebook::{DeviceId, EntryId, Notebook};
use rusqlite::types::FromSql;
use rusqlite::{Connection, Params};
use uuid::Uuid;

/// Words what went wrong.
pub fn told<E: std::fmt::Display>(what: &str) -> impl Fn(E) -> String {
    move |error| format!("{what}: {error}")
}

/// One column of what is asked for.
pub fn column<T: FromSql>(conn: &Connection, sql: &str, params: impl Params) -> Done<Vec<T>> {
    let wrong = told::<rusqlite::Error>(sql);
    let mut statement = conn.prepare_cached(sql).map_err(&wrong)?;
    let rows = statement
        .query_map(params, |row| row.get(0))
        .map_err(&wrong)?;
    rows.collect::<Result<_, _>>().map_err(&wrong)
}

/// The texts of all lines, in the order of their ids.
pub fn texts(notebook: &Notebook) -> Done<Vec<String>> {
    column(
        &notebook.connection(),
        "SELECT line FROM entry ORDER BY id",
        [],
    )
}

/// The lines of a device after a number, with their ids.
pub fn after(notebook: &Notebook, device: DeviceId, seq: i64) -> Done<Vec<(EntryId, String)>> {
    let conn = notebook.connection();
    let sql = "SELECT id FROM entry WHERE device = ?1 AND seq > ?2 ORDER BY id";
    let ids: Vec<Uuid> = column(&conn, sql, (device.0, seq))?;
    let sql = "SELECT line FROM entry WHERE device = ?1 AND seq > ?2 ORDER BY id";
    let lines = column(&conn, sql, (device.0, seq))?;
    Ok(ids.into_iter().map(EntryId).zip(lines).collect())
}

/// How many lines there are, and how many of the device as which this notebook writes.
pub fn count(notebook: &Notebook) -> Done<(i64, DeviceId, i64)> {
    let device = notebook.device().map_err(told("its device"))?;
    let conn = notebook.connection();
    let all = column(&conn, "SELECT count(*) FROM entry", [])?;
    let own = column(
        &conn,
        "SELECT count(*) FROM entry WHERE device = ?1",
        [device.0],
    )?;
    Ok((all[0], device, own[0]))
}

/// The answers of a kind about something that stand and are understood here.
pub fn current(notebook: &Notebook, subject: Uuid, kind: &str) -> Done<Vec<EntryId>> {
    let sql =
        "SELECT e.id FROM entry e JOIN said s ON s.n = e.n WHERE e.subject = ?1 AND e.kind = ?2
         AND s.understood AND NOT s.struck AND NOT s.replaced ORDER BY e.id";
    let ids: Vec<Uuid> = column(&notebook.connection(), sql, (subject, kind))?;
    Ok(ids.into_iter().map(EntryId).collect())
}

/// The things in one of the tables of what stands now.
pub fn things(notebook: &Notebook, table: &str) -> Done<Vec<Uuid>> {
    let sql = format!("SELECT id FROM {table} ORDER BY id");
    column(&notebook.connection(), &sql, [])
}

/// The one that a number chooses.
pub fn pick<T: Copy>(from: &[T], pick: u8) -> Option<T> {
    from.get(usize::from(pick) % from.len().max(1)).copied()
}
