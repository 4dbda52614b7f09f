//! Sheets as PDF, as other programs read them: `qpdf` checks them, `pdftotext` says what they say,
//! `pdffonts` which fonts are in them, and `pdftoppm` how they look (Debian: qpdf, poppler-utils).
//!
//! If one is missing, the test is counted as skipped; with `CI` set it fails. `SCREENSHOTS=DIR` keeps
//! the sheets.

use holebook_core::hole::bolt_up::{BoltPass, BoltTightened, pass_range};
use holebook_core::hole::damage::Damage;
use holebook_core::hole::plan::Plan;
use holebook_core::hole::record::{
    FinalCheck, Note, Quantity, Reading, Remedy, RemedySpec, WantedThread,
};
use holebook_core::length::{Length, Rounding, Unit};
use holebook_core::notebook::{
    CastingBody, FaceBody, FaceId, HoleEntry, Notebook, OrderedBy, Settings,
};
use holebook_core::strength::{Grade, Lubrication, show_torque, show_torque_range};
use holebook_core::thread::Thread;
use holebook_paper::{PaperSize, SheetKind, SheetOptions, sheet_pdf};
use holebook_test_support::requirements::{have, works};
use holebook_test_support::worked_face::worked_face;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

fn have_readers() -> bool {
    have(works("pdftoppm", &["-v"]), "pdftoppm (poppler-utils)")
        && have(works("qpdf", &["--version"]), "qpdf")
}

/// A notebook and where its sheets go.
struct Shop {
    dir: TempDir,
    notebook: Notebook,
}

impl Shop {
    fn new() -> Shop {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(&dir.path().join("notebook")).unwrap();
        let settings = Settings {
            person: "K. Bench".to_owned(),
            device_name: "Bench computer".to_owned(),
            ..notebook.settings().unwrap()
        };
        notebook.set_settings(&settings).unwrap();
        Shop { dir, notebook }
    }

    /// Writes a sheet, and checks it.
    fn print(&self, face: FaceId, kind: SheetKind, size: PaperSize, unit: Unit) -> PathBuf {
        let lubrication = Lubrication::USUAL;
        let options = SheetOptions {
            kind,
            size,
            unit,
            lubrication: Some(lubrication),
        };
        let bytes = sheet_pdf(&self.notebook, face, options).unwrap();
        let file = self.dir.path().join(format!("{}.pdf", kind.word()));
        fs::write(&file, bytes).unwrap();
        let path = file.to_str().unwrap();
        // Fails on any error or warning.
        run("qpdf", &["--check", path]);
        keep(&file, size);
        file
    }

    fn inch(&self, face: FaceId, kind: SheetKind) -> PathBuf {
        self.print(face, kind, PaperSize::Letter, Unit::Inch)
    }
}

/// Copies a sheet under the name of its test, to look at it.
fn keep(file: &Path, size: PaperSize) {
    let Some(folder) = std::env::var_os("SCREENSHOTS") else {
        return;
    };
    let thread = std::thread::current();
    let test = thread.name().unwrap_or_default().replace("::", "-");
    let kind = file.file_stem().unwrap().to_str().unwrap();
    let name = format!("{test}-{kind}-{}.pdf", size.word());
    fs::copy(file, Path::new(&folder).join(name)).unwrap();
}

fn run(command: &str, args: &[&str]) -> String {
    let output = Command::new(command).args(args).output().unwrap();
    let stdout = String::from_utf8_lossy(&output.stdout).into_owned();
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command}: {stdout}{error}");
    stdout
}

/// What a PDF says, by page, with the columns in their places.
fn pages(file: &Path) -> Vec<String> {
    let text = run("pdftotext", &["-layout", file.to_str().unwrap(), "-"]);
    let pages = text.trim_end_matches('\u{c}').split('\u{c}');
    pages.map(str::to_owned).collect()
}

/// What a PDF says in one line, whatever the line breaks are.
fn said(file: &Path) -> String {
    let text = run("pdftotext", &[file.to_str().unwrap(), "-"]);
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ")
}

fn bare(length: Length, rounding: Rounding) -> String {
    let shown = length.rounded(Unit::Inch, rounding);
    shown.trim_end_matches(" in").to_owned()
}

#[test]
fn a_work_sheet_has_the_notebooks_numbers_and_twenty_holes_on_two_pages() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 20);
    let file = shop.inch(face, SheetKind::Work);
    let pages = pages(&file);
    assert_eq!(pages.len(), 2, "{pages:#?}");
    for (at, page) in pages.iter().enumerate() {
        for wanted in [
            &format!("Page {} of 2", at + 1),
            "casting of 20",
            "joint face",
            "Notebook: Bench computer",
            "by K. Bench",
        ] {
            assert!(
                page.contains(wanted),
                "{wanted} is not on page {at}: {page}"
            );
        }
    }
    let (all, said) = (pages.concat(), said(&file));
    let catalog = shop.notebook.catalog().unwrap();
    let mut chosen = 0;
    for hole in shop.notebook.face(face).unwrap().holes {
        let line = format!("\n  {}", hole.number);
        let own = all.lines().any(|line| {
            let first = line.split_whitespace().next();
            first == Some(&hole.number.to_string())
        });
        assert!(own, "no line begins with {line}: {all}");
        let view = shop.notebook.hole(hole.id).unwrap();
        let plan = Plan::of(&view.record, &view.face_record, &catalog);
        let Some(assessment) = plan.chosen() else {
            continue;
        };
        chosen += 1;
        let depths = assessment.depths.unwrap();
        for (as_is, finished) in [
            (depths.drill, depths.drill_after_cut),
            (depths.full_thread, depths.full_thread_after_cut),
        ] {
            let as_is = bare(as_is.unwrap(), Rounding::Up);
            let wanted = format!("to {as_is} ({})", bare(finished, Rounding::Up));
            assert!(said.contains(&wanted), "{wanted} is not in {said}");
        }
        let drill = assessment.drill.unwrap().show(Unit::Inch);
        assert!(said.contains(&drill), "{drill}");
    }
    assert!(chosen >= 12);
    for wanted in ["Drilled to", "Tapped to", "By, date", "Caution:", "Next:"] {
        assert!(said.contains(wanted), "{wanted}");
    }
}

#[test]
fn fonts_are_embedded_in_every_sheet_on_both_papers() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 7);
    for (size, points) in [
        (PaperSize::Letter, "612 x 792 pts (letter)"),
        (PaperSize::A4, "595.276 x 841.89 pts (A4)"),
    ] {
        for kind in SheetKind::ALL {
            let file = shop.print(face, kind, size, Unit::Millimeter);
            let path = file.to_str().unwrap();
            assert!(run("pdfinfo", &[path]).contains(points), "{kind:?}");
            let fonts = run("pdffonts", &[path]);
            let rows: Vec<&str> = fonts.lines().skip(2).collect();
            assert!(!rows.is_empty());
            for row in rows {
                // Columns: embedded, subset, with a map to Unicode.
                assert!(row.contains("yes yes yes"), "{row}");
            }
        }
    }
}

#[test]
fn a_hundred_holes_are_all_on_the_sheet_and_the_record() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 100);
    let work = pages(&shop.inch(face, SheetKind::Work));
    assert!(work.len() <= 8, "{} pages", work.len());
    let begins = |number: u32| {
        let lines = work.iter().flat_map(|page| page.lines());
        let mut first = lines.filter_map(|line| line.split_whitespace().next());
        first.any(|word| word == number.to_string())
    };
    assert!((1..=100).all(begins));
    for page in &work {
        assert!(page.contains("Condition,"), "titles on every page: {page}");
    }
    let joint = pages(&shop.inch(face, SheetKind::BoltUp));
    assert!(joint.len() <= 7, "{} pages", joint.len());
    for number in 1..=100 {
        // Its place in the order, then its number.
        let mut lines = joint.iter().flat_map(|page| page.lines());
        let has = |line: &str| line.split_whitespace().nth(1) == Some(&number.to_string());
        assert!(lines.any(has), "hole {number}");
    }
    let record = said(&shop.inch(face, SheetKind::Record));
    assert!((1..=100).all(|number| record.contains(&format!("Hole {number} "))));
}

#[test]
fn a_record_keeps_what_was_struck_out_and_says_who_and_why() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 2);
    let hole = shop.notebook.face(face).unwrap().holes[1].id;
    let reading = Reading {
        quantity: Quantity::Grip,
        value: Length::from_mm(777.0).unwrap(),
        tolerance: None,
        instrument: Some("eye".to_owned()),
    };
    let record = HoleEntry::Reading(reading);
    let wrong = shop.notebook.record(hole, record, &[]).unwrap();
    shop.notebook
        .strike_out(wrong, "read the wrong scale")
        .unwrap();
    let said = said(&shop.print(face, SheetKind::Record, PaperSize::A4, Unit::Millimeter));
    let at = said.find("777 mm").expect("the wrong reading is printed");
    let after = &said[at..];
    assert!(after.contains("struck out by K. Bench"), "{after}");
    assert!(after.contains("read the wrong scale"), "{after}");
    assert!(
        said.contains("Limits:") || said.contains("As found"),
        "{said}"
    );
}

/// A joint of three 3/8-16 holes that passed, with the grip of .500 in and grade 5 bolts.
fn sound_joint(shop: &Shop) -> FaceId {
    let notebook = &shop.notebook;
    let face = worked_face(notebook, 0);
    let planned = notebook.face(face).unwrap().record.planned_cut.0[0].entry;
    let nothing = Length::from_mm(0.0).unwrap();
    notebook.plan_face_cut(face, nothing, &[planned]).unwrap();
    for number in 0..3 {
        let at = Length::from_mm(40.0 * f64::from(number)).unwrap();
        let hole = notebook.add_hole(face, None, Some((at, at))).unwrap();
        let record = |entry| notebook.record(hole, entry, &[]).unwrap();
        record(HoleEntry::WantedThread(WantedThread {
            thread: Thread::parse("3/8-16").unwrap(),
            bolt: Some("SAE J429 grade 5".parse::<Grade>().unwrap()),
            through: Some(false),
            pressure: false,
        }));
        record(HoleEntry::Damage(Damage::default()));
        for (quantity, inches) in [
            (Quantity::Depth, "1.500"),
            (Quantity::FullThread, "1.250"),
            (Quantity::Grip, ".500"),
        ] {
            record(HoleEntry::Reading(Reading {
                quantity,
                value: Length::parse(inches, Some(Unit::Inch)).unwrap(),
                tolerance: None,
                instrument: None,
            }));
        }
        record(HoleEntry::FinalCheck(FinalCheck {
            spec: RemedySpec {
                remedy: Remedy::Leave,
                ..RemedySpec::BEFORE_CHOICE
            },
            passes: true,
            how: "plug gauge".to_owned(),
            torque_nm: None,
            engaged: None,
            reason: None,
        }));
    }
    face
}

#[test]
fn a_bolt_up_sheet_has_the_joints_numbers_and_the_passes_that_are_done() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = sound_joint(&shop);
    let lubrication = Lubrication::USUAL;
    let joint = shop.notebook.joint_plan(face, Some(lubrication)).unwrap();
    let (full_nm, _) = joint.full.expect("the grade and the metal give a torque");
    let first = joint.order.holes[0];
    let done = BoltTightened {
        pass: BoltPass::First,
        torque_nm: Some(full_nm * BoltPass::First.share()),
        reason: None,
        lubrication: Some(Lubrication::Dry),
    };
    let entry = HoleEntry::BoltTightened(done.clone());
    shop.notebook.record(first, entry, &[]).unwrap();
    let file = shop.inch(face, SheetKind::BoltUp);
    assert_eq!(pages(&file).len(), 1);
    let said = said(&file);
    let torque = show_torque(done.torque_nm.unwrap(), Unit::Inch);
    assert!(
        said.contains(&format!(" {torque}, dry")),
        "{torque}: {said}"
    );
    // It is too little for a dry bolt, whatever the sheet is for.
    let hole = joint.bolts.iter().find(|bolt| bolt.hole.id == first);
    let number = hole.unwrap().hole.number;
    assert!(said.contains("recorded with this lubrication: plain steel, dry."));
    let outside = format!("): hole {number} at {torque}.");
    assert!(said.contains(&outside), "{outside}: {said}");
    assert!(said.contains("Outside the range (first pass, plain steel, dry: "));
    for pass in BoltPass::ALL {
        let (least, most) = pass_range(full_nm, pass);
        let range = show_torque_range(least, most, Unit::Inch);
        assert!(said.contains(&range), "{range}: {said}");
    }
    let bolt = joint.bolts[0].assessment().unwrap().bolt.clone().unwrap();
    for wanted in [
        "Every hole has passed.",
        "machine oil",
        &bolt.name.unwrap(),
        ".500 in",
        "Weakest part: hole",
        "Sealer",
        "After the first warm-up, cold again",
        "Caution:",
        "the machine's manual",
        "Fit the same washers",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    // Two in a row and the middle one: the order starts in the middle.
    assert_eq!(first, joint.face.holes[1].id);
}

#[test]
fn a_bolt_up_sheet_of_an_open_joint_says_which_holes_are_open() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 60);
    let file = shop.inch(face, SheetKind::BoltUp);
    let all = pages(&file);
    assert!(all.len() <= 5, "{} pages", all.len());
    let text = all.concat();
    assert!(text.contains("these holes are open: 1, 2, 3"), "{text}");
    assert!(text.contains("No torque can be given"), "{text}");
    let is_drawn = shop.notebook.joint_plan(face, None);
    let is_drawn = is_drawn.unwrap().order.by != OrderedBy::Numbers;
    assert_eq!(said(&file).contains("on the drawing"), is_drawn, "{text}");
    for number in 1..=60_u32 {
        let hole = number.to_string();
        // Its place in the order, then its number.
        let mut lines = text.lines().map(str::split_whitespace);
        assert!(lines.any(|mut words| words.nth(1) == Some(&hole)), "{hole}");
    }
}

#[test]
fn letters_without_a_glyph_are_printed_as_their_numbers() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let name = "Größe Öl Крышка Ωμέγα 水套 קיטור 🔧 \u{202e}x";
    let body = CastingBody {
        name: name.to_owned(),
        note: Some("Fläche ≥ ⌀12, 中".to_owned()),
        metal: None,
    };
    let casting = shop.notebook.add_casting(&body).unwrap();
    let face = FaceBody {
        casting,
        name: "e\u{301}tat".to_owned(),
        note: None,
    };
    let face = shop.notebook.add_face(&face).unwrap();
    let hole = shop.notebook.add_hole(face, None, None).unwrap();
    let text = "нет 🔩 نص\nzweite Zeile".to_owned();
    let note = HoleEntry::Note(Note { text });
    shop.notebook.record(hole, note, &[]).unwrap();
    let in_names = [
        "Größe",
        "Öl",
        "Крышка",
        "Ωμέγα",
        "U+6C34",
        "U+5957",
        "U+05E7",
        "U+1F527",
        "U+202E",
        "état",
    ];
    let in_note = ["Fläche", "≥", "⌀12", "U+4E2D"];
    for kind in [SheetKind::Label, SheetKind::Record, SheetKind::BoltUp] {
        let said = said(&shop.inch(face, kind));
        let in_note = in_note.iter().filter(|_| kind != SheetKind::BoltUp);
        for wanted in in_names.iter().chain(in_note) {
            assert!(said.contains(wanted), "{kind:?}: {wanted} is not in {said}");
        }
        if kind == SheetKind::Record {
            for wanted in ["нет", "U+1F529", "U+0646", "zweite Zeile"] {
                assert!(said.contains(wanted), "{wanted} is not in {said}");
            }
        }
    }
}

/// XMP as ISO 19005-2 wants it; by hand, veraPDF checks the rest.
#[test]
fn sheets_say_that_they_are_made_to_be_kept() {
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 7);
    for kind in SheetKind::ALL {
        let file = shop.inch(face, kind);
        let bytes = fs::read(&file).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        for wanted in ["pdfaid:part>2<", "pdfaid:conformance>U<"] {
            assert!(text.contains(wanted), "{kind:?}: {wanted}");
        }
    }
}

/// A face with one hole, of which nothing is known, and one without any.
#[test]
fn an_empty_face_prints_and_says_what_is_missing() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    for (holes, kind, wanted) in [
        (0, SheetKind::Work, "No holes yet"),
        (0, SheetKind::Record, "0 of 0"),
        (0, SheetKind::Label, "0 holes"),
        (0, SheetKind::BoltUp, "This face has no holes yet."),
        (1, SheetKind::Work, "Next:"),
        (1, SheetKind::Record, "OPEN, not passed: 1"),
        (1, SheetKind::Label, "Open: 1"),
        (1, SheetKind::BoltUp, "these holes are open: 1"),
    ] {
        let face = worked_face(&shop.notebook, holes);
        for size in PaperSize::ALL {
            let file = shop.print(face, kind, size, Unit::Millimeter);
            assert_eq!(pages(&file).len(), 1, "{holes} {kind:?}");
            let said = said(&file);
            assert!(said.contains(wanted), "{wanted}: {said}");
        }
    }
}

#[test]
fn conflicts_are_flagged_on_the_work_sheet_and_the_record() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 6);
    let hole = shop.notebook.face(face).unwrap().holes[2].id;
    // As two devices would that do not know of each other.
    for thread in ["3/8-16", "7/16-14"] {
        let wanted = WantedThread {
            thread: Thread::parse(thread).unwrap(),
            bolt: None,
            through: Some(false),
            pressure: false,
        };
        let wanted = HoleEntry::WantedThread(wanted);
        shop.notebook.record(hole, wanted, &[]).unwrap();
    }
    let work = said(&shop.inch(face, SheetKind::Work));
    assert!(work.contains("OPEN: "), "{work}");
    let record = said(&shop.inch(face, SheetKind::Record));
    for wanted in ["CONFLICT in: 3", "CONFLICT: ", "IN CONFLICT "] {
        assert!(record.contains(wanted), "{wanted}: {record}");
    }
}

/// 254 pixels per inch are ten per millimeter.
const PIXELS_PER_MM: f64 = 10.0;

#[test]
fn a_template_is_in_true_scale() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 0);
    let mm = |value: f64| Length::from_mm(value).unwrap();
    for (x, y) in [(0.0, 0.0), (80.0, 60.0)] {
        shop.notebook
            .add_hole(face, None, Some((mm(x), mm(y))))
            .unwrap();
    }
    let file = shop.print(face, SheetKind::Template, PaperSize::A4, Unit::Millimeter);
    let picture = Picture::of(&file);
    let longest = picture.longest_rows();
    // 4 in is 101.6 mm. One pixel for each end of a line.
    for wanted in [100.0 * PIXELS_PER_MM, 101.6 * PIXELS_PER_MM] {
        let near = |run: &usize| (*run as f64 - wanted).abs() <= 3.0;
        assert!(longest.iter().any(near), "{wanted}: {longest:?}");
    }
    let centers = picture.crosses();
    let [(x1, y1), (x2, y2)] = centers[..] else {
        panic!("two crosses, not {centers:?}");
    };
    let apart = ((x2 - x1).abs(), (y2 - y1).abs());
    assert!((apart.0 - 800.0).abs() <= 2.0, "{apart:?}");
    assert!((apart.1 - 600.0).abs() <= 2.0, "{apart:?}");
}

#[test]
fn a_template_without_places_says_what_to_measure() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 3);
    let said = said(&shop.inch(face, SheetKind::Template));
    for wanted in ["No coordinates are recorded", "Measure", "100 mm", "4 in"] {
        assert!(said.contains(wanted), "{wanted} is not in {said}");
    }
}

#[test]
fn no_ink_lies_in_the_margin_that_printers_do_not_reach() {
    if !have_readers() {
        return;
    }
    let shop = Shop::new();
    let face = worked_face(&shop.notebook, 9);
    for kind in SheetKind::ALL {
        let picture = Picture::of(&shop.inch(face, kind));
        // 6 mm, common practice, no source.
        let edge = (6.0 * PIXELS_PER_MM) as usize;
        for y in 0..picture.height {
            for x in 0..picture.width {
                let inside =
                    x >= edge && y >= edge && x < picture.width - edge && y < picture.height - edge;
                assert!(
                    inside || !picture.is_dark(x, y),
                    "{kind:?}: ink at {x}, {y}"
                );
            }
        }
    }
}

/// The first page of a PDF in gray.
struct Picture {
    width: usize,
    height: usize,
    gray: Vec<u8>,
}

impl Picture {
    fn of(file: &Path) -> Picture {
        let out = file.with_extension("");
        let args = ["-r", "254", "-gray", "-singlefile"];
        let paths = [file.to_str().unwrap(), out.to_str().unwrap()];
        run("pdftoppm", &[args.as_slice(), &paths].concat());
        let bytes = fs::read(out.with_extension("pgm")).unwrap();
        // Binary PGM: `P5`, width, height, 255, one byte of white space, then the pixels.
        let mut fields = bytes.splitn(4, u8::is_ascii_whitespace);
        assert_eq!(fields.next(), Some(b"P5".as_slice()));
        let mut number = || {
            let field = fields.next().unwrap();
            std::str::from_utf8(field)
                .unwrap()
                .parse::<usize>()
                .unwrap()
        };
        let (width, height) = (number(), number());
        let gray = bytes[bytes.len() - width * height..].to_vec();
        Picture {
            width,
            height,
            gray,
        }
    }

    fn is_dark(&self, x: usize, y: usize) -> bool {
        self.gray[y * self.width + x] < 140
    }

    /// The longest dark run of each row, pixels.
    fn longest_rows(&self) -> Vec<usize> {
        let row = |y| {
            let (mut longest, mut run) = (0, 0);
            for x in 0..self.width {
                run = if self.is_dark(x, y) { run + 1 } else { 0 };
                longest = longest.max(run);
            }
            longest
        };
        (0..self.height).map(row).collect()
    }

    /// Centers of the crosses of holes of 6 mm: where a dark row and a dark column meet, each 60 to 120
    /// pixels long and centered there.
    fn crosses(&self) -> Vec<(f64, f64)> {
        const LEAST: usize = 60;
        const MOST: usize = 120;
        let mut found: Vec<(f64, f64)> = Vec::new();
        for y in MOST..self.height - MOST {
            for x in MOST..self.width - MOST {
                if !self.is_dark(x, y) {
                    continue;
                }
                let reach = |dx: isize, dy: isize| {
                    let dark = |step: &usize| {
                        let at = |from: usize, way: isize| from as isize + way * *step as isize;
                        self.is_dark(at(x, dx) as usize, at(y, dy) as usize)
                    };
                    (1..MOST).take_while(dark).count()
                };
                let (left, right) = (reach(-1, 0), reach(1, 0));
                let (up, down) = (reach(0, -1), reach(0, 1));
                let ends = [left, right, up, down];
                let long = ends.iter().all(|end| (LEAST / 2..MOST).contains(end));
                let centered = left.abs_diff(right) <= 2 && up.abs_diff(down) <= 2;
                if long && centered {
                    let (x, y) = (x as f64, y as f64);
                    let known = found
                        .iter()
                        .any(|(a, b)| (a - x).abs() < 10.0 && (b - y).abs() < 10.0);
                    if !known {
                        found.push((x, y));
                    }
                }
            }
        }
        found
    }
}
