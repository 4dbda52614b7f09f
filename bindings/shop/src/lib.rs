//! The parts of the shop computer's program that tests use directly: serving the screens over HTTP,
//! and sync.

pub mod failure;
pub mod serve;
pub mod signal;
pub mod table;

use holebook_core::notebook::Notebook;
use holebook_sync::service::{MdnsFinder, Remotes};
use std::sync::Arc;

/// What a computer calls itself while its settings have no name.
const UNNAMED: &str = "unnamed computer";

/// Creates the remotes of the shop computer's notebook.
#[must_use]
pub fn new_remotes(notebook: Arc<Notebook>) -> Arc<Remotes> {
    Arc::new(Remotes::new(notebook, Arc::new(MdnsFinder), UNNAMED))
}
