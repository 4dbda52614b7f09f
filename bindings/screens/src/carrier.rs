//! What a carrier brings to the screens and takes away: a request and a response, without sockets.
//!
//! The shop program carries them over HTTP on loopback, the phone over a typed call. A carrier has done
//! its own checking (who may ask, from which page) before it calls [`crate::answer`].

use std::path::PathBuf;

/// Whether a request only looks, or changes something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Looks; changes nothing.
    Get,
    /// May write to the notebook.
    Post,
}

/// A file that came with a form, already on disk; the carrier removes it afterwards.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Upload {
    /// The form field it came in.
    pub field: String,
    /// The name the person's device gave it; shown, never used as a path.
    pub name: String,
    /// Where the carrier put it.
    pub path: PathBuf,
}

/// One request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// Looks or changes.
    pub method: Method,
    /// The path, percent-decoded, beginning with `/`.
    pub path: String,
    /// The query's pairs, decoded.
    pub query: Vec<(String, String)>,
    /// The form's pairs, decoded; empty for [`Method::Get`].
    pub form: Vec<(String, String)>,
    /// The form's files.
    pub uploads: Vec<Upload>,
}

impl Request {
    /// A request that looks at `path`.
    pub fn get(path: &str) -> Self {
        Self {
            method: Method::Get,
            path: path.to_owned(),
            query: Vec::new(),
            form: Vec::new(),
            uploads: Vec::new(),
        }
    }

    /// A form's value, trimmed; `None` where the field is missing or left empty.
    pub fn field(&self, name: &str) -> Option<&str> {
        let (_, value) = self.form.iter().find(|(key, _)| key == name)?;
        let value = value.trim();
        (!value.is_empty()).then_some(value)
    }

    /// Every value of a form field that may come several times.
    pub fn fields<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        let pairs = self.form.iter().filter(move |(key, _)| key == name);
        pairs
            .map(|(_, value)| value.trim())
            .filter(|value| !value.is_empty())
    }

    /// A query's value.
    pub fn asked(&self, name: &str) -> Option<&str> {
        let (_, value) = self.query.iter().find(|(key, _)| key == name)?;
        Some(value.as_str())
    }
}

/// What a response carries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Body {
    /// Text of the response's content type.
    Text(String),
    /// A file of the notebook, to be streamed as it is.
    File(PathBuf),
    /// Nothing.
    Empty,
}

/// One response.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Response {
    /// HTTP status code.
    pub status: u16,
    /// Header fields, among them the content type and the content security policy.
    pub headers: Vec<(&'static str, String)>,
    /// What it carries.
    pub body: Body,
}
