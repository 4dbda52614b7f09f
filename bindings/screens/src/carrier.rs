//! A request and a response as carriers pass them to and from the screens, without sockets.
//!
//! The shop program carries them over HTTP on loopback, the phone over a typed call. A carrier does
//! its own checks (who may ask, from which page) before it calls [`crate::answer`].

use crate::form_names::Field;
use std::path::PathBuf;

/// Whether a request only reads.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Changes nothing in the journal.
    Get,
    /// May write to the notebook.
    Post,
}

/// A file of a form, already on disk; the carrier removes it afterwards.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct Upload {
    /// Its field in the form.
    pub field: String,
    /// Its name on the sender's device; shown, never used as a path.
    pub name: String,
    /// Where the carrier stored it.
    pub path: PathBuf,
}

/// One request.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct Request {
    /// Reads or writes.
    pub method: Method,
    /// The path, percent-decoded, beginning with `/`.
    pub path: String,
    /// The query's pairs, decoded.
    pub query: Vec<(String, String)>,
    /// The form's pairs, decoded; empty for [`Method::Get`].
    pub form: Vec<(String, String)>,
    /// The form's files.
    pub uploads: Vec<Upload>,
    /// What the app around the pages shows on them; `None` in a browser.
    pub shell: Option<ShellState>,
}

/// A bundle that another app shared, not imported yet.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct WaitingBundle {
    /// Its file name.
    pub name: String,
    /// Its size, bytes.
    pub bytes: u64,
}

/// State of the app around the pages, such as the Android shell: what each page shows of it.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct ShellState {
    /// Address of the shell's script, which each page loads before its own scripts.
    pub script: String,
    /// How many photos other apps shared that are not on a face yet.
    pub waiting_photos: u32,
    /// Bundles that other apps shared, not imported yet, in the order they came.
    pub waiting_bundles: Vec<WaitingBundle>,
    /// Folder that a computer sees over a cable, to sync through; `None` while it is not available.
    pub cable_folder: Option<String>,
}

impl Request {
    /// Builds a request that reads `path`.
    pub fn get(path: &str) -> Self {
        Self {
            method: Method::Get,
            path: path.to_owned(),
            query: Vec::new(),
            form: Vec::new(),
            uploads: Vec::new(),
            shell: None,
        }
    }

    /// The form's value of a field, trimmed; `None` if it is missing or empty.
    pub(crate) fn field(&self, field: Field) -> Option<&str> {
        self.value(&field.name())
    }

    /// Every value of a field that may come several times, trimmed, without the empty ones.
    pub(crate) fn fields(&self, field: Field) -> impl Iterator<Item = &str> {
        let name = field.name();
        let pairs = self.form.iter().filter(move |(key, _)| *key == name);
        pairs
            .map(|(_, value)| value.trim())
            .filter(|value| !value.is_empty())
    }

    /// The form's value by the name of its field, trimmed; `None` if it is missing or empty.
    pub fn value(&self, name: &str) -> Option<&str> {
        let (_, value) = self.form.iter().find(|(key, _)| key == name)?;
        let value = value.trim();
        (!value.is_empty()).then_some(value)
    }

    /// A parameter of the query.
    pub fn param(&self, name: &str) -> Option<&str> {
        let (_, value) = self.query.iter().find(|(key, _)| key == name)?;
        Some(value.as_str())
    }
}

/// Body of a response.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub enum Body {
    /// Text of the response's content type.
    Text(String),
    /// A file of the notebook, streamed as it is.
    File(PathBuf),
    /// A file that is made for the request.
    Bytes(Vec<u8>),
    /// Nothing.
    Empty,
}

/// One response.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct Response {
    /// HTTP status code.
    pub status: u16,
    /// Header fields, with the content type and the content security policy.
    pub headers: Vec<(&'static str, String)>,
    /// Its body.
    pub body: Body,
}
