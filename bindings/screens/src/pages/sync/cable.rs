//! Sync without a network, through a folder of the phone that a computer sees over a cable.

use crate::carrier::ShellState;
use maud::{Markup, html};

/// The section with the folder and the steps; the shell answers its form.
pub fn section(shell: &ShellState) -> Markup {
    html! {
        section.panel aria-labelledby="cable" {
            h2 #cable { "By cable" }
            @match &shell.cable_folder {
                Some(folder) => { (steps(folder)) }
                None => { p { "The phone's shared storage is not available. Unplug the cable or put the card back, then reload." } }
            }
        }
    }
}

fn steps(folder: &str) -> Markup {
    html! {
        p { "Without a network, sync through a folder on this phone that a computer sees over a cable." }
        form method="post" action="/shell/sync-cable" { button { "Sync with the cable folder" } }
        details {
            summary { "Steps" }
            ol {
                li { "Sync with the cable folder." }
                li { "Connect the phone to the shop computer by cable, and let it show its files. Copy this folder to the computer:"
                    p.shell-path { (folder) } }
                li { "On the computer, run " code { "holebook sync --folder" } " with the copy. Copy what is new back into the phone's folder. \
                      Files in it never change, so copying over them loses nothing." }
                li { "Sync with the cable folder again." }
            }
            p.faint { "Removing the app deletes this folder and the notebook." }
        }
    }
}
