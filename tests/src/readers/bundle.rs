//! Bundles: zip files from anywhere, and ones that a notebook wrote and somebody changed.

use super::history::{heads, is_sound};
use super::photo::SMALL;
use super::scratch::{self, Scratch};
use super::{Reader, chain, names};
use arbitrary::{Result, Unstructured};
use holebook_core::exchange::bundle::{What, take_in, write};
use holebook_core::exchange::{ExchangeError, unwatched};
use holebook_core::notebook::{FaceId, Notebook};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

pub const READER: Reader = Reader {
    name: "bundle",
    give,
    examples,
};

/// The first byte of a try that means: what follows is the file as it is.
const AS_IT_IS: u8 = b'P';

/// What a bundle brings is whole, or refused; a refused bundle changes nothing; and no file appears but where it belongs.
fn give(bytes: &[u8]) {
    let file = if bytes.first() == Some(&AS_IT_IS) {
        bytes.to_vec()
    } else {
        changed(&mut Unstructured::new(bytes)).unwrap_or_default()
    };
    let folder = scratch::folder();
    let place = folder.path().join("bundle.zip");
    fs::write(&place, &file).expect("a file in a new folder");
    let here = Scratch::new();
    let before = heads(&here.notebook);
    match take_in(&here.notebook, &place, &unwatched) {
        Ok(report) => {
            if file == model() {
                assert!(
                    report.problems.is_empty() && report.photos_taken == 1,
                    "{report:?}"
                );
            }
            for problem in report.problems {
                assert!(!problem.to_string().contains('\n'), "{problem}");
            }
        }
        Err(ExchangeError::Bundle(why)) => {
            assert!(!why.to_string().contains('\n'), "{why}");
            assert_eq!(heads(&here.notebook), before);
        }
        Err(error) => panic!("a bundle is taken or refused: {error}"),
    }
    assert_eq!(
        fs::read(&place).expect("the bundle"),
        file,
        "a bundle is only read"
    );
    photos_are_as_named(&here.notebook);
    is_sound(&here.notebook);
    let beside = fs::read_dir(folder.path())
        .expect("the folder of the try")
        .count();
    assert_eq!(beside, 1, "nothing lies beside the bundle");
}

/// Every file beside the notebook's own is a photo under its own name.
pub fn photos_are_as_named(notebook: &Notebook) {
    let photos = notebook.photos();
    for photo in photos.hashes().expect("a folder of photos") {
        photos.verify(&photo).expect("a photo is as it is named");
    }
    for entry in fs::read_dir(notebook.dir().join("photos")).expect("a folder of photos") {
        let name = entry.expect("a file in it").file_name();
        let name = name.to_string_lossy();
        let known = matches!(&*name, "view" | "thumb") || name.len() == 64;
        assert!(known, "{name} lies among the photos");
    }
}

/// The bundle of the sample, with some of its bytes changed.
fn changed(u: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    let mut file = model().to_vec();
    for _ in 0..u.int_in_range(0..=5)? {
        // What is worth a change lies at the start of a file in it, in the list at the end, or anywhere.
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

/// A bundle of the sample, with a photo. Made once in a run; the same in every run.
fn model() -> &'static [u8] {
    static MODEL: OnceLock<Vec<u8>> = OnceLock::new();
    MODEL.get_or_init(|| {
        let folder = scratch::folder();
        let from = Scratch::new();
        from.notebook
            .take(&chain::sample(names::device(1)))
            .expect("the sample's lines");
        let photo = folder.path().join("a.jpg");
        fs::write(&photo, SMALL).expect("a file in a new folder");
        let face = FaceId(names::thing(super::shapes::FACE));
        from.notebook
            .add_photo(face, &photo, None)
            .expect("a photo is brought in");
        let place = folder.path().join("model.zip");
        write(&from.notebook, Path::new(&place), What::All, &unwatched)
            .expect("a bundle is written");
        fs::read(place).expect("the bundle")
    })
}

fn examples() -> Vec<Vec<u8>> {
    let mut examples = (super::history::READER.examples)();
    examples.push(model().to_vec());
    examples
}
