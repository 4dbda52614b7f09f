//! Bundles and the rest of the world: other programs read ours, ours reads theirs, and a disk that fills up says so.
//!
//! The other programs are Python's `zipfile` and `unzip` (Debian: python3, unzip), the small disk comes by `unshare` (Debian: util-linux).
//! Where one is missing or not allowed the test says so and passes, but not when `CI` is set.
#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use holebook_core::exchange::bundle::{What, take_in, write};
use holebook_core::exchange::{exchange, unwatched};
use holebook_core::notebook::{Notebook, Settings};
use holebook_tests::face;
use holebook_tests::need::{have, works};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs};
use tempfile::TempDir;

/// A notebook with a casting, a face, some holes and a photo of at least so many bytes.
fn notebook(dir: &Path, photo_bytes: usize) -> Notebook {
    let notebook = Notebook::open(&dir.join("notebook")).unwrap();
    // Or what stands behind the picture would be taken away, and the photo be small.
    let settings = Settings {
        keep_location: true,
        ..notebook.settings().unwrap()
    };
    notebook.set_settings(&settings).unwrap();
    let face = face(&notebook);
    for _ in 0..40 {
        notebook.add_hole(face, None, None).unwrap();
    }
    let fixture = Path::new(env!("CARGO_MANIFEST_DIR")).join("photos/phone.jpg");
    let mut photo = fs::read(fixture).unwrap();
    let photo_bytes = photo_bytes.max(photo.len());
    photo.resize(photo_bytes, b'.');
    let file = dir.join("barn.jpg");
    fs::write(&file, photo).unwrap();
    notebook.add_photo(face, &file, None).unwrap();
    notebook
}

/// Runs a command, and gives what it says.
fn run(command: &str, words: &[&str], dir: &Path) -> String {
    let output = Command::new(command)
        .args(words)
        .current_dir(dir)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command}: {said}{error}");
    said
}

fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_owned();
                found.push((name, fs::read(&path).unwrap()));
            }
        }
    }
    found.sort();
    found
}

/// A folder shelf and a bundle of the same notebook hold the same files, as other programs unpack it.
#[test]
fn other_programs_unpack_a_bundle_to_what_a_folder_shelf_holds() {
    let dir = TempDir::new().unwrap();
    let notebook = notebook(dir.path(), 0);
    let at = |name: &str| dir.path().join(name);
    exchange(&notebook, &at("shelf")).unwrap();
    write(&notebook, &at("all.zip"), What::All, &unwatched).unwrap();
    let expected = files(&at("shelf"));
    assert_eq!(expected.len(), 2);
    if have(works("python3", &["-c", "import zipfile"]), "python3") {
        let words = ["-m", "zipfile", "-e", "all.zip", "python"];
        run("python3", &["-m", "zipfile", "-t", "all.zip"], dir.path());
        run("python3", &words, dir.path());
        assert!(files(&at("python")) == expected);
    }
    if have(works("unzip", &["-v"]), "unzip") {
        let said = run("unzip", &["-t", "all.zip"], dir.path());
        assert!(said.contains("No errors detected"), "{said}");
        run("unzip", &["-q", "all.zip", "-d", "unzip"], dir.path());
        assert!(files(&at("unzip")) == expected);
    }
}

/// A shelf's folder that another program packed, in each of the forms that there are: seekable and not, large and not.
#[test]
fn what_other_programs_pack_is_taken_in() {
    let dir = TempDir::new().unwrap();
    let notebook = notebook(dir.path(), 0);
    exchange(&notebook, &dir.path().join("shelf")).unwrap();
    let check = |name: &str| {
        let other = Notebook::open(&dir.path().join(format!("from-{name}"))).unwrap();
        let report = take_in(&other, &dir.path().join(name), &unwatched).unwrap();
        assert_eq!(
            (report.entries_taken, report.photos_taken),
            (43, 1),
            "{name}"
        );
        assert_eq!(report.problems, [], "{name}");
        assert!(other.verify().unwrap().is_sound(), "{name}");
    };
    if have(works("python3", &["-c", "import zipfile"]), "python3") {
        run(
            "python3",
            &[
                "-m",
                "zipfile",
                "-c",
                "python.zip",
                "shelf/journal",
                "shelf/photos",
            ],
            dir.path(),
        );
        check("python.zip");
        run("python3", &["-c", PACK], dir.path());
        ["stream.zip", "large.zip", "both.zip"]
            .into_iter()
            .for_each(check);
    }
    if have(works("zip", &["-v"]), "zip") {
        run(
            "zip",
            &["-q", "-r", "../zip.zip", "."],
            &dir.path().join("shelf"),
        );
        check("zip.zip");
        run(
            "sh",
            &["-c", "zip -q -r - . | cat > ../pipe.zip"],
            &dir.path().join("shelf"),
        );
        check("pipe.zip");
    }
}

/// Packs the shelf as a program does that cannot go back in what it writes, with the fields for large files, and with both.
const PACK: &str = r#"
import pathlib, zipfile

class Pipe:
    def __init__(self, file): self.file = file
    def write(self, data): return self.file.write(data)
    def flush(self): self.file.flush()

for name, pipe, large in [("stream", True, False), ("large", False, True), ("both", True, True)]:
    with open(name + ".zip", "wb") as file:
        with zipfile.ZipFile(Pipe(file) if pipe else file, "w", zipfile.ZIP_DEFLATED) as packed:
            for path in sorted(pathlib.Path("shelf").rglob("*")):
                if path.is_file():
                    info = zipfile.ZipInfo(str(path.relative_to("shelf")))
                    with packed.open(info, "w", force_zip64=large) as into:
                        into.write(path.read_bytes())
"#;

#[test]
#[ignore = "run by the test below"]
fn writes_what_it_is_told() {
    let (Some(source), Some(place)) = (env::var_os("BUNDLE_NOTEBOOK"), env::var_os("BUNDLE_PLACE"))
    else {
        return;
    };
    let notebook = Notebook::open(Path::new(&source)).unwrap();
    match write(&notebook, Path::new(&place), What::All, &unwatched) {
        Ok(written) => println!("wrote {} entries", written.entries),
        Err(error) => println!("refused: {error}"),
    }
}

#[test]
fn a_full_disk_is_said_in_one_sentence_and_nothing_is_left_on_it() {
    let may = ["-rm", "sh", "-c", "mount -t tmpfs none /mnt"];
    if !have(works("unshare", &may), "mounting a small disk with unshare") {
        return;
    }
    let dir = TempDir::new().unwrap();
    drop(notebook(dir.path(), 2_000_000));
    let disk = dir.path().join("disk");
    fs::create_dir(&disk).unwrap();
    let tiny = "mount -t tmpfs -o size=1m none \"$DISK\" && \"$@\"; echo left: $(ls -A \"$DISK\")";
    let output = Command::new("unshare")
        .args(["-rm", "sh", "-c", tiny, "sh"])
        .arg(env::current_exe().unwrap())
        .args([
            "--exact",
            "writes_what_it_is_told",
            "--ignored",
            "--nocapture",
        ])
        .env("DISK", &disk)
        .env("BUNDLE_NOTEBOOK", dir.path().join("notebook"))
        .env("BUNDLE_PLACE", disk.join("all.zip"))
        .output()
        .unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    let error = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.contains("refused: there is no room for"),
        "{said}{error}"
    );
    assert!(said.lines().any(|line| line == "left:"), "{said}");
    assert_eq!(error, "");
}
