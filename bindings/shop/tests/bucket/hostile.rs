//! A store that does not keep to what was agreed, or that is busy: the notebook comes to no harm, and a sentence says what happened.

use crate::pretend::{Pretended, answer};
use crate::s3::write_keys;
use holebook_core::exchange::{ExchangeError, Shelf as _, Survey};
use holebook_core::photo::PhotoHash;
use holebook_shop::bucket::{Address, BucketShelf, Keys, May};
use holebook_tests::books::stretch;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};

fn keys() -> Keys {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("keys.toml");
    write_keys(
        &file,
        "key = 'K'\nsecret = 'sesame'\nuser = 'ada'\npassword = 'sesame'\n",
    );
    Keys::read(&file).unwrap()
}

fn bucket(at: SocketAddr) -> BucketShelf<'static> {
    let address = Address::read("s3://parts/barn", Some(&format!("http://{at}"))).unwrap();
    BucketShelf::open(address, keys(), May::default(), &|| false).unwrap()
}

fn folder(at: SocketAddr) -> BucketShelf<'static> {
    let address = Address::read(&format!("http://{at}/dav"), None).unwrap();
    BucketShelf::open(address, keys(), May::default(), &|| false).unwrap()
}

/// What went wrong, in one sentence that gives nothing away.
fn told(error: &ExchangeError) -> String {
    let told = error.to_string();
    assert!(!told.contains("sesame") && !told.contains('\n'), "{told}");
    assert!(!format!("{error:?}").contains("sesame"), "{error:?}");
    told
}

fn refused(status: &str, code: &str, more: &str) -> String {
    answer(
        status,
        &format!("<Error><Code>{code}</Code><Message>secret words</Message>{more}</Error>"),
    )
}

#[test]
fn what_a_store_refuses_is_said_with_what_to_do() {
    for (said, sentence) in [
        (
            refused("403 Forbidden", "RequestTimeTooSkewed", ""),
            "clock is wrong; set it",
        ),
        (refused("403 Forbidden", "ExpiredToken", ""), "get new keys"),
        (
            refused("403 Forbidden", "AccessDenied", ""),
            "may list, read and write there",
        ),
        (
            answer("403 Forbidden", ""),
            "may list, read and write there",
        ),
        (
            refused(
                "400 Bad Request",
                "AuthorizationHeaderMalformed",
                "<Region>eu-west-9</Region>",
            ),
            "write region = \"eu-west-9\"",
        ),
        (
            refused("301 Moved", "PermanentRedirect", ""),
            "is kept elsewhere",
        ),
        (answer("507 Insufficient Storage", ""), "is full"),
        (refused("409 Conflict", "QuotaExceeded", ""), "is full"),
        (
            refused("418 Teapot", "Teapot\u{1b}[2J", ""),
            "(status 418 Teapot2J)",
        ),
        (
            answer("404 Not Found", "<html>lost</html>"),
            "answers as no S3-compatible store does",
        ),
    ] {
        let error = bucket(Pretended::saying(said.clone()).at)
            .survey(None)
            .unwrap_err();
        let told = told(&error);
        assert!(
            told.contains(sentence) && !told.contains("secret words"),
            "{said}\n{told}"
        );
        assert!(told.contains("s3://parts/barn"), "{told}");
    }
    for (said, sentence) in [
        (
            "HTTP/1.1 401 No\r\nWWW-Authenticate: Digest realm=\"x\"\r\nContent-Length: 0\r\n\r\n"
                .to_owned(),
            "have it take Basic",
        ),
        (
            answer("403 Forbidden", ""),
            "reading and writing are allowed",
        ),
        (answer("405 No", ""), "answers as no WebDAV folder does"),
        (
            answer("200 OK", "<html/>"),
            "answers as no WebDAV folder does",
        ),
        (answer("207 OK", "<html/>"), "is no list of a folder"),
        (answer("423 Locked", ""), "is locked"),
        (answer("302 Found", ""), "has moved"),
    ] {
        let error = folder(Pretended::saying(said.clone()).at)
            .survey(None)
            .unwrap_err();
        let told = told(&error);
        assert!(
            told.contains(sentence) && told.contains("WebDAV folder"),
            "{said}\n{told}"
        );
    }
}

#[test]
fn nobody_is_followed_to_another_place() {
    let other = Pretended::saying(answer("200 OK", ""));
    let there = format!(
        "HTTP/1.1 307 There\r\nLocation: http://{}/\r\nContent-Length: 0\r\n\r\n",
        other.at
    );
    let here = Pretended::saying(there);
    assert!(bucket(here.at).survey(None).is_err());
    assert!(folder(here.at).survey(None).is_err());
    assert_eq!(other.asked().len(), 0);
}

#[test]
fn what_would_go_unencrypted_is_not_sent_unasked() {
    let address = Address::read("http://192.0.2.1/dav", None).unwrap();
    let refused = BucketShelf::open(address, keys(), May::default(), &|| false)
        .err()
        .unwrap();
    assert!(refused.to_string().contains("--unencrypted"), "{refused}");
}

#[test]
fn a_busy_store_is_asked_again_a_few_times() {
    let tries = AtomicUsize::new(0);
    let list = answer(
        "200 OK",
        "<ListBucketResult><IsTruncated>false</IsTruncated></ListBucketResult>",
    );
    let at_last = Pretended::start(move |_, out| match tries.fetch_add(1, Ordering::SeqCst) {
        0 | 1 => out.write_all(refused("503 Slow Down", "SlowDown", "").as_bytes()),
        _ => out.write_all(list.as_bytes()),
    });
    assert_eq!(
        bucket(at_last.at)
            .survey(None)
            .unwrap()
            .unwrap()
            .photos
            .len(),
        0
    );
    let never = Pretended::saying(refused("503 Slow Down", "SlowDown", ""));
    let error = bucket(never.at).survey(None).unwrap_err();
    assert!(told(&error).contains("it is busy, status 503"), "{error}");
    assert_eq!(never.asked().len(), 4);
}

#[test]
fn whoever_watches_ends_it_also_while_nothing_moves() {
    let never = Pretended::saying(answer("503 Slow Down", ""));
    let ended = AtomicBool::new(false);
    let is_ended = || ended.load(Ordering::SeqCst);
    let address = Address::read(&format!("http://{}/dav", never.at), None).unwrap();
    let shelf = BucketShelf::open(address, keys(), May::default(), &is_ended).unwrap();
    let since = Instant::now();
    let result = std::thread::scope(|scope| {
        let survey = scope.spawn(|| shelf.survey(None));
        while never.asked().is_empty() {
            std::thread::sleep(Duration::from_millis(5));
        }
        ended.store(true, Ordering::SeqCst);
        survey.join().unwrap()
    });
    assert!(matches!(result, Err(ExchangeError::Stopped)), "{result:?}");
    assert!(never.asked().len() < 4 && since.elapsed() < Duration::from_secs(60));
}

#[test]
fn a_list_that_is_none_is_refused() {
    let page = "<ListBucketResult><Contents><Key>barn/photos/x</Key><Size>1</Size></Contents>";
    let circle = format!(
        "{page}<IsTruncated>true</IsTruncated><NextContinuationToken>a</NextContinuationToken></ListBucketResult>"
    );
    let lost = format!("{page}<IsTruncated>true</IsTruncated></ListBucketResult>");
    let bomb = "<!DOCTYPE a [<!ENTITY b 'bbbbbbbb'><!ENTITY c '&b;&b;&b;&b;'>]><ListBucketResult>&c;</ListBucketResult>";
    let deep = format!("<ListBucketResult>{}", "<a>".repeat(200_000));
    for (list, sentence) in [
        (&*circle, "does not end"),
        (&lost, "breaks off without saying how it goes on"),
        (bomb, "made as no list is"),
        (&deep, "made as no list is"),
        (page, "no list, or breaks off"),
        ("", "no list, or breaks off"),
        ("\u{0}\u{1}", "no list, or breaks off"),
    ] {
        let error = bucket(Pretended::saying(answer("200 OK", list)).at)
            .survey(None)
            .unwrap_err();
        assert!(told(&error).contains(sentence), "{list:.80}\n{error}");
    }
    // Cut in the middle, though its head says how long it is; and without an end.
    let cut = format!("HTTP/1.1 200 OK\r\nContent-Length: 5000\r\nConnection: close\r\n\r\n{page}");
    let cut = Pretended::start(move |_, out| {
        out.write_all(cut.as_bytes())?;
        Err(std::io::ErrorKind::Other.into())
    });
    let error = bucket(cut.at).survey(None).unwrap_err();
    assert!(told(&error).contains("the connection broke off"), "{error}");
    let endless = Pretended::start(|_, out| {
        out.write_all(b"HTTP/1.1 200 OK\r\nConnection: close\r\n\r\n<ListBucketResult>")?;
        loop {
            out.write_all(&[b'x'; 1 << 16])?;
        }
    });
    let error = bucket(endless.at).survey(None).unwrap_err();
    assert!(told(&error).contains("no list, or breaks off"), "{error}");
}

#[test]
fn what_is_listed_under_other_names_is_passed_over() {
    let photo = PhotoHash::of(b"x");
    let stretch = stretch();
    let listed = |names: &[(String, &str)]| {
        let items: String = names
            .iter()
            .map(|(name, size)| {
                format!("<Contents><Key>{name}</Key><Size>{size}</Size></Contents>")
            })
            .collect();
        answer(
            "200 OK",
            &format!("<ListBucketResult>{items}<Prefix>barn/photos/</Prefix></ListBucketResult>"),
        )
    };
    let names = [
        (format!("barn/photos/{photo}"), "7"),
        (format!("barn/{stretch}"), "12"),
        (format!("elsewhere/photos/{photo}"), "9"),
        ("barn/photos/../../secret".to_owned(), "1"),
        (
            format!("barn/photos/{}", photo.to_string().to_uppercase()),
            "1",
        ),
        (
            "barn/journal/x/000000000001-000000000001-0000000000000000.jsonl".to_owned(),
            "1",
        ),
        (format!("barn/photos/{}", PhotoHash::of(b"y")), "-1"),
        (
            format!("barn/photos/{}", PhotoHash::of(b"z")),
            "99999999999999999999999",
        ),
    ];
    let survey = bucket(Pretended::saying(listed(&names)).at)
        .survey(None)
        .unwrap()
        .unwrap();
    let wanted = Survey {
        stretches: [stretch.clone()].into(),
        sizes: [(stretch, 12)].into(),
        photos: [(photo, 7)].into(),
        ..Survey::default()
    };
    assert_eq!(
        Survey {
            state: None,
            ..survey
        },
        wanted
    );
}

#[test]
fn more_than_was_asked_for_is_not_read() {
    let endless = Pretended::start(|_, out| {
        out.write_all(b"HTTP/1.1 200 OK\r\nConnection: close\r\n\r\n")?;
        loop {
            out.write_all(&[b'x'; 1 << 16])?;
        }
    });
    for shelf in [bucket(endless.at), folder(endless.at)] {
        let lines = shelf.lines(&stretch(), 1).unwrap();
        assert!(lines.len() < 16 << 20, "{}", lines.len());
    }
}

/// What a WebDAV folder says of a file of that many bytes.
fn property(length: &str) -> String {
    answer(
        "207 Multi-Status",
        &format!(
            "<D:multistatus xmlns:D='DAV:'><D:response><D:href>/dav/photos/u</D:href><D:propstat><D:prop><D:getcontentlength>{length}</D:getcontentlength></D:prop></D:propstat></D:response></D:multistatus>"
        ),
    )
}

#[test]
fn a_file_that_did_not_arrive_whole_gets_no_name() {
    let short = property("2");
    let server = Pretended::start(move |head, out| {
        let said = if head.starts_with("PROPFIND") {
            short.clone()
        } else {
            answer("201 Created", "")
        };
        out.write_all(said.as_bytes())
    });
    let error = folder(server.at)
        .leave_photo(&PhotoHash::of(b"xyz"), 3, &mut &b"xyz"[..])
        .unwrap_err();
    assert!(
        told(&error).contains("not all of a file arrived there"),
        "{error}"
    );
    let asked = server.asked();
    assert!(
        asked
            .iter()
            .any(|line| line.starts_with("DELETE /dav/photos/unfinished-")),
        "{asked:?}"
    );
    assert!(
        !asked.iter().any(|line| line.starts_with("MOVE")),
        "{asked:?}"
    );
    assert!(
        !asked
            .iter()
            .any(|line| line.starts_with(&format!("PUT /dav/photos/{}", PhotoHash::of(b"xyz")))),
        "{asked:?}"
    );

    let whole = property("3");
    let server = Pretended::start(move |head, out| {
        let said = match head.split(' ').next() {
            Some("PROPFIND") => whole.clone(),
            Some("MOVE") => answer("405 No", ""),
            _ => answer("201 Created", ""),
        };
        out.write_all(said.as_bytes())
    });
    let error = folder(server.at)
        .leave_lines(&stretch(), b"{}\n")
        .unwrap_err();
    assert!(
        told(&error).contains("does not let files be renamed"),
        "{error}"
    );
}

#[test]
fn a_folder_that_another_made_in_the_same_moment_is_taken_as_it_is() {
    let serve = |there: String| {
        Pretended::start(move |head, out| {
            let said = match head.split(' ').next() {
                Some("MKCOL") => answer("403 Forbidden", ""),
                Some("PROPFIND") if head.contains("/unfinished-") => property("3"),
                Some("PROPFIND") => there.clone(),
                _ => answer("201 Created", ""),
            };
            out.write_all(said.as_bytes())
        })
    };
    let list = answer("207 Multi-Status", "<multistatus xmlns='DAV:'/>");
    folder(serve(list).at)
        .leave_lines(&stretch(), b"{}\n")
        .unwrap();

    let error = folder(serve(answer("404 Not Found", "")).at)
        .leave_lines(&stretch(), b"{}\n")
        .unwrap_err();
    assert!(
        told(&error).contains("does not let this user do that"),
        "{error}"
    );
}
