//! From a request to the page or the form that it is for.

use crate::carrier::{Method, Request, Response};
use crate::form::Refusal;
use crate::meeting::{Alone, Meeting};
use crate::page::{Answer, FOLLOW, Head, ONCE, Page, STYLE, asset, picture, saying, see};
use crate::pages::{
    Desk, Refused, bench, casting, castings, devices, exchange, face, hole, pair, photo, settings,
    sheet,
};
use crate::said::{self, after};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError, PhotoId};
use holebook_core::photo::PhotoError;
use std::str::FromStr;

/// Answers one request on a device that exchanges with no other. Blocks while the notebook is read or written; what it
/// acknowledges is on disk.
pub fn answer(notebook: &Notebook, request: &Request) -> Response {
    answer_with(notebook, &Alone, request)
}

/// Answers one request on a device that meets others. Blocks while the notebook is read or written, and while a shop
/// computer is paired with; what it acknowledges is on disk.
pub fn answer_with(notebook: &Notebook, meeting: &dyn Meeting, request: &Request) -> Response {
    let parts: Vec<&str> = request.path.trim_start_matches('/').split('/').collect();
    let room = Room { notebook, meeting };
    let answered = match request.method {
        Method::Get => asset_at(&request.path).map_or_else(
            || look(room, &parts, request, None),
            |asset| Ok(asset.into()),
        ),
        Method::Post => change(room, &parts, request),
    };
    match answered.unwrap_or_else(|trouble| trouble.page().into()) {
        Answer::Ready(response) => response,
        Answer::Page(page) => page.framed(room.head()),
    }
}

/// What a request is answered from.
#[derive(Clone, Copy)]
struct Room<'a> {
    notebook: &'a Notebook,
    meeting: &'a dyn Meeting,
}

impl Room<'_> {
    /// What the head of a page says. A notebook that cannot be read says so in the page itself.
    fn head(self) -> Head {
        let not_home = self
            .meeting
            .says_what_is_not_home()
            .then(|| self.notebook.entries_to_bring_home().ok());
        Head {
            exchanges: exchange::is_offered(self.meeting),
            not_home: not_home.flatten().unwrap_or(0),
        }
    }
}

/// Style and scripts, which need no notebook.
fn asset_at(path: &str) -> Option<Response> {
    if path == "/style.css" {
        return Some(asset("text/css; charset=utf-8", STYLE));
    }
    let mut scripts = [ONCE, FOLLOW].into_iter().chain(photo::SCRIPTS);
    let (_, script) = scripts.find(|(at, _)| *at == path)?;
    Some(asset("text/javascript; charset=utf-8", script))
}

/// The page at an address; with `refused`, the page of a form that could not be taken.
fn look(
    room: Room<'_>,
    parts: &[&str],
    request: &Request,
    refused: Option<&Refused<'_>>,
) -> Result<Answer, Trouble> {
    let Room { notebook, meeting } = room;
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
        return Ok(see(&page).into());
    }
    let page = match parts {
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
        ["photo", photo, file] => return Ok(photo_file(notebook, id(photo)?, file)?.into()),
        ["hole", hole] => hole::show(notebook, id(hole)?, desk)?,
        ["hole", hole, "journal"] => {
            let before = request.asked("before").map(id).transpose()?;
            hole::done::journal(notebook, id(hole)?, before, desk)?
        }
        ["exchange"] if exchange::is_offered(meeting) => exchange::show(notebook, meeting, desk)?,
        ["exchange", "file"] => {
            let file = exchange::bundle::fetch(meeting).ok_or(Trouble::NoSuchPage)?;
            return Ok(file.into());
        }
        ["pair"] => pair::show(meeting, request, desk).ok_or(Trouble::NoSuchPage)?,
        ["devices"] => devices::show(meeting, desk).ok_or(Trouble::NoSuchPage)?,
        _ => return Err(Trouble::NoSuchPage),
    };
    Ok(page.into())
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
fn change(room: Room<'_>, parts: &[&str], request: &Request) -> Result<Answer, Trouble> {
    let Room { notebook, .. } = room;
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
    match take(room, parts, request, unit)? {
        Ok(path) => Ok(see(&path).into()),
        Err(Refusal { sentence, field }) => {
            let (form, page) = parts.split_last().ok_or(Trouble::NoSuchPage)?;
            let refused = Refused {
                form,
                request,
                sentence,
                field: field.as_deref(),
            };
            let page = if page.is_empty() { home_of(form) } else { page };
            Ok(match look(room, page, request, Some(&refused))? {
                Answer::Page(page) => page.with_status(422).into(),
                ready @ Answer::Ready(_) => ready,
            })
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
    room: Room<'_>,
    parts: &[&str],
    request: &Request,
    unit: Unit,
) -> Result<Result<String, Refusal>, Trouble> {
    let Room { notebook, meeting } = room;
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
        ["exchange", form] => exchange::take(meeting, form, request).ok_or(Trouble::NoSuchPage)?,
        ["pair", form] => pair::take(meeting, form, request).ok_or(Trouble::NoSuchPage)?,
        ["devices", "revoke"] => devices::revoke(meeting, request).ok_or(Trouble::NoSuchPage)?,
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
    fn page(self) -> Page {
        match self {
            Self::NoSuchPage => saying(
                404,
                "No such page",
                "Nothing in this notebook lies at that address; go back to the castings.",
            ),
            Self::Notebook(error @ NotebookError::NoSuch { .. }) => {
                saying(404, "Not in this notebook", &error.to_string())
            }
            Self::Notebook(NotebookError::Photo(error)) if !is_of_the_disk(&error) => {
                saying(404, "This photo cannot be shown", &error.to_string())
            }
            Self::Notebook(error) => {
                saying(500, "The notebook could not answer", &error.to_string())
            }
        }
    }
}

/// Whether it is this computer that failed, and not the photo, which may not be here yet or be of a kind that is not known.
fn is_of_the_disk(error: &PhotoError) -> bool {
    matches!(
        error,
        PhotoError::Storage { .. } | PhotoError::StorageFull { .. }
    )
}

/// The id in a path; an address with anything else in its place leads nowhere.
fn id<T: FromStr>(text: &str) -> Result<T, Trouble> {
    text.parse().map_err(|_| Trouble::NoSuchPage)
}
