//! What work on a hole takes, and what will do for it.

use super::{Item, OnHand, on_hand::ItemOnHand};
use crate::length::Length;

/// What will do in place of the item of a need.
#[derive(Debug, Clone, PartialEq)]
pub enum Accepts {
    /// The same item only.
    Same,
    /// Any drill between two diameters.
    DrillBetween {
        /// The smallest.
        least: Length,
        /// The largest.
        most: Length,
    },
    /// Any countersink between two angles, and at least of a diameter.
    CountersinkBetween {
        /// The smallest included angle, degrees.
        least_deg: f64,
        /// The largest included angle, degrees.
        most_deg: f64,
        /// The least diameter.
        diameter: Length,
    },
    /// Any bolt of its thread between two lengths under the head.
    BoltBetween {
        /// The shortest.
        least: Length,
        /// The longest; `None`: any.
        most: Option<Length>,
    },
}

/// What work on a hole takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// What to buy or make if nothing on hand will do.
    pub item: Item,
    /// What else will do.
    pub accepts: Accepts,
}

impl Need {
    /// Returns the need of exactly this item.
    pub const fn of(item: Item) -> Need {
        Need {
            item,
            accepts: Accepts::Same,
        }
    }

    /// Returns whether an item will do.
    pub fn accepts(&self, item: &Item) -> bool {
        if self.item.is_same(item) {
            return true;
        }
        match (&self.accepts, item, &self.item) {
            (Accepts::DrillBetween { least, most }, Item::Drill(drill), _) => {
                (*least..=*most).contains(&drill.diameter)
            }
            (
                Accepts::CountersinkBetween {
                    least_deg,
                    most_deg,
                    diameter,
                },
                Item::Countersink(sink),
                _,
            ) => (*least_deg..=*most_deg).contains(&sink.angle_deg) && sink.diameter >= *diameter,
            (Accepts::BoltBetween { least, most }, Item::Bolt(bolt), Item::Bolt(wanted)) => {
                bolt.thread == wanted.thread
                    && bolt.length >= *least
                    && most.is_none_or(|most| bolt.length <= most)
                    && (bolt.threaded_to_head || !wanted.threaded_to_head)
            }
            (_, Item::Consumable(one), Item::Consumable(wanted))
            | (_, Item::Gauge(one), Item::Gauge(wanted))
            | (_, Item::OtherTool(one), Item::OtherTool(wanted)) => one.is_a(wanted),
            // Two names of one size: 1/4 and E.
            (Accepts::Same, Item::Drill(drill), Item::Drill(wanted)) => {
                drill.diameter == wanted.diameter
            }
            _ => false,
        }
    }

    /// Returns what on hand will do, the wanted item itself first.
    pub fn found<'a>(&'a self, on_hand: &'a OnHand) -> impl Iterator<Item = &'a ItemOnHand> + 'a {
        let usable = move || {
            let all = on_hand.items().iter();
            all.filter(|one| one.count > 0 && self.accepts(&one.item))
        };
        let same = |one: &&ItemOnHand| one.item.is_same(&self.item);
        usable()
            .filter(same)
            .chain(usable().filter(move |one| !same(one)))
    }

    /// Returns whether it is missing: something of its group was entered, and nothing will do. A group
    /// in which nothing was entered is not known.
    pub fn is_missing(&self, on_hand: &OnHand) -> bool {
        on_hand.is_known(self.item.group()) && self.found(on_hand).next().is_none()
    }
}
