//! The pages of exchange and pairing over a meeting that is told what to say, and over real folders.
#![allow(missing_docs, clippy::unwrap_used)]

use chrono::{DateTime, FixedOffset};
use holebook_core::exchange::{FolderShelf, Progress, Report, Stage, exchange, exchange_over};
use holebook_core::hole::record::Wanted;
use holebook_core::notebook::{CastingBody, FaceBody, HoleId, Moved, Notebook, Saying, Settings};
use holebook_screens::meeting::*;
use holebook_screens::{Body, Method, Request, Response, Upload, answer, answer_with};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use tempfile::TempDir;

/// A meeting that does what the test tells it, and notes what it was asked.
#[derive(Default)]
struct Fake {
    shelves: Vec<Shelf>,
    run: Mutex<Option<Run>>,
    asked: Mutex<Vec<String>>,
    code: Mutex<Option<Code>>,
    devices: Mutex<Vec<Device>>,
    hosts: bool,
    guests: bool,
    says_not_home: bool,
    files: bool,
}

impl Fake {
    fn note(&self, what: impl Into<String>) {
        self.asked.lock().unwrap().push(what.into());
    }

    fn asked(&self) -> Vec<String> {
        std::mem::take(&mut self.asked.lock().unwrap())
    }
}

impl Meeting for Fake {
    fn shelves(&self) -> Result<Vec<Shelf>, NotDone> {
        Ok(self.shelves.clone())
    }
    fn run(&self) -> Option<Run> {
        self.run.lock().unwrap().clone()
    }
    fn begin(&self, task: Task<'_>) -> Result<(), NotDone> {
        if self.run().is_some_and(|run| run.is_under_way()) {
            return Err(NotDone("an exchange is under way already".to_owned()));
        }
        self.note(match task {
            Task::ExchangeWithAll => "all".to_owned(),
            Task::ExchangeWith(shelf) => format!("with {shelf}"),
            Task::ExchangeFolder(folder) => format!("folder {}", folder.display()),
            Task::ExchangeBucket(bucket) => format!("{bucket:?}"),
            Task::TakeBundle(upload) => format!("take {}", upload.name),
            Task::WriteBundle(share) => format!("write {share:?}"),
        });
        Ok(())
    }
    fn end(&self) {
        self.note("end");
    }
    fn forget(&self, shelf: &str) -> Result<(), NotDone> {
        self.note(format!("forget {shelf}"));
        Ok(())
    }
    fn says_what_is_not_home(&self) -> bool {
        self.says_not_home
    }
    fn takes_folders(&self) -> bool {
        self.files
    }
    fn takes_buckets(&self) -> bool {
        self.files
    }
    fn bundles(&self) -> bool {
        self.files
    }
    fn host(&self) -> Option<&dyn Host> {
        self.hosts.then_some(self as &dyn Host)
    }
    fn guest(&self) -> Option<&dyn Guest> {
        self.guests.then_some(self as &dyn Guest)
    }
}

impl Host for Fake {
    fn reached_at(&self) -> Result<String, NotDone> {
        Ok("192.168.7.20:29376".to_owned())
    }
    fn code(&self) -> Option<Code> {
        self.code.lock().unwrap().clone()
    }
    fn make_code(&self) -> Result<(), NotDone> {
        *self.code.lock().unwrap() = Some(Code {
            words: "abandon ability able about".to_owned(),
            link: "holebook://pair?k=1&s=2".to_owned(),
            picture_svg: "<svg xmlns=\"http://www.w3.org/2000/svg\"/>".to_owned(),
            until: at("2026-11-25T14:12:00+01:00"),
            state: CodeState::Open,
        });
        Ok(())
    }
    fn withdraw_code(&self) -> Result<(), NotDone> {
        if let Some(code) = self.code.lock().unwrap().as_mut() {
            code.state = CodeState::Over;
        }
        Ok(())
    }
    fn devices(&self) -> Result<Vec<Device>, NotDone> {
        Ok(self.devices.lock().unwrap().clone())
    }
    fn revoke(&self, device: &str) -> Result<(), NotDone> {
        let mut devices = self.devices.lock().unwrap();
        let found = devices.iter_mut().find(|known| known.id == device);
        let found = found.ok_or_else(|| NotDone("no such device is paired".to_owned()))?;
        found.revoked_at = Some(at("2026-11-25T15:00:00+01:00"));
        Ok(())
    }
}

impl Guest for Fake {
    fn pair(&self, code: &str) -> Result<String, NotDone> {
        self.note(format!("pair {code}"));
        match code {
            "right" => Ok("Bench".to_owned()),
            _ => Err(NotDone(
                "the 3rd word, 'abanden', is none of the list".to_owned(),
            )),
        }
    }
}

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

struct Desk {
    notebook: Arc<Notebook>,
    dir: TempDir,
}

impl Desk {
    fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let notebook = Arc::new(Notebook::open(&dir.path().join("notebook")).unwrap());
        Self { notebook, dir }
    }

    fn called(person: &str, device: &str) -> Self {
        let desk = Self::new();
        let settings = desk.notebook.settings().unwrap();
        let called = Settings {
            person: person.to_owned(),
            device_name: device.to_owned(),
            ..settings
        };
        desk.notebook.set_settings(&called).unwrap();
        desk
    }

    fn hole(&self) -> HoleId {
        let casting = self.notebook.add_casting(&CastingBody {
            name: "Pump".to_owned(),
            note: None,
            metal: None,
        });
        let face = self.notebook.add_face(&FaceBody {
            casting: casting.unwrap(),
            name: "Cover joint".to_owned(),
            note: None,
        });
        self.notebook.add_hole(face.unwrap(), None, None).unwrap()
    }

    fn want(&self, hole: HoleId, thread: &str) {
        let wanted = Wanted {
            thread: thread.parse().unwrap(),
            bolt: None,
            through: None,
        };
        self.notebook
            .say(hole, Saying::Wanted(wanted), &[])
            .unwrap();
    }
}

fn get(desk: &Desk, meeting: &dyn Meeting, path: &str) -> String {
    let response = answer_with(&desk.notebook, meeting, &Request::get(path));
    assert_eq!(response.status, 200, "{path}: {}", text(&response));
    text(&response)
}

fn post(desk: &Desk, meeting: &dyn Meeting, path: &str, form: &[(&str, &str)]) -> Response {
    let pairs = form.iter();
    let request = Request {
        method: Method::Post,
        form: pairs
            .map(|(key, value)| ((*key).to_owned(), (*value).to_owned()))
            .collect(),
        ..Request::get(path)
    };
    answer_with(&desk.notebook, meeting, &request)
}

/// Where a form that was taken leads.
fn leads(response: &Response) -> &str {
    assert_eq!(response.status, 303, "{}", text(response));
    &response.headers[0].1
}

fn text(response: &Response) -> String {
    match &response.body {
        Body::Text(text) => text.clone(),
        _ => String::new(),
    }
}

fn shelf(id: &str, name: &str, paired: bool) -> Shelf {
    Shelf {
        id: id.to_owned(),
        name: name.to_owned(),
        paired,
    }
}

fn leg(name: &str, state: LegState) -> Leg {
    Leg {
        way: Way::Exchange,
        name: name.to_owned(),
        state,
    }
}

#[test]
fn a_device_that_meets_nobody_speaks_of_no_exchange() {
    let desk = Desk::new();
    desk.hole();
    let front = text(&answer(&desk.notebook, &Request::get("/")));
    assert!(!front.contains("/exchange") && !front.contains("not home"));
    for path in ["/exchange", "/exchange/file", "/pair", "/devices"] {
        let response = answer(&desk.notebook, &Request::get(path));
        assert_eq!(response.status, 404, "{path}");
    }
    for path in [
        "/exchange/begin",
        "/exchange/take",
        "/pair/code",
        "/pair/shop",
        "/devices/revoke",
    ] {
        assert_eq!(
            post(&desk, &Alone, path, &[("device", "x"), ("code", "y")]).status,
            404,
            "{path}"
        );
    }
}

#[test]
fn what_is_not_home_yet_stands_in_the_head_of_every_page_that_is_asked_to_say_so() {
    let desk = Desk::new();
    let hole = desk.hole();
    let mut meeting = Fake {
        files: true,
        ..Fake::default()
    };
    assert!(!get(&desk, &meeting, "/").contains("not home"));
    meeting.says_not_home = true;
    for path in [
        "/",
        "/bench",
        "/settings",
        &format!("/hole/{hole}"),
        "/exchange",
    ] {
        let page = get(&desk, &meeting, path);
        assert!(
            page.contains("⇧\u{a0}</span>3<span class=\"hidden\"> not home"),
            "{path}"
        );
    }
    let page = get(&desk, &meeting, "/exchange");
    assert!(page.contains("3 entries are on this device alone, and would be lost with it."));

    let face = desk.notebook.hole(hole).unwrap().face;
    let photo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/photos/print.jpg");
    desk.notebook.add_photo(face, &photo, None).unwrap();
    let page = get(&desk, &meeting, "/exchange");
    assert!(
        page.contains("4 entries are on this device alone, 1 photo among them, and would be lost"),
        "{page}"
    );

    let shelf = TempDir::new().unwrap();
    exchange(&desk.notebook, shelf.path()).unwrap();
    let page = get(&desk, &meeting, "/exchange");
    assert!(page.contains("All that was written on this device lies on a shelf."));
    assert!(!page.contains("not home</span>") && page.contains("exchange-link"));
}

#[test]
fn every_shelf_says_when_it_was_exchanged_with_and_what_that_did() {
    let desk = Desk::new();
    desk.hole();
    let folder = TempDir::new().unwrap();
    exchange(&desk.notebook, folder.path()).unwrap();
    let id = format!("folder:{}", folder.path().display());
    assert_eq!(desk.notebook.shelves().unwrap()[0].id, id);
    let meeting = Fake {
        shelves: vec![
            shelf("shop:abc", "the shop computer Bench", true),
            shelf(&id, "the shelf stick", false),
        ],
        ..Fake::default()
    };
    let page = get(&desk, &meeting, "/exchange");
    assert!(page.contains("The shop computer Bench") && page.contains("Not exchanged with yet."));
    assert!(page.contains("Took nothing; left 3 entries."), "{page}");
    assert!(page.contains("Exchange with all 2"));

    let begin = |form: &[(&str, &str)]| post(&desk, &meeting, "/exchange/begin", form);
    assert_eq!(leads(&begin(&[])), "/exchange?said=begun");
    assert_eq!(
        leads(&begin(&[("shelf", "shop:abc")])),
        "/exchange?said=begun"
    );
    let forgotten = post(&desk, &meeting, "/exchange/forget", &[("shelf", &id)]);
    assert_eq!(leads(&forgotten), "/exchange?said=forgotten");
    assert_eq!(
        meeting.asked(),
        ["all", "with shop:abc", &format!("forget {id}")]
    );
    // Forms that this carrier does not offer are not there.
    assert_eq!(
        post(&desk, &meeting, "/exchange/folder", &[("folder", "/x")]).status,
        404
    );
    assert_eq!(post(&desk, &meeting, "/exchange/write", &[]).status, 404);
}

#[test]
fn while_it_is_under_way_the_page_says_how_far_and_comes_again_without_script() {
    let desk = Desk::new();
    let meeting = Fake {
        files: true,
        shelves: vec![shelf("shop:abc", "the shop computer Bench", true)],
        ..Fake::default()
    };
    let calm = get(&desk, &meeting, "/exchange");
    assert!(!calm.contains("http-equiv") && !calm.contains("follow.js"));
    let progress = Progress {
        stage: Stage::Taking,
        entries: 12,
        entries_of: 40,
        photo_bytes: 3_140_000,
        photo_bytes_of: 22_000_000,
    };
    *meeting.run.lock().unwrap() = Some(Run {
        legs: vec![
            leg(
                "the shop computer Bench",
                LegState::UnderWay(Some(progress)),
            ),
            leg("the shelf stick", LegState::Waiting),
        ],
        ended: None,
    });
    let page = get(&desk, &meeting, "/exchange");
    assert!(page.contains("<noscript><meta http-equiv=\"refresh\" content=\"2\"></noscript>"));
    assert!(page.contains("src=\"/follow.js\""));
    assert!(
        page.contains("Taking: 12 of 40 entries, 3.1 of 22.0 MB of photos."),
        "{page}"
    );
    assert!(page.contains("max=\"22000000\" value=\"3140000\""));
    assert!(page.contains("Comes next.") && page.contains("action=\"/exchange/end\""));
    assert!(
        !page.contains("action=\"/exchange/begin\""),
        "one at a time"
    );
    assert_eq!(
        get(&desk, &meeting, "/follow.js").matches("fetch(").count(),
        1
    );

    let second = post(&desk, &meeting, "/exchange/folder", &[("folder", "/x")]);
    assert_eq!(second.status, 422);
    let page = text(&second);
    assert!(
        page.contains("That was not done. An exchange is under way already."),
        "{page}"
    );
    leads(&post(&desk, &meeting, "/exchange/end", &[]));
    assert_eq!(meeting.asked(), ["end"]);
}

#[test]
fn what_went_wrong_is_one_sentence_and_what_is_lacking_is_named() {
    let desk = Desk::new();
    let meeting = Fake {
        files: true,
        ..Fake::default()
    };
    let problem = holebook_core::exchange::Problem {
        file: "photos/ab".to_owned(),
        why: "it is cut short".to_owned(),
    };
    *meeting.run.lock().unwrap() = Some(Run {
        legs: vec![
            leg(
                "the shop computer Bench",
                LegState::Failed("the shop computer Bench cannot be reached".to_owned()),
            ),
            leg(
                "the shelf stick",
                LegState::Done(Done::Moved(Report {
                    entries_taken: 1,
                    problems: vec![problem; 8],
                    ..Report::default()
                })),
            ),
        ],
        ended: Some(at("2026-11-25T14:12:00+01:00")),
    });
    let page = get(&desk, &meeting, "/exchange");
    assert!(page.contains(">Done in part, 25 Nov 2026, 14:12"));
    assert!(
        page.contains("role=\"alert\">The shop computer Bench cannot be reached.</p>"),
        "{page}"
    );
    assert!(page.contains("Took 1 entry; left nothing."));
    assert_eq!(
        page.matches("Photos/ab on the shelf was not taken").count(),
        6
    );
    assert!(page.contains("And 2 more files were not taken."));
}

#[test]
fn a_folder_is_named_by_its_whole_path() {
    let desk = Desk::new();
    let meeting = Fake {
        files: true,
        ..Fake::default()
    };
    let folder = |path: &str| post(&desk, &meeting, "/exchange/folder", &[("folder", path)]);
    for wrong in ["", "stick", "../stick"] {
        let refused = folder(wrong);
        assert_eq!(refused.status, 422, "{wrong}");
        assert!(text(&refused).contains("aria-invalid=\"true\""), "{wrong}");
    }
    leads(&folder("/media/a stick/holebook"));
    assert_eq!(meeting.asked(), ["folder /media/a stick/holebook"]);
}

#[test]
fn a_bucket_is_named_with_where_its_keys_are() {
    let desk = Desk::new();
    let meeting = Fake {
        files: true,
        ..Fake::default()
    };
    let bucket = |form: &[(&str, &str)]| post(&desk, &meeting, "/exchange/bucket", form);
    let address = ("address", "https://store.example/barn");
    for (wrong, form) in [
        (
            "no address",
            [("address", " "), ("keys", "/home/k/keys.toml")],
        ),
        ("not the whole path", [address, ("keys", "keys.toml")]),
    ] {
        let refused = bucket(&form);
        assert_eq!(refused.status, 422, "{wrong}");
        let page = text(&refused);
        assert!(page.contains("aria-invalid=\"true\""), "{wrong}");
        assert!(
            page.contains("<details class=\"leaf\" open>") && page.contains(form[1].1),
            "{wrong}: what was typed stays in sight"
        );
    }
    leads(&bucket(&[address]));
    leads(&bucket(&[
        ("address", "s3://parts/barn"),
        ("endpoint", "https://store.example"),
        ("keys", "/home/k/keys.toml"),
        ("unencrypted", "yes"),
    ]));
    let asked = |bucket: Bucket<'_>| format!("{bucket:?}");
    let plain = Bucket {
        address: address.1,
        endpoint: None,
        keys: None,
        unencrypted: false,
    };
    let full = Bucket {
        address: "s3://parts/barn",
        endpoint: Some("https://store.example"),
        keys: Some(Path::new("/home/k/keys.toml")),
        unencrypted: true,
    };
    assert_eq!(meeting.asked(), [asked(plain), asked(full)]);

    let bare = Fake::default();
    assert_eq!(
        post(&desk, &bare, "/exchange/bucket", &[address]).status,
        404
    );
}

#[test]
fn bundles_are_written_saved_and_taken_in() {
    let desk = Desk::new();
    let meeting = Fake {
        files: true,
        ..Fake::default()
    };
    assert!(get(&desk, &meeting, "/exchange").contains("Write the bundle"));
    leads(&post(
        &desk,
        &meeting,
        "/exchange/write",
        &[("what", "all")],
    ));
    leads(&post(
        &desk,
        &meeting,
        "/exchange/write",
        &[("what", "new")],
    ));
    assert_eq!(post(&desk, &meeting, "/exchange/take", &[]).status, 422);
    let request = Request {
        method: Method::Post,
        uploads: vec![Upload {
            field: "bundle".to_owned(),
            name: "barn.zip".to_owned(),
            path: PathBuf::from("/nowhere"),
        }],
        ..Request::get("/exchange/take")
    };
    leads(&answer_with(&desk.notebook, &meeting, &request));
    assert_eq!(
        meeting.asked(),
        ["write All", "write NotHome", "take barn.zip"]
    );

    let none = answer_with(&desk.notebook, &meeting, &Request::get("/exchange/file"));
    assert_eq!(none.status, 404);
    let path = desk.dir.path().join("b.zip");
    *meeting.run.lock().unwrap() = Some(Run {
        legs: vec![Leg {
            way: Way::WriteBundle,
            name: "a bundle".to_owned(),
            state: LegState::Done(Done::Written(BundleFile {
                path: path.clone(),
                name: "holebook-\"2026\r\n.zip".to_owned(),
                bytes: 12_340_000,
                entries: 3,
                photos: 1,
            })),
        }],
        ended: Some(at("2026-11-25T14:12:00+01:00")),
    });
    assert!(get(&desk, &meeting, "/exchange").contains("holds 3 entries and 1 photo, 12.3 MB."));
    let file = answer_with(&desk.notebook, &meeting, &Request::get("/exchange/file"));
    assert_eq!(file.body, Body::File(path));
    let (_, named) = &file.headers[1];
    assert_eq!(named, "attachment; filename=\"holebook-2026.zip\"");
}

#[test]
fn a_code_is_shown_until_somebody_came_in() {
    let desk = Desk::new();
    let meeting = Fake {
        hosts: true,
        ..Fake::default()
    };
    assert!(get(&desk, &meeting, "/exchange").contains("href=\"/devices\""));
    assert!(get(&desk, &meeting, "/pair").contains("Make a code"));
    assert_eq!(
        leads(&post(&desk, &meeting, "/pair/code", &[])),
        "/pair?said=code"
    );
    let page = get(&desk, &meeting, "/pair");
    for words in [
        "<li>abandon</li><li>ability</li>",
        "Good until 14:12",
        "for one device",
        "can read all of this notebook and write in it",
        "holebook://pair?k=1&amp;s=2",
        "src=\"data:image/svg+xml;base64,",
        "192.168.7.20:29376",
        "<noscript><meta",
    ] {
        assert!(page.contains(words), "{words}");
    }
    meeting.code.lock().unwrap().as_mut().unwrap().state =
        CodeState::Used("Barn <phone>".to_owned());
    let page = get(&desk, &meeting, "/pair");
    assert!(page.contains("✓ Barn &lt;phone&gt; is paired."), "{page}");
    assert!(!page.contains("abandon") && !page.contains("http-equiv"));
    leads(&post(&desk, &meeting, "/pair/code", &[]));
    leads(&post(&desk, &meeting, "/pair/withdraw", &[]));
    let page = get(&desk, &meeting, "/pair");
    assert!(page.contains("good no more") && !page.contains("abandon"));
    assert_eq!(
        post(&desk, &meeting, "/pair/shop", &[("code", "right")]).status,
        404
    );
}

#[test]
fn a_revoked_device_stays_listed_as_such() {
    let desk = Desk::new();
    let moved = Moved {
        entries_taken: 1,
        entries_left: 12,
        photos_taken: 0,
        photos_left: 3,
    };
    let device = |id: &str, name: &str, last| Device {
        id: id.to_owned(),
        name: name.to_owned(),
        paired_at: at("2026-11-24T09:00:00+01:00"),
        last,
        revoked_at: None,
    };
    let meeting = Fake {
        hosts: true,
        devices: Mutex::new(vec![
            device(
                "a",
                "Barn phone",
                Some((at("2026-11-25T14:12:00+01:00"), moved)),
            ),
            device("b", "Old phone", None),
        ]),
        ..Fake::default()
    };
    let page = get(&desk, &meeting, "/devices");
    assert!(
        page.contains("It brought 12 entries and 3 photos and took 1 entry."),
        "{page}"
    );
    assert!(page.contains("It has not exchanged yet."));
    assert!(page.contains("it can bring nothing and take nothing"));
    let revoke = |device: &str| post(&desk, &meeting, "/devices/revoke", &[("device", device)]);
    assert_eq!(revoke("c").status, 422);
    assert_eq!(leads(&revoke("b")), "/devices?said=revoked");
    let page = get(&desk, &meeting, "/devices");
    assert!(page.contains("<span class=\"struck\">Old phone</span>"));
    assert!(!page.contains("name=\"device\" value=\"b\""));
    assert!(page.contains("name=\"device\" value=\"a\""));
}

#[test]
fn a_device_pairs_itself_by_words_or_by_a_link_that_was_scanned() {
    let desk = Desk::new();
    let meeting = Fake {
        guests: true,
        ..Fake::default()
    };
    assert!(get(&desk, &meeting, "/exchange").contains("Pair with a shop computer"));
    let scanned = Request {
        query: vec![("code".to_owned(), "holebook://pair?a=\"<".to_owned())],
        ..Request::get("/pair")
    };
    let page = text(&answer_with(&desk.notebook, &meeting, &scanned));
    assert!(
        page.contains("holebook://pair?a=&quot;&lt;</textarea>"),
        "{page}"
    );
    let pair = |code: &str| post(&desk, &meeting, "/pair/shop", &[("code", code)]);
    assert_eq!(pair("").status, 422);
    let wrong = pair("abanden one two");
    assert_eq!(wrong.status, 422);
    let page = text(&wrong);
    assert!(
        page.contains("The 3rd word, 'abanden', is none of the list."),
        "{page}"
    );
    assert!(
        page.contains(">abanden one two</textarea>"),
        "what was typed stays"
    );
    assert_eq!(leads(&pair("right")), "/exchange?said=paired");
    assert_eq!(meeting.asked(), ["pair abanden one two", "pair right"]);
    assert_eq!(post(&desk, &meeting, "/pair/code", &[]).status, 404);
}

/// A carrier that exchanges with one folder, as real ones do.
struct OneFolder {
    notebook: Arc<Notebook>,
    folder: PathBuf,
    worker: Worker,
}

impl OneFolder {
    fn of(desk: &Desk, folder: &Path) -> Self {
        Self {
            notebook: Arc::clone(&desk.notebook),
            folder: folder.to_owned(),
            worker: Worker::default(),
        }
    }
}

impl Meeting for OneFolder {
    fn shelves(&self) -> Result<Vec<Shelf>, NotDone> {
        Ok(vec![shelf("folder", "the shelf stick", false)])
    }
    fn run(&self) -> Option<Run> {
        self.worker.run()
    }
    fn begin(&self, _: Task<'_>) -> Result<(), NotDone> {
        let (notebook, folder) = (Arc::clone(&self.notebook), self.folder.clone());
        let work = move |watch: &holebook_core::exchange::Watch<'_>| {
            let (shelf, _) = FolderShelf::open(&folder).map_err(|error| error.to_string())?;
            let report = exchange_over(&notebook, &shelf, watch);
            report.map(Done::Moved).map_err(|error| error.to_string())
        };
        self.worker
            .begin(vec![Piece::new(Way::Exchange, "the shelf stick", work)])?;
        Ok(())
    }
    fn end(&self) {
        self.worker.end();
    }
    fn forget(&self, _: &str) -> Result<(), NotDone> {
        Ok(())
    }
}

#[test]
fn two_answers_that_an_exchange_brings_are_led_to_told_apart_and_settled() {
    let folder = TempDir::new().unwrap();
    let (barn, bench) = (
        Desk::called("R. Barn", "Barn phone"),
        Desk::called("K. Bench", "Shop computer"),
    );
    let (in_barn, at_bench) = (
        OneFolder::of(&barn, folder.path()),
        OneFolder::of(&bench, folder.path()),
    );
    let meet = |desk: &Desk, meeting: &OneFolder| {
        leads(&post(desk, meeting, "/exchange/begin", &[]));
        meeting.worker.wait();
        get(desk, meeting, "/exchange")
    };
    let hole = barn.hole();
    meet(&barn, &in_barn);
    let page = meet(&bench, &at_bench);
    assert!(page.contains("Took 4 entries; left 1 entry."), "{page}");
    assert!(!page.contains("In question"));

    barn.want(hole, "3/8-16");
    bench.want(hole, "7/16-14");
    meet(&barn, &in_barn);
    let page = meet(&bench, &at_bench);
    let link = format!("<a href=\"/hole/{hole}#questions\">Hole 1, Cover joint, Pump</a>");
    assert!(page.contains(&link), "{page}");

    let page = get(&bench, &at_bench, &format!("/hole/{hole}"));
    assert!(
        page.contains("R. Barn, on Barn phone, ") && page.contains("K. Bench, on Shop computer, "),
        "{page}"
    );
    let view = bench.notebook.hole(hole).unwrap();
    for path in [
        format!("/face/{}", view.face),
        format!("/casting/{}", view.casting.unwrap()),
        "/".to_owned(),
    ] {
        assert!(
            get(&bench, &at_bench, &path).contains("in question"),
            "{path}"
        );
    }
    let said = &view.record.wanted.0;
    let entries: Vec<String> = said.iter().map(|said| said.entry.to_string()).collect();
    let form = [
        ("kind", "wanted"),
        ("stands", &*entries[0]),
        ("over", &*entries[0]),
        ("over", &*entries[1]),
    ];
    leads(&post(
        &bench,
        &at_bench,
        &format!("/hole/{hole}/settle"),
        &form,
    ));
    meet(&bench, &at_bench);
    let page = meet(&barn, &in_barn);
    assert!(!page.contains("In question"));
    assert!(!barn.notebook.hole(hole).unwrap().in_question);
}
