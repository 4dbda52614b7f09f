//! What the shop has on hand: one entry for each change of an item's count.
//!
//! All of them are about the shop's drawer, like its files of inserts, so that they are found without
//! reading the rest of the journal. A new count replaces the active ones of the same item. If two
//! devices change an item's count, both are active until somebody records it again, and the lower one
//! counts.

use super::Notebook;
use super::error::{Fault, NotebookError};
use super::id::EntryId;
use super::inserts::DRAWER;
use super::load;
use super::validation::{name, positive};
use super::write::{NewEntry, WriteTx};
use crate::drawer::{Item, ItemCount, MOST_PIECES, MakersSheet, OnHand};
use crate::hole::record::Recorded;
use crate::hole::tool_use::ToolRenewed;
use rusqlite::Connection;

impl Notebook {
    /// Returns what is on hand. The cost grows with the drawer, not with the castings.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn on_hand(&self) -> Result<OnHand, NotebookError> {
        self.read(on_hand)
    }

    /// Records how many there are of some items, in place of what was recorded before; all or none.
    ///
    /// # Errors
    /// If a count or an item cannot be right, or if the notebook cannot be written.
    pub fn set_on_hand(&self, counts: &[ItemCount]) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| {
            let before = on_hand(tx.conn())?;
            let new = counts.iter().map(|count| set(tx, &before, count));
            new.collect()
        })
    }

    /// Adds items, one of each, that are not on hand yet: a whole set in one tap. Those that are stay
    /// as they are.
    ///
    /// # Errors
    /// As for [`Notebook::set_on_hand`].
    pub fn add_on_hand(&self, items: &[Item]) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| {
            let before = on_hand(tx.conn())?;
            let mut new = Vec::new();
            for item in items {
                let known = before.get(item);
                if known.is_none_or(|known| known.count == 0) {
                    let count = ItemCount {
                        item: item.clone(),
                        count: 1,
                        worn: known.map_or(0, |known| known.worn),
                        checked: known.and_then(|known| known.checked),
                    };
                    new.push(set(tx, &before, &count)?);
                }
            }
            Ok(new)
        })
    }

    /// Changes the counts of an item by what `change` makes of the latest ones.
    ///
    /// # Errors
    /// If the item was never entered, if a count cannot be right, or if the notebook cannot be written.
    pub fn change_on_hand(
        &self,
        item: &Item,
        change: impl Fn(&mut ItemCount),
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            let before = on_hand(tx.conn())?;
            let known = before.get(item).ok_or_else(|| {
                let label = item.label(crate::length::Unit::Inch);
                Fault::invalid(format!("{label} is not in the drawer; add it first"))
            })?;
            let mut count = ItemCount {
                item: known.item.clone(),
                count: known.count,
                worn: known.worn,
                checked: known.checked,
            };
            change(&mut count);
            set(tx, &before, &count)
        })
    }

    /// Records that a drill or tap is new or sharpened: the holes that it cut so far no longer count.
    ///
    /// # Errors
    /// If the name is empty or too long, or if the notebook cannot be written.
    pub fn renew_tool(&self, tool: &str) -> Result<EntryId, NotebookError> {
        let renewed = ToolRenewed {
            tool: tool.to_owned(),
        };
        self.write(|tx| tx.insert(NewEntry::new(DRAWER, &renewed)?))
    }

    /// Records the figures of a maker's sheet, which then replace the standard's row for that insert; see
    /// [`Notebook::catalog`]. A later sheet of the same insert replaces it;
    /// [`Notebook::remove_inserts`] with [`MakersSheet::file_name`] takes it out.
    ///
    /// # Errors
    /// If the figures do not make an insert, or if the notebook cannot be written.
    pub fn add_makers_sheet(&self, sheet: &MakersSheet) -> Result<EntryId, NotebookError> {
        let text = sheet.file_text();
        let text = text.map_err(|error| NotebookError::Invalid(error.to_string()))?;
        self.add_inserts(&sheet.file_name(), &text)
    }
}

/// Returns what is on hand.
pub(super) fn on_hand(conn: &Connection) -> Result<OnHand, Fault> {
    let entries = load::entries::<ItemCount>(conn, DRAWER)?.0.into_iter();
    Ok(OnHand::of(entries.map(|entry| (entry.entry, entry.body))))
}

/// Returns when which tools were new or sharpened.
pub(super) fn renewed(conn: &Connection) -> Result<Vec<Recorded<ToolRenewed>>, Fault> {
    Ok(load::entries::<ToolRenewed>(conn, DRAWER)?.0)
}

fn set(tx: &mut WriteTx<'_>, before: &OnHand, count: &ItemCount) -> Result<EntryId, Fault> {
    let replaces = before.get(&count.item).map(|known| known.entries.clone());
    let new = NewEntry::new(DRAWER, count)?;
    tx.insert(new.replacing(replaces.unwrap_or_default()))
}

/// Refuses counts and items that cannot be right.
pub(super) fn validate(count: &ItemCount) -> Result<(), Fault> {
    if count.count > MOST_PIECES || count.worn > MOST_PIECES {
        return Err(Fault::invalid(format!(
            "more than {MOST_PIECES} pieces of one item; correct the count"
        )));
    }
    match &count.item {
        Item::ShopMade(item)
        | Item::OtherTool(item)
        | Item::Gauge(item)
        | Item::Consumable(item) => name("the item's name", &item.name),
        Item::Insert(insert) => {
            name("the thread in the casting", &insert.outside)?;
            positive("the length of the insert", insert.length)
        }
        Item::Countersink(sink) => {
            // Negated so that NaN fails too.
            if !(30.0..=150.0).contains(&sink.angle_deg) {
                return Err(Fault::invalid(
                    "the angle of a countersink is 30 to 150 degrees; correct it",
                ));
            }
            positive("the diameter of the countersink", sink.diameter)
        }
        Item::Bolt(bolt) => positive("the length of the bolt", bolt.length),
        Item::Drill(_) | Item::Tap(_) | Item::InstallTool(_) => Ok(()),
    }
}
