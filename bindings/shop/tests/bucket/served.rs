//! A server beside the tests, for all of them: it ends with them, however they end, and its folder goes with it.

use crate::{apache, s3};
use holebook_tests::need::{have, works};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// Waits until the tests have ended, which shuts its input, then ends the server and takes its folder away.
const KEEPER: &str = r#"folder=$1; shift; "$@" & served=$!; read -r _; kill "$served"; wait "$served"; rm -rf "$folder""#;

/// Whether both servers can be had.
pub fn are_there() -> bool {
    let store = works(
        &s3::python().display().to_string(),
        &["-c", "import moto.server"],
    );
    have(store, "the Python of tests/bucket, which tests/all makes,")
        && have(works(apache::PROGRAM, &["-v"]), "apache2")
}

/// A server at work.
pub struct Served {
    pub child: Child,
    pub folder: PathBuf,
}

/// A folder that [`serve`] takes away in the end.
pub fn folder() -> PathBuf {
    tempfile::tempdir().unwrap().keep()
}

/// Starts a server.
pub fn serve(folder: &Path, program: &Path, words: &[&OsStr]) -> Served {
    let child = Command::new("sh")
        .args(["-c", KEEPER, "sh"])
        .arg(folder)
        .arg(program)
        .args(words)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    Served {
        child,
        folder: folder.to_owned(),
    }
}
