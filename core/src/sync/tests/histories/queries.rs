//! Plain database queries for the checks.

use super::CheckResult;
use crate::notebook::{DeviceId, EntryId, Notebook};
use rusqlite::types::FromSql;
use rusqlite::{Connection, Params};
use uuid::Uuid;

/// Turns an error into a sentence that starts with `what`.
pub fn context<E: std::fmt::Display>(what: &str) -> impl Fn(E) -> String {
    move |error| format!("{what}: {error}")
}

/// Returns the first column of a query.
pub fn column<T: FromSql>(
    conn: &Connection,
    sql: &str,
    params: impl Params,
) -> CheckResult<Vec<T>> {
    let sql_error = context::<rusqlite::Error>(sql);
    let mut statement = conn.prepare_cached(sql).map_err(&sql_error)?;
    let rows = statement
        .query_map(params, |row| row.get(0))
        .map_err(&sql_error)?;
    rows.collect::<Result<_, _>>().map_err(&sql_error)
}

/// The texts of all lines, ordered by id.
pub fn line_texts(notebook: &Notebook) -> CheckResult<Vec<String>> {
    column(
        &notebook.connection(),
        "SELECT line FROM entry ORDER BY id",
        [],
    )
}

/// A device's lines after a sequence number, with their ids.
pub fn lines_after(
    notebook: &Notebook,
    device: DeviceId,
    seq: i64,
) -> CheckResult<Vec<(EntryId, String)>> {
    let conn = notebook.connection();
    let sql = "SELECT id FROM entry WHERE device = ?1 AND seq > ?2 ORDER BY id";
    let ids: Vec<Uuid> = column(&conn, sql, (device.0, seq))?;
    let sql = "SELECT line FROM entry WHERE device = ?1 AND seq > ?2 ORDER BY id";
    let lines = column(&conn, sql, (device.0, seq))?;
    Ok(ids.into_iter().map(EntryId).zip(lines).collect())
}

/// The number of all lines, this notebook's device id, and the number of that device's lines.
pub fn count(notebook: &Notebook) -> CheckResult<(i64, DeviceId, i64)> {
    let device = notebook.device().map_err(context("its device"))?;
    let conn = notebook.connection();
    let all = column(&conn, "SELECT count(*) FROM entry", [])?;
    let own = column(
        &conn,
        "SELECT count(*) FROM entry WHERE device = ?1",
        [device.0],
    )?;
    Ok((all[0], device, own[0]))
}

/// The active answers of a kind about a subject that this version understands.
pub fn current(notebook: &Notebook, subject: Uuid, kind: &str) -> CheckResult<Vec<EntryId>> {
    let sql =
        "SELECT e.id FROM entry e JOIN entry_status s ON s.n = e.n WHERE e.subject = ?1 AND s.kind = ?2
         AND s.understood AND NOT s.struck_out AND NOT s.replaced ORDER BY e.id";
    let ids: Vec<Uuid> = column(&notebook.connection(), sql, (subject, kind))?;
    Ok(ids.into_iter().map(EntryId).collect())
}

/// The ids in a projection table.
pub fn ids_in(notebook: &Notebook, table: &str) -> CheckResult<Vec<Uuid>> {
    let sql = format!("SELECT id FROM {table} ORDER BY id");
    column(&notebook.connection(), &sql, [])
}

/// The element that a number chooses.
pub fn pick<T: Copy>(from: &[T], pick: u8) -> Option<T> {
    from.get(usize::from(pick) % from.len().max(1)).copied()
}
