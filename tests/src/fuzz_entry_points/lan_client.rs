//! Responses of a shop computer that has the right key and sends anything.

use super::bundle::assert_photos_match_names;
use super::history::assert_valid;
use super::photo::SMALL_PHOTO;
use super::temp_notebook::TempNotebook;
use super::{FuzzEntryPoint, entry_bodies, fixed_ids, journal_writer};
use arbitrary::{Result, Unstructured};
use holebook_core::notebook::Head;
use holebook_core::photo::PhotoHash;
use holebook_core::sync::{Segment, ignore_progress, sync_with};
use holebook_sync::{Fingerprint, LanRemote};
use holebook_test_support::raw_tls::serve_with_key_of;
use holebook_test_support::{TestNotebook, TestShopComputer};
use std::net::SocketAddr;
use std::sync::{Arc, Mutex};

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "lan_client",
    run,
    examples,
};

/// A device paired with a shop computer that is replaced by a fake server.
struct Paired {
    phone: TestNotebook,
    shop: Fingerprint,
    address: SocketAddr,
    answers: Arc<Mutex<Vec<Vec<u8>>>>,
}

/// Whatever the response, a sync ends, reports errors in one sentence each, and leaves the notebook
/// valid.
fn run(bytes: &[u8]) {
    PAIRED.with(|paired| sync(paired, &mut Unstructured::new(bytes)));
}

fn sync(paired: &Paired, u: &mut Unstructured<'_>) {
    let mut answers = answers(u).unwrap_or_default();
    answers.reverse();
    *paired.answers.lock().expect("lock not poisoned") = answers;
    let here = TempNotebook::new();
    let sample = journal_writer::sample(fixed_ids::device(9));
    let known = u.int_in_range(0..=3).unwrap_or(0);
    here.notebook
        .import_lines(&sample[..known])
        .expect("the sample's lines");
    let remote = LanRemote::open(&paired.phone.store, &paired.shop, &[paired.address])
        .expect("a paired shop computer");
    let messages = match sync_with(&here.notebook, &remote, &ignore_progress) {
        Ok(report) => report.problems.iter().map(ToString::to_string).collect(),
        Err(error) => vec![error.to_string()],
    };
    for sentence in messages {
        assert!(
            sentence.len() < 1_000 && !sentence.contains(char::is_control),
            "{sentence:?}"
        );
    }
    for line in &sample[..known] {
        assert!(here.notebook.holds(line).expect("a readable notebook"));
    }
    assert_valid(&here.notebook);
    assert_photos_match_names(&here.notebook);
}

thread_local! {
    /// Created once per thread, since the fake server has a thread of its own.
    static PAIRED: Paired = paired();
}

fn paired() -> Paired {
    let mut computer = TestShopComputer::start();
    let (phone, shop) = computer.paired_device();
    computer.stop();
    let answers = Arc::new(Mutex::new(Vec::<Vec<u8>>::new()));
    let next = Arc::clone(&answers);
    let address = serve_with_key_of(&computer, move |_, out| {
        let answer = next.lock().expect("lock not poisoned").pop();
        let otherwise = || b"HTTP/1.1 404 Not Found\r\nContent-Length: 0\r\n\r\n".to_vec();
        out.write_all(&answer.unwrap_or_else(otherwise))
    });
    Paired {
        phone,
        shop,
        address,
        answers,
    }
}

/// Responses: a listing, lines, photos, or something else.
fn answers(u: &mut Unstructured<'_>) -> Result<Vec<Vec<u8>>> {
    let lines = journal_writer::sample(fixed_ids::device(u.int_in_range(1..=2)?));
    let until = u.int_in_range(1..=lines.len())?;
    let last = &lines[until - 1];
    let end = Head {
        device: last.entry().device,
        seq: last.entry().seq,
        hash: last.hash(),
    };
    let segment = Segment::ending_at(&end, 1);
    let photo = PhotoHash::of(SMALL_PHOTO);
    let size: u64 = if u.ratio(3, 4)? {
        SMALL_PHOTO.len() as u64
    } else {
        u.arbitrary()?
    };
    let listing = format!(
        "{segment}\nphotos/{photo} {size}\n{}",
        entry_bodies::text(u)?
    )
    .into_bytes();
    let text = journal_writer::text_of(&lines[..until]).into_bytes();
    let mut answers = vec![answer(u, &listing)?, answer(u, &text)?];
    for _ in 0..u.int_in_range(0..=4)? {
        let body = match u.int_in_range(0..=3)? {
            0 => listing.clone(),
            1 => text.clone(),
            2 => SMALL_PHOTO.to_vec(),
            _ => u.arbitrary::<&[u8]>()?.to_vec(),
        };
        answers.push(answer(u, &body)?);
    }
    Ok(answers)
}

/// A response with its head, sometimes one that violates HTTP.
fn answer(u: &mut Unstructured<'_>, body: &[u8]) -> Result<Vec<u8>> {
    const STATUS: &[&str] = &[
        "204 x",
        "304 x",
        "400 x",
        "401 x",
        "403 x",
        "404 x",
        "408 x",
        "413 x",
        "422 x",
        "500 x",
        "503 x",
        "507 x",
        "301 x\r\nLocation: /journal",
        "100 x",
        "999 x",
        "0 x",
        "200",
    ];
    let status = if u.ratio(2, 3)? {
        "200 OK"
    } else {
        u.choose(STATUS)?
    };
    let length = if u.ratio(1, 8)? {
        u.arbitrary::<u32>()? as usize
    } else {
        body.len()
    };
    let more = *u.choose(&[
        "",
        "ETag: \"state\"\r\n",
        "ETag: \"\"\r\n",
        "Content-Encoding: gzip\r\n",
        "Transfer-Encoding: chunked\r\n",
        "X: \u{1}\r\n",
    ])?;
    let mut answer =
        format!("HTTP/1.1 {status}\r\nContent-Length: {length}\r\n{more}\r\n").into_bytes();
    answer.extend(body);
    if u.ratio(1, 6)? {
        let at = u.choose_index(answer.len())?;
        answer[at] = u.arbitrary()?;
    }
    Ok(answer)
}

fn examples() -> Vec<Vec<u8>> {
    (super::history::ENTRY_POINT.examples)()
}
