//! Who writes in this notebook, and how lengths are shown.

use crate::carrier::{Request, Response};
use crate::form::{Refusal, needed_text, unit_word};
use crate::page::{Crumb, page};
use crate::pages::Desk;
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError, Settings};
use maud::html;

/// The settings of this device's notebook.
pub fn show(notebook: &Notebook, desk: Desk<'_>) -> Result<Response, NotebookError> {
    let settings = notebook.settings()?;
    let form = desk.form("settings");
    let units = [Unit::Inch, Unit::Millimetre].map(|unit| {
        let words = match unit {
            Unit::Inch => "inches",
            Unit::Millimetre => "millimetres",
        };
        (unit_word(unit).to_owned(), words.to_owned())
    });
    let content = html! {
        h1 { "Settings" }
        (desk.outcome())
        form.leaf method="post" action="/settings" {
            div.fields {
                (form.text("person", "Your name", Some(&settings.person), "stands beside everything you write"))
                (form.text("device", "This device", Some(&settings.device_name), "shop computer, barn phone"))
                (form.choose("unit", "Lengths in", Some(unit_word(settings.unit)), &units))
            }
            (form.tick("keep_location", "Keep the place a photo was taken at", settings.keep_location))
            p.faint { "Cameras write their position into a photo. Unless this is ticked it is taken out "
                "when the photo comes in; the picture itself is not touched." }
            p { button.main { "Keep these" } }
        }
        section.leaf {
            h2 { "This notebook" }
            p { "Its folder: " code { (notebook.dir().display()) } }
            p.faint { "One file and the photos beside it. Copy the folder to keep a second one safe." }
        }
    };
    let way = [Crumb::to("Castings", "/"), Crumb::here("Settings")];
    Ok(page(&desk.title("Settings"), &way, content))
}

/// Keeps what was set.
pub fn change(notebook: &Notebook, request: &Request) -> Result<(), Refusal> {
    let unit = match request.field("unit") {
        Some("mm") => Unit::Millimetre,
        Some("in") => Unit::Inch,
        _ => return Err(Refusal::of("Lengths in", "choose inches or millimetres")),
    };
    notebook.set_settings(&Settings {
        person: needed_text(request, "person", "Your name")?.to_owned(),
        device_name: needed_text(request, "device", "This device")?.to_owned(),
        unit,
        keep_location: request.field("keep_location").is_some(),
    })?;
    Ok(())
}
