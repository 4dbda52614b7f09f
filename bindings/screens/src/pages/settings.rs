//! Settings of this device: whose it is, its unit, and the kinds of drills in the bench tables.

use crate::carrier::Request;
use crate::form::{Form, FormError, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::sentence_case;
use crate::page::{Crumb, Page};
use crate::pages::{FormContext, drawer, limits};
use holebook_core::drill::{DrillKind, DrillKinds};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError, Settings};
use maud::{Markup, html};

const PERSON: &str = "Your name";
const DEVICE: &str = "Device name";
const UNIT: &str = "Units";

/// The page.
pub fn show(notebook: &Notebook, context: FormContext<'_>) -> Result<Page, NotebookError> {
    let settings = notebook.settings()?;
    let form = context.form(FormName::Settings);
    let units = [Unit::Inch, Unit::Millimeter].map(|unit| {
        let label = match unit {
            Unit::Inch => "inches",
            Unit::Millimeter => "millimeters",
        };
        (unit.to_string(), label.to_owned())
    });
    let content = html! {
        h1 { "Settings" }
        (context.outcome())
        form.panel method="post" action=(FormName::Settings.address()) {
            div.fields {
                (form.text(Field::Person, PERSON, Some(&settings.person), "shown with every entry you record"))
                (form.text(Field::Device, DEVICE, Some(&settings.device_name), "shop computer, barn phone"))
                (form.select(Field::Unit, UNIT, Some(&settings.unit.to_string()), &units))
            }
            (form.checkbox(Field::KeepPhotoGps, "Keep photo GPS", settings.keep_photo_gps))
            p.faint { "Checked: photos are stored exactly as they come, with position and all other data. "
                "Not checked: only the picture, its colors, which way is up, times and camera are stored." }
            (kinds_of_drills(form, settings.drill_kinds))
            p { button.main { "Save" } }
        }
        (limits::section(notebook, context)?)
        section.panel {
            h2 { "This notebook" }
            p { "Folder: " code { (notebook.dir().display()) } }
            p.faint { "One file and the photos beside it. Copy the folder for a backup." }
        }
    };
    let crumbs = [Crumb::to("Castings", "/"), Crumb::here("Settings")];
    Ok(Page::new(&context.title("Settings"), crumbs, content))
}

/// Check boxes for the kinds of drills that the bench tables choose from.
fn kinds_of_drills(form: Form<'_>, now: Option<DrillKinds>) -> Markup {
    html! {
        fieldset {
            legend { "Kinds of drills in the bench tables" }
            @for kind in DrillKind::ALL {
                (form.checkbox(Field::Drawer(kind), &sentence_case(kind.name()), now.is_some_and(|kinds| kinds.has(kind))))
            }
            p.faint { "None checked = all kinds are considered. What the shop has, piece by piece, is in the " a href=(drawer::PATH) { "drawer" } "." }
        }
    }
}

/// Reads the checked kinds; `None` if none is.
fn read_drill_kinds(request: &Request) -> Option<DrillKinds> {
    let checked = |kind: &DrillKind| request.field(Field::Drawer(*kind)).is_some();
    let kinds: Vec<DrillKind> = DrillKind::ALL.into_iter().filter(checked).collect();
    (!kinds.is_empty()).then(|| DrillKinds::of(&kinds))
}

/// Saves the settings.
pub fn save(notebook: &Notebook, request: &Request) -> Result<(), FormError> {
    let unit = match request.field(Field::Unit) {
        Some("mm") => Unit::Millimeter,
        Some("in") => Unit::Inch,
        _ => {
            let message = "choose inches or millimeters";
            return Err(FormError::of(Field::Unit, UNIT, message));
        }
    };
    notebook.set_settings(&Settings {
        person: required_text(request, Field::Person, PERSON)?.to_owned(),
        device_name: required_text(request, Field::Device, DEVICE)?.to_owned(),
        unit,
        keep_photo_gps: request.field(Field::KeepPhotoGps).is_some(),
        drill_kinds: read_drill_kinds(request),
    })?;
    Ok(())
}
