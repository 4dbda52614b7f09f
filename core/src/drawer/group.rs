//! Groups of items, in the order in which lists show them.

use serde::{Deserialize, Serialize};
use std::fmt;

/// A group of items.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Group {
    /// Thread inserts.
    Inserts,
    /// Parts that the shop makes: plugs, bushings, stepped studs.
    ShopMade,
    /// Drills.
    Drills,
    /// Taps.
    Taps,
    /// Countersinks.
    Countersinks,
    /// Tools that install inserts.
    InstallTools,
    /// Other tools: end mills, grinding points, broaches.
    OtherTools,
    /// Gauges.
    Gauges,
    /// What is used up: threadlocker, cleaner, retaining compound.
    Consumables,
    /// Bolts and studs.
    Bolts,
}

impl Group {
    /// All groups.
    pub const ALL: [Group; 10] = [
        Group::Inserts,
        Group::ShopMade,
        Group::Drills,
        Group::Taps,
        Group::Countersinks,
        Group::InstallTools,
        Group::OtherTools,
        Group::Gauges,
        Group::Consumables,
        Group::Bolts,
    ];

    /// Returns its short name for addresses, JSON and CSV.
    pub const fn word(self) -> &'static str {
        match self {
            Group::Inserts => "inserts",
            Group::ShopMade => "shop-made",
            Group::Drills => "drills",
            Group::Taps => "taps",
            Group::Countersinks => "countersinks",
            Group::InstallTools => "install-tools",
            Group::OtherTools => "other-tools",
            Group::Gauges => "gauges",
            Group::Consumables => "consumables",
            Group::Bolts => "bolts",
        }
    }

    /// Returns its heading.
    pub const fn label(self) -> &'static str {
        match self {
            Group::Inserts => "Inserts",
            Group::ShopMade => "Shop-made parts",
            Group::Drills => "Drills",
            Group::Taps => "Taps",
            Group::Countersinks => "Countersinks",
            Group::InstallTools => "Install tools",
            Group::OtherTools => "Other tools",
            Group::Gauges => "Gauges",
            Group::Consumables => "Threadlocker, cleaner and the like",
            Group::Bolts => "Bolts and studs",
        }
    }

    /// Returns whether each hole takes a piece of its own, rather than one that serves all holes.
    pub const fn is_per_hole(self) -> bool {
        matches!(self, Group::Inserts | Group::ShopMade | Group::Bolts)
    }

    /// Returns whether a remedy cannot be done without its items, so that remedies are limited to
    /// what is on hand by it.
    pub const fn limits_remedies(self) -> bool {
        matches!(
            self,
            Group::Inserts
                | Group::Drills
                | Group::Taps
                | Group::Countersinks
                | Group::InstallTools
        )
    }
}

impl fmt::Display for Group {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
