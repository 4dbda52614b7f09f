//! Memory that the largest photos take, and the time of the slowest, in the formats that hold most bytes a pixel: below 200 MB,
//! for a phone with 2 GB. Each is imported in a process of its own, the ignored test
//! below.

use std::io::{Read, Write};
use std::path::Path;
use std::process::Command;
use std::time::Instant;
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

/// Below 4096 pixels a JPEG is decoded in full; these are 512 by 512 blocks.
const LARGEST_IN_FULL: (u16, u16) = (4095, 4095);

/// A progressive JPEG file; its number of blocks must be a multiple of 16,384. Every coefficient is given in as many passes as asked for, each with a bit for every one;
/// with none, the picture is empty and its file small.
fn write_progressive(file: &Path, (width, height): (u16, u16), components: u8, passes: u8) {
    let blocks = usize::from(width.div_ceil(8)) * usize::from(height.div_ceil(8));
    let (high, wide) = (height.to_be_bytes(), width.to_be_bytes());
    let segment = |marker: u8, body: &[u8]| {
        let length = (body.len() as u16 + 2).to_be_bytes();
        [&[0xFF, marker], &length[..], body].concat()
    };
    // One code of one bit: no difference (DC 0), a run of 16384 empty blocks (AC 0), or a value of one
    // bit (AC 1).
    let table = |place: u8, symbol: u8| {
        let counts = [&[1][..], &[0; 15]].concat();
        segment(0xC4, &[&[place][..], &counts, &[symbol]].concat())
    };
    let colors: Vec<u8> = (1..=components).collect();
    let frame = [&[8][..], &high, &wide, &[components]].concat();
    let sampling = colors.iter().flat_map(|color| [*color, 0x11, 0]).collect();
    let scan = |colors: &[u8], tables: u8, range: [u8; 3], bits: usize, fill: u8| {
        let named = colors.iter().flat_map(|color| [*color, tables]).collect();
        let header = [vec![colors.len() as u8], named, range.to_vec()].concat();
        [segment(0xDA, &header), vec![fill; bits.div_ceil(8)]].concat()
    };
    let mut jpeg = [
        vec![0xFF, 0xD8],
        segment(0xDB, &[&[0][..], &[1; 64]].concat()),
        segment(0xC2, &[frame, sampling].concat()),
        [table(0, 0), table(0x10, 0xE0), table(0x11, 1)].concat(),
        scan(&colors, 0, [0, 0, 0], blocks * colors.len(), 0),
    ]
    .concat();
    // A run has a code of one bit, 14 bits of length, and a bit for each value that is refined.
    let runs = blocks / 16_384 * 15;
    for color in &colors {
        let color = std::slice::from_ref(color);
        match passes {
            0 => jpeg.extend(scan(color, 0, [1, 63, 0], runs, 0)),
            _ => jpeg.extend(scan(color, 1, [1, 63, 1], blocks * 126, 0x55)),
        }
        for _ in 1..=passes {
            jpeg.extend(scan(color, 0, [1, 63, 0x10], runs + blocks * 63, 0));
        }
    }
    jpeg.extend([0xFF, 0xD9]);
    fs::write(file, jpeg).unwrap();
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
fn the_largest_progressive_jpeg_takes_less_than_200_mb() {
    // In full, and as large as their coefficients allow.
    for (size, components) in [
        (LARGEST_IN_FULL, 1),
        (LARGEST_IN_FULL, 3),
        (LARGEST_IN_FULL, 4),
        ((10_240, 7680), 1),
        ((5120, 5120), 3),
        ((4608, 4096), 4),
    ] {
        let dir = tempfile::tempdir().unwrap();
        let source = dir.path().join("source");
        fs::create_dir(&source).unwrap();
        write_progressive(&source.join("largest.jpg"), size, components, 0);
        let peak = peak_mb(&source, &dir.path().join("photos"));
        println!("progressive, {size:?}, {components} colors: {peak} MB");
        assert!(peak < MOST_MB, "{size:?}, {components} colors: {peak} MB");
    }
}

/// As many passes over the picture as are allowed, each with a bit for every coefficient. How long
/// that takes is printed, since it depends on the machine.
#[test]
fn the_slowest_jpeg_is_imported_or_refused() {
    for components in [1, 3, 4] {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("slow.jpg");
        write_progressive(&file, LARGEST_IN_FULL, components, 8);
        let store = PhotoStore::open(dir.path().join("photos")).unwrap();
        let since = Instant::now();
        let imported = store.import(&file, Metadata::Strip);
        let (bytes, took) = (fs::metadata(&file).unwrap().len(), since.elapsed());
        println!("{components} colors, {bytes} bytes: {took:.1?}, {imported:?}");
        assert!(imported.is_ok() || imported.unwrap_err().to_string().contains("slow.jpg"));
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
