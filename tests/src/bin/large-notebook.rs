//! Fills a new notebook with a number of entries, for benchmarks.
//!
//! `large-notebook DIR ENTRIES`

use holebook_core::notebook::{Notebook, NotebookError};
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let (Some(dir), Some(Ok(entries))) = (words.first(), words.get(1).map(|count| count.parse()))
    else {
        let _ = writeln!(io::stderr(), "usage: large-notebook DIR ENTRIES");
        return ExitCode::from(2);
    };
    match fill(Path::new(dir), entries) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            let _ = writeln!(io::stderr(), "{error}");
            ExitCode::FAILURE
        }
    }
}

fn fill(dir: &Path, entries: usize) -> Result<(), NotebookError> {
    holebook_test_support::large_notebook::fill(&Notebook::open(dir)?, entries).map(drop)
}
