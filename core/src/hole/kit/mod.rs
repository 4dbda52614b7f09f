//! The kit: what the open work of some holes takes, counted against the drawer, so that it ends in what
//! to buy.
//!
//! What is done already is not in it. A hole whose remedy is not chosen is named as open, never left
//! out without a word. Spares are judgment, and each says why.

mod collect;
mod spares;
mod table;
#[cfg(test)]
mod tests;
mod text;

pub use table::csv;
pub use text::text;

use super::plan::Plan;
use crate::drawer::{Group, Item, OnHand};
use crate::id::{CastingId, FaceId, HoleId};
use crate::length::Unit;
use serde::Serialize;

/// A hole by name, with its casting and face.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HoleName {
    /// Its casting.
    pub casting: CastingId,
    /// The casting's name.
    pub casting_name: String,
    /// Its face.
    pub face: FaceId,
    /// The face's name.
    pub face_name: String,
    /// Its id.
    pub hole: HoleId,
    /// Its number.
    pub number: u32,
}

/// Groups holes by their faces, each with the numbers of its holes, in the order of the first.
pub fn by_face(holes: &[HoleName]) -> Vec<(&HoleName, Vec<u32>)> {
    let mut faces: Vec<(&HoleName, Vec<u32>)> = Vec::new();
    for hole in holes {
        match faces.iter_mut().find(|(known, _)| known.face == hole.face) {
            Some((_, numbers)) => numbers.push(hole.number),
            None => faces.push((hole, vec![hole.number])),
        }
    }
    faces
}

/// A hole with what it needs for its kit.
#[derive(Debug)]
pub struct PlannedHole {
    /// The hole.
    pub at: HoleName,
    /// Its plan.
    pub plan: Plan,
    /// Whether its bolt is in; see [`HoleRecord::bolt_is_in`].
    ///
    /// [`HoleRecord::bolt_is_in`]: super::record::HoleRecord::bolt_is_in
    pub bolt_is_in: bool,
}

/// One thing of the kit.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize)]
pub struct KitLine {
    /// The group that it belongs to.
    pub group: Group,
    /// The item.
    pub item: Item,
    /// How many the work takes.
    pub needed: u32,
    /// How many more to have ready (judgment).
    pub spares: u32,
    /// Why the spares, a sentence each; all of it judgment.
    pub judgment: Vec<String>,
    /// How many on hand will do; `None` if nothing of the group was entered in the drawer.
    pub on_hand: Option<u32>,
    /// Other items on hand that will do.
    pub instead: Vec<Item>,
    /// How many to buy or make.
    pub buy: u32,
    /// The holes that take it.
    pub holes: Vec<HoleName>,
}

impl KitLine {
    /// Returns what people read: the item's label; a countersink may be larger.
    pub fn label(&self, unit: Unit) -> String {
        let label = self.item.label(unit);
        match self.group {
            Group::Countersinks => format!("{label} or larger"),
            _ => label,
        }
    }
}

/// A hole that the kit does not cover, or not wholly.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize)]
pub struct OpenHole {
    /// The hole.
    pub at: HoleName,
    /// What is open, as a short sentence. Lengths are in both units.
    pub why: String,
}

/// The kit of some holes.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Default, Serialize)]
pub struct Kit {
    /// Its lines, by group, then by size.
    pub lines: Vec<KitLine>,
    /// The holes that it does not cover, or not wholly.
    pub open: Vec<OpenHole>,
    /// Number of castings that it is for.
    pub castings: u32,
    /// Number of their faces.
    pub faces: u32,
    /// Number of their holes, the open ones included.
    pub holes: u32,
}

impl Kit {
    /// Returns the kit of some holes.
    pub fn of(holes: &[PlannedHole], on_hand: &OnHand) -> Kit {
        collect::collect(holes, on_hand)
    }

    /// Returns the lines of a group.
    pub fn of_group(&self, group: Group) -> impl Iterator<Item = &KitLine> {
        self.lines.iter().filter(move |line| line.group == group)
    }

    /// Returns the lines of which something is to be bought or made.
    pub fn to_buy(&self) -> impl Iterator<Item = &KitLine> {
        self.lines.iter().filter(|line| line.buy > 0)
    }
}

/// Formats the numbers of holes, with their faces and castings where the kit has several: `1, 4, 9`, or
/// `deck: 1, 4; end: 2`.
pub fn hole_numbers(holes: &[HoleName], kit: &Kit) -> String {
    let mut parts: Vec<(FaceId, String)> = Vec::new();
    for hole in holes {
        match parts.last_mut().filter(|(face, _)| *face == hole.face) {
            Some((_, part)) => part.push_str(&format!(", {}", hole.number)),
            None => {
                let name = match (kit.castings > 1, kit.faces > 1) {
                    (true, _) => format!("{}, {}: ", hole.casting_name, hole.face_name),
                    (false, true) => format!("{}: ", hole.face_name),
                    (false, false) => String::new(),
                };
                parts.push((hole.face, format!("{name}{}", hole.number)));
            }
        }
    }
    let parts: Vec<String> = parts.into_iter().map(|(_, part)| part).collect();
    parts.join("; ")
}
