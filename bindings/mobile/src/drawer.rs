//! The drawer: what the shop has on hand.

use crate::error::NotebookError;
use crate::ids::EntryId;
use crate::inserts::{Drill, TapChamfer};
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::record::Family;
use chrono::NaiveDate;
use holebook_core::drawer::ItemSet;
use holebook_core::length::Length;
use holebook_core::thread::Thread;

lend! {
    holebook_core::drawer {
        BoltItem,
        CountersinkItem,
        Group,
        InsertItem,
        InstallTool,
        Item,
        ItemCount,
        ItemOnHand,
        NamedItem,
        TapItem,
    }
}

/// A whole set of tools, as it is sold in one box.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NamedItemSet {
    /// Its short name, for `add_item_set`.
    pub word: String,
    /// What people read.
    pub label: String,
    /// Its items.
    pub items: Vec<Item>,
}

/// The sets of drills and taps that can be entered in one call.
#[uniffi::export]
pub fn item_sets() -> Vec<NamedItemSet> {
    let all = ItemSet::ALL.into_iter();
    all.map(|set| NamedItemSet {
        word: set.word().to_owned(),
        label: set.label().to_owned(),
        items: set.items(),
    })
    .collect()
}

#[uniffi::export]
impl Notebook {
    /// All that was entered in the drawer, by group, then by size; also what is used up. Blocks.
    pub fn on_hand(&self) -> Result<Vec<ItemOnHand>, NotebookError> {
        self.call("on_hand", |open| Ok(open.on_hand()?.items().to_vec()))
    }

    /// Records how many there are of some items, in place of what was recorded before; all or none.
    /// Blocks until it is on the disk. Fails with `Invalid` if a count or an item cannot be right.
    pub fn set_on_hand(&self, counts: Vec<ItemCount>) -> Result<Vec<EntryId>, NotebookError> {
        self.call("set_on_hand", |open| Ok(open.set_on_hand(&counts)?))
    }

    /// Adds one of each item of a set that is not on hand yet. Blocks until it is on the disk. Fails
    /// with `Invalid` if there is no such set.
    pub fn add_item_set(&self, word: String) -> Result<Vec<EntryId>, NotebookError> {
        self.call("add_item_set", |open| {
            let set = ItemSet::from_word(&word)
                .ok_or_else(|| NotebookError::invalid(format!("there is no set `{word}`")))?;
            Ok(open.add_on_hand(&set.items())?)
        })
    }
}
