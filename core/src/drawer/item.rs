//! Things that the drawer holds.

use super::Group;
use crate::drill::Drill;
use crate::insert::{Family, TapChamfer, show_insert_length};
use crate::length::{Length, Unit};
use crate::strength::bolt::bolt_name;
use crate::thread::Thread;
use serde::{Deserialize, Serialize};

/// A thing that the drawer holds, or that work on a hole takes.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Item {
    /// A thread insert.
    Insert(InsertItem),
    /// A part that the shop makes.
    ShopMade(NamedItem),
    /// A drill.
    Drill(Drill),
    /// A tap.
    Tap(TapItem),
    /// A countersink.
    Countersink(CountersinkItem),
    /// A tool that installs inserts.
    InstallTool(InstallTool),
    /// Another tool.
    OtherTool(NamedItem),
    /// A gauge.
    Gauge(NamedItem),
    /// Something that is used up.
    Consumable(NamedItem),
    /// A bolt.
    Bolt(BoltItem),
}

/// An item that its name tells apart.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NamedItem {
    /// Its name. Lengths may be in both units (see [`crate::length::in_unit`]).
    pub name: String,
}

/// An insert of one family, size and length.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InsertItem {
    /// Family.
    pub family: Family,
    /// Thread for the bolt.
    pub thread: Thread,
    /// Designation of the thread in the casting.
    pub outside: String,
    /// Nominal length.
    #[serde(rename = "length_mm")]
    pub length: Length,
}

/// A tap.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TapItem {
    /// The thread that it cuts, with its hand.
    pub thread: Thread,
    /// Its chamfer.
    pub chamfer: TapChamfer,
}

/// A countersink.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CountersinkItem {
    /// Included angle, degrees.
    pub angle_deg: f64,
    /// Largest diameter that it cuts.
    #[serde(rename = "diameter_mm")]
    pub diameter: Length,
}

/// A tool that installs the inserts of one family for one thread: the inserting tool of a wire thread
/// insert, the driver of locking keys.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InstallTool {
    /// Family of the inserts.
    pub family: Family,
    /// Thread for the bolt.
    pub thread: Thread,
}

/// A bolt.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BoltItem {
    /// Its thread.
    pub thread: Thread,
    /// Length under the head.
    #[serde(rename = "length_mm")]
    pub length: Length,
    /// Whether it must be threaded to the head.
    #[serde(default)]
    pub threaded_to_head: bool,
}

impl NamedItem {
    /// Returns whether its name has what another name begins with, up to a comma: `blue threadlocker` is
    /// a `threadlocker`, and `brake cleaner` a `cleaner, free of oil`.
    pub(super) fn is_a(&self, other: &NamedItem) -> bool {
        let wanted = other.name.split(',').next().unwrap_or_default();
        let wanted = wanted.trim().to_lowercase();
        !wanted.is_empty() && self.name.to_lowercase().contains(&wanted)
    }
}

impl Item {
    /// Returns an item that its name tells apart, trimmed.
    pub fn named(make: impl FnOnce(NamedItem) -> Item, name: impl Into<String>) -> Item {
        let name = name.into().trim().to_owned();
        make(NamedItem { name })
    }

    /// Returns the group that it belongs to.
    pub const fn group(&self) -> Group {
        match self {
            Item::Insert(_) => Group::Inserts,
            Item::ShopMade(_) => Group::ShopMade,
            Item::Drill(_) => Group::Drills,
            Item::Tap(_) => Group::Taps,
            Item::Countersink(_) => Group::Countersinks,
            Item::InstallTool(_) => Group::InstallTools,
            Item::OtherTool(_) => Group::OtherTools,
            Item::Gauge(_) => Group::Gauges,
            Item::Consumable(_) => Group::Consumables,
            Item::Bolt(_) => Group::Bolts,
        }
    }

    /// Returns what people read: `29/64 (.453) drill`, `1/2-13 UNC tap, plug`.
    pub fn label(&self, unit: Unit) -> String {
        match self {
            Item::Insert(insert) => {
                let length = show_insert_length(insert.family, insert.thread, insert.length, unit);
                let long = if length.contains(" D ") { "" } else { " long" };
                format!("{} {}, {length}{long}", insert.thread, insert.family)
            }
            Item::Drill(drill) => format!("{} drill", drill.show(unit)),
            Item::Tap(tap) => format!("{} tap, {}", tap.thread, tap.chamfer),
            Item::Countersink(sink) => {
                format!(
                    "{}° countersink, {}",
                    sink.angle_deg,
                    sink.diameter.show(unit)
                )
            }
            Item::InstallTool(tool) => {
                format!("install tool for {} {}", tool.thread, tool.family)
            }
            Item::Bolt(bolt) => {
                let to_head = if bolt.threaded_to_head {
                    ", threaded to the head"
                } else {
                    ""
                };
                format!("{} bolt{to_head}", bolt_name(&bolt.thread, bolt.length))
            }
            Item::ShopMade(named)
            | Item::OtherTool(named)
            | Item::Gauge(named)
            | Item::Consumable(named) => crate::length::in_unit(&named.name, unit),
        }
    }

    /// Returns whether both are the same thing: drills by name, named items regardless of case.
    pub fn is_same(&self, other: &Item) -> bool {
        self.key() == other.key()
    }

    /// Returns what tells it from all other items.
    pub(crate) fn key(&self) -> String {
        let named = |group: Group, name: &str| {
            let words: Vec<&str> = name.split_whitespace().collect();
            format!("{group} {}", words.join(" ").to_lowercase())
        };
        match self {
            Item::ShopMade(item)
            | Item::OtherTool(item)
            | Item::Gauge(item)
            | Item::Consumable(item) => named(self.group(), &item.name),
            Item::Insert(item) => format!(
                "{} {} {} {} {}",
                self.group(),
                item.family,
                item.thread,
                item.outside,
                item.length.nm()
            ),
            Item::Drill(drill) => format!("{} {drill}", self.group()),
            Item::Tap(tap) => format!("{} {} {}", self.group(), tap.thread, tap.chamfer),
            Item::Countersink(sink) => {
                format!("{} {} {}", self.group(), sink.angle_deg, sink.diameter.nm())
            }
            Item::InstallTool(tool) => format!("{} {} {}", self.group(), tool.family, tool.thread),
            Item::Bolt(bolt) => format!(
                "{} {} {} {}",
                self.group(),
                bolt.thread,
                bolt.length.nm(),
                bolt.threaded_to_head
            ),
        }
    }

    /// Returns its size, by which lists are sorted; zero if it has none.
    pub(crate) fn size(&self) -> Length {
        match self {
            Item::Insert(insert) => insert.thread.nominal(),
            Item::Drill(drill) => drill.diameter,
            Item::Tap(tap) => tap.thread.nominal(),
            Item::Countersink(sink) => sink.diameter,
            Item::InstallTool(tool) => tool.thread.nominal(),
            Item::Bolt(bolt) => bolt.thread.nominal(),
            Item::ShopMade(_) | Item::OtherTool(_) | Item::Gauge(_) | Item::Consumable(_) => {
                Length::ZERO
            }
        }
    }

    /// Returns its length, by which items of one size are sorted.
    pub(crate) fn length(&self) -> Length {
        match self {
            Item::Insert(insert) => insert.length,
            Item::Bolt(bolt) => bolt.length,
            _ => Length::ZERO,
        }
    }
}
