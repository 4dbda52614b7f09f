//! The pages of exchange and pairing, as the phone answers them.

use crate::bench::Bench;
use crate::common::Desk;
use crate::phone::{exchange, note, report};
use holebook_mobile::*;
use std::path::Path;
use std::thread;
use std::time::Duration;

pub fn ask(book: &Notebook, method: Method, path: &str, form: &[(&str, &str)]) -> Response {
    send(book, method, path, form, Vec::new())
}

fn send(
    book: &Notebook,
    method: Method,
    path: &str,
    form: &[(&str, &str)],
    uploads: Vec<Upload>,
) -> Response {
    let pair = |(name, value): &(&str, &str)| Pair {
        name: (*name).to_owned(),
        value: (*value).to_owned(),
    };
    book.answer(Request {
        method,
        path: path.to_owned(),
        query: Vec::new(),
        form: form.iter().map(pair).collect(),
        uploads,
    })
    .unwrap()
}

fn text(response: Response) -> String {
    match response.body {
        ResponseBody::Text { text } => text,
        other => panic!("{other:?}"),
    }
}

pub fn page(book: &Notebook, path: &str) -> String {
    text(ask(book, Method::Get, path, &[]))
}

/// The page of exchange once nothing is under way.
fn settled(book: &Notebook) -> String {
    loop {
        let shown = page(book, "/exchange");
        if !shown.contains("Under way") {
            return shown;
        }
        thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn a_phone_pairs_exchanges_and_forgets_by_its_pages() {
    let (bench, phone) = (Bench::start(), Desk::new());
    let book = &phone.notebook;
    note(book, "from the barn");
    let front = page(book, "/");
    assert!(front.contains("href=\"/exchange\""), "{front}");
    assert!(
        front.contains("not-home"),
        "what is not home is said: {front}"
    );
    let offered = page(book, "/exchange");
    assert!(offered.contains("href=\"/pair\""));
    // A phone has no devices, no code of its own, and no paths to type.
    assert!(!offered.contains("/devices") && !offered.contains("/exchange/folder"));
    assert_eq!(ask(book, Method::Get, "/devices", &[]).status, 404);
    assert_eq!(ask(book, Method::Post, "/pair/code", &[]).status, 404);

    let wrong = ask(
        book,
        Method::Post,
        "/pair/shop",
        &[("code", "abandon abandon")],
    );
    assert_eq!(wrong.status, 422);
    assert!(text(wrong).contains("code has 16 words"));
    let offer = bench.offer();
    let paired = ask(book, Method::Post, "/pair/shop", &[("code", offer.link())]);
    assert_eq!(paired.status, 303);
    let shop = book.shops().unwrap().remove(0);

    assert_eq!(ask(book, Method::Post, "/exchange/begin", &[]).status, 303);
    assert!(settled(book).contains("left 1 entry"));
    assert_eq!(bench.desk.notebook.castings().unwrap().len(), 1);
    assert!(!page(book, "/").contains("not-home"));
    let form = [("shelf", shop.id.as_str())];
    assert_eq!(
        ask(book, Method::Post, "/exchange/begin", &form).status,
        303
    );
    assert!(settled(book).contains("Nothing was new on either side"));

    assert_eq!(
        ask(book, Method::Post, "/exchange/forget", &form).status,
        303
    );
    assert_eq!(book.shops().unwrap(), []);
    let gone = ask(book, Method::Post, "/exchange/begin", &form);
    assert_eq!(gone.status, 422);
    assert!(text(gone).contains("not on the list any more"));
}

#[test]
fn bundles_are_written_and_taken_in_by_page_once_they_have_a_place() {
    let (barn, bench) = (Desk::new(), Desk::new());
    let book = &barn.notebook;
    note(book, "one");
    assert!(!page(book, "/exchange").contains("/exchange/write"));
    assert_eq!(ask(book, Method::Post, "/exchange/write", &[]).status, 404);

    let place = |desk: &Desk| {
        let place = desk.dir.path().join("cache/bundles");
        let folder = place.to_string_lossy().into_owned();
        desk.notebook.keep_bundles_in(folder).unwrap();
        place
    };
    let kept = place(&barn);
    assert_eq!(
        ask(book, Method::Post, "/exchange/write", &[("what", "all")]).status,
        303
    );
    assert!(settled(book).contains("/exchange/file"));
    let ResponseBody::File { path } = ask(book, Method::Get, "/exchange/file", &[]).body else {
        panic!("no file")
    };
    let file = Path::new(&path);
    assert!(file.starts_with(&kept) && file.extension().unwrap() == "zip");
    assert_eq!(
        file.parent().unwrap().parent().unwrap(),
        kept,
        "one folder for one file"
    );

    place(&bench);
    let sent = bench.dir.path().join("sent.zip");
    std::fs::copy(file, &sent).unwrap();
    let upload = Upload {
        field: "bundle".to_owned(),
        name: "holebook.zip".to_owned(),
        path: sent.to_string_lossy().into_owned(),
    };
    let taken = send(
        &bench.notebook,
        Method::Post,
        "/exchange/take",
        &[],
        vec![upload],
    );
    assert_eq!(taken.status, 303);
    assert!(settled(&bench.notebook).contains("Took 1 entry"));
    assert_eq!(bench.notebook.castings().unwrap()[0].name, "one");
}

#[test]
fn what_a_page_cannot_do_it_says() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let stick = desk.dir.path().join("stick");
    let folder = ExchangeWith::Folder {
        path: stick.to_string_lossy().into_owned(),
    };
    report(exchange(book, folder).unwrap());
    std::fs::remove_dir_all(&stick).unwrap();
    assert_eq!(ask(book, Method::Post, "/exchange/begin", &[]).status, 303);
    assert!(settled(book).contains("plug the stick in"));
}
