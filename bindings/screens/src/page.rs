//! The shell that every page stands in, and the responses that are not pages.

use crate::carrier::{Body, Response};
use maud::{DOCTYPE, Markup, html};
use std::path::PathBuf;

/// Only the notebook's own files, nothing inline, nothing from elsewhere.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data: blob:; \
     connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// The one style sheet of all pages.
pub const STYLE: &str = concat!(
    include_str!("../assets/style.css"),
    include_str!("../assets/photo.css"),
    include_str!("../assets/bench.css"),
    include_str!("../assets/exchange.css")
);

/// The script of every page, which keeps a form from being sent twice: its path and its text.
pub const ONCE: (&str, &str) = ("/once.js", include_str!("../assets/once.js"));

/// The script of pages that show something under way: its path and its text.
pub const FOLLOW: (&str, &str) = ("/follow.js", include_str!("../assets/follow.js"));

/// A step of the way from the castings to this page.
#[derive(Clone)]
pub struct Crumb {
    /// What it is called.
    pub name: String,
    /// Where it is; `None` for the page itself.
    pub path: Option<String>,
}

impl Crumb {
    /// A page on the way here.
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

/// A page before it stands in its frame.
pub struct Page {
    status: u16,
    title: String,
    way: Vec<Crumb>,
    script: Option<&'static str>,
    again: Option<u16>,
    content: Markup,
}

/// What a request is answered with.
pub enum Answer {
    /// A page, still to be framed.
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

/// A page: its title, the way to it, and its content.
pub fn page(title: &str, way: impl Into<Vec<Crumb>>, content: Markup) -> Page {
    Page {
        status: 200,
        title: title.to_owned(),
        way: way.into(),
        script: None,
        again: None,
        content,
    }
}

/// What the head of every page says beside the way to it.
#[derive(Debug, Clone, Copy, Default)]
pub struct Head {
    /// Whether this device can exchange.
    pub exchanges: bool,
    /// How many entries are not home yet, where the carrier wants it said.
    pub not_home: u64,
}

impl Page {
    /// The page with another HTTP status code than 200.
    pub fn with_status(self, status: u16) -> Self {
        Self { status, ..self }
    }

    /// The page with a script of the notebook's own.
    pub fn with_script(self, script: &'static str) -> Self {
        let script = Some(script);
        Self { script, ..self }
    }

    /// The page, to be looked at again every so many seconds while what it shows is under way; none where it is not. Without
    /// JavaScript the browser loads it anew; with it, the script renews the part that says how far it is.
    pub fn followed_every(self, seconds: Option<u16>) -> Self {
        match seconds {
            Some(_) => Self {
                again: seconds,
                ..self.with_script(FOLLOW.0)
            },
            None => self,
        }
    }

    /// The whole page, as a browser gets it.
    pub fn framed(&self, head: Head) -> Response {
        let text = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    title { (self.title) " · Holebook" }
                    link rel="stylesheet" href="/style.css";
                    link rel="icon" href="data:,";
                    script type="module" src=(ONCE.0) {}
                    @if let Some(script) = self.script {
                        script type="module" src=(script) {}
                    }
                    @if let Some(seconds) = self.again {
                        noscript { meta http-equiv="refresh" content=(seconds); }
                    }
                }
                body {
                    a.skip href="#main" { "To the page's content" }
                    (self.top(head))
                    main id="main" { (self.content) }
                }
            }
        };
        text_response(self.status, "text/html; charset=utf-8", text.into_string())
    }

    fn top(&self, head: Head) -> Markup {
        html! {
            header.top {
                a.name href="/" { "Holebook" }
                nav aria-label="Where you are" {
                    @for crumb in &self.way {
                        @match &crumb.path {
                            Some(path) => { span { a href=(path) { (crumb.name) } } }
                            None => { span { span aria-current="page" { (crumb.name) } } }
                        }
                    }
                }
                a.bench-link href="/bench" { "Bench tables" }
                @if head.exchanges { (exchange_link(head.not_home)) }
                a href="/settings" { "Settings" }
            }
        }
    }
}

/// The way to the exchange, and how much is not home yet: an arrow and a number take no room from the way back.
fn exchange_link(not_home: u64) -> Markup {
    html! {
        @if not_home == 0 { a.exchange-link href="/exchange" { "Exchange" } } @else {
            a.exchange-link.not-home href="/exchange" title=(crate::words::on_this_device_alone(not_home)) {
                span.hidden { "Exchange: " } span aria-hidden="true" { "⇧\u{a0}" } (not_home) span.hidden { " not home" }
            }
        }
    }
}

/// Parts of a page, for a script of the notebook's own to lay into it.
pub fn part(status: u16, content: Markup) -> Response {
    text_response(status, "text/html; charset=utf-8", content.into_string())
}

/// A small page that says one thing, with a status of its own.
pub fn saying(status: u16, title: &str, sentence: &str) -> Page {
    let content = html! {
        h1 { (title) }
        p.problem role="alert" { (sentence) }
        p { a.button href="/" { "Back to the castings" } }
    };
    page(title, [Crumb::here(title)], content).with_status(status)
}

/// To another page, after something was recorded.
pub fn see(path: &str) -> Response {
    Response {
        status: 303,
        headers: vec![("location", path.to_owned())],
        body: Body::Empty,
    }
}

/// Text of the notebook's own that changes only with the program: style and scripts.
pub fn asset(content_type: &'static str, text: &str) -> Response {
    text_response(200, content_type, text.to_owned())
}

/// A picture named by its content, so it never changes under its address.
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
