//! Views of large photos, against ImageMagick rotating and reducing the same files.
//!
//! Needs `convert`, `compare` and `exiftool` (Debian: imagemagick, libimage-exiftool-perl). If they
//! are missing, the tests are counted as skipped; with `CI` set they fail.

use std::path::Path;
use std::process::Command;

use holebook_core::photo::{Metadata, PhotoStore};
use holebook_test_support::requirements::{have, have_imagemagick, works};

/// Lets two fifths of whatever is behind the picture through.
const CLEAR: [&str; 8] = [
    "-alpha",
    "set",
    "-channel",
    "A",
    "-evaluate",
    "set",
    "60%",
    "+channel",
];

fn have_tools() -> bool {
    have(have_imagemagick(), "imagemagick") && have(works("exiftool", &["-ver"]), "exiftool")
}

fn run(command: &mut Command) -> String {
    let output = command.output().unwrap();
    // `compare` exits with 1 where pictures differ, and says on stderr by how much.
    assert!(
        output.status.code() < Some(2),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Makes a photo with shades and edges, imports it, and returns the peak signal to noise ratio in
/// decibels between its smaller pictures and ImageMagick's.
fn compared(dir: &Path, name: &str, size: &str, how: &[&str], turn: u8) -> [f64; 2] {
    let photo = dir.join(name);
    let shades = [
        "-size",
        size,
        "gradient:orange-navy",
        "-fill",
        "none",
        "-stroke",
        "white",
        "-strokewidth",
        "9",
    ];
    let circles = [
        "-draw",
        "circle 700,150 800,150 circle 1900,180 2000,180 line 100,100 2400,300",
    ];
    run(Command::new("convert")
        .args(shades)
        .args(circles)
        .args(how)
        .arg(&photo));
    run(Command::new("exiftool")
        .args([
            "-q",
            "-overwrite_original",
            "-n",
            &format!("-Orientation={turn}"),
        ])
        .arg(&photo));
    let store = PhotoStore::open(dir.join("photos")).unwrap();
    let hash = store.import(&photo, Metadata::Strip).unwrap().hash;
    let shown = [store.view(&hash).unwrap(), store.thumbnail(&hash).unwrap()];
    [(&shown[0], "2048x2048"), (&shown[1], "320x320")].map(|(ours, size)| {
        let theirs = dir.join("theirs.png");
        run(Command::new("convert")
            .arg(&photo)
            .args(["-background", "white", "-alpha", "remove"])
            .args(["-auto-orient", "-filter", "Catrom", "-resize", size])
            .arg(&theirs));
        let ratio = run(Command::new("compare")
            .args(["-metric", "PSNR"])
            .args([ours, &theirs])
            .arg("null:"));
        ratio.split_whitespace().next().unwrap().parse().unwrap()
    })
}

/// 30 dB is what a JPEG of good quality keeps (common practice, no source); a picture shifted,
/// turned or wrongly colored is far below.
#[test]
fn views_look_as_imagemagicks() {
    if !have_tools() {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    // ImageMagick 6 does not ask a PNG which way up it is, so these are not turned.
    for (name, size, how, turn) in [
        ("full.jpg", "3000x400", &["-sampling-factor", "2x2"][..], 6),
        ("half.jpg", "4200x420", &["-sampling-factor", "2x2"], 3),
        ("half-odd.jpg", "4203x425", &["-sampling-factor", "2x1"], 5),
        (
            "half-progressive.jpg",
            "4200x420",
            &["-interlace", "JPEG"],
            8,
        ),
        ("half-gray.jpg", "4200x420", &["-colorspace", "Gray"], 1),
        ("large.png", "4203x401", &["-depth", "8"], 1),
        ("deep.png", "8200x500", &["-depth", "16"], 1),
        ("clear.png", "2503x301", &CLEAR, 1),
        (
            "clear-deep.png",
            "2503x301",
            &[&CLEAR[..], &["-depth", "16"]].concat(),
            1,
        ),
        ("interlaced.png", "2503x301", &["-interlace", "PNG"], 1),
    ] {
        let decibels = compared(dir.path(), name, size, how, turn);
        assert!(
            decibels.iter().all(|ratio| *ratio > 30.0),
            "{name}: {decibels:?} dB"
        );
    }
}
