//! Imports 100,000 entries of three devices into an empty notebook, against the `sqlite3` shell
//! inserting the same rows of the `entry` table in one transaction into an empty database.
//!
//! `cargo bench --profile dist -p holebook-tests --bench entries`, with `-- N` for another number of
//! entries. For a profiler, `-- write CHUNKS` writes the lines, and `-- import NOTEBOOK CHUNKS`
//! imports them. Each side is its own process that reads files and ends when everything is on disk;
//! the sides alternate, so that a busy machine slows both. Ours also parses each line's JSON, checks
//! hashes, chains and ids, and updates all projection tables. Needs `sqlite3` (Debian's package of
//! that name).
#![allow(clippy::print_stdout, clippy::unwrap_used)]

use holebook_core::notebook::{Line, Notebook};
use holebook_test_support::shop_journals;
use holebook_tests::{median, peak, print_ratio};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OpenFlags};
use std::fmt::Write as _;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use std::{env, fs};
use tempfile::TempDir;

const ENTRIES: usize = 100_000;
const TURNS: usize = 7;
/// As many bytes of lines as a sync pulls in one chunk.
const CHUNK_BYTES: usize = 4 << 20;

fn main() {
    let words: Vec<String> = env::args()
        .skip(1)
        .filter(|word| word != "--bench")
        .collect();
    match &words[..] {
        [word, notebook, chunks] if word == "import" => {
            import(Path::new(notebook), Path::new(chunks))
        }
        [word, notebook] if word == "verify" => verify(Path::new(notebook)),
        [word, chunks] if word == "write" => write_chunks(Path::new(chunks), ENTRIES),
        [] => compare(ENTRIES),
        [entries] => compare(entries.parse().expect("how many entries")),
        _ => panic!("give nothing, or how many entries"),
    }
}

fn compare(entries: usize) {
    // In the build folder: a temporary folder may be in memory, where nothing waits for a disk.
    let dir = TempDir::new_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let chunks = dir.path().join("chunks");
    write_chunks(&chunks, entries);
    let sample = dir.path().join("sample");
    let line = ours(&sample, &chunks).1;
    println!("{entries} entries; {line}");
    let rows = write_rows(&sample, dir.path());

    let mut times = vec![Vec::new(); rows.len() + 1];
    for turn in 0..TURNS {
        let notebook = dir.path().join(format!("notebook-{turn}"));
        times[0].push(ours(&notebook, &chunks).0);
        fs::remove_dir_all(notebook).unwrap();
        for (times, (_, sql)) in times[1..].iter_mut().zip(&rows) {
            times.push(shell(&dir.path().join("shell.sqlite"), sql));
        }
    }
    let mut medians = times.into_iter().map(median);
    let ours = medians.next().unwrap();
    for (theirs, (what, _)) in medians.zip(&rows) {
        let what = format!("sqlite3 inserting {what}");
        print_ratio(&format!("{entries} entries"), ours, (&what, theirs));
    }
    print!(
        "{}",
        output(
            Command::new(env::current_exe().unwrap())
                .arg("verify")
                .arg(&sample)
        )
    );
}

/// Writes each device's lines in chunks, to files whose names sort in import order.
fn write_chunks(dir: &Path, entries: usize) {
    fs::create_dir(dir).unwrap();
    let mut at = 0;
    let mut write = |text: &mut String| {
        at += 1;
        fs::write(dir.join(format!("{at:06}")), &*text).unwrap();
        text.clear();
    };
    for lines in shop_journals::journals(entries) {
        let mut text = String::new();
        for line in lines {
            if text.len() + line.text().len() >= CHUNK_BYTES {
                write(&mut text);
            }
            text.push_str(line.text());
            text.push('\n');
        }
        write(&mut text);
    }
}

/// Writes the statements that create and fill the `entry` table: once in order of arrival, once by
/// row number.
fn write_rows(notebook: &Path, dir: &Path) -> Vec<(&'static str, PathBuf)> {
    let file = notebook.join("notebook.sqlite");
    let conn = Connection::open_with_flags(file, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
    let schema = "SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = 'entry'";
    let schema: String = conn.query_row(schema, [], |row| row.get(0)).unwrap();
    let orders = [
        ("in order of arrival", "device, seq"),
        ("by row number", "n"),
    ];
    let written = orders.iter().enumerate().map(|(at, (what, order))| {
        let path = dir.join(format!("rows-{at}.sql"));
        let mut out = BufWriter::new(fs::File::create(&path).unwrap());
        writeln!(out, "{schema};\nBEGIN;").unwrap();
        let columns = "n, id, device, seq, kind, subject, hash, line";
        let sql = format!("SELECT {columns} FROM entry ORDER BY {order}");
        let mut statement = conn.prepare(&sql).unwrap();
        let mut rows = statement.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            let values: Vec<String> = (0..8).map(|at| literal(row.get_ref(at).unwrap())).collect();
            writeln!(out, "INSERT INTO entry VALUES({});", values.join(",")).unwrap();
        }
        writeln!(out, "COMMIT;").unwrap();
        (*what, path)
    });
    written.collect()
}

fn literal(value: ValueRef<'_>) -> String {
    match value {
        ValueRef::Integer(number) => number.to_string(),
        ValueRef::Text(text) => {
            format!(
                "'{}'",
                std::str::from_utf8(text).unwrap().replace('\'', "''")
            )
        }
        ValueRef::Blob(bytes) => {
            let mut text = String::from("X'");
            for byte in bytes {
                write!(text, "{byte:02x}").unwrap();
            }
            text + "'"
        }
        other => panic!("unexpected value: {other:?}"),
    }
}

fn ours(notebook: &Path, chunks: &Path) -> (Duration, String) {
    let mut command = Command::new(env::current_exe().unwrap());
    let since = Instant::now();
    let printed = output(command.arg("import").arg(notebook).arg(chunks));
    (since.elapsed(), printed)
}

fn shell(database: &Path, sql: &Path) -> Duration {
    let since = Instant::now();
    let mut command = Command::new("sqlite3");
    let command = command.arg("-bail").arg(database);
    output(command.stdin(fs::File::open(sql).unwrap()));
    let took = since.elapsed();
    fs::remove_file(database).unwrap();
    took
}

fn output(command: &mut Command) -> String {
    let output = command.stderr(Stdio::inherit()).output();
    let output = output.unwrap_or_else(|error| panic!("{command:?} cannot be run: {error}"));
    assert!(output.status.success(), "{command:?} failed");
    String::from_utf8(output.stdout)
        .unwrap()
        .trim_end()
        .to_owned()
}

/// Imports the chunks into a new notebook, as a sync does.
fn import(dir: &Path, chunks: &Path) {
    let notebook = Notebook::open(dir).unwrap();
    let mut files: Vec<PathBuf> = fs::read_dir(chunks)
        .unwrap()
        .map(|file| file.unwrap().path())
        .collect();
    files.sort_unstable();
    let chunks = files.into_iter().map(|file| {
        let text = fs::read_to_string(file).unwrap();
        let lines = text
            .lines()
            .map(|text| Line::read(text.to_owned()).unwrap());
        lines.collect::<Vec<_>>()
    });
    notebook
        .import_chunks(chunks, |imported| assert!(imported.is_ok(), "{imported:?}"))
        .unwrap();
    println!("importing: {}", peak(std::process::id()));
}

fn verify(dir: &Path) {
    let notebook = Notebook::open(dir).unwrap();
    let since = Instant::now();
    notebook.rebuild().unwrap();
    println!("rebuilding the tables: {} ms", since.elapsed().as_millis());
    let since = Instant::now();
    let found = notebook.verify().unwrap();
    // The photos do not exist.
    let wrong = found.findings.len() as u64 - found.photos;
    println!(
        "verifying: {} ms, {wrong} findings; {}",
        since.elapsed().as_millis(),
        peak(std::process::id())
    );
}
