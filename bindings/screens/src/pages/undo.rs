//! Undo: after a form recorded something, the next page has a button that strikes out exactly that.
//!
//! The entries are named in the address of that page, so that no memory is needed and the offer ends
//! with the page.

use crate::carrier::Request;
use crate::form::{FormError, back, hidden};
use crate::form_names::{Field, FormName};
use crate::notices::{Notice, with_notice};
use crate::pages::bolt_up;
use holebook_core::notebook::{
    CastingId, EntryBody, EntryId, EntryKind, FaceId, HoleId, JournalLine, Notebook, NotebookError,
    PhotoId, Recording,
};
use holebook_core::strength::Lubrication;
use maud::{Markup, html};

/// What a page offers to undo.
#[derive(Debug)]
pub enum Offer {
    /// Nothing.
    Nothing,
    /// Entries, which are struck out.
    Entries(Vec<EntryId>),
    /// The removal of a photo, which is brought back with its marks.
    RemovedPhoto(PhotoId),
}

/// An offer of nothing.
pub static NOTHING: Offer = Offer::Nothing;

/// What a page says first if nothing was undone.
pub const FAILURE: &str = "Not undone.";

/// The query parameter that names the entries.
const PARAM: &str = "undo";

/// The query parameter that names a photo that was removed.
const REMOVED_PHOTO: &str = "photo";

/// Most entries that one address names. Forms that record more are undone in the log.
const MOST: usize = 100;

/// Adds to the address of a form's next page the entries that the form recorded, if they can be
/// undone.
pub fn with_offer(address: &str, form: FormName, recorded: &Recording) -> String {
    let struck_out = recorded
        .iter()
        .any(|(_, kind)| *kind == EntryKind::StrikeOut);
    if !form.can_be_undone() || struck_out || recorded.is_empty() || recorded.len() > MOST {
        return address.to_owned();
    }
    let (page, anchor) = match address.split_once('#') {
        Some((page, anchor)) => (page, format!("#{anchor}")),
        None => (address, String::new()),
    };
    let entries: Vec<String> = recorded.iter().map(|(id, _)| id.to_string()).collect();
    let sign = if page.contains('?') { '&' } else { '?' };
    format!("{page}{sign}{PARAM}={}{anchor}", entries.join(","))
}

/// Adds to the address of the next page, which shows a notice, that the removal of a photo can be
/// undone.
pub fn with_removed_photo(address: &str, photo: PhotoId) -> String {
    format!("{address}&{REMOVED_PHOTO}={photo}")
}

/// What a page's address offers to undo: a photo while it is removed, or else entries.
pub fn offered(notebook: &Notebook, request: &Request) -> Result<Offer, NotebookError> {
    let photo = request.param(REMOVED_PHOTO).and_then(|id| id.parse().ok());
    if let Some(photo) = photo {
        return match notebook.photo(photo) {
            Ok(_) => Ok(Offer::Nothing),
            Err(NotebookError::NoSuch { .. }) => Ok(Offer::RemovedPhoto(photo)),
            Err(error) => Err(error),
        };
    }
    let entries = entries_offered(notebook, request)?;
    Ok(match entries.is_empty() {
        true => Offer::Nothing,
        false => Offer::Entries(entries),
    })
}

/// The entries that are named: this device's own, while all of them count.
fn entries_offered(notebook: &Notebook, request: &Request) -> Result<Vec<EntryId>, NotebookError> {
    let named = request.param(PARAM).unwrap_or_default();
    let entries: Option<Vec<EntryId>> = named.split(',').map(|id| id.parse().ok()).collect();
    let entries = entries.filter(|entries| entries.len() <= MOST);
    let device = notebook.device()?;
    for entry in entries.iter().flatten() {
        match notebook.entry(*entry) {
            Ok(line) if line.is_active() && line.device == device => {}
            Ok(_) | Err(NotebookError::NoSuch { .. }) => return Ok(Vec::new()),
            Err(error) => return Err(error),
        }
    }
    Ok(entries.unwrap_or_default())
}

/// The button that undoes what is offered and leads back to a page; nothing if nothing is.
pub fn form(offer: &Offer, page: &str) -> Markup {
    let (action, entries) = match offer {
        Offer::Nothing => return html! {},
        Offer::Entries(entries) => (FormName::Undo.address(), &entries[..]),
        Offer::RemovedPhoto(photo) => (FormName::RestorePhoto.address_of(photo), &[][..]),
    };
    html! {
        form method="post" action=(action) {
            @for entry in entries { (hidden(Field::Entry, entry)) }
            (hidden(Field::Back, page))
            button { "Undo" }
        }
    }
}

/// The page that an undo leads back to, or else the first page.
pub fn page(request: &Request) -> String {
    back(request).unwrap_or("/").to_owned()
}

/// Undoes the entries that the form names, all or none. Returns the address of the next page: the
/// one that the form was on, or the one above if it is gone.
pub fn submit(notebook: &Notebook, request: &Request) -> Result<String, FormError> {
    let named = request.fields(Field::Entry).map(|id| id.parse().ok());
    let entries: Option<Vec<EntryId>> = named.collect();
    let entries = entries.filter(|entries| !entries.is_empty() && entries.len() <= MOST);
    let entries = entries
        .ok_or_else(|| FormError::new("This page names no entry to undo; undo it in the log."))?;
    let lines = entries.iter().map(|entry| notebook.entry(*entry));
    let lines: Vec<JournalLine> = lines.collect::<Result<_, _>>()?;
    notebook.undo_all(&entries)?;
    let mut next = page(request);
    if let Some(run) = lines.first().and_then(|line| in_run(&next, line)) {
        next = run;
    }
    // From the inside out, so that a casting that was added with its face leads to the first page.
    for line in lines.iter().rev() {
        if let Some(above) = above_if_gone(notebook, line, &next)? {
            next = above;
        }
    }
    let next = with_notice(&next, Notice::Undone);
    Ok(match lines.first().and_then(lubrication) {
        Some(lubrication) => bolt_up::with_lubrication(&next, lubrication),
        None => next,
    })
}

/// How the bolt of an undone entry was lubricated, so that the next tap is for that again.
fn lubrication(line: &JournalLine) -> Option<Lubrication> {
    match EntryBody::read(&line.kind, &line.body)? {
        EntryBody::BoltTightened(bolt) => bolt.lubrication,
        _ => None,
    }
}

/// The page of a tool run with the hole of an undone entry in front; `None` if `page` is no run.
fn in_run(page: &str, line: &JournalLine) -> Option<String> {
    let parts: Vec<&str> = page.split('/').collect();
    let &["", whole, id, "runs", tool, ..] = &parts[..] else {
        return None;
    };
    let hole = line.subject;
    Some(format!("/{whole}/{id}/runs/{tool}/{hole}"))
}

/// The page above `page` if that is the page of the thing that an undone entry made.
fn above_if_gone(
    notebook: &Notebook,
    line: &JournalLine,
    page: &str,
) -> Result<Option<String>, NotebookError> {
    let Some(body) = EntryBody::read(&line.kind, &line.body) else {
        return Ok(None);
    };
    let id = line.subject;
    let (path, found, above) = match body {
        EntryBody::Casting(_) => (
            format!("/casting/{id}"),
            notebook.casting(CastingId(id)).map(drop),
            "/".to_owned(),
        ),
        EntryBody::Face(face) => (
            format!("/face/{id}"),
            notebook.face(FaceId(id)).map(drop),
            format!("/casting/{}", face.casting),
        ),
        EntryBody::Photo(photo) => (
            format!("/photo/{id}"),
            notebook.photo(PhotoId(id)).map(drop),
            format!("/face/{}", photo.face),
        ),
        EntryBody::Hole(hole) => (
            format!("/hole/{id}"),
            notebook.hole(HoleId(id)).map(drop),
            format!("/face/{}", hole.face),
        ),
        _ => return Ok(None),
    };
    match found {
        Err(NotebookError::NoSuch { .. }) => Ok(page.starts_with(&path).then_some(above)),
        found => found.map(|()| None),
    }
}
