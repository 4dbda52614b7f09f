//! Writes the seed corpus of every fuzz target: `write-fuzz-corpus tests/fuzz/corpus`.

use holebook_tests::fuzz_entry_points::ENTRY_POINTS;
use std::fs;
use std::io::{self, Write as _};
use std::path::PathBuf;
use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(folder) = std::env::args_os().nth(1).map(PathBuf::from) else {
        let _ = writeln!(io::stderr(), "usage: write-fuzz-corpus FOLDER");
        return ExitCode::from(2);
    };
    for entry_point in ENTRY_POINTS {
        let folder = folder.join(entry_point.name);
        let written = fs::create_dir_all(&folder).and_then(|()| {
            let mut examples = (entry_point.examples)().into_iter().enumerate();
            examples.try_for_each(|(at, bytes)| {
                fs::write(folder.join(format!("example-{at:02}")), bytes)
            })
        });
        if let Err(error) = written {
            let _ = writeln!(io::stderr(), "cannot write {}: {error}", folder.display());
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}
