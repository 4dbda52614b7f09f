//! Writes the examples of every reader into folders of their names: `reader-examples tests/fuzz/corpus`. The fuzzer starts from them.

use holebook_tests::readers::READERS;
use std::fs;
use std::io::{self, Write as _};
use std::path::PathBuf;
use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(folder) = std::env::args_os().nth(1).map(PathBuf::from) else {
        let _ = writeln!(io::stderr(), "name the folder to write them to");
        return ExitCode::from(2);
    };
    for reader in READERS {
        let folder = folder.join(reader.name);
        let written = fs::create_dir_all(&folder).and_then(|()| {
            let mut examples = (reader.examples)().into_iter().enumerate();
            examples.try_for_each(|(at, bytes)| {
                fs::write(folder.join(format!("example-{at:02}")), bytes)
            })
        });
        if let Err(error) = written {
            let _ = writeln!(
                io::stderr(),
                "{} cannot be written: {error}",
                folder.display()
            );
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}
