//! Requests of the screens: a visitor who follows links, fills in the forms that are there, and types addresses.

use super::chain;
use super::history::{heads, is_sound};
use super::page::{self, Form};
use super::photo::SMALL;
use super::scratch::{self, Model, Scratch};
use super::{Reader, names, shapes};
use arbitrary::{Result, Unstructured};
use holebook_core::notebook::Notebook;
use holebook_screens::{Body, Method, Request, Response, Upload, answer};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

pub const READER: Reader = Reader {
    name: "screens",
    give,
    examples,
};

/// So many steps at most.
const MOST_STEPS: usize = 12;

/// Whatever a visitor asks and types is answered by a page; looking changes nothing, nor does what is refused; and what was
/// recorded leaves the notebook sound.
fn give(bytes: &[u8]) {
    let mut u = Unstructured::new(bytes);
    let here = Scratch::copy_of(model());
    let incoming = scratch::folder();
    let mut page = String::new();
    for _ in 0..MOST_STEPS {
        if u.is_empty() {
            break;
        }
        let Ok(request) = step(&mut u, &page, incoming.path()) else {
            break;
        };
        let before = heads(&here.notebook);
        let response = answer(&here.notebook, &request);
        page::check(&here.notebook, &request, &response);
        if request.method == Method::Get || response.status != 303 {
            assert_eq!(
                heads(&here.notebook),
                before,
                "{request:?} changed something"
            );
        }
        page = next_page(&here.notebook, &page, response);
    }
    is_sound(&here.notebook);
}

/// The page that the visitor looks at then.
fn next_page(notebook: &Notebook, now: &str, response: Response) -> String {
    let place = response
        .headers
        .iter()
        .find(|(name, _)| *name == "location");
    if let Some((_, place)) = place {
        let request = address(place);
        let led = answer(notebook, &request);
        page::check(notebook, &request, &led);
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

/// What the visitor does next.
fn step(u: &mut Unstructured<'_>, page: &str, incoming: &Path) -> Result<Request> {
    let (links, forms) = page::links_and_forms(page);
    match u.int_in_range(0..=5)? {
        0 | 1 if !links.is_empty() => Ok(address(u.choose(&links)?)),
        2..=4 if !forms.is_empty() => {
            let form = u.choose(&forms)?;
            filled(u, form, incoming)
        }
        5 => typed(u),
        _ => Ok(address(&known(u)?)),
    }
}

/// A request for an address of the program's own, with its query.
fn address(place: &str) -> Request {
    let place = place.split('#').next().unwrap_or_default();
    let (path, query) = place.split_once('?').unwrap_or((place, ""));
    Request {
        query: form_urlencoded::parse(query.as_bytes())
            .into_owned()
            .collect(),
        ..Request::get(path)
    }
}

/// Where the things of the model notebook are.
fn known(u: &mut Unstructured<'_>) -> Result<String> {
    let thing = names::thing(u.int_in_range(shapes::CASTING..=shapes::HOLE + 1)?);
    let room = *u.choose(&["", "casting", "face", "photo", "hole", "settings", "bench"])?;
    let inside = *u.choose(&[
        "",
        "/sheet",
        "/journal",
        "/view.jpg",
        "/thumb.jpg",
        "/original",
    ])?;
    Ok(match room {
        "" | "settings" | "bench" => format!("/{room}"),
        _ => format!("/{room}/{thing}{inside}"),
    })
}

/// A form filled in: with what the page offers, with other words, or left empty.
fn filled(u: &mut Unstructured<'_>, form: &Form, incoming: &Path) -> Result<Request> {
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

/// Numbers are what most fields want.
fn typed_value(u: &mut Unstructured<'_>) -> Result<String> {
    const NUMBERS: &[&str] = &[
        "1", "0", "-3", "2.5", "1/2", "3/8", ".25", "0.001", "12 mm", "99999 mm", "90", "1e9",
        "7 1/4", "4000",
    ];
    if u.ratio(1, 2)? {
        return Ok((*u.choose(NUMBERS)?).to_owned());
    }
    shapes::text(u)
}

fn upload(u: &mut Unstructured<'_>, field: &str, incoming: &Path) -> Result<Upload> {
    let mut bytes = SMALL.to_vec();
    if u.ratio(1, 2)? {
        bytes.truncate(u.choose_index(bytes.len())?);
    }
    let path = incoming.join("upload");
    fs::write(&path, bytes).expect("a file in the folder of the try");
    Ok(Upload {
        field: field.to_owned(),
        name: shapes::text(u)?,
        path,
    })
}

/// Anything at all.
fn typed(u: &mut Unstructured<'_>) -> Result<Request> {
    let path = if u.ratio(1, 2)? {
        known(u)? + u.arbitrary::<&str>()?
    } else {
        format!("/{}", shapes::text(u)?)
    };
    let mut pairs = Vec::new();
    for _ in 0..u.int_in_range(0..=3)? {
        let name = *u.choose(&["said", "mark", "before", "thread", "x", "entry", "number"])?;
        pairs.push((name.to_owned(), shapes::text(u)?));
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

/// A notebook with one of everything, its photo too. Made once in a run.
fn model() -> &'static Model {
    static MODEL: OnceLock<Model> = OnceLock::new();
    MODEL.get_or_init(|| {
        let folder = scratch::folder();
        let path = folder.path().join("notebook");
        let notebook = Notebook::open(&path).expect("a notebook in a new folder");
        notebook
            .take(&chain::sample(names::device(1)))
            .expect("the sample's lines");
        let file = folder.path().join("a.jpg");
        fs::write(&file, SMALL).expect("a file in a new folder");
        let face = holebook_core::notebook::FaceId(names::thing(shapes::FACE));
        notebook
            .add_photo(face, &file, Some("a.jpg"))
            .expect("a photo is brought in");
        drop(notebook);
        Model::of(&path)
    })
}

/// Bytes to choose by.
fn examples() -> Vec<Vec<u8>> {
    (super::history::READER.examples)()
}
