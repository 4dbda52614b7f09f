//! Requests to the screens: a visitor who follows links, fills in forms, and types addresses.

use super::history::{assert_valid, heads};
use super::journal_writer;
use super::page_checks::{self, Form};
use super::photo::SMALL_PHOTO;
use super::temp_notebook::{self, NotebookFiles, TempNotebook};
use super::{FuzzEntryPoint, entry_bodies, fixed_ids};
use arbitrary::{Result, Unstructured};
use holebook_core::notebook::Notebook;
use holebook_screens::{Body, Method, Request, Response, Upload, answer};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "screens",
    run,
    examples,
};

/// The most steps of one visitor.
const MAX_STEPS: usize = 12;

/// Every request gets a page; viewing changes nothing, nor does a rejected request; and what was
/// recorded leaves the notebook valid.
fn run(bytes: &[u8]) {
    let mut u = Unstructured::new(bytes);
    let here = TempNotebook::copy_of(model());
    let incoming = temp_notebook::folder();
    let mut page = String::new();
    for _ in 0..MAX_STEPS {
        if u.is_empty() {
            break;
        }
        let Ok(request) = step(&mut u, &page, incoming.path()) else {
            break;
        };
        let before = heads(&here.notebook);
        let response = answer(&here.notebook, &request);
        page_checks::check(&here.notebook, &request, &response);
        if request.method == Method::Get || response.status != 303 {
            assert_eq!(
                heads(&here.notebook),
                before,
                "{request:?} changed something"
            );
        }
        page = next_page(&here.notebook, &page, response);
    }
    assert_valid(&here.notebook);
}

/// The page that the visitor sees next.
fn next_page(notebook: &Notebook, now: &str, response: Response) -> String {
    let path = response
        .headers
        .iter()
        .find(|(name, _)| *name == "location");
    if let Some((_, path)) = path {
        let request = address(path);
        let led = answer(notebook, &request);
        page_checks::check(notebook, &request, &led);
        return next_page_of(now, led.body);
    }
    next_page_of(now, response.body)
}

fn next_page_of(now: &str, body: Body) -> String {
    match body {
        Body::Text(text) if text.contains("<main") => text,
        _ => now.to_owned(),
    }
}

/// The visitor's next request.
fn step(u: &mut Unstructured<'_>, page: &str, incoming: &Path) -> Result<Request> {
    let (links, forms) = page_checks::links_and_forms(page);
    match u.int_in_range(0..=5)? {
        0 | 1 if !links.is_empty() => Ok(address(u.choose(&links)?)),
        2..=4 if !forms.is_empty() => {
            let form = u.choose(&forms)?;
            filled_form(u, form, incoming)
        }
        5 => typed_request(u),
        _ => Ok(address(&known_path(u)?)),
    }
}

/// A request for an address, with its query.
fn address(path: &str) -> Request {
    let path = path.split('#').next().unwrap_or_default();
    let (path, query) = path.split_once('?').unwrap_or((path, ""));
    Request {
        query: form_urlencoded::parse(query.as_bytes())
            .into_owned()
            .collect(),
        ..Request::get(path)
    }
}

/// The address of something in the model notebook.
fn known_path(u: &mut Unstructured<'_>) -> Result<String> {
    let thing = fixed_ids::thing(u.int_in_range(entry_bodies::CASTING..=entry_bodies::HOLE + 1)?);
    let room = *u.choose(&["", "casting", "face", "photo", "hole", "settings", "bench"])?;
    let inside = *u.choose(&[
        "",
        "/sheet",
        "/log",
        "/view.jpg",
        "/thumb.jpg",
        "/original",
        "/record",
        "/sheet/work.pdf",
        "/sheet/record.pdf",
    ])?;
    Ok(match room {
        "" | "settings" | "bench" => format!("/{room}"),
        _ => format!("/{room}/{thing}{inside}"),
    })
}

/// A form filled in with offered values or other text, or left blank.
fn filled_form(u: &mut Unstructured<'_>, form: &Form, incoming: &Path) -> Result<Request> {
    let mut pairs = Vec::new();
    for (name, offered) in &form.fields {
        match u.int_in_range(0..=7)? {
            0 => {}
            1..=3 if !offered.is_empty() => pairs.push((name.clone(), u.choose(offered)?.clone())),
            4 if !offered.is_empty() => {
                pairs.extend(offered.iter().map(|value| (name.clone(), value.clone())))
            }
            _ => pairs.push((name.clone(), typed_value(u)?)),
        }
    }
    let mut uploads = Vec::new();
    for field in &form.files {
        if u.ratio(1, 2)? {
            uploads.push(upload(u, field, incoming)?);
        }
    }
    Ok(if form.posts {
        Request {
            method: Method::Post,
            form: pairs,
            uploads,
            ..address(&form.action)
        }
    } else {
        Request {
            query: pairs,
            ..address(&form.action)
        }
    })
}

/// Most fields want numbers.
fn typed_value(u: &mut Unstructured<'_>) -> Result<String> {
    const NUMBERS: &[&str] = &[
        "1", "0", "-3", "2.5", "1/2", "3/8", ".25", "0.001", "12 mm", "99999 mm", "90", "1e9",
        "7 1/4", "4000",
    ];
    if u.ratio(1, 2)? {
        return Ok((*u.choose(NUMBERS)?).to_owned());
    }
    entry_bodies::text(u)
}

fn upload(u: &mut Unstructured<'_>, field: &str, incoming: &Path) -> Result<Upload> {
    let mut bytes = SMALL_PHOTO.to_vec();
    if u.ratio(1, 2)? {
        bytes.truncate(u.choose_index(bytes.len())?);
    }
    let path = incoming.join("upload");
    fs::write(&path, bytes).expect("a file in the folder of the try");
    Ok(Upload {
        field: field.to_owned(),
        name: entry_bodies::text(u)?,
        path,
    })
}

/// A request for any address.
fn typed_request(u: &mut Unstructured<'_>) -> Result<Request> {
    let path = if u.ratio(1, 2)? {
        known_path(u)? + u.arbitrary::<&str>()?
    } else {
        format!("/{}", entry_bodies::text(u)?)
    };
    let mut pairs = Vec::new();
    for _ in 0..u.int_in_range(0..=3)? {
        let name = *u.choose(&["notice", "mark", "before", "thread", "x", "entry", "number"])?;
        pairs.push((name.to_owned(), entry_bodies::text(u)?));
    }
    let mut request = Request::get(&path);
    if u.arbitrary()? {
        request.method = Method::Post;
        request.form = pairs;
    } else {
        request.query = pairs;
    }
    Ok(request)
}

/// A notebook with one of everything, including a photo. Created once per run.
fn model() -> &'static NotebookFiles {
    static MODEL: OnceLock<NotebookFiles> = OnceLock::new();
    MODEL.get_or_init(|| {
        let folder = temp_notebook::folder();
        let path = folder.path().join("notebook");
        let notebook = Notebook::open(&path).expect("a notebook in a new folder");
        notebook
            .import_lines(&journal_writer::sample(fixed_ids::device(1)))
            .expect("the sample's lines");
        let file = folder.path().join("a.jpg");
        fs::write(&file, SMALL_PHOTO).expect("a file in a new folder");
        let face = holebook_core::notebook::FaceId(fixed_ids::thing(entry_bodies::FACE));
        notebook
            .add_photo(face, &file, Some("a.jpg"))
            .expect("a photo is imported");
        drop(notebook);
        NotebookFiles::of(&path)
    })
}

/// Bytes that decide the choices.
fn examples() -> Vec<Vec<u8>> {
    (super::history::ENTRY_POINT.examples)()
}
