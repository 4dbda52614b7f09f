//! Whatever the screens can do, typed calls can: every address that the pages link to has its
//! calls.

use crate::support::{TestPhone, choose, finish, measured_hole, mm};
use holebook_mobile::*;
use std::collections::{BTreeMap, BTreeSet};

/// Each address of the screens, ids as `*`, with the calls that do the same. Style and scripts have
/// none.
const COUNTERPARTS: &[(&str, &[&str])] = &[
    ("/", &["castings", "list"]),
    ("/settings", &["settings", "set_settings", "device"]),
    ("/settings/limits", &["limits", "set_limits"]),
    (
        "/bench",
        &[
            "thread_report",
            "identify_thread",
            "inserts",
            "drills_for_thread",
        ],
    ),
    ("/bench/thread", &["thread_report", "drills_for_thread"]),
    ("/bench/identify", &["identify_thread"]),
    ("/bench/insert", &["inserts"]),
    ("/bench/drill", &["drills_for_thread", "nearest_drills"]),
    ("/bench/cutting", &["cutting_speeds"]),
    ("/bench/strength", &["strength_report"]),
    ("/bench/remedies", &["remedies"]),
    ("/bench/pattern", &["fit_pattern"]),
    ("/bench/flatness", &["judge_face"]),
    ("/search", &["search"]),
    ("/casting", &["add_casting"]),
    ("/casting/*", &["casting"]),
    ("/casting/*/edit", &["change_casting"]),
    ("/casting/*/face", &["add_face"]),
    ("/casting/*/runs", &["tool_runs_of_casting"]),
    ("/face/*", &["face"]),
    ("/face/*/edit", &["change_face"]),
    ("/face/*/cut", &["plan_face_cut"]),
    (
        "/face/*/milled",
        &[
            "record_face_milled",
            "recorded_before_cut",
            "face_cut_effects",
        ],
    ),
    (
        "/face/*/correct",
        &["record_face_milled", "recorded_before_cut"],
    ),
    ("/face/*/strike-out", &["strike_out"]),
    ("/face/*/hole", &["add_hole"]),
    ("/face/*/photo", &["add_photo"]),
    ("/face/*/note", &["note_face"]),
    ("/face/*/setup", &["face", "faces_with_setup"]),
    ("/face/*/setup/save", &["change_setup"]),
    ("/face/*/setup/copy", &["copy_setup"]),
    ("/face/*/setup/remove", &["change_setup"]),
    ("/face/*/alike", &["face"]),
    ("/face/*/alike/record", &["record_all_for"]),
    ("/face/*/places", &["centers"]),
    ("/face/*/places/measured", &["set_hole_places"]),
    ("/face/*/places/good", &["set_good_holes"]),
    ("/face/*/places/graded", &["strike_out"]),
    ("/face/*/pattern", &["face"]),
    ("/face/*/pattern/lines", &["set_pattern"]),
    ("/face/*/pattern/circle", &["pattern_holes", "set_pattern"]),
    ("/face/*/pattern/grid", &["pattern_holes", "set_pattern"]),
    ("/face/*/pattern/oval", &["pattern_holes", "set_pattern"]),
    (
        "/face/*/pattern/distances",
        &["holes_by_distances", "set_pattern"],
    ),
    ("/face/*/pattern/use", &["set_pattern"]),
    ("/face/*/pattern/strike-out", &["strike_out"]),
    ("/face/*/moves", &["moves_to_centers", "mill"]),
    ("/face/*/moves.csv", &["table_moves_csv"]),
    ("/face/*/moves.dxf", &["holes_dxf"]),
    ("/face/*/moves/mill", &["set_mill"]),
    ("/face/*/heights", &["face_state", "level_face_on_jacks"]),
    ("/face/*/heights/save", &["record_heights"]),
    ("/face/*/heights/strike-out", &["heights", "strike_out"]),
    ("/face/*/heights/cut", &["plan_face_cut"]),
    ("/photo/*/points", &["known_places"]),
    ("/photo/*/points/add", &["add_known_place"]),
    ("/photo/*/straight", &["straightened_photo"]),
    ("/photo/*/straight.jpg", &["straightened_photo"]),
    ("/photo/*/points/strike-out", &["strike_out"]),
    ("/face/*/sheet", &["sheet"]),
    ("/face/*/record", &["sheet_pdf", "history"]),
    ("/face/*/sheet/work.pdf", &["sheet_pdf"]),
    ("/face/*/sheet/record.pdf", &["sheet_pdf"]),
    ("/face/*/sheet/template.pdf", &["sheet_pdf"]),
    ("/face/*/sheet/label.pdf", &["sheet_pdf"]),
    ("/face/*/runs", &["tool_runs"]),
    ("/photo/*", &["photo"]),
    ("/photo/*/mark", &["mark"]),
    ("/photo/*/strike-out", &["remove_mark"]),
    ("/photo/*/grade", &["record"]),
    ("/photo/*/grade-rest", &["record_for"]),
    ("/photo/*/find", &["find_holes"]),
    ("/photo/*/add-found", &["add_found_holes"]),
    (
        "/photo/*/add-expected",
        &["find_on_pattern", "add_expected_holes"],
    ),
    ("/photo/*/snap", &["snap_mark"]),
    ("/photo/*/undo", &["undo_all"]),
    ("/photo/*/remove", &["remove_photo"]),
    ("/photo/*/restore", &["removed_photos", "restore_photo"]),
    ("/photo/*/original", &["photo_original"]),
    ("/photo/*/view.jpg", &["photo_view"]),
    ("/photo/*/thumb.jpg", &["photo_thumbnail"]),
    ("/hole/*", &["hole", "plan"]),
    ("/hole/*/log", &["history", "entry"]),
    ("/hole/*/outline", &["measure_outline"]),
    ("/hole/*/reading", &["record", "record_all"]),
    ("/hole/*/correct", &["correct"]),
    ("/hole/*/use-reading", &["strike_out"]),
    ("/hole/*/damage", &["record"]),
    ("/hole/*/wanted-thread", &["record"]),
    ("/hole/*/remedy", &["record"]),
    ("/hole/*/resolve", &["resolve"]),
    ("/hole/*/cut", &["record"]),
    ("/hole/*/trial-fit", &["record"]),
    ("/hole/*/install", &["record"]),
    ("/hole/*/stake-keys", &["record"]),
    ("/hole/*/check", &["record"]),
    ("/hole/*/final-check", &["record", "problems_if_recorded"]),
    ("/hole/*/number", &["change_hole"]),
    ("/hole/*/note", &["record"]),
    ("/hole/*/photo", &["add_photo_of_hole"]),
    ("/hole/*/try", &["record"]),
    ("/hole/*/tool-trouble", &["record"]),
    ("/hole/*/time", &["record"]),
    ("/hole/*/strike-out", &["strike_out"]),
    (
        "/sync",
        &[
            "known_remotes",
            "entries_not_synced",
            "photos_not_synced",
            "progress",
            "result",
        ],
    ),
    ("/sync/start", &["start_sync"]),
    ("/sync/stop", &["cancel"]),
    ("/sync/forget", &["forget_remote"]),
    ("/sync/export", &["write_bundle"]),
    ("/sync/export-files", &["export_files"]),
    ("/sync/file", &["write_bundle"]),
    ("/sync/import", &["start_sync"]),
    ("/kit", &["kit", "kit_text"]),
    ("/kit/csv", &["kit_csv"]),
    ("/kit/text", &["kit_text"]),
    ("/order", &["work_order"]),
    ("/casting/*/kit", &["kit", "kit_text"]),
    ("/casting/*/kit/csv", &["kit_csv"]),
    ("/casting/*/kit/text", &["kit_text"]),
    ("/casting/*/order", &["work_order"]),
    ("/face/*/kit", &["kit", "kit_text"]),
    ("/face/*/kit/csv", &["kit_csv"]),
    ("/face/*/kit/text", &["kit_text"]),
    ("/face/*/order", &["work_order"]),
    (
        "/face/*/bolt-up",
        &["bolt_up", "joint_plan", "tightening_order"],
    ),
    ("/face/*/bolt-up/tighten", &["record"]),
    ("/face/*/bolt-up/sheet", &["bolt_up_sheet"]),
    ("/face/*/sheet/bolt-up.pdf", &["bolt_up_pdf", "sheet_pdf"]),
    ("/casting/*/page.html", &["casting_file"]),
    ("/face/*/remind", &["remind"]),
    ("/drawer", &["on_hand", "item_sets", "insert_files"]),
    ("/drawer/set", &["add_item_set"]),
    ("/drawer/wear", &["tool_use"]),
    ("/drawer/renewed", &["renew_tool"]),
    ("/drawer/item", &["set_on_hand"]),
    ("/drawer/change", &["set_on_hand"]),
    ("/drawer/sheet", &["add_insert_file"]),
    ("/drawer/remove-sheet", &["remove_insert_file"]),
    ("/pair", &["shops"]),
    ("/pair/shop", &["pair"]),
];

fn page(notebook: &Notebook, path: &str) -> Option<String> {
    ask(notebook, Method::Get, path, &[])
}

fn ask(notebook: &Notebook, method: Method, path: &str, form: &[(&str, &str)]) -> Option<String> {
    let pair = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
    let response = notebook.answer(Request {
        method,
        form: form.iter().map(pair).collect(),
        ..Request::get(path)
    });
    match response.unwrap().body {
        ResponseBody::Text(text) => Some(text),
        _ => None,
    }
}

/// The addresses within the notebook that a page leads to.
fn addresses(page: &str) -> BTreeSet<String> {
    let marks = ["href=\"/", "action=\"/", "src=\"/"];
    let found = marks.iter().flat_map(|mark| page.split(mark).skip(1));
    let ends = ['"', '?', '#'];
    found
        .map(|rest| format!("/{}", rest.split(ends).next().unwrap()))
        .collect()
}

/// The address with ids as `*`.
fn pattern(path: &str) -> String {
    let parts = path.split('/').map(|part| match part.len() {
        36 if part.matches('-').count() == 4 => "*",
        _ => part,
    });
    parts.collect::<Vec<_>>().join("/")
}

/// Every address that can be reached from the front page of these notebooks.
fn reached(books: &[&Notebook]) -> BTreeSet<String> {
    let mut patterns = BTreeSet::new();
    for notebook in books {
        let mut seen = BTreeSet::new();
        let mut waiting = vec!["/".to_owned()];
        while let Some(path) = waiting.pop() {
            if seen.insert(path.clone()) {
                waiting.extend(addresses(&page(notebook, &path).unwrap_or_default()));
            }
        }
        patterns.extend(seen.iter().map(|path| pattern(path)));
    }
    patterns
}

/// Syncs with a folder, and writes a bundle.
fn sync_and_write_bundle(phone: &TestPhone) {
    let at = |name: &str| phone.dir.path().join(name).to_string_lossy().into_owned();
    let path = at("remote");
    let notebook = &phone.notebook;
    let run = notebook.start_sync(SyncTarget::Folder { path }).unwrap();
    run.result().unwrap();
    notebook.set_bundle_folder(at("bundles")).unwrap();
    ask(notebook, Method::Post, "/sync/export", &[("what", "all")]);
    while !page(notebook, "/sync").unwrap().contains("/sync/file") {
        std::thread::yield_now();
    }
}

/// Adds a set of drills, and the sheet of an insert's maker.
fn fill_drawer(notebook: &Notebook) {
    ask(notebook, Method::Post, "/drawer/set", &[("set", "letters")]);
    let sheet = [
        ("family", "wire thread insert"),
        ("thread", "3/8-16"),
        ("item-length", "9/16"),
        ("drill", "X"),
        ("source", "card in the box"),
    ];
    ask(notebook, Method::Post, "/drawer/sheet", &sheet);
}

#[test]
fn every_address_of_the_screens_has_its_calls() {
    let (fresh, read, done) = (TestPhone::new(), TestPhone::new(), TestPhone::new());
    let job = measured_hole(&read.notebook);
    let damage = HoleEntry::Damage(crate::support::worn(9.8));
    crate::support::record(&read.notebook, job.hole, damage);
    // Readings that differ.
    for value in [30.0, 40.0] {
        let reading = Reading {
            quantity: Quantity::MatingHole,
            value: mm(value),
            tolerance: None,
            instrument: None,
        };
        crate::support::record(&read.notebook, job.hole, HoleEntry::Reading(reading));
    }
    // More lines than the page shows at once.
    let note = |text: usize| {
        HoleEntry::Note(Note {
            text: text.to_string(),
        })
    };
    let notes = (0..100).map(note).collect();
    read.notebook.record_all(job.hole, notes).unwrap();
    crate::face_places::record_places(&read.notebook, &job);
    crate::face_places::place_holes(&read.notebook, &job);
    // A hole to grade, and a second mark that differs, with the page after it, which offers to undo
    // it.
    let new = [("hole", "new"), ("x_px", "9"), ("y_px", "9")];
    let path = format!("/photo/{}/mark", job.photo);
    ask(&read.notebook, Method::Post, &path, &new);
    let hole = job.hole.to_string();
    let form = [
        ("hole", hole.as_str()),
        ("x_px", "3"),
        ("y_px", "4"),
        ("part", "yes"),
    ];
    let marked = ask(&read.notebook, Method::Post, &path, &form).unwrap();
    let job = measured_hole(&done.notebook);
    let spec = choose(&done.notebook, job.hole);
    finish(&done.notebook, &job, &spec);
    done.notebook.remove_photo(job.photo).unwrap();
    fill_drawer(&done.notebook);
    sync_and_write_bundle(&done);
    let mut counterparts: BTreeMap<_, _> = COUNTERPARTS.iter().copied().collect();
    let mut reached = reached(&[&fresh.notebook, &read.notebook, &done.notebook]);
    reached.extend(addresses(&marked).iter().map(|path| pattern(path)));
    reached.retain(|path| !path.ends_with(".js") && !path.ends_with(".css"));
    assert!(reached.len() > 25, "{reached:?}");
    let without = reached
        .iter()
        .filter(|path| !counterparts.contains_key(path.as_str()));
    let without: Vec<&String> = without.collect();
    assert!(
        without.is_empty(),
        "{without:?} have no typed call; add one, and a line here"
    );
    // Answered, though no page shows it yet.
    counterparts.remove("/photo/*/thumb.jpg");
    // Shown only while a sync runs.
    counterparts.remove("/sync/stop");
    // Shown only for a photo that can be measured.
    counterparts.remove("/photo/*/straight.jpg");
    // Shown only where devices disagree about the pattern.
    counterparts.remove("/face/*/pattern/use");
    // Shown only where a face's setup has values, and where a photo shows holes to find.
    counterparts.remove("/face/*/setup/copy");
    counterparts.remove("/face/*/setup/remove");
    counterparts.remove("/photo/*/add-found");
    counterparts.remove("/photo/*/add-expected");
    let left: Vec<_> = counterparts
        .keys()
        .filter(|path| !reached.contains(**path))
        .collect();
    assert!(left.is_empty(), "no page leads to {left:?} any more");
}

#[test]
fn calls_named_here_exist() {
    let source = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let files = ["", "sync"].map(|dir| std::fs::read_dir(source.join(dir)).unwrap());
    let text: String = files
        .into_iter()
        .flatten()
        .filter_map(|file| std::fs::read_to_string(file.unwrap().path()).ok())
        .collect();
    for call in COUNTERPARTS.iter().flat_map(|(_, calls)| *calls) {
        assert!(text.contains(&format!("pub fn {call}(")), "{call}");
    }
}
