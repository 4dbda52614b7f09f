//! Everything that is to be repaired, in one value.

use crate::error::NotebookError;
use crate::ids::*;
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::plan::NextTask;
use crate::record::{Condition, Remedy};
use crate::stage::Stage;
use holebook_core::length::Length;
use holebook_core::thread::Thread;

lend! {
    holebook_core::notebook {
        CastingListed,
        FaceListed,
        HoleListed,
    }
}

#[uniffi::export]
impl Notebook {
    /// Everything that is to be repaired: castings by name, with their faces and holes. Blocks.
    pub fn list(&self) -> Result<Vec<CastingListed>, NotebookError> {
        self.call("list", |open| Ok(open.list()?.castings))
    }
}
