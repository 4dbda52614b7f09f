//! Bundles: zip files of any origin, and bundles that were changed after a notebook wrote them.

use super::history::{assert_valid, heads};
use super::photo::SMALL_PHOTO;
use super::temp_notebook::{self, TempNotebook};
use super::{FuzzEntryPoint, fixed_ids, journal_writer};
use arbitrary::{Result, Unstructured};
use holebook_core::notebook::{FaceId, Notebook};
use holebook_core::sync::bundle::{BundleContent, import, write};
use holebook_core::sync::{SyncError, ignore_progress};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "bundle",
    run,
    examples,
};

/// If the input begins with this byte, it is the file itself.
const VERBATIM: u8 = b'P';

/// A bundle is imported or rejected; a rejected bundle changes nothing; and no file appears
/// anywhere else.
fn run(bytes: &[u8]) {
    let file = if bytes.first() == Some(&VERBATIM) {
        bytes.to_vec()
    } else {
        changed(&mut Unstructured::new(bytes)).unwrap_or_default()
    };
    let folder = temp_notebook::folder();
    let path = folder.path().join("bundle.zip");
    fs::write(&path, &file).expect("a file in a new folder");
    let here = TempNotebook::new();
    let before = heads(&here.notebook);
    match import(&here.notebook, &path, &ignore_progress) {
        Ok(report) => {
            if file == model() {
                assert!(
                    report.problems.is_empty() && report.photos_pulled == 1,
                    "{report:?}"
                );
            }
            for problem in report.problems {
                assert!(!problem.to_string().contains('\n'), "{problem}");
            }
        }
        Err(SyncError::Bundle(why)) => {
            assert!(!why.to_string().contains('\n'), "{why}");
            assert_eq!(heads(&here.notebook), before);
        }
        Err(error) => panic!("a bundle is accepted or rejected: {error}"),
    }
    assert_eq!(
        fs::read(&path).expect("the bundle"),
        file,
        "a bundle is only read"
    );
    assert_photos_match_names(&here.notebook);
    assert_valid(&here.notebook);
    let files = fs::read_dir(folder.path())
        .expect("the folder of the try")
        .count();
    assert_eq!(files, 1, "no other file beside the bundle");
}

/// Every file in the photo folder is a photo that matches its name.
pub fn assert_photos_match_names(notebook: &Notebook) {
    let photos = notebook.photos();
    for photo in photos.hashes().expect("a folder of photos") {
        photos.verify(&photo).expect("a photo matches its name");
    }
    for entry in fs::read_dir(notebook.dir().join("photos")).expect("a folder of photos") {
        let name = entry.expect("a file in it").file_name();
        let name = name.to_string_lossy();
        let known = matches!(&*name, "view" | "thumb") || name.len() == 64;
        assert!(known, "{name} is among the photos");
    }
}

/// The sample's bundle, with some bytes changed.
fn changed(u: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut file = model().to_vec();
    for _ in 0..u.int_in_range(0..=5)? {
        // The interesting bytes are at the start of a file, in the central directory at the end, or
        // anywhere.
        let reach = file.len().min(*u.choose(&[64, 512, usize::MAX])?);
        let from_end = u.arbitrary()?;
        let at = u.choose_index(reach.max(1))?;
        let at = if from_end {
            file.len().saturating_sub(at + 1)
        } else {
            at
        };
        match u.int_in_range(0..=4)? {
            0 => file.truncate(at),
            1 => {
                let more = u.arbitrary::<&[u8]>()?;
                file.splice(at..at, more.iter().copied());
            }
            2 => file
                .iter_mut()
                .skip(at)
                .take(4)
                .for_each(|byte| *byte = 0xff),
            3 => {
                let with: u8 = u.arbitrary()?;
                file.iter_mut()
                    .skip(at)
                    .take(1)
                    .for_each(|byte| *byte = with);
            }
            _ => file.iter_mut().skip(at).take(1).for_each(|byte| *byte ^= 1),
        }
    }
    Ok(file)
}

/// A bundle of the sample, with a photo. Written once per run; the same in every run.
fn model() -> &'static [u8] {
    static MODEL: OnceLock<Vec<u8>> = OnceLock::new();
    MODEL.get_or_init(|| {
        let folder = temp_notebook::folder();
        let from = TempNotebook::new();
        from.notebook
            .import_lines(&journal_writer::sample(fixed_ids::device(1)))
            .expect("the sample's lines");
        let photo = folder.path().join("a.jpg");
        fs::write(&photo, SMALL_PHOTO).expect("a file in a new folder");
        let face = FaceId(fixed_ids::thing(super::entry_bodies::FACE));
        from.notebook
            .add_photo(face, &photo, None)
            .expect("a photo is imported");
        let path = folder.path().join("model.zip");
        write(
            &from.notebook,
            Path::new(&path),
            BundleContent::All,
            &ignore_progress,
        )
        .expect("a bundle is written");
        fs::read(path).expect("the bundle")
    })
}

fn examples() -> Vec<Vec<u8>> {
    let mut examples = (super::history::ENTRY_POINT.examples)();
    examples.push(model().to_vec());
    examples
}
