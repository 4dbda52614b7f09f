//! The inserts that come with the notebook. Their figures, with the source of each, stand in files under `core/data/inserts`.

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

/// All of them, read as a shop's own file is.
pub(super) fn files() -> Vec<InsertFile> {
    FILES
        .iter()
        .map(|(name, text)| {
            InsertFile::read(name, text)
                .expect("the files that come with the notebook are whole; a test reads each")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_is_whole() {
        for (name, text) in FILES {
            if let Err(error) = InsertFile::read(name, text) {
                panic!("{error}");
            }
        }
    }
}
