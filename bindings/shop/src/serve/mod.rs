//! Serves the screens to a browser on this computer, over HTTP on 127.0.0.1.

pub mod access;
mod form;
pub mod listen;
mod page;
pub mod percent;
mod read_request;
mod request;
mod respond;
pub mod router;
pub mod run;
#[cfg(test)]
mod tests;
pub mod uploads;

use holebook_core::notebook::Notebook;
use holebook_screens::{Request, Response};
use holebook_sync::service::SyncService;
use std::sync::Arc;

/// Answers requests, and may block: the screens over a notebook.
pub trait Screens: Send + Sync + 'static {
    /// Answers `request`.
    fn answer(&self, request: &Request) -> Response;
}

/// The notebook and its sync service.
pub struct OpenNotebook {
    /// The notebook.
    pub notebook: Arc<Notebook>,
    /// Its sync service.
    pub sync: SyncService,
}

impl Screens for OpenNotebook {
    fn answer(&self, request: &Request) -> Response {
        holebook_screens::answer_with(&self.notebook, &self.sync, request)
    }
}
