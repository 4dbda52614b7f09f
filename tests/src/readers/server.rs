//! Requests of the shop computer's shelf, over real TLS: of paired devices and of strangers.

use super::bundle::photos_are_as_named;
use super::history::{heads, is_sound};
use super::photo::SMALL;
use super::scratch::{self, Model};
use super::{Reader, chain, names, shapes};
use crate::link_bench::raw::{Answer, Raw, request, token, with_body};
use crate::link_bench::{Bench, Desk};
use arbitrary::{Result, Unstructured};
use holebook_core::exchange::Stretch;
use holebook_core::notebook::{Head, Notebook};
use holebook_core::photo::PhotoHash;
use holebook_link::Store;
use holebook_link::server::{Event, Limits};
use rusqlite::Connection;
use std::cell::RefCell;
use std::io::{Read as _, Write as _};
use std::sync::{Arc, OnceLock};
use std::time::Duration;

pub const READER: Reader = Reader {
    name: "server",
    give,
    examples,
};

/// A shop computer, and the token of a device that is paired with it.
struct Shop {
    bench: Bench,
    token: String,
    /// A connection to the notebook's file that is told when anybody else has written there.
    beside: Connection,
    /// The paired device's own connection, on which it asks after each try.
    open: Option<Raw>,
}

/// A request, and who asks.
struct Asked {
    bytes: Vec<u8>,
    is_paired: bool,
    /// Whether it is one request from start to end.
    is_whole: bool,
}

thread_local! {
    /// The shop computer of the last try, where that changed nothing of its notebook: each try finds the same one, and most need
    /// not wait for a new one to be made.
    static UNCHANGED: RefCell<Option<Shop>> = const { RefCell::new(None) };
}

/// A stranger gets nothing and changes nothing; a paired device gets an answer and nothing but the shelf; and whatever was sent, the
/// next one is answered.
fn give(bytes: &[u8]) {
    // Whoever panics here leaves none behind.
    let mut shop = UNCHANGED.take().unwrap_or_else(Shop::new);
    let before = shop.state();
    let Ok(asked) = asked(&mut Unstructured::new(bytes), &shop.token) else {
        UNCHANGED.set(Some(shop));
        return;
    };
    let notebook = shop.bench.desk.notebook.clone();
    let heads_before = heads(&notebook);
    let answered = send(&shop, &asked);
    assert_eq!(shop.ask_again().status, 200, "the next is answered");
    if let Some(answer) = answered.filter(|answer| answer.status >= 300) {
        assert_eq!(heads(&notebook), heads_before, "{}", answer.head);
    }
    let after = shop.state();
    if !asked.is_paired {
        assert_eq!(after, before);
    }
    assert_eq!(shop.faults(), []);
    if after == before {
        UNCHANGED.set(Some(shop));
    } else {
        photos_are_as_named(&notebook);
        is_sound(&notebook);
    }
}

/// Sends a request; the answer, where it was a whole one.
fn send(shop: &Shop, asked: &Asked) -> Option<Answer> {
    let mut raw = Raw::connect(shop.bench.address());
    if !asked.is_whole {
        // Whether all of it is read is the other end's affair.
        let _ = raw.0.write_all(&asked.bytes).and_then(|()| raw.0.flush());
        raw.0.conn.send_close_notify();
        let _ = raw.0.flush();
        let _ = raw.0.read_to_end(&mut Vec::new());
        return None;
    }
    let answer = raw.ask(&asked.bytes).expect("a whole request is answered");
    let known = [200, 204, 304, 400, 401, 403, 404, 413, 422, 429];
    assert!(known.contains(&answer.status), "{}", answer.head);
    assert!(
        !answer.body.starts_with(b"SQLite format"),
        "nothing but the shelf is given"
    );
    if !asked.is_paired {
        assert!(
            answer.status >= 400 && answer.body.is_empty(),
            "{}",
            answer.head
        );
    }
    Some(answer)
}

impl Shop {
    /// One that is like every other, from its files.
    fn new() -> Self {
        static MODEL: OnceLock<(Model, String)> = OnceLock::new();
        let (files, token) = MODEL.get_or_init(model);
        let dir = scratch::folder();
        files.lay_out(dir.path());
        let desk = Desk {
            store: Store::open(dir.path()).expect("its pairings"),
            notebook: Arc::new(Notebook::open(dir.path()).expect("its notebook")),
            dir,
        };
        let file = desk.dir.path().join("notebook.sqlite");
        // Wrong codes are held back, and turned away, in tests of their own.
        let limits = Limits {
            wrong_code: Duration::ZERO,
            codes_per_minute: usize::MAX,
            ..Limits::default()
        };
        Self {
            bench: Bench::start_with(desk, limits),
            token: token.clone(),
            beside: Connection::open(file).expect("the notebook's file"),
            open: None,
        }
    }

    /// What changes when anything is written into the notebook, or any file comes to its photos or goes.
    fn state(&self) -> (i64, Vec<String>) {
        let version = self
            .beside
            .pragma_query_value(None, "data_version", |row| row.get(0));
        let photos = self.bench.desk.dir.path().join("photos");
        let files = crate::link_bench::files(&photos);
        (version.expect("the version of the file"), files)
    }

    /// The paired device asks what lies on the shelf. That new connections are taken shows with the next try.
    fn ask_again(&mut self) -> Answer {
        let survey = request("GET", "/shelf", Some(&self.token));
        let kept = self.open.take();
        let answered = kept.and_then(|mut raw| Some((raw.ask(survey.as_bytes()).ok()?, raw)));
        let (answer, raw) = answered.unwrap_or_else(|| {
            let mut raw = Raw::connect(self.bench.address());
            let answer = raw.ask(survey.as_bytes());
            (answer.expect("the next is answered"), raw)
        });
        self.open = Some(raw);
        answer
    }

    /// What failed on the shop computer's side.
    fn faults(&self) -> Vec<Event> {
        let mut events = self.bench.events.lock().expect("nobody panicked with it");
        let mut events = events.split_off(0);
        events.retain(|event| matches!(event, Event::Fault { .. }));
        events
    }
}

/// The files of a shop computer with the sample in its notebook, and the token of a device that is paired with it.
fn model() -> (Model, String) {
    let mut bench = Bench::start();
    let (phone, _) = bench.paired();
    let sample = chain::sample(names::device(1));
    let taken = bench.desk.notebook.take(&sample);
    taken.expect("the sample's lines");
    bench.stop();
    let Bench { desk, .. } = bench;
    drop((desk.notebook, desk.store));
    (Model::of(desk.dir.path()), token(&phone))
}

fn asked(u: &mut Unstructured<'_>, token: &str) -> Result<Asked> {
    let is_paired = u.ratio(3, 4)?;
    let wrong = "A".repeat(token.len());
    let token = match u.int_in_range(0..=3)? {
        _ if is_paired => Some(token),
        0 => None,
        1 => Some(""),
        2 => Some(&token[..token.len() - 1]),
        _ => Some(wrong.as_str()),
    };
    let method = *u.choose(&["GET", "PUT", "POST", "DELETE", "HEAD2"])?;
    let (path, body) = what(u)?;
    let mut bytes = match method {
        "PUT" | "POST" => with_body(method, &path, token, &body),
        _ => request(method, &path, token).into_bytes(),
    };
    let is_whole = u.ratio(7, 8)?;
    if !is_whole {
        let at = u.choose_index(bytes.len())?;
        bytes.truncate(at);
        bytes.extend(u.bytes(u.len().min(200))?);
    }
    Ok(Asked {
        bytes,
        is_paired,
        is_whole,
    })
}

/// A place on the shelf, or beside it, and what might be left there.
fn what(u: &mut Unstructured<'_>) -> Result<(String, Vec<u8>)> {
    let lines = chain::sample(names::device(u.int_in_range(1..=3)?));
    let until = u.int_in_range(1..=lines.len())?;
    let last = &lines[until - 1];
    let end = Head {
        device: last.entry().device,
        seq: last.entry().seq,
        hash: last.hash(),
    };
    let stretch = Stretch::to(&end, u.int_in_range(1..=end.seq)?);
    let first = usize::try_from(stretch.first).map_or(0, |first| first - 1);
    let mut body = chain::text_of(&lines[first..until]).into_bytes();
    let path = match u.int_in_range(0..=8)? {
        0 => "/shelf".to_owned(),
        1 => "/done".to_owned(),
        2 => format!("/{stretch}?from={}", u.int_in_range(0..=40)?),
        3 | 4 => format!("/{stretch}"),
        5 | 6 => {
            body = SMALL.to_vec();
            let hash = if u.arbitrary()? {
                PhotoHash::of(SMALL)
            } else {
                PhotoHash::of(b"another")
            };
            format!("/photos/{hash}")
        }
        7 => {
            body = format!("{{\"secret\":{:?},\"name\":\"x\"}}", shapes::text(u)?).into_bytes();
            "/pair".to_owned()
        }
        _ => elsewhere(u)?,
    };
    if u.ratio(1, 4)? {
        let at = u.choose_index(body.len().max(1))?;
        body.truncate(at);
        body.extend(u.bytes(u.len().min(40))?);
    }
    Ok((path, body))
}

/// Any address of printable characters.
fn elsewhere(u: &mut Unstructured<'_>) -> Result<String> {
    const PLACES: &[&str] = &[
        "/",
        "/notebook.sqlite",
        "/photos/../notebook.sqlite",
        "/journal/../link.sqlite?from=1",
        "//shelf",
        "/shelf?x",
        "/photos/",
        "/journal/",
    ];
    let mut place = (*u.choose(PLACES)?).to_owned();
    for _ in 0..u.int_in_range(0..=8)? {
        place.push(char::from(u.int_in_range(b'!'..=b'~')?));
    }
    // What stands behind it is never sent by anybody, and not every client or server takes it.
    Ok(place.replace(['"', '<', '>', '\\', '^', '`', '{', '|', '}', '#'], "%7C"))
}

fn examples() -> Vec<Vec<u8>> {
    (super::history::READER.examples)()
}
