//! Who writes in this notebook, and how lengths are shown.

use crate::carrier::Request;
use crate::form::{Form, Refusal, needed_text, unit_word};
use crate::page::{Crumb, Page, page};
use crate::pages::Desk;
use crate::words::sentence_case;
use holebook_core::drill::{Drawer, Kind};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError, Settings};
use maud::{Markup, html};

/// The settings of this device's notebook.
pub fn show(notebook: &Notebook, desk: Desk<'_>) -> Result<Page, NotebookError> {
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
            (drawer(form, settings.drawer))
            p { button.main { "Keep these" } }
        }
        section.leaf {
            h2 { "This notebook" }
            p { "Its folder: " code { (notebook.dir().display()) } }
            p.faint { "One file and the photos beside it. Copy the folder to keep a second one safe." }
        }
    };
    let way = [Crumb::to("Castings", "/"), Crumb::here("Settings")];
    Ok(page(&desk.title("Settings"), way, content))
}

/// The kinds of drills at hand, to tick.
fn drawer(form: Form<'_>, now: Option<Drawer>) -> Markup {
    html! {
        fieldset {
            legend { "Drills in my drawer" }
            @for kind in Kind::ALL {
                (form.tick(&field_of(kind), &sentence_case(kind.name()), now.is_some_and(|drawer| drawer.has(kind))))
            }
            p.faint { "With none ticked, every kind is looked through where a drill is to be chosen." }
        }
    }
}

fn field_of(kind: Kind) -> String {
    format!("drawer-{}", kind.word())
}

/// The kinds that are ticked; `None` where none is.
fn read_drawer(request: &Request) -> Option<Drawer> {
    let ticked = |kind: &Kind| request.field(&field_of(*kind)).is_some();
    let kinds: Vec<Kind> = Kind::ALL.into_iter().filter(ticked).collect();
    (!kinds.is_empty()).then(|| Drawer::of(&kinds))
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
        drawer: read_drawer(request),
    })?;
    Ok(())
}
