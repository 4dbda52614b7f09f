//! Holebook's core by typed calls, for Kotlin and Python.
//!
//! One [`Notebook`] holds all that a device knows; everything else that crosses is a plain record or enum. Every call
//! blocks until the disk has answered, so a phone calls from a thread of its own, never from the one that draws. Calls may
//! come from any thread. After [`Notebook::shutdown`] each answers [`NotebookError::Closed`].
//!
//! Lengths cross as whole nanometres. Other numbers carry their unit in the name.

mod carrier;
mod error;
mod guard;
mod notebook;

pub use carrier::{Header, Method, Pair, Request, Response, ResponseBody, Upload};
pub use error::NotebookError;
pub use notebook::Notebook;

uniffi::setup_scaffolding!();
