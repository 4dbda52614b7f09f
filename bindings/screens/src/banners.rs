//! Banners of the app around the pages: shared files that wait, and what only a phone can do.
//!
//! Their forms go to addresses under `/shell/`, which the app answers itself.

use crate::carrier::{Method, Request, ShellState, WaitingBundle};
use crate::form_names::{Field, FormName};
use crate::labels::{count, megabytes};
use crate::pages::{bolt_up, sync};
use holebook_paper::SheetKind;
use maud::{Markup, html};

/// The banners above a page's content; none if the page is shown in a browser. `parts` is the path
/// of the request, split.
pub fn of_page(parts: &[&str], request: &Request) -> Markup {
    let Some(shell) = &request.shell else {
        return html! {};
    };
    // A rejected form is shown on the page that it stands on.
    let subject = match (request.method, parts) {
        (Method::Get, [kind, id]) | (Method::Post, [kind, id, _]) => Subject::of(kind, id),
        _ => None,
    };
    let is_sync = matches!(parts, ["sync"] | ["sync", _]);
    html! {
        @if let (Method::Get, ["face", face, "sheet"]) = (request.method, parts) { (sheet(face)) }
        @if *parts == ["pair"] && request.param("code").is_some() { (scanned_code()) }
        (photos(shell, subject))
        @if let Some((first, more)) = shell.waiting_bundles.split_first() {
            (bundle(first, more.len(), is_sync))
        }
    }
}

fn sheet(face: &str) -> Markup {
    let button = |address: &str, kind: Option<SheetKind>, label: &str| {
        html! {
            form.sheet-choice method="post" action=(address) {
                input type="hidden" name="face" value=(face);
                @if let Some(kind) = kind { input type="hidden" name="kind" value=(kind.word()); }
                @if kind == Some(SheetKind::BoltUp) { (bolt_up::select()) }
                button { (label) }
            }
        }
    };
    html! {
        div.shell-banner.shell-sheet {
            (button("/shell/share-sheet", None, "Share this sheet"))
            (button("/shell/print", None, "Print"))
            @for kind in SheetKind::ALL {
                (button("/shell/share-sheet", Some(kind), &format!("{} (PDF)", kind.label())))
            }
        }
    }
}

/// Someone who scanned a code knows which computer showed it; someone who tapped a link may not.
fn scanned_code() -> Markup {
    html! {
        div.shell-banner {
            p { b { "Caution: " }
                "This code came from a link. Pair only if your own shop computer shows it now. \
                 Whoever made it can then read and change this whole notebook." }
        }
    }
}

/// What a shared photo can be added to: the page is about it.
struct Subject {
    /// Where the form goes.
    form: String,
    /// What the button says after `Add it`.
    place: &'static str,
}

impl Subject {
    /// Returns a face or a hole by the path of its page.
    fn of(kind: &str, id: &str) -> Option<Subject> {
        let place = match kind {
            "face" => "here",
            "hole" => "to this hole",
            _ => return None,
        };
        let form = format!("/{kind}/{id}/photo");
        Some(Subject { form, place })
    }
}

/// Shared photos, with a button that adds them on the page of a face or a hole.
fn photos(shell: &ShellState, subject: Option<Subject>) -> Markup {
    let waiting = shell.waiting_photos as usize;
    if waiting == 0 {
        return html! {};
    }
    let (them, they_show) = match waiting {
        1 => ("it", "it shows"),
        _ => ("them", "they show"),
    };
    html! {
        div.shell-banner {
            p { (count(waiting, "shared photo is", "shared photos are")) " waiting."
                @if subject.is_none() { " Open the face or hole " (they_show) " to add " (them) "." } }
            @if let Some(Subject { form, place }) = subject {
                form method="post" action=(form) data-waiting=(Field::Photo.name()) {
                    button { "Add " (them) " " (place) }
                }
            }
            form method="post" action="/shell/discard-photos" { button { "Discard " (them) } }
        }
    }
}

/// The first of the shared bundles; `more` wait after it.
fn bundle(first: &WaitingBundle, more: usize, is_sync: bool) -> Markup {
    html! {
        div.shell-banner {
            p { "Shared bundle " (first.name) " (" (megabytes(first.bytes)) " MB) is waiting."
                @if more > 0 { " " (count(more, "more waits", "more wait")) " after it." }
                @if is_sync { " Every entry and photo in it is checked before it is imported." } }
            @if is_sync {
                form method="post" action=(FormName::ImportBundle.address()) data-waiting=(Field::Bundle.name()) {
                    button { "Import it" }
                }
                form method="post" action="/shell/discard-bundle" { button { "Discard it" } }
            } @else {
                a.button href=(sync::PATH) { "Go to Sync" }
            }
        }
    }
}
