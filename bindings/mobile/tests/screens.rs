//! Whatever the screens can do, the typed face can: every address that their pages lead to has its calls.
#![allow(clippy::unwrap_used)]

mod common;

use common::{Desk, choose, read_hole, work_through};
use holebook_mobile::*;
use std::collections::{BTreeMap, BTreeSet};

/// Each address of the screens, ids as `*`, with the calls that do the same. Style and scripts have none.
const COUNTERPARTS: &[(&str, &[&str])] = &[
    ("/", &["castings", "list"]),
    ("/settings", &["settings", "set_settings", "device"]),
    (
        "/bench",
        &[
            "thread_report",
            "identify_thread",
            "inserts_for",
            "drills_for_thread",
        ],
    ),
    ("/bench/thread", &["thread_report", "drills_for_thread"]),
    ("/bench/identify", &["identify_thread"]),
    ("/bench/insert", &["inserts_for"]),
    ("/bench/drill", &["drills_for_thread", "nearest_drills"]),
    ("/bench/cutting", &["cutting_speeds"]),
    ("/bench/hold", &["hold"]),
    ("/bench/remedies", &["remedies"]),
    ("/casting", &["add_casting"]),
    ("/casting/*", &["casting"]),
    ("/casting/*/casting", &["change_casting"]),
    ("/casting/*/face", &["add_face"]),
    ("/face/*", &["face"]),
    ("/face/*/face", &["change_face"]),
    ("/face/*/cut", &["plan_face_cut"]),
    ("/face/*/milled", &["record_face_milled"]),
    ("/face/*/hole", &["add_hole"]),
    ("/face/*/photo", &["add_photo"]),
    ("/face/*/sheet", &["sheet"]),
    ("/photo/*", &["photo"]),
    ("/photo/*/mark", &["mark"]),
    ("/photo/*/strike", &["strike"]),
    ("/photo/*/original", &["photo_original"]),
    ("/photo/*/view.jpg", &["photo_view"]),
    ("/photo/*/thumb.jpg", &["photo_thumbnail"]),
    ("/hole/*", &["hole", "plan"]),
    ("/hole/*/journal", &["history", "entry"]),
    ("/hole/*/reading", &["read", "say_all"]),
    ("/hole/*/damage", &["damage"]),
    ("/hole/*/wanted", &["want"]),
    ("/hole/*/choose", &["choose"]),
    ("/hole/*/settle", &["settle"]),
    ("/hole/*/cut", &["cut"]),
    ("/hole/*/dry-fit", &["dry_fit"]),
    ("/hole/*/set", &["set_insert"]),
    ("/hole/*/keys", &["drive_keys"]),
    ("/hole/*/check", &["check"]),
    ("/hole/*/prove", &["prove"]),
    ("/hole/*/number", &["change_hole"]),
    ("/hole/*/note", &["note_hole"]),
    ("/hole/*/strike", &["strike"]),
    (
        "/exchange",
        &[
            "known_shelves",
            "entries_to_bring_home",
            "photos_to_bring_home",
            "progress",
            "result",
        ],
    ),
    ("/exchange/begin", &["begin_exchange"]),
    ("/exchange/end", &["cancel"]),
    ("/exchange/forget", &["forget_shelf", "forget_shop"]),
    ("/exchange/write", &["write_bundle"]),
    ("/exchange/file", &["write_bundle"]),
    ("/exchange/take", &["begin_exchange"]),
    ("/pair", &["shops"]),
    ("/pair/shop", &["pair"]),
];

fn page(book: &Notebook, path: &str) -> Option<String> {
    ask(book, Method::Get, path, &[])
}

fn ask(book: &Notebook, method: Method, path: &str, form: &[(&str, &str)]) -> Option<String> {
    let pair = |(name, value): &(&str, &str)| Pair {
        name: (*name).to_owned(),
        value: (*value).to_owned(),
    };
    let response = book.answer(Request {
        method,
        path: path.to_owned(),
        query: Vec::new(),
        form: form.iter().map(pair).collect(),
        uploads: Vec::new(),
    });
    match response.unwrap().body {
        ResponseBody::Text { text } => Some(text),
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

/// Every address that can be come to from the front page of these notebooks.
fn reached(books: &[&Notebook]) -> BTreeSet<String> {
    let mut patterns = BTreeSet::new();
    for book in books {
        let mut seen = BTreeSet::new();
        let mut waiting = vec!["/".to_owned()];
        while let Some(path) = waiting.pop() {
            if seen.insert(path.clone()) {
                waiting.extend(addresses(&page(book, &path).unwrap_or_default()));
            }
        }
        patterns.extend(seen.iter().map(|path| pattern(path)));
    }
    patterns
}

/// A shelf that was exchanged with, and a bundle that was written.
fn meet_others(desk: &Desk) {
    let at = |name: &str| desk.dir.path().join(name).to_string_lossy().into_owned();
    let path = at("shelf");
    let book = &desk.notebook;
    let run = book.begin_exchange(ExchangeWith::Folder { path }).unwrap();
    run.result().unwrap();
    book.keep_bundles_in(at("bundles")).unwrap();
    ask(book, Method::Post, "/exchange/write", &[("what", "all")]);
    while !page(book, "/exchange").unwrap().contains("/exchange/file") {
        std::thread::yield_now();
    }
}

#[test]
fn every_address_of_the_screens_has_its_calls() {
    let (fresh, read, done) = (Desk::new(), Desk::new(), Desk::new());
    let job = read_hole(&read.notebook);
    read.notebook
        .damage(job.hole.clone(), common::worn(9.8), Vec::new())
        .unwrap();
    // So many lines that the page does not show them all.
    let note = |text: usize| Saying::Note {
        body: Note {
            text: text.to_string(),
        },
    };
    let notes = (0..100).map(note).collect();
    read.notebook.say_all(job.hole.clone(), notes).unwrap();
    // A second mark that differs, and the answer to it, which offers to strike it.
    let form = [
        ("hole", job.hole.id.as_str()),
        ("x_px", "3"),
        ("y_px", "4"),
        ("part", "yes"),
    ];
    let path = format!("/photo/{}/mark", job.photo.id);
    let marked = ask(&read.notebook, Method::Post, &path, &form).unwrap();
    let job = read_hole(&done.notebook);
    let work = choose(&done.notebook, &job.hole);
    work_through(&done.notebook, &job, &work);
    meet_others(&done);
    let mut counterparts: BTreeMap<_, _> = COUNTERPARTS.iter().copied().collect();
    let mut reached = reached(&[&fresh.notebook, &read.notebook, &done.notebook]);
    reached.extend(addresses(&marked).iter().map(|path| pattern(path)));
    reached.retain(|path| !path.ends_with(".js") && !path.ends_with(".css"));
    assert!(reached.len() > 25, "{reached:?}");
    for path in &reached {
        assert!(
            counterparts.contains_key(path.as_str()),
            "{path} has no typed call; add one, and a line here"
        );
    }
    // Answered, though no page shows it yet.
    counterparts.remove("/photo/*/thumb.jpg");
    // Shown only while an exchange goes on.
    counterparts.remove("/exchange/end");
    for path in counterparts.keys() {
        assert!(reached.contains(*path), "no page leads to {path} any more");
    }
}

#[test]
fn the_calls_named_here_are_there() {
    let source = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let files = std::fs::read_dir(source).unwrap();
    let text: String = files
        .filter_map(|file| std::fs::read_to_string(file.unwrap().path()).ok())
        .collect();
    for call in COUNTERPARTS.iter().flat_map(|(_, calls)| *calls) {
        assert!(text.contains(&format!("pub fn {call}(")), "{call}");
    }
}
