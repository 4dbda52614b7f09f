//! Requests to the screens and their responses: no sockets, photos by file path.

use crate::lend::lend;
use crate::values::*;
use holebook_screens::Body;
use std::path::PathBuf;

lend! {
    holebook_screens {
        Body as ResponseBody,
        Method,
        Request,
        Response,
        ShellState,
        Upload,
        WaitingBundle,
    }
}

/// A name with its value: one of a query's or a form's. A name may come several times.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Pair {
    /// The name.
    pub name: String,
    /// Its value.
    pub value: String,
}

/// A name with its value.
pub type NameValue = (String, String);

uniffi::custom_type!(
    /// A name with its value.
    NameValue, Pair, {
        remote,
        lower: |pair| Pair { name: pair.0, value: pair.1 },
        try_lift: |pair| Ok((pair.name, pair.value)),
    }
);

/// One header field of a response.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Header {
    /// The field's name, in small letters.
    pub name: String,
    /// Its value.
    pub value: String,
}

/// A header field.
pub type HeaderField = (&'static str, String);

uniffi::custom_type!(
    /// A header field.
    HeaderField, Header, {
        remote,
        lower: |field| Header { name: field.0.to_owned(), value: field.1 },
        try_lift: |header| Ok(given_out_only(&header.name)?),
    }
);
