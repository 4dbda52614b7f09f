//! Memory that the largest photos take, in the formats that hold most bytes a pixel: below 200 MB,
//! for a phone with 2 GB. Each is imported in a process of its own, the ignored test
//! below.

use std::io::{Read, Write};
use std::path::Path;
use std::process::Command;
use std::{env, fs, io, thread};

use flate2::{Compression, Crc, write::ZlibEncoder};
use holebook_core::photo::{Metadata, PhotoStore};

/// 12,000 by 9,000 pixels, the largest that phones take.
const LARGEST: (u32, u32) = (12_000, 9_000);
const MOST_MB: u64 = 200;

#[test]
#[ignore = "run by the tests below"]
fn imports_photos_and_makes_their_views_at_once() {
    let (Some(source), Some(dir)) = (env::var_os("PHOTO_SOURCE"), env::var_os("PHOTO_DIR")) else {
        return;
    };
    let store = PhotoStore::open(dir).unwrap();
    let files = fs::read_dir(source)
        .unwrap()
        .map(|file| file.unwrap().path());
    let photos: Vec<_> = files
        .map(|file| store.import(&file, Metadata::Strip).unwrap().hash)
        .collect();
    for photo in &photos {
        fs::remove_file(store.view(photo).unwrap()).unwrap();
    }
    thread::scope(|scope| {
        for photo in &photos {
            scope.spawn(|| store.view(photo).unwrap());
        }
    });
    println!("{}", holebook_tests::peak(std::process::id()));
}

/// A PNG file of zeros: its kind of pixels with their bytes, and whether it is interlaced.
fn write_png(
    file: &Path,
    (width, height): (u32, u32),
    (color, depth, bytes_per_pixel): (u8, u8, u64),
    interlaced: bool,
) {
    let mut header = [width.to_be_bytes(), height.to_be_bytes()].concat();
    header.extend([depth, color, 0, 0, u8::from(interlaced)]);
    // First column and row of each pass, and the steps between them (PNG 8.2).
    let passes: &[[u32; 4]] = match interlaced {
        true => &[
            [0, 0, 8, 8],
            [4, 0, 8, 8],
            [0, 4, 4, 8],
            [2, 0, 4, 4],
            [0, 2, 2, 4],
            [1, 0, 2, 2],
            [0, 1, 1, 2],
        ],
        false => &[[0, 0, 1, 1]],
    };
    let length = passes.iter().map(|[column, row, across, down]| {
        let wide = u64::from((width - column).div_ceil(*across));
        u64::from((height - row).div_ceil(*down)) * (1 + wide * bytes_per_pixel)
    });
    let mut packed = ZlibEncoder::new(Vec::new(), Compression::fast());
    io::copy(&mut io::repeat(0).take(length.sum()), &mut packed).unwrap();
    let mut png = b"\x89PNG\r\n\x1a\n".to_vec();
    for (kind, data) in [
        (b"IHDR", header),
        (b"IDAT", packed.finish().unwrap()),
        (b"IEND", Vec::new()),
    ] {
        let mut crc = Crc::new();
        crc.update(kind);
        crc.update(&data);
        png.extend((data.len() as u32).to_be_bytes());
        png.extend(kind);
        png.extend(data);
        png.extend(crc.sum().to_be_bytes());
    }
    fs::File::create(file).unwrap().write_all(&png).unwrap();
}

fn peak_mb(source: &Path, dir: &Path) -> u64 {
    let output = Command::new(env::current_exe().unwrap())
        .args([
            "--exact",
            "photos_memory::imports_photos_and_makes_their_views_at_once",
            "--ignored",
            "--nocapture",
        ])
        .env("PHOTO_SOURCE", source)
        .env("PHOTO_DIR", dir)
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let peak = text
        .lines()
        .find_map(|line| line.split("peak ").nth(1)?.split(' ').next());
    peak.unwrap_or_else(|| panic!("{text}{}", String::from_utf8_lossy(&output.stderr)))
        .parse()
        .unwrap()
}

#[test]
fn the_largest_png_of_any_kind_takes_less_than_200_mb() {
    for (what, kind, interlaced) in [
        ("16 bits with transparent parts", (6, 16, 8), false),
        ("16 bits", (2, 16, 6), false),
        (
            "16 bits with transparent parts, interlaced",
            (6, 16, 8),
            true,
        ),
    ] {
        let dir = tempfile::tempdir().unwrap();
        let source = dir.path().join("source");
        fs::create_dir(&source).unwrap();
        write_png(&source.join("largest.png"), LARGEST, kind, interlaced);
        let peak = peak_mb(&source, &dir.path().join("photos"));
        println!("{what}: {peak} MB");
        assert!(peak < MOST_MB, "{what}: {peak} MB");
    }
}

#[test]
fn views_of_many_photos_are_made_one_at_a_time() {
    let dir = tempfile::tempdir().unwrap();
    let source = dir.path().join("source");
    fs::create_dir(&source).unwrap();
    let (width, height) = LARGEST;
    for number in 0..8 {
        let file = source.join(format!("{number}.png"));
        write_png(&file, (width, height - number), (2, 8, 3), false);
    }
    let peak = peak_mb(&source, &dir.path().join("photos"));
    println!("eight views at once: {peak} MB");
    assert!(peak < MOST_MB, "{peak} MB");
}
