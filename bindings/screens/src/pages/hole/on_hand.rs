//! What remedies take that is not in the drawer, and what one purchase would change.

use super::HolePage;
use super::remedy_card::title;
use holebook_core::drawer::{Item, OnHand};
use holebook_core::hole::plan::Plan;
use holebook_core::hole::record::FaceRecord;
use holebook_core::hole::remedies::Verdict;
use holebook_core::length::Unit;
use maud::{Markup, html};

/// The query parameter that limits the remedies to what is on hand.
pub const PARAM: &str = "on-hand";

/// What each remedy of a plan takes that is not on hand.
#[derive(Debug, Default)]
pub struct Shortages {
    /// By the place of the remedy in the plan; empty if nothing was entered in the drawer.
    missing: Vec<Vec<Item>>,
    /// Whether only remedies are shown of which nothing is missing.
    is_limited: bool,
}

impl Shortages {
    /// Returns what the remedies of a plan take that is not on hand.
    pub fn of(plan: &Plan, face: &FaceRecord, on_hand: &OnHand, is_limited: bool) -> Shortages {
        if on_hand.is_empty() {
            return Shortages::default();
        }
        let remedies = plan.assessments.iter();
        Shortages {
            missing: remedies
                .map(|assessment| plan.not_on_hand(assessment, face, on_hand))
                .collect(),
            is_limited,
        }
    }

    /// Whether only remedies are shown of which nothing is missing.
    pub fn is_limited(&self) -> bool {
        self.is_limited
    }

    /// Whether a remedy is shown, by its place in the plan.
    pub fn shows(&self, index: usize) -> bool {
        !self.is_limited || self.missing.get(index).is_none_or(Vec::is_empty)
    }

    /// What one remedy lacks, and what one purchase would change; nothing without a drawer.
    pub fn line(&self, index: usize, unit: Unit) -> Markup {
        html! {
            @match self.missing.get(index).map(Vec::as_slice) {
                None => {}
                Some([]) => p { "✓ On hand: all that it takes." },
                Some([one]) => p { b { "Not on hand: " } "buy one " (one.label(unit)) ", and this becomes possible." },
                Some(several) => p { b { "Not on hand: " } (labels(several, unit)) "." },
            }
        }
    }
}

fn labels(items: &[Item], unit: Unit) -> String {
    let labels: Vec<String> = items.iter().map(|item| item.label(unit)).collect();
    labels.join("; ")
}

/// The switch between all remedies and those that are on hand, and what one purchase would add; nothing
/// without a drawer.
pub fn switch(page: &HolePage<'_>) -> Markup {
    let shortages = &page.shortages;
    let path = format!("/hole/{}", page.hole.id);
    let limited = format!("{path}?{PARAM}=yes#on-hand");
    html! {
        @if !shortages.missing.is_empty() {
            nav.row #on-hand aria-label="Remedies shown" {
                a.button href=(format!("{path}#on-hand")) aria-current=[(!shortages.is_limited).then_some("true")] { @if !shortages.is_limited { "✓ " } "All remedies" }
                a.button href=(limited) aria-current=[shortages.is_limited.then_some("true")] { @if shortages.is_limited { "✓ " } "Only what is on hand" }
            }
            @if shortages.is_limited { (purchases(page)) }
        }
    }
}

/// The items of which one alone stands between the shop and a remedy.
fn purchases(page: &HolePage<'_>) -> Markup {
    let unit = page.context.unit;
    let mut offers: Vec<(&Item, Vec<String>)> = Vec::new();
    let mut more = 0;
    let fitting = page.plan.assessments.iter().zip(&page.shortages.missing);
    for (assessment, missing) in fitting.filter(|(one, _)| one.verdict != Verdict::DoesNotFit) {
        match missing.as_slice() {
            [] => {}
            [item] => match offers.iter_mut().find(|(known, _)| known.is_same(item)) {
                Some((_, remedies)) => remedies.push(title(assessment, unit)),
                None => offers.push((item, vec![title(assessment, unit)])),
            },
            _ => more += 1,
        }
    }
    html! {
        @for (item, remedies) in offers {
            p { b { "Buy one " (item.label(unit)) } ": " (remedies.join("; ")) @if remedies.len() == 1 { " becomes possible." } @else { " become possible." } }
        }
        @if more > 0 { p.faint { (more) @if more == 1 { " more remedy takes" } @else { " more remedies take" } " more than one purchase." } }
    }
}
