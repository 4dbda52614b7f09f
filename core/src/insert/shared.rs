//! An insert that several results share.

use super::Insert;
use std::ops::Deref;
use std::sync::Arc;

/// An insert that the catalog and several results share. Cloning it copies no insert.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedInsert(Arc<Insert>);

impl Deref for SharedInsert {
    type Target = Insert;

    fn deref(&self) -> &Insert {
        &self.0
    }
}

impl From<Arc<Insert>> for SharedInsert {
    fn from(insert: Arc<Insert>) -> Self {
        Self(insert)
    }
}

impl From<Insert> for SharedInsert {
    fn from(insert: Insert) -> Self {
        Self(Arc::new(insert))
    }
}

impl From<SharedInsert> for Insert {
    fn from(shared: SharedInsert) -> Insert {
        Arc::unwrap_or_clone(shared.0)
    }
}
