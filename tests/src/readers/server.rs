//! Requests of the shop computer's shelf, over real TLS: of paired devices and of strangers.

use super::bundle::photos_are_as_named;
use super::history::{heads, is_sound};
use super::photo::SMALL;
use super::{Reader, chain, names, shapes};
use crate::link_bench::Bench;
use crate::link_bench::raw::{Raw, request, token, with_body};
use arbitrary::{Result, Unstructured};
use holebook_core::exchange::Stretch;
use holebook_core::notebook::Head;
use holebook_core::photo::PhotoHash;
use holebook_link::server::Event;
use std::io::{Read as _, Write as _};

pub const READER: Reader = Reader {
    name: "server",
    give,
    examples,
};

/// A shop computer, and the token of a device that is paired with it.
struct Shop {
    bench: Bench,
    token: String,
}

/// A request, and who asks.
struct Asked {
    bytes: Vec<u8>,
    is_paired: bool,
    /// Whether it is one request from start to end.
    is_whole: bool,
}

/// A stranger gets nothing and changes nothing; a paired device gets an answer and nothing but the shelf; and whatever was sent, the
/// next one is answered.
fn give(bytes: &[u8]) {
    let shop = shop();
    let notebook = &shop.bench.desk.notebook;
    let before = heads(notebook);
    let Ok(asked) = asked(&mut Unstructured::new(bytes), &shop.token) else {
        return;
    };
    let mut raw = Raw::connect(shop.bench.address());
    if asked.is_whole {
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
        if answer.status >= 300 {
            assert_eq!(heads(notebook), before, "{}", answer.head);
        }
    } else {
        // Whether all of it is read is the other end's affair.
        let _ = raw.0.write_all(&asked.bytes).and_then(|()| raw.0.flush());
        raw.0.conn.send_close_notify();
        let _ = raw.0.flush();
        let _ = raw.0.read_to_end(&mut Vec::new());
    }
    if !asked.is_paired {
        assert_eq!(heads(notebook), before);
    }
    let next = Raw::connect(shop.bench.address())
        .ask(request("GET", "/shelf", Some(&shop.token)).as_bytes());
    assert_eq!(next.expect("the next is answered").status, 200);
    let events = shop
        .bench
        .events
        .lock()
        .expect("nobody panicked with it")
        .split_off(0);
    let faults = events
        .into_iter()
        .filter(|event| matches!(event, Event::Fault { .. }));
    assert_eq!(faults.collect::<Vec<_>>(), []);
    photos_are_as_named(notebook);
    is_sound(notebook);
}

fn shop() -> Shop {
    let bench = Bench::start();
    let (phone, _) = bench.paired();
    let sample = chain::sample(names::device(1));
    bench
        .desk
        .notebook
        .take(&sample)
        .expect("the sample's lines");
    Shop {
        token: token(&phone),
        bench,
    }
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
