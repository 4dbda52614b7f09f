//! Photo files with a position hidden in every place we could think of, built byte by byte.

use std::fs;
use std::io::Write as _;

use flate2::Compression;
use flate2::write::ZlibEncoder;

/// The position that is hidden, in the open sea; no picture holds these characters by chance.
pub const LATITUDE: &str = "48.876543";
/// The camera, which must be kept if EXIF can be read.
pub const MODEL: &str = "Barn Door 12";

/// A file with something hidden in it.
pub struct Crafted {
    pub name: String,
    pub bytes: Vec<u8>,
    /// The fixture whose pixels it has.
    pub pixels: &'static str,
    /// Its EXIF is readable, so camera, time and orientation must be kept.
    pub keeps_camera: bool,
}

fn crafted(pixels: &'static str, name: String, bytes: Vec<u8>) -> Crafted {
    Crafted {
        name,
        bytes,
        pixels,
        keeps_camera: false,
    }
}

const PLAIN: &str = "half-color.jpg";
const PROGRESSIVE: &str = "progressive.jpg";
const PNG: &str = "interlaced.png";

/// One thing to hide: text in several encodings, and whole files.
fn payloads() -> Vec<(&'static str, Vec<u8>)> {
    let xmp = xmp();
    let utf_16 = |write: fn(u16) -> [u8; 2]| -> Vec<u8> {
        let text = format!("\u{feff}{xmp}");
        text.encode_utf16().flat_map(write).collect()
    };
    vec![
        ("text", format!("position {LATITUDE} S").into_bytes()),
        ("xmp", xmp.clone().into_bytes()),
        ("xmp-utf-16-big", utf_16(u16::to_be_bytes)),
        ("xmp-utf-16-little", utf_16(u16::to_le_bytes)),
        ("xmp-compressed", zlib(xmp.as_bytes())),
        ("exif-little", camera(gps()).encode(false)),
        ("exif-big", camera(gps()).encode(true)),
        ("jpeg", jpeg_with_gps()),
    ]
}

/// An XMP packet with a position (ISO 16684-1).
fn xmp() -> String {
    format!(
        "<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>\
         <rdf:Description rdf:about='' xmlns:exif='http://ns.adobe.com/exif/1.0/' exif:GPSLatitude='{LATITUDE}S'/>\
         </rdf:RDF></x:xmpmeta>"
    )
}

fn zlib(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

fn fixture(name: &str) -> Vec<u8> {
    fs::read(super::fixture(name)).unwrap()
}

// JPEG.

/// Labels that segments begin with: the ones in use, and some that nobody uses.
const LABELS: [(&str, &[u8]); 12] = [
    ("none", b""),
    ("exif", b"Exif\0\0"),
    ("exif-padded", b"Exif\0\xFF"),
    ("xmp", b"http://ns.adobe.com/xap/1.0/\0"),
    ("xmp-more", b"http://ns.adobe.com/xmp/extension/\0"),
    ("icc", b"ICC_PROFILE\0\x01\x01"),
    ("icc-like", b"ICC_PROFILE2\0\x01\x01"),
    ("mpf", b"MPF\0"),
    ("resources", b"Photoshop 3.0\0"),
    ("jfxx", b"JFXX\0\x10"),
    ("flashpix", b"FPXR\0"),
    ("unknown", b"a maker's own\0"),
];

pub fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
    let length = (body.len() as u16 + 2).to_be_bytes();
    [&[0xFF, marker], &length[..], body].concat()
}

/// The file with `more` right before its `nth` marker of a kind.
fn before(file: &[u8], marker: u8, nth: usize, more: &[u8]) -> Vec<u8> {
    let mut places = file.windows(2).enumerate();
    let mut places = places.by_ref().filter(|(_, pair)| *pair == [0xFF, marker]);
    let at = places.nth(nth).unwrap().0;
    [&file[..at], more, &file[at..]].concat()
}

/// The file with `more` right behind its start of image.
fn at_start(file: &[u8], more: &[u8]) -> Vec<u8> {
    [&file[..2], more, &file[2..]].concat()
}

fn jpeg_with_gps() -> Vec<u8> {
    let exif = [b"Exif\0\0", &camera(gps()).encode(true)[..]].concat();
    at_start(&fixture(PLAIN), &segment(0xE1, &exif))
}

/// JPEG files.
pub fn jpegs() -> Vec<Crafted> {
    let (plain, progressive) = (fixture(PLAIN), fixture(PROGRESSIVE));
    let mut all = Vec::new();
    for (what, payload) in payloads() {
        for (label_name, label) in LABELS {
            let body = [label, &payload].concat();
            for marker in [0xE0, 0xE1, 0xE2, 0xED, 0xEE, 0xEF, 0xF0, 0xFE] {
                let segment = segment(marker, &body);
                let name = format!("{what}-in-{label_name}-{marker:x}");
                let (pixels, file) = match marker {
                    0xE1 => (PLAIN, at_start(&plain, &segment)),
                    0xEF | 0xFE => (PROGRESSIVE, before(&progressive, 0xDA, 2, &segment)),
                    _ => (PLAIN, before(&plain, 0xDA, 0, &segment)),
                };
                all.push(crafted(pixels, name, file));
            }
        }
        let mut add = |place: &str, file| {
            all.push(crafted(PLAIN, format!("{what}-{place}"), file));
        };
        // No byte of it may look like a marker.
        let stray: Vec<_> = payload
            .iter()
            .copied()
            .filter(|byte| *byte != 0xFF)
            .collect();
        add("between-segments", before(&plain, 0xDB, 0, &stray));
        add("trailer", [&plain[..], &payload].concat());
        // As motion photos and depth maps are stored: further files behind the picture.
        let further = [
            &plain[..],
            &jpeg_with_gps(),
            b"\0\0\0\x18ftypmp42",
            &payload,
        ]
        .concat();
        add("behind-further-picture", further);
        let jfif = [&b"JFIF\0\x01\x02\0\0\x01\0\x01\x08\x08"[..], &payload].concat();
        // In place of the fixture's own.
        let with_thumbnail = [&plain[..2], &segment(0xE0, &jfif), &plain[20..]].concat();
        add("jfif-thumbnail", with_thumbnail);
        let adobe = [&b"Adobe\0\x64\0\0\0\0\x01"[..], &payload].concat();
        add(
            "adobe-tail",
            before(&plain, 0xDB, 0, &segment(0xEE, &adobe)),
        );
        let profile = profile(&payload);
        let body = [&b"ICC_PROFILE\0\x01\x01"[..], &profile].concat();
        add(
            "private-profile-tag",
            at_start(&plain, &segment(0xE2, &body)),
        );
    }
    for big in [false, true] {
        for (name, tiff) in exifs(big) {
            let segment = segment(0xE1, &[&b"Exif\0\0"[..], &tiff].concat());
            let name = format!("exif-{name}-{}", if big { "big" } else { "little" });
            all.push(Crafted {
                keeps_camera: true,
                ..crafted(PLAIN, name, at_start(&plain, &segment))
            });
        }
    }
    all
}

/// Files in which something is hidden in the tables themselves, as no encoder writes them and
/// libjpeg does not read them: `Bogus marker length`, `Bogus DHT` or the like.
pub fn rejected_jpegs() -> Vec<Crafted> {
    let plain = fixture(PLAIN);
    let mut all = Vec::new();
    for marker in [0xDB, 0xC4, 0xC0, 0xDA] {
        let at = plain
            .windows(2)
            .position(|pair| pair == [0xFF, marker])
            .unwrap();
        let length = usize::from(u16::from_be_bytes([plain[at + 2], plain[at + 3]]));
        let end = at + 2 + length;
        let body = [&plain[at + 4..end], LATITUDE.as_bytes()].concat();
        let file = [&plain[..at], &segment(marker, &body), &plain[end..]].concat();
        all.push(crafted(PLAIN, format!("surplus-in-{marker:x}"), file));
    }
    all
}

// Color profiles.

/// A profile with a private tag behind the public ones, and bytes between them (ICC.1:2022, 7.2 and
/// 7.3).
fn profile(hidden: &[u8]) -> Vec<u8> {
    let mut profile = vec![0; 128];
    profile[12..24].copy_from_slice(b"mntrRGB XYZ ");
    profile[36..40].copy_from_slice(b"acsp");
    let white = b"XYZ \0\0\0\0\0\0\xF6\xD6\0\x01\0\0\0\0\xD3\x2D";
    profile.extend(3_u32.to_be_bytes());
    let start = 132 + 3 * 12;
    let end = start + white.len();
    for (tag, at, length) in [
        (b"wtpt", start, white.len()),
        (b"GPSp", end, hidden.len()),
        (b"meta", end, hidden.len()),
    ] {
        profile.extend(tag);
        profile.extend((at as u32).to_be_bytes());
        profile.extend((length as u32).to_be_bytes());
    }
    profile.extend(white);
    profile.extend(hidden);
    let length = profile.len() as u32;
    profile[..4].copy_from_slice(&length.to_be_bytes());
    profile[100..109].copy_from_slice(LATITUDE.as_bytes());
    profile.extend(LATITUDE.as_bytes());
    profile
}

// EXIF.

/// A directory of TIFF 6.0: entries with their values, directories below, and the one that follows.
#[derive(Default)]
pub struct Directory {
    entries: Vec<(u16, u16, Value)>,
    below: Vec<(u16, Directory)>,
    next: Option<Box<Directory>>,
}

/// A value in the given byte order.
enum Value {
    Bytes(Vec<u8>),
    Short(u16),
    Fractions(Vec<[u32; 2]>),
}

const BYTE: u16 = 1;
const ASCII: u16 = 2;
const SHORT: u16 = 3;
const LONG: u16 = 4;
const FRACTION: u16 = 5;
const UNDEFINED: u16 = 7;

impl Directory {
    fn text(mut self, tag: u16, text: &str) -> Self {
        self.entries
            .push((tag, ASCII, Value::Bytes(format!("{text}\0").into_bytes())));
        self
    }

    fn bytes(mut self, tag: u16, kind: u16, bytes: &[u8]) -> Self {
        self.entries.push((tag, kind, Value::Bytes(bytes.to_vec())));
        self
    }

    fn with(mut self, tag: u16, below: Self) -> Self {
        self.below.push((tag, below));
        self
    }

    /// A whole TIFF structure.
    pub fn encode(&self, big: bool) -> Vec<u8> {
        let mut bytes = if big {
            b"MM\0*\0\0\0\x08".to_vec()
        } else {
            b"II*\0\x08\0\0\0".to_vec()
        };
        self.append(&mut bytes, big);
        bytes
    }

    fn append(&self, bytes: &mut Vec<u8>, big: bool) {
        let two = |number: u16| {
            if big {
                number.to_be_bytes()
            } else {
                number.to_le_bytes()
            }
        };
        let four = |number: u32| {
            if big {
                number.to_be_bytes()
            } else {
                number.to_le_bytes()
            }
        };
        let start = bytes.len();
        let count = self.entries.len() + self.below.len();
        bytes.extend(two(count as u16));
        bytes.resize(start + 2 + 12 * count + 4, 0);
        let mut at = start + 2;
        let mut put = |bytes: &mut Vec<u8>, tag: u16, kind: u16, count: usize, value: [u8; 4]| {
            let entry = [&two(tag)[..], &two(kind), &four(count as u32), &value].concat();
            bytes[at..at + 12].copy_from_slice(&entry);
            at += 12;
        };
        for (tag, kind, value) in &self.entries {
            let (count, value) = match value {
                Value::Bytes(value) => (value.len(), value.clone()),
                Value::Short(number) => (1, two(*number).to_vec()),
                Value::Fractions(all) => (
                    all.len(),
                    all.as_flattened()
                        .iter()
                        .flat_map(|one| four(*one))
                        .collect(),
                ),
            };
            let inline = match value.len() {
                0..=4 => {
                    let mut inline = [0; 4];
                    inline[..value.len()].copy_from_slice(&value);
                    inline
                }
                _ => four(bytes.len() as u32),
            };
            if value.len() > 4 {
                bytes.extend(value);
            }
            put(bytes, *tag, *kind, count, inline);
        }
        for (tag, below) in &self.below {
            let pointer = four(bytes.len() as u32);
            put(bytes, *tag, LONG, 1, pointer);
            below.append(bytes, big);
        }
        if let Some(next) = &self.next {
            let pointer = four(bytes.len() as u32);
            bytes[start + 2 + 12 * count..][..4].copy_from_slice(&pointer);
            next.append(bytes, big);
        }
    }
}

/// The directory of positions (EXIF 3.0, 4.6.6): latitude in degrees, minutes and seconds, and as
/// text.
fn gps() -> Directory {
    let mut gps = Directory::default()
        .bytes(0, BYTE, &[2, 3, 0, 0])
        .text(1, "S");
    let latitude = vec![[48, 1], [52, 1], [355_548, 10_000]];
    gps.entries.push((2, FRACTION, Value::Fractions(latitude)));
    gps.text(0x1B, LATITUDE)
}

/// A camera's directories with one of positions, and what must be kept.
fn camera(gps: Directory) -> Directory {
    let mut picture = Directory::default()
        .text(0x010F, "Barn")
        .text(0x0110, MODEL);
    picture.entries.push((0x0112, SHORT, Value::Short(6)));
    let exif = Directory::default()
        .text(0x9003, "2026:05:06 07:08:09")
        .text(0x9011, "-09:00")
        .text(0x9291, "123");
    picture.with(0x8769, exif).with(0x8825, gps)
}

/// EXIF with a position in each place that can hold one.
fn exifs(big: bool) -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<(String, Directory)> = vec![("gps".into(), camera(gps()))];
    let none = || camera(Directory::default().text(1, "S"));
    let add = |change: &dyn Fn(Directory) -> Directory| change(none());
    for (payload_name, payload) in payloads() {
        let payload = &payload;
        // Description, software, artist, copyright; and the fields of a system's file properties.
        for tag in [
            0x010E, 0x0131, 0x013B, 0x8298, 0x9C9B, 0x9C9C, 0x02BC, 0x83BB, 0x8649, 0x87B1,
        ] {
            all.push((
                format!("{payload_name}-in-{tag:04x}"),
                add(&|all| all.bytes(tag, if tag < 0x9000 { ASCII } else { BYTE }, payload)),
            ));
        }
        for (name, tag) in [
            ("maker-note", 0x927C),
            ("comment", 0x9286),
            ("unknown", 0xC0DE),
        ] {
            let mut directory = none();
            directory.below[0].1 =
                std::mem::take(&mut directory.below[0].1).bytes(tag, UNDEFINED, payload);
            all.push((format!("{payload_name}-in-{name}"), directory));
        }
        let mut thumbnail = none();
        thumbnail.next = Some(Box::new(
            Directory::default()
                .bytes(0x0201, LONG, payload)
                .with(0x8825, gps()),
        ));
        all.push((format!("{payload_name}-in-second-directory"), thumbnail));
    }
    all.push(("gps-below-exif".into(), {
        let mut directory = none();
        directory.below[0].1 = std::mem::take(&mut directory.below[0].1).with(0x8825, gps());
        directory
    }));
    all.push(("gps-in-sub-directory".into(), none().with(0x014A, gps())));
    // Fields that are kept, with a text that is not theirs; the same field may come again, and wins
    // in some readers.
    for (tag, text) in [(0x0132, LATITUDE), (0x882A, LATITUDE)] {
        all.push((format!("text-in-{tag:04x}"), none().text(tag, text)));
    }
    for tag in [0x9010, 0x9012, 0x9290, 0x9292, 0x9004] {
        let mut directory = none();
        directory.below[0].1 = std::mem::take(&mut directory.below[0].1).text(tag, LATITUDE);
        all.push((format!("text-in-{tag:04x}"), directory));
    }
    let encoded = all
        .into_iter()
        .map(|(name, directory)| (name, directory.encode(big)));
    let mut encoded: Vec<_> = encoded.collect();
    // Bytes that no directory names.
    let slack = [
        &camera(Directory::default().text(1, "S")).encode(big)[..],
        LATITUDE.as_bytes(),
    ]
    .concat();
    encoded.push(("slack".into(), slack));
    encoded
}

// PNG.

/// A chunk with its checksum (W3C PNG, 5.3).
pub fn chunk(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut crc = flate2::Crc::new();
    crc.update(kind);
    crc.update(data);
    [
        &(data.len() as u32).to_be_bytes()[..],
        kind,
        data,
        &crc.sum().to_be_bytes(),
    ]
    .concat()
}

/// The file with a chunk right behind `IHDR`, or right before `IEND`.
fn with_chunk(file: &[u8], late: bool, kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let at = if late { file.len() - 12 } else { 33 };
    [&file[..at], &chunk(kind, data), &file[at..]].concat()
}

/// PNG files.
pub fn pngs() -> Vec<Crafted> {
    let plain = fixture(PNG);
    let mut all = Vec::new();
    for (what, payload) in payloads() {
        let text = |keyword: &[u8]| [keyword, b"\0", &payload].concat();
        let hex: String = payload.iter().map(|byte| format!("{byte:02x}")).collect();
        let raw = format!("\nexif\n{:8}\n{hex}\n", payload.len()).into_bytes();
        let profile = profile(&payload);
        let chunks: Vec<(&[u8; 4], Vec<u8>)> = vec![
            (b"tEXt", text(b"Comment")),
            (b"tEXt", [b"Raw profile type exif\0", &raw[..]].concat()),
            (
                b"zTXt",
                [b"Raw profile type APP1\0\0", &zlib(&raw)[..]].concat(),
            ),
            (b"zTXt", [b"Comment\0\0", &zlib(&payload)[..]].concat()),
            (
                b"iTXt",
                [b"XML:com.adobe.xmp\0\0\0\0\0", &payload[..]].concat(),
            ),
            (
                b"iTXt",
                [b"XML:com.adobe.xmp\0\x01\0\0\0", &zlib(&payload)[..]].concat(),
            ),
            (b"eXIf", payload.clone()),
            (b"exIf", payload.clone()),
            (b"zxIf", payload.clone()),
            (b"heRe", payload.clone()),
            (b"sPLT", [b"palette\0\x08", &payload[..]].concat()),
            (b"hIST", payload.clone()),
            (b"pHYs", payload.clone()),
            (b"bKGD", payload.clone()),
            (b"tIME", payload.clone()),
            (b"fdAT", payload.clone()),
            (b"iCCP", text(b"")),
            (
                b"iCCP",
                [LATITUDE.as_bytes(), b"\0\0", &zlib(&profile)].concat(),
            ),
            (
                b"iCCP",
                [b"icc\0\0", &zlib(&profile)[..], LATITUDE.as_bytes()].concat(),
            ),
            (b"iCCP", [b"icc\0\0", &zlib(&payload)[..]].concat()),
        ];
        for (index, (kind, data)) in chunks.into_iter().enumerate() {
            let late = index % 2 == 1 && kind != b"iCCP";
            let name = format!("{what}-{}-{index}", String::from_utf8_lossy(kind));
            all.push(crafted(PNG, name, with_chunk(&plain, late, kind, &data)));
        }
        all.push(crafted(
            PNG,
            format!("{what}-trailer"),
            [&plain[..], &payload].concat(),
        ));
        all.push(crafted(
            PNG,
            format!("{what}-behind-further-picture"),
            [&plain[..], &plain, &payload].concat(),
        ));
    }
    for big in [false, true] {
        for (name, tiff) in exifs(big) {
            let name = format!("exif-{name}-{}", if big { "big" } else { "little" });
            all.push(Crafted {
                keeps_camera: true,
                ..crafted(PNG, name, with_chunk(&plain, false, b"eXIf", &tiff))
            });
        }
    }
    all
}
