//! How many of each item there are.

use super::{Group, Item};
use crate::id::EntryId;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Most pieces of one item.
pub const MOST_PIECES: u32 = 100_000;

/// How many of an item there are, as a person recorded it. It replaces what was recorded before.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ItemCount {
    /// The item.
    pub item: Item,
    /// Pieces that can be used.
    pub count: u32,
    /// Pieces that are worn: to be sharpened or replaced.
    #[serde(default)]
    pub worn: u32,
    /// When a gauge was last checked.
    #[serde(default)]
    pub checked: Option<NaiveDate>,
}

/// An item with how many there are.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct ItemOnHand {
    /// The item.
    pub item: Item,
    /// Pieces that can be used. Where devices disagree, the lowest count.
    pub count: u32,
    /// Pieces that are worn. Where devices disagree, the highest count.
    pub worn: u32,
    /// When a gauge was last checked. Where devices disagree, the earliest date.
    pub checked: Option<NaiveDate>,
    /// The active entries that say so.
    pub entries: Vec<EntryId>,
    /// Whether devices disagree.
    pub differ: bool,
}

/// All that is on hand, by group, then by size.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OnHand {
    items: Vec<ItemOnHand>,
}

impl OnHand {
    /// Returns what the active entries come to.
    pub fn of(entries: impl IntoIterator<Item = (EntryId, ItemCount)>) -> OnHand {
        let mut by_key: BTreeMap<String, ItemOnHand> = BTreeMap::new();
        for (entry, count) in entries {
            let key = count.item.key();
            match by_key.get_mut(&key) {
                Some(known) => known.add(entry, &count),
                None => {
                    by_key.insert(key, ItemOnHand::first(entry, count));
                }
            }
        }
        let mut items: Vec<(String, ItemOnHand)> = by_key.into_iter().collect();
        items.sort_by(|(a_key, a), (b_key, b)| a.order(a_key).cmp(&b.order(b_key)));
        OnHand {
            items: items.into_iter().map(|(_, item)| item).collect(),
        }
    }

    /// Returns all items, also those that are used up.
    pub fn items(&self) -> &[ItemOnHand] {
        &self.items
    }

    /// Returns the items of a group.
    pub fn of_group(&self, group: Group) -> impl Iterator<Item = &ItemOnHand> {
        let items = self.items.iter();
        items.filter(move |one| one.item.group() == group)
    }

    /// Returns whether anything of a group was entered, be it used up since.
    pub fn is_known(&self, group: Group) -> bool {
        self.of_group(group).next().is_some()
    }

    /// Returns whether nothing was ever entered.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// Returns an item with its count, if it was entered.
    pub fn get(&self, item: &Item) -> Option<&ItemOnHand> {
        self.items.iter().find(|one| one.item.is_same(item))
    }
}

impl ItemOnHand {
    fn first(entry: EntryId, recorded: ItemCount) -> ItemOnHand {
        ItemOnHand {
            item: recorded.item,
            count: recorded.count,
            worn: recorded.worn,
            checked: recorded.checked,
            entries: vec![entry],
            differ: false,
        }
    }

    fn add(&mut self, entry: EntryId, other: &ItemCount) {
        let same = (self.count, self.worn, self.checked);
        self.differ |= same != (other.count, other.worn, other.checked);
        self.count = self.count.min(other.count);
        self.worn = self.worn.max(other.worn);
        self.checked = match (self.checked, other.checked) {
            (Some(one), Some(other)) => Some(one.min(other)),
            _ => None,
        };
        self.entries.push(entry);
    }

    /// Returns what lists are sorted by.
    fn order<'a>(
        &self,
        key: &'a str,
    ) -> (Group, crate::length::Length, crate::length::Length, &'a str) {
        (self.item.group(), self.item.size(), self.item.length(), key)
    }
}
