//! Bundles and other programs: they unpack ours, we import theirs, and a full disk is reported.
//!
//! The other programs are Python's `zipfile`, `zip` and `unzip` (Debian: python3, zip, unzip); the
//! small disk is mounted by `unshare` (Debian: util-linux). If one is missing or not allowed, the
//! test is counted as skipped; with `CI` set it fails.

use holebook_core::notebook::{Notebook, Settings};
use holebook_core::sync::bundle::{BundleContent, import, write};
use holebook_core::sync::{ignore_progress, sync_folder};
use holebook_test_support::notebooks::add_face;
use holebook_test_support::requirements::{have, works};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs};
use tempfile::TempDir;

/// A notebook with a casting, a face, some holes and a photo of at least that many bytes.
fn notebook(dir: &Path, photo_bytes: usize) -> Notebook {
    let notebook = Notebook::open(&dir.join("notebook")).unwrap();
    // Otherwise what follows the picture would be removed, and the photo would be small.
    let settings = Settings {
        keep_photo_gps: true,
        ..notebook.settings().unwrap()
    };
    notebook.set_settings(&settings).unwrap();
    let face = add_face(&notebook);
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

/// Runs a command, and returns its output.
fn run(command: &str, args: &[&str], dir: &Path) -> String {
    let output = Command::new(command)
        .args(args)
        .current_dir(dir)
        .output()
        .unwrap();
    let stdout = String::from_utf8_lossy(&output.stdout).into_owned();
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command}: {stdout}{error}");
    stdout
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

/// A bundle has the same files as a folder remote of the same notebook.
#[test]
fn other_programs_unpack_a_bundle_to_the_files_of_a_folder_remote() {
    let dir = TempDir::new().unwrap();
    let notebook = notebook(dir.path(), 0);
    let at = |name: &str| dir.path().join(name);
    sync_folder(&notebook, &at("remote")).unwrap();
    write(
        &notebook,
        &at("all.zip"),
        BundleContent::All,
        &ignore_progress,
    )
    .unwrap();
    let expected = files(&at("remote"));
    assert_eq!(expected.len(), 2);
    if have(works("python3", &["-c", "import zipfile"]), "python3") {
        let unpack = ["-m", "zipfile", "-e", "all.zip", "python"];
        run("python3", &["-m", "zipfile", "-t", "all.zip"], dir.path());
        run("python3", &unpack, dir.path());
        assert!(files(&at("python")) == expected);
    }
    if have(works("unzip", &["-v"]), "unzip") {
        let stdout = run("unzip", &["-t", "all.zip"], dir.path());
        assert!(stdout.contains("No errors detected"), "{stdout}");
        run("unzip", &["-q", "all.zip", "-d", "unzip"], dir.path());
        assert!(files(&at("unzip")) == expected);
    }
}

/// A folder remote packed by other programs, in each form: seekable and not, large and not.
#[test]
fn bundles_packed_by_other_programs_are_imported() {
    let dir = TempDir::new().unwrap();
    let notebook = notebook(dir.path(), 0);
    sync_folder(&notebook, &dir.path().join("remote")).unwrap();
    let check = |name: &str| {
        let other = Notebook::open(&dir.path().join(format!("from-{name}"))).unwrap();
        let report = import(&other, &dir.path().join(name), &ignore_progress).unwrap();
        assert_eq!(
            (report.entries_pulled, report.photos_pulled),
            (43, 1),
            "{name}"
        );
        assert_eq!(report.problems, [], "{name}");
        assert!(other.verify().unwrap().is_ok(), "{name}");
    };
    if have(works("python3", &["-c", "import zipfile"]), "python3") {
        run(
            "python3",
            &[
                "-m",
                "zipfile",
                "-c",
                "python.zip",
                "remote/journal",
                "remote/photos",
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
            &dir.path().join("remote"),
        );
        check("zip.zip");
        run(
            "sh",
            &["-c", "zip -q -r - . | cat > ../pipe.zip"],
            &dir.path().join("remote"),
        );
        check("pipe.zip");
    }
}

/// Packs the remote as a program that cannot seek, with the fields for large files, and with both.
const PACK: &str = r#"
import pathlib, zipfile

class Pipe:
    def __init__(self, file): self.file = file
    def write(self, data): return self.file.write(data)
    def flush(self): self.file.flush()

for name, pipe, large in [("stream", True, False), ("large", False, True), ("both", True, True)]:
    with open(name + ".zip", "wb") as file:
        with zipfile.ZipFile(Pipe(file) if pipe else file, "w", zipfile.ZIP_DEFLATED) as packed:
            for path in sorted(pathlib.Path("remote").rglob("*")):
                if path.is_file():
                    info = zipfile.ZipInfo(str(path.relative_to("remote")))
                    with packed.open(info, "w", force_zip64=large) as into:
                        into.write(path.read_bytes())
"#;

#[test]
#[ignore = "run by the test below"]
fn writes_a_bundle() {
    let (Some(source), Some(bundle)) = (env::var_os("BUNDLE_NOTEBOOK"), env::var_os("BUNDLE_FILE"))
    else {
        return;
    };
    let notebook = Notebook::open(Path::new(&source)).unwrap();
    match write(
        &notebook,
        Path::new(&bundle),
        BundleContent::All,
        &ignore_progress,
    ) {
        Ok(written) => println!("wrote {} entries", written.entries),
        Err(error) => println!("rejected: {error}"),
    }
}

#[test]
fn full_disk_is_reported_in_one_sentence_and_nothing_is_left_on_it() {
    let probe = ["-rm", "sh", "-c", "mount -t tmpfs none /mnt"];
    if !have(
        works("unshare", &probe),
        "mounting a small disk with unshare",
    ) {
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
            "bundle_tools::writes_a_bundle",
            "--ignored",
            "--nocapture",
        ])
        .env("DISK", &disk)
        .env("BUNDLE_NOTEBOOK", dir.path().join("notebook"))
        .env("BUNDLE_FILE", disk.join("all.zip"))
        .output()
        .unwrap();
    let stdout = String::from_utf8(output.stdout).unwrap();
    let error = String::from_utf8(output.stderr).unwrap();
    assert!(
        stdout.contains("rejected: no space left for"),
        "{stdout}{error}"
    );
    assert!(stdout.lines().any(|line| line == "left:"), "{stdout}");
    assert_eq!(error, "");
}
