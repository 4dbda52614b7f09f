//! The drawer: what the shop has on hand, filled in a whole set at a time, and counted one by one.

mod add;
mod change;
mod sheets;
pub mod wear;

use super::FormContext;
use crate::carrier::Request;
use crate::form::{FormError, hidden};
use crate::form_names::{Field, FormName};
use crate::notices::{Notice, with_notice};
use crate::page::{Crumb, Page};
use holebook_core::drawer::{Group, Item, ItemSet, OnHand};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError};
use maud::{Markup, html};

/// The page's address.
pub const PATH: &str = "/drawer";

/// The page.
pub fn show(notebook: &Notebook, context: FormContext<'_>) -> Result<Page, NotebookError> {
    let on_hand = notebook.on_hand()?;
    let content = html! {
        h1 { "Drawer" }
        (context.outcome())
        p { "What the shop has. The kit counts it off, and remedies can be limited to it. Where nothing is entered in a group, that group "
            "limits nothing." }
        p { a.button href=(wear::PATH) { "Tool wear" } }
        (sets(&on_hand))
        @for group in add::GROUPS { (group_panel(group, &on_hand, notebook, context)?) }
    };
    let crumbs = [Crumb::to("Castings", "/"), Crumb::here("Drawer")];
    Ok(Page::new(&context.title("Drawer"), crumbs, content))
}

/// The sets of which something is missing, a button each.
fn sets(on_hand: &OnHand) -> Markup {
    let is_missing = |item: &Item| on_hand.get(item).is_none_or(|one| one.count == 0);
    let open = ItemSet::ALL.into_iter();
    let open: Vec<ItemSet> = open
        .filter(|set| set.items().iter().any(is_missing))
        .collect();
    html! {
        @if !open.is_empty() {
            section.panel.next[on_hand.is_empty()] aria-labelledby="sets" {
                h2 #sets { "Whole sets" }
                p.faint { "One tap adds one of each size that is not in the drawer yet. Sizes as boxes are usually sold." }
                form.drawer-sets method="post" action=(FormName::AddSet.address()) {
                    @for set in open {
                        button name=(Field::ItemSet.name()) value=(set.word()) { (set.label()) }
                    }
                }
            }
        }
    }
}

/// The id of a group's panel.
fn panel_id(group: Group) -> String {
    format!("group-{group}")
}

fn group_panel(
    group: Group,
    on_hand: &OnHand,
    notebook: &Notebook,
    context: FormContext<'_>,
) -> Result<Markup, NotebookError> {
    let items: Vec<_> = on_hand.of_group(group).collect();
    let worn: u32 = items.iter().map(|one| one.worn).sum();
    let inserts = group == Group::Inserts;
    Ok(html! {
        section.panel id=(panel_id(group)) aria-label=(group.label()) {
            h2 { (group.label()) @if !items.is_empty() { span.faint { ", " (items.len()) @if worn > 0 { ", " (worn) " worn" } } } }
            @if !items.is_empty() {
                div.drawer-items { @for one in items { (change::item(one, context)) } }
            }
            (add::form(group, context))
            @if inserts { (sheets::section(notebook, context)?) }
        }
    })
}

/// A hidden field that names an item.
fn named(item: &Item) -> Markup {
    hidden(Field::Item, serde_json::json!(item))
}

/// The address of a group on the page, with a notice.
fn at(group: Group, notice: Notice) -> String {
    format!("{}#{}", with_notice(PATH, notice), panel_id(group))
}

/// Processes a form of the page; returns the address of the next page.
pub fn submit(
    notebook: &Notebook,
    form: FormName,
    request: &Request,
    unit: Unit,
) -> Result<String, FormError> {
    match form {
        FormName::AddSet => {
            let set = request.field(Field::ItemSet).and_then(ItemSet::from_word);
            let set = set.ok_or_else(|| FormError::new("Choose one of the sets."))?;
            notebook.add_on_hand(&set.items())?;
            Ok(with_notice(PATH, Notice::SetAdded))
        }
        FormName::ChangeItem => change::submit(notebook, request),
        FormName::MakersSheet => sheets::add(notebook, request, unit),
        FormName::RemoveSheet => sheets::remove(notebook, request),
        FormName::RenewTool => wear::renew(notebook, request),
        _ => add::submit(notebook, request, unit),
    }
}
