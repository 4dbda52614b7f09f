//! From a request to the page or the form that it is for.

use crate::carrier::{Method, Request, Response};
use crate::form::Refusal;
use crate::page::{ONCE, STYLE, asset, picture, saying, see};
use crate::pages::{Desk, Refused, bench, casting, castings, face, hole, photo, settings, sheet};
use crate::said::{self, after};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError, PhotoId};
use std::str::FromStr;

/// Answers one request. Blocks while the notebook is read or written; what it acknowledges is on disk.
pub fn answer(notebook: &Notebook, request: &Request) -> Response {
    let parts: Vec<&str> = request.path.trim_start_matches('/').split('/').collect();
    let answered = match request.method {
        Method::Get => {
            asset_at(&request.path).map_or_else(|| look(notebook, &parts, request, None), Ok)
        }
        Method::Post => change(notebook, &parts, request),
    };
    answered.unwrap_or_else(Trouble::response)
}

/// Style and scripts, which need no notebook.
fn asset_at(path: &str) -> Option<Response> {
    if path == "/style.css" {
        return Some(asset("text/css; charset=utf-8", STYLE));
    }
    if path == ONCE.0 {
        return Some(asset("text/javascript; charset=utf-8", ONCE.1));
    }
    let (_, script) = photo::SCRIPTS.iter().find(|(at, _)| *at == path)?;
    Some(asset("text/javascript; charset=utf-8", script))
}

/// The page at an address; with `refused`, the page of a form that could not be taken.
fn look(
    notebook: &Notebook,
    parts: &[&str],
    request: &Request,
    refused: Option<&Refused<'_>>,
) -> Result<Response, Trouble> {
    let settings = notebook.settings()?;
    let desk = Desk {
        unit: settings.unit,
        nameless: settings.person.is_empty() && *parts != ["settings"],
        refused,
        said: request
            .asked("said")
            .filter(|_| refused.is_none())
            .and_then(said::words),
    };
    if let Some(page) = said::page_of(parts).filter(|_| refused.is_none()) {
        return Ok(see(&page));
    }
    Ok(match parts {
        [""] => castings::show(notebook, desk)?,
        ["bench"] => bench::index(),
        ["bench", tool] => {
            let tool = bench::Tool::at(tool).ok_or(Trouble::NoSuchPage)?;
            bench::show(tool, notebook, request)?
        }
        ["settings"] => settings::show(notebook, desk)?,
        ["casting", casting] => casting::show(notebook, id(casting)?, desk)?,
        ["face", face] => face::show(notebook, id(face)?, desk)?,
        ["face", face, "sheet"] => sheet::show(notebook, id(face)?, desk)?,
        ["photo", photo] => {
            photo::show(notebook, id(photo)?, request.asked("mark").is_some(), desk)?
        }
        ["photo", photo, file] => photo_file(notebook, id(photo)?, file)?,
        ["hole", hole] => hole::show(notebook, id(hole)?, desk)?,
        ["hole", hole, "journal"] => {
            let before = request.asked("before").map(id).transpose()?;
            hole::done::journal(notebook, id(hole)?, before, desk)?
        }
        _ => return Err(Trouble::NoSuchPage),
    })
}

fn photo_file(notebook: &Notebook, id: PhotoId, file: &str) -> Result<Response, Trouble> {
    let photo = notebook.photo(id)?;
    let store = notebook.photos();
    let path = match file {
        "view.jpg" => store.view(&photo.hash),
        "thumb.jpg" => store.thumbnail(&photo.hash),
        "original" => Ok(store.original(&photo.hash)),
        _ => return Err(Trouble::NoSuchPage),
    };
    let kind = match file {
        "original" => store
            .format(&photo.hash)
            .map_err(NotebookError::from)?
            .media_type(),
        _ => "image/jpeg",
    };
    Ok(picture(kind, path.map_err(NotebookError::from)?))
}

/// Takes a form: records it and leads on, or shows its page again with the reason and what was typed.
fn change(notebook: &Notebook, parts: &[&str], request: &Request) -> Result<Response, Trouble> {
    let unit = notebook.settings()?.unit;
    if let ["photo", photo, form @ ("mark" | "strike")] = parts {
        let desk = Desk {
            unit,
            refused: None,
            said: None,
            nameless: false,
        };
        let take = if *form == "mark" {
            photo::mark
        } else {
            photo::strike
        };
        return Ok(take(notebook, id(photo)?, request, desk)?);
    }
    match take(notebook, parts, request, unit)? {
        Ok(path) => Ok(see(&path)),
        Err(Refusal { sentence, field }) => {
            let (form, page) = parts.split_last().ok_or(Trouble::NoSuchPage)?;
            let refused = Refused {
                form,
                request,
                sentence,
                field: field.as_deref(),
            };
            let page = if page.is_empty() { home_of(form) } else { page };
            let mut shown = look(notebook, page, request, Some(&refused))?;
            shown.status = 422;
            Ok(shown)
        }
    }
}

/// The page that a form without a page in its path stands on.
fn home_of<'a>(form: &'a &'a str) -> &'a [&'a str] {
    if *form == "settings" {
        std::slice::from_ref(form)
    } else {
        &[""]
    }
}

/// Records what a form says; gives the address to go on at, or why it could not be taken.
fn take(
    notebook: &Notebook,
    parts: &[&str],
    request: &Request,
    unit: Unit,
) -> Result<Result<String, Refusal>, Trouble> {
    Ok(match parts {
        ["settings"] => settings::change(notebook, request).map(|()| after("/", "settings")),
        ["casting"] => {
            castings::add(notebook, request).map(|id| after(&format!("/casting/{id}"), "casting"))
        }
        ["casting", casting, form] => {
            let casting = id(casting)?;
            match *form {
                "casting" => casting::change(notebook, casting, request)
                    .map(|()| after(&format!("/casting/{casting}"), "correction")),
                "face" => casting::add_face(notebook, casting, request)
                    .map(|id| after(&format!("/face/{id}"), "face")),
                _ => return Err(Trouble::NoSuchPage),
            }
        }
        ["face", face, form] => {
            let face = id(face)?;
            match *form {
                "face" => face::change(notebook, face, request)
                    .map(|()| after(&format!("/face/{face}"), "correction")),
                "cut" => face::plan(notebook, face, request, unit)
                    .map(|()| after(&format!("/face/{face}"), "plan")),
                "milled" => face::milled(notebook, face, request, unit)
                    .map(|()| after(&format!("/face/{face}"), "milled")),
                "hole" => face::add_hole(notebook, face, request)
                    .map(|id| after(&format!("/hole/{id}"), "hole")),
                "photo" => face::add_photo(notebook, face, request)
                    .map(|id| after(&format!("/photo/{id}"), "photo")),
                _ => return Err(Trouble::NoSuchPage),
            }
        }
        ["hole", hole, form] => {
            hole::take(notebook, id(hole)?, form, request, unit).ok_or(Trouble::NoSuchPage)?
        }
        _ => return Err(Trouble::NoSuchPage),
    })
}

/// Why there is no page to show.
enum Trouble {
    /// Nothing lies at that address.
    NoSuchPage,
    /// The notebook could not answer.
    Notebook(NotebookError),
}

impl From<NotebookError> for Trouble {
    fn from(error: NotebookError) -> Self {
        Self::Notebook(error)
    }
}

impl Trouble {
    fn response(self) -> Response {
        match self {
            Self::NoSuchPage => saying(
                404,
                "No such page",
                "Nothing in this notebook lies at that address; go back to the castings.",
            ),
            Self::Notebook(error @ NotebookError::NoSuch { .. }) => {
                saying(404, "Not in this notebook", &error.to_string())
            }
            Self::Notebook(error) => {
                saying(500, "The notebook could not answer", &error.to_string())
            }
        }
    }
}

/// The id in a path; an address with anything else in its place leads nowhere.
fn id<T: FromStr>(text: &str) -> Result<T, Trouble> {
    text.parse().map_err(|_| Trouble::NoSuchPage)
}
