//! The built-in inserts. Their figures and sources are in files under `core/data/inserts`.

use super::file::InsertFile;

const FILES: [(&str, &str); 5] = [
    (
        "wire-drills.toml",
        include_str!("../../data/inserts/wire-drills.toml"),
    ),
    (
        "key-locking-thin-wall.toml",
        include_str!("../../data/inserts/key-locking-thin-wall.toml"),
    ),
    (
        "key-locking-miniature.toml",
        include_str!("../../data/inserts/key-locking-miniature.toml"),
    ),
    (
        "key-locking-heavy-duty.toml",
        include_str!("../../data/inserts/key-locking-heavy-duty.toml"),
    ),
    (
        "key-locking-extra-heavy-duty.toml",
        include_str!("../../data/inserts/key-locking-extra-heavy-duty.toml"),
    ),
];

/// Parses all built-in files, with the same parser as a shop's own.
pub(super) fn files() -> Vec<InsertFile> {
    FILES
        .iter()
        .map(|(name, text)| {
            InsertFile::parse(name, text).expect("built-in files are valid, as a test checks")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_file_is_valid() {
        for (name, text) in FILES {
            if let Err(error) = InsertFile::parse(name, text) {
                panic!("{error}");
            }
        }
    }
}
