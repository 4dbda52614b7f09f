//! A server process shared by all tests: it ends with them, however they end, and its folder is
//! deleted.

use super::{apache, s3};
use holebook_test_support::requirements::{have, works};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// Waits until the tests have ended, which closes its input, then stops the server and deletes its
/// folder.
const KEEPER: &str = r#"folder=$1; shift; "$@" & process=$!; read -r _; kill "$process"; wait "$process"; rm -rf "$folder""#;

/// Whether both servers are installed.
pub fn are_available() -> bool {
    let store = works(
        &s3::python().display().to_string(),
        &["-c", "import moto.server"],
    );
    have(store, "the Python of tests/bucket, which tests/all makes,")
        && have(works(apache::PROGRAM, &["-v"]), "apache2")
}

/// A running server.
pub struct ServerProcess {
    pub child: Child,
    pub folder: PathBuf,
}

/// A folder that [`serve`] deletes in the end.
pub fn folder() -> PathBuf {
    tempfile::tempdir().unwrap().keep()
}

/// Starts a server.
pub fn serve(folder: &Path, program: &Path, args: &[&OsStr]) -> ServerProcess {
    let child = Command::new("sh")
        .args(["-c", KEEPER, "sh"])
        .arg(folder)
        .arg(program)
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    ServerProcess {
        child,
        folder: folder.to_owned(),
    }
}
