//! What the screens are asked and answer, as it crosses to the phone: no sockets, photos by file path.

use holebook_screens as screens;
use std::path::PathBuf;

/// Whether a request only looks, or changes something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Method {
    /// Looks; changes nothing.
    Get,
    /// May write to the notebook.
    Post,
}

/// A name with its value: one of a query's or a form's.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Pair {
    /// The name; a name may come several times.
    pub name: String,
    /// Its value.
    pub value: String,
}

/// A file that came with a form, already on disk. The screens copy what they keep; whoever put it there removes it
/// after the answer.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Upload {
    /// The form field it came in.
    pub field: String,
    /// The name that the person's device gave it; shown, never used as a path.
    pub name: String,
    /// Where it is, as an absolute path.
    pub path: String,
}

/// One request of a page.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Request {
    /// Looks or changes.
    pub method: Method,
    /// The path, percent-decoded, beginning with `/`.
    pub path: String,
    /// The query's pairs, decoded.
    #[uniffi(default = [])]
    pub query: Vec<Pair>,
    /// The form's pairs, decoded; empty where the request only looks.
    #[uniffi(default = [])]
    pub form: Vec<Pair>,
    /// The form's files.
    #[uniffi(default = [])]
    pub uploads: Vec<Upload>,
}

/// One header field of a response.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Header {
    /// The field's name, in small letters.
    pub name: String,
    /// Its value.
    pub value: String,
}

/// What a response carries.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum ResponseBody {
    /// Text of the response's content type.
    Text {
        /// The text.
        text: String,
    },
    /// A file of the notebook, to be given as it is. It never changes, so it can be read after the call.
    File {
        /// Where it is, as an absolute path where the notebook was opened by one.
        path: String,
    },
    /// Nothing.
    Empty,
}

/// One response for a page.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Response {
    /// HTTP status code: 200 a page, 303 go on at the header `location`, 404 not there, 422 a form that could not be
    /// taken, 500 a fault.
    pub status: u16,
    /// Header fields, among them the content type and the content security policy.
    pub headers: Vec<Header>,
    /// What it carries.
    pub body: ResponseBody,
}

impl From<Request> for screens::Request {
    fn from(request: Request) -> Self {
        let pairs = |pairs: Vec<Pair>| {
            let pairs = pairs.into_iter();
            pairs.map(|pair| (pair.name, pair.value)).collect()
        };
        Self {
            method: match request.method {
                Method::Get => screens::Method::Get,
                Method::Post => screens::Method::Post,
            },
            path: request.path,
            query: pairs(request.query),
            form: pairs(request.form),
            uploads: request.uploads.into_iter().map(Into::into).collect(),
        }
    }
}

impl From<Upload> for screens::Upload {
    fn from(upload: Upload) -> Self {
        Self {
            field: upload.field,
            name: upload.name,
            path: PathBuf::from(upload.path),
        }
    }
}

impl From<screens::Response> for Response {
    fn from(response: screens::Response) -> Self {
        let headers = response.headers.into_iter();
        Self {
            status: response.status,
            headers: headers
                .map(|(name, value)| Header {
                    name: name.to_owned(),
                    value,
                })
                .collect(),
            body: match response.body {
                screens::Body::Text(text) => ResponseBody::Text { text },
                screens::Body::File(path) => ResponseBody::File {
                    path: path.to_string_lossy().into_owned(),
                },
                screens::Body::Empty => ResponseBody::Empty,
            },
        }
    }
}
