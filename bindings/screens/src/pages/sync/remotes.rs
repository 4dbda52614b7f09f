//! The remotes to sync with, and the last sync with each.

use super::run::transferred;
use crate::form::hidden;
use crate::form_names::{Field, FormName};
use crate::labels::{date_time, sentence_case};
use crate::sync_backend::{KnownRemote as Remote, SyncRefused};
use holebook_core::display_name::shown;
use holebook_core::notebook::{KnownRemote, Notebook, NotebookError};
use maud::{Markup, html};

/// A card for each remote.
pub fn section(
    notebook: &Notebook,
    remotes: &Result<Vec<Remote>, SyncRefused>,
    running: bool,
) -> Result<Markup, NotebookError> {
    let known = notebook.remotes()?;
    Ok(match remotes {
        Err(why) => html! { p.problem role="alert" { (why) } },
        Ok(remotes) if remotes.is_empty() => html! {
            p { "No remote yet. A remote is a place where devices sync entries and photos: the shop computer, a folder, a stick or a bucket." }
        },
        Ok(remotes) => html! {
            h2 { "Remotes" }
            ul.cards { @for remote in remotes {
                (card(remote, known.iter().find(|known| known.id == remote.id), running))
            } }
        },
    })
}

fn card(remote: &Remote, known: Option<&KnownRemote>, running: bool) -> Markup {
    html! {
        li.panel.remote {
            h3 { (sentence_case(&shown(&remote.name))) }
            @match known {
                Some(known) => {
                    p { "Last sync " (date_time(&known.at)) ". " (transferred(known.counts, 0)) }
                }
                None => { p { "Not synced yet." } }
            }
            @if !running {
                form method="post" action=(FormName::StartSync.address()) {
                    (hidden(Field::Remote, &remote.id))
                    button { "Sync" span.visually-hidden { " with " (shown(&remote.name)) } }
                }
            }
            (forget(remote))
        }
    }
}

fn forget(remote: &Remote) -> Markup {
    html! {
        details.row-action {
            summary { "Remove from list" span.visually-hidden { ": " (shown(&remote.name)) } }
            form method="post" action=(FormName::ForgetRemote.address()) {
                (hidden(Field::Remote, &remote.id))
                @if remote.paired {
                    p { "Ends the pairing; to sync with it again, pair again. No data is changed." }
                } @else {
                    p { "Its data stays. To sync with it again, enter it again." }
                }
                button { "Remove" }
            }
        }
    }
}
