//! The shelves that can be exchanged with, and what the last exchange with each did.

use super::run::moved;
use crate::meeting::{NotDone, Shelf};
use crate::words::{sentence_case, when};
use holebook_core::notebook::{KnownShelf, Notebook, NotebookError};
use maud::{Markup, html};

/// A card for each shelf.
pub fn leaf(
    notebook: &Notebook,
    shelves: &Result<Vec<Shelf>, NotDone>,
    under_way: bool,
) -> Result<Markup, NotebookError> {
    let known = notebook.shelves()?;
    Ok(match shelves {
        Err(why) => html! { p.problem role="alert" { (why) } },
        Ok(shelves) if shelves.is_empty() => html! {
            p { "This notebook has exchanged with no shelf yet. A shelf is a place where devices leave entries and photos for each other." }
        },
        Ok(shelves) => html! {
            h2 { "Shelves" }
            ul.cards { @for shelf in shelves {
                (card(shelf, known.iter().find(|known| known.id == shelf.id), under_way))
            } }
        },
    })
}

fn card(shelf: &Shelf, known: Option<&KnownShelf>, under_way: bool) -> Markup {
    html! {
        li.leaf.shelf {
            h3 { (sentence_case(&shelf.name)) }
            @match known {
                Some(known) => {
                    p { "Last exchange " (when(&known.at)) ". " (moved(known.moved, 0)) }
                }
                None => { p { "Not exchanged with yet." } }
            }
            @if !under_way {
                form method="post" action="/exchange/begin" {
                    input type="hidden" name="shelf" value=(shelf.id);
                    button { "Exchange" span.hidden { " with " (shelf.name) } }
                }
            }
            (forget(shelf))
        }
    }
}

fn forget(shelf: &Shelf) -> Markup {
    html! {
        details.strike {
            summary { "Take off this list" span.hidden { ": " (shelf.name) } }
            form method="post" action="/exchange/forget" {
                input type="hidden" name="shelf" value=(shelf.id);
                @if shelf.paired {
                    p { "This device lets go of the pairing; to exchange with it again, pair again. Nothing that was written is touched." }
                } @else {
                    p { "What lies on it stays there. To exchange with it again, name it again." }
                }
                button { "Take it off" }
            }
        }
    }
}
