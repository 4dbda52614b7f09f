//! Carries the screens to a browser on this computer, over HTTP on 127.0.0.1.

pub mod carry;
pub mod decode;
mod form;
mod give;
pub mod guard;
pub mod incoming;
pub mod listen;
mod page;
pub mod show;
mod take;
#[cfg(test)]
mod tests;

use crate::meet::Meet;
use holebook_core::notebook::Notebook;
use holebook_screens::{Request, Response};
use std::sync::Arc;

/// What answers a request, taking its time: the screens over a notebook.
pub trait Screens: Send + Sync + 'static {
    /// The answer to `request`.
    fn answer(&self, request: &Request) -> Response;
}

/// The notebook, and how it meets others.
pub struct Desk {
    /// The notebook.
    pub notebook: Arc<Notebook>,
    /// Its exchanges.
    pub meet: Meet,
}

impl Screens for Desk {
    fn answer(&self, request: &Request) -> Response {
        holebook_screens::answer_with(&self.notebook, &self.meet, request)
    }
}
