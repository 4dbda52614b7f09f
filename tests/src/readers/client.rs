//! Answers of a shop computer that has the right key and says what it likes.

use super::bundle::photos_are_as_named;
use super::history::is_sound;
use super::photo::SMALL;
use super::scratch::Scratch;
use super::{Reader, chain, names, shapes};
use crate::link_bench::raw::pretend;
use crate::link_bench::{Bench, Desk};
use arbitrary::{Result, Unstructured};
use holebook_core::exchange::{Stretch, exchange_over, unwatched};
use holebook_core::notebook::Head;
use holebook_core::photo::PhotoHash;
use holebook_link::{Fingerprint, LanShelf};
use std::net::SocketAddr;
use std::sync::{Arc, Mutex};

pub const READER: Reader = Reader {
    name: "client",
    give,
    examples,
};

/// A device that is paired with a shop computer in whose place another one answers.
struct Paired {
    phone: Desk,
    shop: Fingerprint,
    address: SocketAddr,
    answers: Arc<Mutex<Vec<Vec<u8>>>>,
}

/// Whatever is answered, an exchange ends, says in one sentence what was wrong, and leaves the notebook sound.
fn give(bytes: &[u8]) {
    PAIRED.with(|paired| exchange(paired, &mut Unstructured::new(bytes)));
}

fn exchange(paired: &Paired, u: &mut Unstructured<'_>) {
    let mut answers = answers(u).unwrap_or_default();
    answers.reverse();
    *paired.answers.lock().expect("nobody panicked with it") = answers;
    let here = Scratch::new();
    let sample = chain::sample(names::device(9));
    let known = u.int_in_range(0..=3).unwrap_or(0);
    here.notebook
        .take(&sample[..known])
        .expect("the sample's lines");
    let shelf = LanShelf::open(&paired.phone.store, &paired.shop, &[paired.address])
        .expect("a paired shop computer");
    let said = match exchange_over(&here.notebook, &shelf, &unwatched) {
        Ok(report) => report.problems.iter().map(ToString::to_string).collect(),
        Err(error) => vec![error.to_string()],
    };
    for sentence in said {
        assert!(
            sentence.len() < 1_000 && !sentence.contains(char::is_control),
            "{sentence:?}"
        );
    }
    for line in &sample[..known] {
        assert!(here.notebook.holds(line).expect("a notebook that reads"));
    }
    is_sound(&here.notebook);
    photos_are_as_named(&here.notebook);
}

thread_local! {
    /// Made once for all tries of a thread, since the one who answers has a thread of its own.
    static PAIRED: Paired = paired();
}

fn paired() -> Paired {
    let mut bench = Bench::start();
    let (phone, shop) = bench.paired();
    bench.stop();
    let answers = Arc::new(Mutex::new(Vec::<Vec<u8>>::new()));
    let next = Arc::clone(&answers);
    let address = pretend(&bench.desk, move |_, out| {
        let answer = next.lock().expect("nobody panicked with it").pop();
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

/// One answer after the other: what lies there, lines, photos, or what is none of these.
fn answers(u: &mut Unstructured<'_>) -> Result<Vec<Vec<u8>>> {
    let lines = chain::sample(names::device(u.int_in_range(1..=2)?));
    let until = u.int_in_range(1..=lines.len())?;
    let last = &lines[until - 1];
    let end = Head {
        device: last.entry().device,
        seq: last.entry().seq,
        hash: last.hash(),
    };
    let stretch = Stretch::to(&end, 1);
    let photo = PhotoHash::of(SMALL);
    let size: u64 = if u.ratio(3, 4)? {
        SMALL.len() as u64
    } else {
        u.arbitrary()?
    };
    let survey = format!("{stretch}\nphotos/{photo} {size}\n{}", shapes::text(u)?).into_bytes();
    let text = chain::text_of(&lines[..until]).into_bytes();
    let mut answers = vec![answer(u, &survey)?, answer(u, &text)?];
    for _ in 0..u.int_in_range(0..=4)? {
        let body = match u.int_in_range(0..=3)? {
            0 => survey.clone(),
            1 => text.clone(),
            2 => SMALL.to_vec(),
            _ => u.arbitrary::<&[u8]>()?.to_vec(),
        };
        answers.push(answer(u, &body)?);
    }
    Ok(answers)
}

/// An answer with its head, now and then one that does not keep to HTTP.
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
        "301 x\r\nLocation: /shelf",
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
    (super::history::READER.examples)()
}
