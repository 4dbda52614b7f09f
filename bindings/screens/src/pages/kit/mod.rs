//! The kit: what the open work takes, counted against the drawer, to print or to send.

mod download;

pub use download::download;

use super::work_scope::WorkOf;
use super::{FormContext, drawer, open_holes};
use crate::download::file_name;
use crate::labels::count;
use crate::page::{Crumb, Page};
use holebook_core::drawer::Group;
use holebook_core::hole::kit::{Kit, KitLine, OpenHole, hole_numbers, text};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError};
use maud::{Markup, html};

/// The page's name in addresses.
pub const WORD: &str = "kit";

/// The page.
pub fn show(
    notebook: &Notebook,
    of: WorkOf,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let kit = notebook.kit(&of.scope())?;
    let (name, mut crumbs) = of.name_and_crumbs(notebook)?;
    crumbs.push(Crumb::here("Kit"));
    let unit = context.unit;
    let content = html! {
        h1 { "Kit" span.faint { ", " (name) } }
        p.faint { "What the open work on " (count(kit.holes as usize, "hole", "holes")) " takes. Work that is done is not in it." }
        (buy(&kit, unit))
        (open(&kit.open, unit))
        @for group in Group::ALL { (group_panel(group, &kit, unit)) }
        @if kit.lines.iter().any(|line| !line.judgment.is_empty()) {
            p.faint { "Spares are judgment: how many a hole really takes depends on the iron, the tool and the hand." }
        }
        section.panel.screen-only {
            h2 { "Send it" }
            @let save = if context.shell.is_some() { "Share" } else { "Save" };
            p.row {
                a.button href=(of.path("kit/csv")) download=(file_name(&name, WORD, "csv")) { (save) " as CSV" }
                a.button href=(of.path("kit/text")) download=(file_name(&name, WORD, "txt")) { (save) " as text" }
                a.button href=(drawer::PATH) { "Drawer" }
            }
            details {
                summary { "Text to copy" }
                pre.kit-text tabindex="0" { (text(&kit, &download::title(&name), unit)) }
            }
        }
    };
    Ok(Page::new(&context.title("Kit"), crumbs, content))
}

/// What to buy or make: the end of it all, so it comes first.
fn buy(kit: &Kit, unit: Unit) -> Markup {
    let lines: Vec<&KitLine> = kit.to_buy().collect();
    html! {
        section.panel.next aria-labelledby="buy" {
            h2 #buy { "To buy or make" }
            @if lines.is_empty() {
                p { @if kit.lines.is_empty() { "Nothing: no open work takes anything." } @else { "Nothing: all of it is in the drawer." } }
            }
            ul.kit-buy { @for line in lines {
                li { span.box aria-hidden="true" {} b { (line.buy) " ×" } span { (line.label(unit)) } }
            } }
        }
    }
}

/// The holes that the kit does not cover.
fn open(open: &[OpenHole], unit: Unit) -> Markup {
    html! {
        @if !open.is_empty() {
            section.panel.conflict aria-labelledby="open" {
                h2 #open { "Not in the kit, or not wholly" }
                (open_holes::list(open, unit))
            }
        }
    }
}

fn group_panel(group: Group, kit: &Kit, unit: Unit) -> Markup {
    let lines: Vec<&KitLine> = kit.of_group(group).collect();
    html! {
        @if !lines.is_empty() {
            section.panel.kit-group aria-label=(group.label()) {
                h2 { (group.label()) }
                ul.kit-lines { @for line in lines { (line_item(line, kit, unit)) } }
            }
        }
    }
}

fn line_item(line: &KitLine, kit: &Kit, unit: Unit) -> Markup {
    let holes = hole_numbers(&line.holes, kit);
    let one = line.holes.len() == 1;
    html! {
        li {
            b.what { (line.needed) " × " (line.label(unit)) }
            span.counts {
                @if line.spares > 0 { "+ " (count(line.spares as usize, "spare", "spares")) ", " }
                @match line.on_hand {
                    Some(on_hand) => { (on_hand) " on hand" }
                    None => { "not in the drawer's list" }
                }
                ", " b { @if line.buy > 0 { "buy " (line.buy) } @else { "have it" } }
            }
            span.faint { @if kit.faces > 1 { "For " } @else if one { "Hole " } @else { "Holes " } (holes) }
            @for instead in &line.instead { span { "On hand, will do: " (instead.label(unit)) } }
            @for why in &line.judgment { span.faint { "Judgment: " (why) } }
        }
    }
}
