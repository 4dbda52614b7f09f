//! The exchange: what is not home yet, the shelves, what is under way, and bundles.

mod bucket;
pub mod bundle;
mod run;
mod shelves;

pub use run::things;

use crate::carrier::Request;
use crate::form::{Refusal, needed_text};
use crate::meeting::{Meeting, NotDone, Run, Shelf, Task};
use crate::page::{Crumb, Page, page};
use crate::pages::Desk;
use crate::said::after;
use crate::words::{count, on_this_device_alone};
use holebook_core::notebook::{Notebook, NotebookError};
use maud::{Markup, html};
use std::path::Path;

/// The page's address.
pub const PATH: &str = "/exchange";

/// How often the page is looked at again while something is under way, in seconds.
const AGAIN: u16 = 2;

/// Whether this device can exchange at all, so that the page is spoken of.
pub fn is_offered(meeting: &dyn Meeting) -> bool {
    meeting.takes_folders()
        || meeting.takes_buckets()
        || meeting.bundles()
        || meeting.host().is_some()
        || meeting.guest().is_some()
        || meeting.shelves().is_ok_and(|shelves| !shelves.is_empty())
}

/// The page.
pub fn show(
    notebook: &Notebook,
    meeting: &dyn Meeting,
    desk: Desk<'_>,
) -> Result<Page, NotebookError> {
    let run = meeting.run();
    let under_way = run.as_ref().is_some_and(Run::is_under_way);
    let shelves = meeting.shelves();
    let content = html! {
        h1 { "Exchange" }
        (desk.outcome_or("That was not done."))
        (run::leaf(notebook, run.as_ref())?)
        (home(notebook, meeting, &shelves, under_way)?)
        (shelves::leaf(notebook, &shelves, under_way)?)
        (pairing(meeting))
        @if meeting.takes_folders() { (folder(desk)) }
        @if meeting.takes_buckets() { (bucket::leaf(desk)) }
        @if meeting.bundles() { (bundle::leaf(desk)) }
    };
    let way = [Crumb::to("Castings", "/"), Crumb::here("Exchange")];
    Ok(page(&desk.title_or("Not done", "Exchange"), way, content)
        .followed_every(under_way.then_some(AGAIN)))
}

/// What would be lost with this device, and the button that brings it home.
fn home(
    notebook: &Notebook,
    meeting: &dyn Meeting,
    shelves: &Result<Vec<Shelf>, NotDone>,
    under_way: bool,
) -> Result<Markup, NotebookError> {
    let entries = notebook.entries_to_bring_home()?;
    let photos = match entries {
        0 => 0,
        _ => notebook.photos_to_bring_home()?,
    };
    let photos = usize::try_from(photos).unwrap_or(usize::MAX);
    let known = shelves.as_ref().map_or(0, Vec::len);
    Ok(html! {
        section.leaf.next[known > 0 && !under_way] aria-labelledby="home" {
            h2 #home { @if entries == 0 { "All is home" } @else { "Not home yet" } }
            @if meeting.host().is_some() { (home_of_host(entries, photos)) } @else if entries == 0 {
                p { "All that was written on this device lies on a shelf." }
            } @else {
                p { (on_this_device_alone(entries))
                    @if photos > 0 { ", " (count(photos, "photo", "photos")) " among them" }
                    ", and would be lost with it." }
            }
            @if known > 0 && !under_way {
                form method="post" action="/exchange/begin" {
                    button.main { @if known == 1 { "Exchange now" } @else { "Exchange with all " (known) } }
                }
            }
        }
    })
}

/// A shop computer is a shelf itself: what the paired devices took from it is not counted.
fn home_of_host(entries: u64, photos: usize) -> Markup {
    html! {
        @if entries == 0 { p { "All that was written on this computer lies on a shelf." } } @else {
            p { (count(usize::try_from(entries).unwrap_or(usize::MAX), "entry", "entries")) " written here "
                @if photos > 0 { "(" (count(photos, "photo", "photos")) " among them) " }
                @if entries == 1 { "lies" } @else { "lie" } " on no stick, folder or bucket yet." }
            p.faint { "Paired devices take copies when they exchange; those are not counted here." }
        }
    }
}

/// The ways to the pages of pairing.
fn pairing(meeting: &dyn Meeting) -> Markup {
    html! {
        @if meeting.host().is_some() || meeting.guest().is_some() {
            p.row.pairing {
                @if meeting.host().is_some() {
                    a.button href="/pair" { "Pair a device" }
                    a.button href="/devices" { "Paired devices" }
                } @else {
                    a.button href="/pair" { "Pair with a shop computer" }
                }
            }
        }
    }
}

fn folder(desk: Desk<'_>) -> Markup {
    let form = desk.form("folder");
    html! {
        section.leaf aria-labelledby="folder" {
            h2 #folder { "A folder or stick" }
            form method="post" action="/exchange/folder" {
                (form.text("folder", "The folder's path on this computer", None, "/media/stick/holebook; it is made where only its last part is missing"))
                p { button { "Exchange with this folder" } }
            }
        }
    }
}

/// Takes a form of the page; gives the address to go on at. None where there is no such form.
pub fn take(
    meeting: &dyn Meeting,
    form: &str,
    request: &Request,
) -> Option<Result<String, Refusal>> {
    if !is_offered(meeting) {
        return None;
    }
    let begin = |task| Ok(meeting.begin(task).map(|()| after(PATH, "begun"))?);
    Some(match form {
        "begin" => match request.field("shelf") {
            Some(shelf) => begin(Task::ExchangeWith(shelf)),
            None => begin(Task::ExchangeWithAll),
        },
        "end" => {
            meeting.end();
            Ok(after(PATH, "ending"))
        }
        "folder" if meeting.takes_folders() => {
            read_folder(request).and_then(|folder| begin(Task::ExchangeFolder(folder)))
        }
        "bucket" if meeting.takes_buckets() => {
            bucket::asked(request).and_then(|bucket| begin(Task::ExchangeBucket(bucket)))
        }
        "forget" => needed_text(request, "shelf", "Shelf")
            .and_then(|shelf| Ok(meeting.forget(shelf)?))
            .map(|()| after(PATH, "forgotten")),
        "take" if meeting.bundles() => {
            bundle::came(request).and_then(|bundle| begin(Task::TakeBundle(bundle)))
        }
        "write" if meeting.bundles() => begin(Task::WriteBundle(bundle::share(request))),
        _ => return None,
    })
}

fn read_folder(request: &Request) -> Result<&Path, Refusal> {
    const LABEL: &str = "The folder's path";
    let path = needed_text(request, "folder", LABEL)?;
    whole_path(path, LABEL).map_err(|why| why.at("folder"))
}

/// A path as a person writes it who does not know in which folder the program runs.
fn whole_path<'a>(path: &'a str, label: &str) -> Result<&'a Path, Refusal> {
    let path = Path::new(path);
    if path.is_absolute() {
        return Ok(path);
    }
    let sentence = format!(
        "'{}' does not begin at the top; write the whole path, as the computer's file window shows it",
        path.display()
    );
    Err(Refusal::of(label, sentence))
}

impl From<NotDone> for Refusal {
    fn from(not_done: NotDone) -> Self {
        Self::new(not_done.0)
    }
}
