//! Collects the lines of a kit.

use super::spares::{Wear, Wears, of_inserts, of_tool};
use super::{HoleName, Kit, KitLine, OpenHole, PlannedHole};
use crate::drawer::{Group, Item, Need, OnHand};
use crate::hole::needs::{self, BoltNeed};
use crate::hole::next::NextAction;
use crate::hole::record::{CutStep, Remedy};
use crate::hole::steps::StepKey;
use crate::insert::TapChamfer;
use std::collections::{BTreeMap, BTreeSet};

/// What one item is needed for.
struct Wanted {
    need: Need,
    holes: Vec<HoleName>,
    /// How the holes wear it, if it is a tool that wears.
    worn_by: Vec<(HoleName, Wear)>,
    wears: Option<Wears>,
}

#[derive(Default)]
struct Collected {
    wanted: Vec<Wanted>,
    open: Vec<OpenHole>,
}

pub(super) fn collect(holes: &[PlannedHole], on_hand: &OnHand) -> Kit {
    let mut collected = Collected::default();
    for hole in holes {
        collected.add_hole(hole);
    }
    let mut wanted = collected.wanted;
    wanted.sort_by_cached_key(|one| order(&one.need.item));
    let mut left = Left::of(on_hand);
    Kit {
        lines: wanted.into_iter().map(|one| line(one, &mut left)).collect(),
        open: collected.open,
        castings: distinct(holes.iter().map(|hole| hole.at.casting)),
        faces: distinct(holes.iter().map(|hole| hole.at.face)),
        holes: count(holes.len()),
    }
}

fn distinct<T: Ord>(all: impl Iterator<Item = T>) -> u32 {
    count(all.collect::<BTreeSet<T>>().len())
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

fn order(item: &Item) -> (Group, crate::length::Length, crate::length::Length, String) {
    (item.group(), item.size(), item.length(), item.key())
}

impl Collected {
    fn add_hole(&mut self, hole: &PlannedHole) {
        let plan = &hole.plan;
        let (Ok(situation), Some(assessment)) = (&plan.situation, plan.chosen()) else {
            if hole.bolt_is_in && plan.next == NextAction::Done {
                return;
            }
            return self.open(&hole.at, undecided(hole));
        };
        if assessment.remedy == Remedy::Specialist && plan.next != NextAction::Done {
            return self.open(
                &hole.at,
                "it goes to a specialist; ask there what it takes".into(),
            );
        }
        match plan.next {
            NextAction::Crack => {
                return self.open(&hole.at, "work is stopped by a crack".into());
            }
            NextAction::ResolveConflict => {
                let why = "a conflict is not resolved; what the hole takes may change";
                self.open(&hole.at, why.into());
            }
            _ => {}
        }
        let wear = Wear::of(situation, assessment);
        for step in plan.steps.iter().filter(|step| step.done.is_none()) {
            let key = step.key;
            let plugged =
                key == StepKey::Cut(CutStep::DrillPlug) || key == StepKey::Cut(CutStep::TapPlug);
            for need in needs::of_step(key, situation, assessment) {
                // A plug is new metal without damage.
                let wear = wear.as_ref().filter(|_| !plugged);
                self.add(&hole.at, need, wear_at(key).and(wear));
            }
        }
        match needs::bolt(situation, assessment) {
            _ if hole.bolt_is_in => {}
            BoltNeed::None | BoltNeed::InHand => {}
            BoltNeed::Bolt(need) => self.add(&hole.at, need, None),
            BoltNeed::Cut(need, how) => {
                self.add(&hole.at, need, None);
                self.open(&hole.at, how);
            }
            BoltNeed::Open(why) => self.open(&hole.at, why),
        }
    }

    fn open(&mut self, at: &HoleName, why: String) {
        let at = at.clone();
        self.open.push(OpenHole { at, why });
    }

    fn add(&mut self, at: &HoleName, need: Need, wear: Option<&Wear>) {
        let wears = match &need.item {
            Item::Drill(_) => Some(Wears::Drill),
            // The plug tap goes first, so it takes the wear.
            Item::Tap(tap) if tap.chamfer != TapChamfer::Bottoming => Some(Wears::Tap),
            _ => None,
        };
        let known = self.wanted.iter_mut();
        let mut known = known.filter(|one| one.need.item.is_same(&need.item));
        let index = known.next();
        let wanted = match index {
            Some(wanted) => wanted,
            None => {
                self.wanted.push(Wanted {
                    need,
                    holes: Vec::new(),
                    worn_by: Vec::new(),
                    wears,
                });
                let last = self.wanted.len() - 1;
                &mut self.wanted[last]
            }
        };
        if wanted.holes.last() != Some(at) {
            wanted.holes.push(at.clone());
        }
        if let Some(wear) = wear.filter(|_| wanted.worn_by.last().is_none_or(|(one, _)| one != at))
        {
            wanted.worn_by.push((at.clone(), wear.clone()));
        }
    }
}

/// Returns whether a step wears its drill or tap on the casting.
fn wear_at(key: StepKey) -> Option<()> {
    matches!(key, StepKey::Cut(CutStep::Drill | CutStep::Tap)).then_some(())
}

/// Says why a hole has no remedy to collect for.
fn undecided(hole: &PlannedHole) -> String {
    let plan = &hole.plan;
    let choice = &plan.record.choice;
    match plan.next {
        NextAction::Done => {
            "it has passed; nothing is open but its bolt, which is not known".into()
        }
        _ if choice.differ() => "two remedies are chosen; resolve the conflict".into(),
        _ if choice.0.is_empty() => format!("no remedy is chosen; next: {}", plan.next),
        _ => "the chosen remedy is no longer offered; review the remedies".into(),
    }
}

/// What is left in the drawer after the lines before.
struct Left<'a> {
    on_hand: &'a OnHand,
    taken: BTreeMap<String, u32>,
}

impl<'a> Left<'a> {
    fn of(on_hand: &'a OnHand) -> Left<'a> {
        Left {
            on_hand,
            taken: BTreeMap::new(),
        }
    }

    /// Counts what will do, takes what is wanted of parts, and names the other items that will do. A
    /// tool that serves one line may serve another.
    fn count(&mut self, need: &Need, wanted: u32) -> (u32, Vec<Item>) {
        let is_part = need.item.group().is_per_hole();
        let (mut usable, mut instead) = (0, Vec::new());
        for one in need.found(self.on_hand) {
            let taken = self.taken.entry(one.item.key()).or_default();
            let free = one.count.saturating_sub(*taken);
            if is_part {
                *taken += free.min(wanted.saturating_sub(usable));
            }
            if free > 0 && usable < wanted && !one.item.is_same(&need.item) {
                instead.push(one.item.clone());
            }
            usable += free;
        }
        (usable, instead)
    }
}

fn line(wanted: Wanted, left: &mut Left<'_>) -> KitLine {
    let item = wanted.need.item.clone();
    let group = item.group();
    let needed = match group.is_per_hole() {
        true => count(wanted.holes.len()),
        false => 1,
    };
    let (spares, judgment) = match (group, wanted.wears) {
        (Group::Inserts, _) => of_inserts(needed),
        (_, Some(tool)) => of_tool(tool, &wanted.worn_by),
        _ => (0, Vec::new()),
    };
    let known = left.on_hand.is_known(group);
    let (usable, instead) = left.count(&wanted.need, needed + spares);
    KitLine {
        group,
        item,
        needed,
        spares,
        judgment,
        on_hand: known.then_some(usable),
        instead,
        buy: (needed + spares).saturating_sub(usable),
        holes: wanted.holes,
    }
}
