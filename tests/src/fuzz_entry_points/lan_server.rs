//! Requests to the shop computer over real TLS, from paired and unpaired devices.

use super::bundle::assert_photos_match_names;
use super::history::{assert_valid, heads};
use super::photo::SMALL_PHOTO;
use super::temp_notebook::{self, NotebookFiles};
use super::{FuzzEntryPoint, entry_bodies, fixed_ids, journal_writer};
use arbitrary::{Result, Unstructured};
use holebook_core::notebook::{Head, Notebook};
use holebook_core::photo::PhotoHash;
use holebook_core::sync::Segment;
use holebook_sync::PairingStore;
use holebook_sync::server::{Event, Limits};
use holebook_test_support::raw_tls::{RawResponse, RawTls, request, request_with_body, token};
use holebook_test_support::{TestNotebook, TestShopComputer, notebooks};
use rusqlite::Connection;
use std::cell::RefCell;
use std::io::{Read as _, Write as _};
use std::sync::{Arc, OnceLock};
use std::time::Duration;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "lan_server",
    run,
    examples,
};

/// A shop computer, and the token of a device paired with it.
struct Shop {
    computer: TestShopComputer,
    token: String,
    /// A second connection to the notebook's file, which notices when another one writes.
    beside: Connection,
    /// The paired device's own connection, used after each input.
    open: Option<RawTls>,
}

/// A request, and who sends it.
struct RawRequest {
    bytes: Vec<u8>,
    is_paired: bool,
    /// Whether it is one complete request.
    is_whole: bool,
}

thread_local! {
    /// The shop computer of the previous input if that input changed nothing: starting a new one
    /// for each would be slow.
    static UNCHANGED: RefCell<Option<Shop>> = const { RefCell::new(None) };
}

/// An unpaired device gets nothing and changes nothing; a paired device gets a response and nothing but the
/// remote's content; and whatever was sent, the next request is answered.
fn run(bytes: &[u8]) {
    // A panic drops the shop computer, so the next input gets a new one.
    let mut shop = UNCHANGED.take().unwrap_or_else(Shop::new);
    let before = shop.state();
    let Ok(request) = arbitrary_request(&mut Unstructured::new(bytes), &shop.token) else {
        UNCHANGED.set(Some(shop));
        return;
    };
    let notebook = shop.computer.notebook.clone();
    let heads_before = heads(&notebook);
    let answered = send(&shop, &request);
    assert_eq!(shop.ask_again().status, 200, "the next request is answered");
    if let Some(answer) = answered.filter(|answer| answer.status >= 300) {
        assert_eq!(heads(&notebook), heads_before, "{}", answer.head);
    }
    let after = shop.state();
    if !request.is_paired {
        assert_eq!(after, before);
    }
    assert_eq!(shop.failures(), []);
    if after == before {
        UNCHANGED.set(Some(shop));
    } else {
        assert_photos_match_names(&notebook);
        assert_valid(&notebook);
    }
}

/// Sends a request; returns the response if the request was complete.
fn send(shop: &Shop, request: &RawRequest) -> Option<RawResponse> {
    let mut raw = RawTls::connect(shop.computer.address());
    if !request.is_whole {
        // The server may stop reading early.
        let _ = raw.0.write_all(&request.bytes).and_then(|()| raw.0.flush());
        raw.0.conn.send_close_notify();
        let _ = raw.0.flush();
        let _ = raw.0.read_to_end(&mut Vec::new());
        return None;
    }
    let answer = raw
        .send(&request.bytes)
        .expect("a whole request is answered");
    let known = [200, 204, 304, 400, 401, 403, 404, 413, 422, 429];
    assert!(known.contains(&answer.status), "{}", answer.head);
    assert!(
        !answer.body.starts_with(b"SQLite format"),
        "only the remote's content is returned"
    );
    if !request.is_paired {
        assert!(
            answer.status >= 400 && answer.body.is_empty(),
            "{}",
            answer.head
        );
    }
    Some(answer)
}

impl Shop {
    /// A shop computer from the model's files, the same each time.
    fn new() -> Self {
        static MODEL: OnceLock<(NotebookFiles, String)> = OnceLock::new();
        let (files, token) = MODEL.get_or_init(model);
        let dir = temp_notebook::folder();
        files.lay_out(dir.path());
        let notebook = TestNotebook {
            store: PairingStore::open(dir.path()).expect("its pairings"),
            notebook: Arc::new(Notebook::open(dir.path()).expect("its notebook")),
            dir,
        };
        let file = notebook.dir.path().join("notebook.sqlite");
        // Delays and limits for wrong codes have tests of their own.
        let limits = Limits {
            wrong_code_delay: Duration::ZERO,
            max_guesses_per_peer: u32::MAX,
            ..Limits::default()
        };
        Self {
            computer: TestShopComputer::start_with(notebook, limits),
            token: token.clone(),
            beside: Connection::open(file).expect("the notebook's file"),
            open: None,
        }
    }

    /// A value that changes when anything is written to the notebook or a photo file is added or
    /// removed.
    fn state(&self) -> (i64, Vec<String>) {
        let version = self
            .beside
            .pragma_query_value(None, "data_version", |row| row.get(0));
        let photos = self.computer.dir.path().join("photos");
        let files = notebooks::files(&photos);
        (version.expect("the version of the file"), files)
    }

    /// The paired device requests the listing. That new connections are accepted shows with the
    /// next input.
    fn ask_again(&mut self) -> RawResponse {
        let listing = request("GET", "/journal", Some(&self.token));
        let kept = self.open.take();
        let answered = kept.and_then(|mut raw| Some((raw.send(listing.as_bytes()).ok()?, raw)));
        let (answer, raw) = answered.unwrap_or_else(|| {
            let mut raw = RawTls::connect(self.computer.address());
            let answer = raw.send(listing.as_bytes());
            (answer.expect("the next request is answered"), raw)
        });
        self.open = Some(raw);
        answer
    }

    /// Errors on the shop computer's side.
    fn failures(&self) -> Vec<Event> {
        let mut events = self.computer.events.lock().expect("lock not poisoned");
        let mut events = events.split_off(0);
        events.retain(|event| matches!(event, Event::Failure { .. }));
        events
    }
}

/// The files of a shop computer with the sample in its notebook, and the token of a device paired
/// with it.
fn model() -> (NotebookFiles, String) {
    let computer = TestShopComputer::start();
    let (phone, _) = computer.paired_device();
    let sample = journal_writer::sample(fixed_ids::device(1));
    let imported = computer.notebook.import_lines(&sample);
    imported.expect("the sample's lines");
    let TestNotebook {
        dir,
        notebook,
        store,
    } = computer.into_notebook();
    drop((notebook, store));
    (NotebookFiles::of(dir.path()), token(&phone))
}

fn arbitrary_request(u: &mut Unstructured<'_>, token: &str) -> Result<RawRequest> {
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
        "PUT" | "POST" => request_with_body(method, &path, token, &body),
        _ => request(method, &path, token).into_bytes(),
    };
    let is_whole = u.ratio(7, 8)?;
    if !is_whole {
        let at = u.choose_index(bytes.len())?;
        bytes.truncate(at);
        bytes.extend(u.bytes(u.len().min(200))?);
    }
    Ok(RawRequest {
        bytes,
        is_paired,
        is_whole,
    })
}

/// A path on the remote, or outside of it, and something to push there.
fn what(u: &mut Unstructured<'_>) -> Result<(String, Vec<u8>)> {
    let lines = journal_writer::sample(fixed_ids::device(u.int_in_range(1..=3)?));
    let until = u.int_in_range(1..=lines.len())?;
    let last = &lines[until - 1];
    let end = Head {
        device: last.entry().device,
        seq: last.entry().seq,
        hash: last.hash(),
    };
    let segment = Segment::ending_at(&end, u.int_in_range(1..=end.seq)?);
    let first = usize::try_from(segment.first).map_or(0, |first| first - 1);
    let mut body = journal_writer::text_of(&lines[first..until]).into_bytes();
    let path = match u.int_in_range(0..=8)? {
        0 => "/journal".to_owned(),
        1 => "/done".to_owned(),
        2 => format!("/{segment}?from={}", u.int_in_range(0..=40)?),
        3 | 4 => format!("/{segment}"),
        5 | 6 => {
            body = SMALL_PHOTO.to_vec();
            let hash = if u.arbitrary()? {
                PhotoHash::of(SMALL_PHOTO)
            } else {
                PhotoHash::of(b"another")
            };
            format!("/photos/{hash}")
        }
        7 => {
            body =
                format!("{{\"secret\":{:?},\"name\":\"x\"}}", entry_bodies::text(u)?).into_bytes();
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

/// Any path of printable characters.
fn elsewhere(u: &mut Unstructured<'_>) -> Result<String> {
    const PLACES: &[&str] = &[
        "/",
        "/notebook.sqlite",
        "/photos/../notebook.sqlite",
        "/journal/../link.sqlite?from=1",
        "//journal",
        "/journal?x",
        "/photos/",
        "/journal/",
    ];
    let mut path = (*u.choose(PLACES)?).to_owned();
    for _ in 0..u.int_in_range(0..=8)? {
        path.push(char::from(u.int_in_range(b'!'..=b'~')?));
    }
    // Clients never send these, and not every server accepts them.
    Ok(path.replace(['"', '<', '>', '\\', '^', '`', '{', '|', '}', '#'], "%7C"))
}

fn examples() -> Vec<Vec<u8>> {
    (super::history::ENTRY_POINT.examples)()
}
