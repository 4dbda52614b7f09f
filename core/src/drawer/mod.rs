//! The drawer: what the shop has on hand.
//!
//! Each thing is an [`Item`] with how many there are ([`ItemCount`], one journal entry each time the
//! count changes). [`OnHand`] is all of it. [`Need`] is what work on a hole takes, and tells whether
//! something on hand will do. A [`Group`] in which nothing was ever entered is not known, so it limits
//! nothing.

mod group;
mod item;
mod need;
mod on_hand;
mod sets;
mod sheet;
#[cfg(test)]
mod tests;

pub use group::Group;
pub use item::{BoltItem, CountersinkItem, InsertItem, InstallTool, Item, NamedItem, TapItem};
pub use need::{Accepts, Need};
pub use on_hand::{ItemCount, ItemOnHand, MOST_PIECES, OnHand};
pub use sets::ItemSet;
pub use sheet::{MakersSheet, SheetError};
