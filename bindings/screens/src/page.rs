//! The frame around every page, and the responses that are not pages.

use crate::carrier::{Body, Response};
use maud::{DOCTYPE, Markup, html};
use std::path::PathBuf;

/// Allows only the notebook's own files, nothing inline.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data: blob:; \
     connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// The style sheet of all pages. The widths come last, because they override the rest.
pub const STYLE: &str = concat!(
    include_str!("../assets/tokens.css"),
    include_str!("../assets/base.css"),
    include_str!("../assets/page.css"),
    include_str!("../assets/hole.css"),
    include_str!("../assets/photo.css"),
    include_str!("../assets/hole-list.css"),
    include_str!("../assets/bench.css"),
    include_str!("../assets/drawer.css"),
    include_str!("../assets/places.css"),
    include_str!("../assets/sync.css"),
    include_str!("../assets/shell.css"),
    include_str!("../assets/sheet.css"),
    include_str!("../assets/widths.css")
);

/// Script of every page that keeps a form from being sent twice: its path and text.
pub const ONCE: (&str, &str) = ("/submit-once.js", include_str!("../assets/submit-once.js"));

/// Script of every page in a plain browser that keeps what was typed over a reload: its path and
/// text. The app around the pages has its own.
pub const DRAFTS: (&str, &str) = ("/drafts.js", include_str!("../assets/drafts.js"));

/// Script of pages that show progress: its path and text.
pub const FOLLOW: (&str, &str) = (
    "/follow-progress.js",
    include_str!("../assets/follow-progress.js"),
);

/// One link of the path from the castings to this page.
#[derive(Clone)]
pub struct Crumb {
    /// Its label.
    pub name: String,
    /// Its address; `None` for the page itself.
    pub path: Option<String>,
}

impl Crumb {
    /// A page above this one.
    pub fn to(name: impl Into<String>, path: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            path: Some(path.into()),
        }
    }

    /// This page.
    pub fn here(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            path: None,
        }
    }
}

/// A page, without its frame.
pub struct Page {
    status: u16,
    title: String,
    crumbs: Vec<Crumb>,
    scripts: Vec<&'static str>,
    refresh_seconds: Option<u16>,
    content: Markup,
}

/// What a request is answered with.
pub enum Answer {
    /// A page, not yet framed.
    Page(Page),
    /// A response as it is.
    Ready(Response),
}

impl From<Page> for Answer {
    fn from(page: Page) -> Self {
        Self::Page(page)
    }
}

impl From<Response> for Answer {
    fn from(response: Response) -> Self {
        Self::Ready(response)
    }
}

/// What the frame shows beside the page.
#[derive(Default)]
pub struct Head {
    /// Whether this device can sync.
    pub offers_sync: bool,
    /// How many entries are not synced yet, if the carrier shows that.
    pub not_synced: u64,
    /// Address of the shell's script, if the page is shown in one.
    pub shell_script: Option<String>,
    /// What the shell shows above the page's content.
    pub banners: Markup,
}

impl Page {
    /// Builds a page of its title, the links to the pages above it, and its content.
    pub fn new(title: &str, crumbs: impl Into<Vec<Crumb>>, content: Markup) -> Self {
        Self {
            status: 200,
            title: title.to_owned(),
            crumbs: crumbs.into(),
            scripts: Vec::new(),
            refresh_seconds: None,
            content,
        }
    }

    /// Sets an HTTP status code other than 200.
    pub fn with_status(self, status: u16) -> Self {
        Self { status, ..self }
    }

    /// Adds a script of the notebook's own.
    pub fn with_script(mut self, script: &'static str) -> Self {
        self.scripts.push(script);
        self
    }

    /// Refreshes the page every so many seconds while something is in progress. Without JavaScript
    /// the browser reloads it; with it, the script replaces the part that shows the progress.
    pub fn refreshed_every(self, seconds: Option<u16>) -> Self {
        match seconds {
            Some(_) => Self {
                refresh_seconds: seconds,
                ..self.with_script(FOLLOW.0)
            },
            None => self,
        }
    }

    /// Renders the whole page as HTML.
    pub fn render(&self, head: &Head) -> Response {
        let text = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    // Not a module: it has to be ready before the page's own scripts run and before
                    // anyone can press a button.
                    @if let Some(script) = &head.shell_script { script src=(script) {} }
                    title { (self.title) " · Holebook" }
                    link rel="stylesheet" href="/style.css";
                    link rel="icon" href="data:,";
                    script type="module" src=(ONCE.0) {}
                    @if head.shell_script.is_none() { script type="module" src=(DRAFTS.0) {} }
                    @for script in &self.scripts { script type="module" src=(script) {} }
                    @if let Some(seconds) = self.refresh_seconds {
                        noscript { meta http-equiv="refresh" content=(seconds); }
                    }
                }
                body {
                    a.skip-link href="#main" { "Skip to content" }
                    (self.top(head))
                    main id="main" { (head.banners) (self.content) }
                }
            }
        };
        text_response(self.status, "text/html; charset=utf-8", text.into_string())
    }

    fn top(&self, head: &Head) -> Markup {
        html! {
            header.top {
                a.name href="/" { "Holebook" }
                nav aria-label="Where you are" {
                    @for crumb in &self.crumbs {
                        @match &crumb.path {
                            Some(path) => { span { a href=(path) { (crumb.name) } } }
                            None => { span { span aria-current="page" { (crumb.name) } } }
                        }
                    }
                }
                a.bench-link href="/bench" { "Bench tables" }
                @if head.offers_sync { (sync_link(head.not_synced)) }
                a href="/settings" { "Settings" }
            }
        }
    }
}

/// The link to sync, with the number of entries that are not synced yet: an arrow and a number, to
/// leave room for the links back.
fn sync_link(not_synced: u64) -> Markup {
    html! {
        @if not_synced == 0 { a.sync-link href="/sync" { "Sync" } } @else {
            a.sync-link.not-synced href="/sync" title=(crate::labels::not_synced_entries(not_synced)) {
                span.visually-hidden { "Sync: " } span aria-hidden="true" { "⇧\u{a0}" } (not_synced) span.visually-hidden { " not synced yet" }
            }
        }
    }
}

/// Parts of a page, for a script of the notebook's own to replace.
pub fn fragment(status: u16, content: Markup) -> Response {
    text_response(status, "text/html; charset=utf-8", content.into_string())
}

/// A page with one message and its own status.
pub fn message_page(status: u16, title: &str, message: &str) -> Page {
    let content = html! {
        h1 { (title) }
        p.problem role="alert" { (message) }
        p { a.button href="/" { "Castings" } }
    };
    Page::new(title, [Crumb::here(title)], content).with_status(status)
}

/// Redirects to another page after a form was processed.
pub fn redirect(path: &str) -> Response {
    Response {
        status: 303,
        headers: vec![("location", path.to_owned())],
        body: Body::Empty,
    }
}

/// A style sheet or script of the program.
pub fn asset(content_type: &'static str, text: &str) -> Response {
    text_response(200, content_type, text.to_owned())
}

/// A picture that is named by its content and so never changes at its address.
pub fn picture(content_type: &'static str, path: PathBuf) -> Response {
    Response {
        status: 200,
        headers: vec![
            ("content-type", content_type.to_owned()),
            (
                "cache-control",
                "private, max-age=31536000, immutable".to_owned(),
            ),
        ],
        body: Body::File(path),
    }
}

/// A picture that was made for this answer.
pub fn made_picture(jpeg: Vec<u8>) -> Response {
    Response {
        status: 200,
        headers: vec![
            ("content-type", "image/jpeg".to_owned()),
            ("cache-control", "no-store".to_owned()),
        ],
        body: Body::Bytes(jpeg),
    }
}

/// A PDF, shown by the browser or saved under a name of plain letters.
pub fn pdf(bytes: Vec<u8>, name: &str) -> Response {
    Response {
        status: 200,
        headers: vec![
            ("content-type", "application/pdf".to_owned()),
            (
                "content-disposition",
                format!("inline; filename=\"{name}\""),
            ),
            ("cache-control", "no-store".to_owned()),
        ],
        body: Body::Bytes(bytes),
    }
}

fn text_response(status: u16, content_type: &'static str, text: String) -> Response {
    Response {
        status,
        headers: vec![
            ("content-type", content_type.to_owned()),
            ("cache-control", "no-store".to_owned()),
            ("content-security-policy", POLICY.to_owned()),
        ],
        body: Body::Text(text),
    }
}
