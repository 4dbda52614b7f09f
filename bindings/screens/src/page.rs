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
    include_str!("../assets/bench.css")
);

/// The script of every page, which keeps a form from being sent twice: its path and its text.
pub const ONCE: (&str, &str) = ("/once.js", include_str!("../assets/once.js"));

/// A step of the way from the castings to this page.
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

/// A page: its title, the way to it, and its content.
pub fn page(title: &str, way: &[Crumb], content: Markup) -> Response {
    page_with_script(title, way, None, content)
}

/// A page that needs a script of the notebook's own.
pub fn page_with_script(
    title: &str,
    way: &[Crumb],
    script: Option<&str>,
    content: Markup,
) -> Response {
    let text = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) " · Holebook" }
                link rel="stylesheet" href="/style.css";
                link rel="icon" href="data:,";
                script type="module" src=(ONCE.0) {}
                @if let Some(script) = script {
                    script type="module" src=(script) {}
                }
            }
            body {
                a.skip href="#main" { "To the page's content" }
                header.top {
                    a.name href="/" { "Holebook" }
                    nav aria-label="Where you are" {
                        @for crumb in way {
                            @match &crumb.path {
                                Some(path) => { span { a href=(path) { (crumb.name) } } }
                                None => { span { span aria-current="page" { (crumb.name) } } }
                            }
                        }
                    }
                    a.bench-link href="/bench" { "Bench tables" }
                    a href="/settings" { "Settings" }
                }
                main id="main" { (content) }
            }
        }
    };
    text_response(200, "text/html; charset=utf-8", text.into_string())
}

/// Parts of a page, for a script of the notebook's own to lay into it.
pub fn part(status: u16, content: Markup) -> Response {
    text_response(status, "text/html; charset=utf-8", content.into_string())
}

/// A small page that says one thing, with a status of its own.
pub fn saying(status: u16, title: &str, sentence: &str) -> Response {
    let content = html! {
        h1 { (title) }
        p.problem role="alert" { (sentence) }
        p { a.button href="/" { "Back to the castings" } }
    };
    let mut response = page(title, &[Crumb::here(title)], content);
    response.status = status;
    response
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
