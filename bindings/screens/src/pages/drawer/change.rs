//! One item of the drawer: how many there are, and the buttons that change it.

use super::{FormContext, at, named};
use crate::carrier::Request;
use crate::form::FormError;
use crate::form_names::{Field, FormName};
use crate::notices::Notice;
use chrono::NaiveDate;
use holebook_core::drawer::{Group, Item, ItemCount, ItemOnHand};
use holebook_core::notebook::Notebook;
use maud::{Markup, html};

/// What a button does to the counts.
#[derive(Clone, Copy, PartialEq)]
enum Change {
    More,
    UsedUp,
    Worn,
    Sharpened,
    Discarded,
    Checked,
}

impl Change {
    const ALL: [Change; 6] = [
        Change::More,
        Change::UsedUp,
        Change::Worn,
        Change::Sharpened,
        Change::Discarded,
        Change::Checked,
    ];

    const fn word(self) -> &'static str {
        match self {
            Change::More => "more",
            Change::UsedUp => "used-up",
            Change::Worn => "worn",
            Change::Sharpened => "sharpened",
            Change::Discarded => "discarded",
            Change::Checked => "checked",
        }
    }

    const fn label(self) -> &'static str {
        match self {
            Change::More => "One more",
            Change::UsedUp => "One used up",
            Change::Worn => "One is worn",
            Change::Sharpened => "Worn one sharpened",
            Change::Discarded => "Worn one thrown out",
            Change::Checked => "Save date",
        }
    }

    /// Whether it makes sense for an item.
    fn applies(self, one: &ItemOnHand) -> bool {
        let wears = matches!(
            one.item.group(),
            Group::Drills | Group::Taps | Group::Countersinks | Group::OtherTools
        );
        match self {
            Change::More => true,
            Change::UsedUp => one.count > 0,
            Change::Worn => wears && one.count > 0,
            Change::Sharpened | Change::Discarded => one.worn > 0,
            Change::Checked => false,
        }
    }

    fn apply(self, count: &mut ItemCount, checked: Option<NaiveDate>) {
        match self {
            Change::More => count.count = count.count.saturating_add(1),
            Change::UsedUp => count.count = count.count.saturating_sub(1),
            Change::Worn if count.count > 0 => {
                count.count -= 1;
                count.worn = count.worn.saturating_add(1);
            }
            Change::Sharpened if count.worn > 0 => {
                count.worn -= 1;
                count.count = count.count.saturating_add(1);
            }
            Change::Discarded => count.worn = count.worn.saturating_sub(1),
            Change::Checked => count.checked = checked,
            Change::Worn | Change::Sharpened => {}
        }
    }
}

/// The item with its count; open, the buttons that change it.
pub fn item(one: &ItemOnHand, context: FormContext<'_>) -> Markup {
    let label = one.item.label(context.unit);
    let gauge = one.item.group() == Group::Gauges;
    html! {
        details.drawer-item {
            summary {
                span { (label) }
                b { (one.count) @if one.worn > 0 { " + " (one.worn) " worn" } }
                @if gauge { span.faint { @if let Some(checked) = one.checked { "checked " (checked) } @else { "never checked" } } }
                @if one.differ { span { "Two devices disagree: the lower count is shown." } }
            }
            form.drawer-change method="post" action=(FormName::ChangeItem.address()) {
                (named(&one.item))
                @for change in Change::ALL.into_iter().filter(|change| change.applies(one)) {
                    button name=(Field::Change.name()) value=(change.word()) { (change.label()) span.visually-hidden { ": " (label) } }
                }
                @if gauge {
                    label { "Last checked" input type="date" name=(Field::Checked.name()) value=[one.checked]; }
                    button name=(Field::Change.name()) value=(Change::Checked.word()) { (Change::Checked.label()) }
                }
            }
        }
    }
}

/// Records a change; returns the address of the next page.
pub fn submit(notebook: &Notebook, request: &Request) -> Result<String, FormError> {
    let item = request.field(Field::Item);
    let item: Option<Item> = item.and_then(|json| serde_json::from_str(json).ok());
    let word = request.field(Field::Change);
    let change = Change::ALL
        .into_iter()
        .find(|change| Some(change.word()) == word);
    let (item, change) = item.zip(change).ok_or_else(|| {
        FormError::new("This page has an item that cannot be read; reload the page.")
    })?;
    let checked = read_date(request)?;
    notebook.change_on_hand(&item, |count| change.apply(count, checked))?;
    Ok(at(item.group(), Notice::ItemChanged))
}

/// Reads the date of a gauge's last check; `None` if it is blank.
pub fn read_date(request: &Request) -> Result<Option<NaiveDate>, FormError> {
    let date = request.field(Field::Checked).map(str::parse).transpose();
    date.map_err(|_| {
        FormError::of(
            Field::Checked,
            "Last checked",
            "enter a date such as 2026-11-30",
        )
    })
}
