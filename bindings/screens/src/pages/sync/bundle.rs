//! Bundles: entries and photos as one zip file to export and import; and exports for people
//! without Holebook.

use crate::carrier::{Body, Request, Response, Upload};
use crate::form::FormError;
use crate::form_names::{Field, FormName};
use crate::labels::{entries_and_photos, megabytes};
use crate::pages::FormContext;
use crate::sync_backend::{BundleContent, BundleFile, SyncBackend};
use maud::{Markup, html};

/// The forms that export and import a bundle.
pub fn section(context: FormContext<'_>) -> Markup {
    let wrong = context.was_rejected(FormName::ImportBundle);
    html! {
        section.panel aria-labelledby="bundle" {
            h2 #bundle { "Bundle" }
            p { "One file with entries and photos, to send by mail, cable or stick. Anyone who has it can read all of it." }
            div.side-by-side.bundles {
                form method="post" action=(FormName::ExportBundle.address()) {
                    h3 { "Export" }
                    fieldset.radio-group {
                        legend { "Contents" }
                        label.choice { input type="radio" name=(Field::Share.name()) value="new" checked; span { "Not synced yet" } }
                        label.choice { input type="radio" name=(Field::Share.name()) value="all"; span { "Whole notebook" } }
                    }
                    p.faint { "A file may get lost, so what is in a bundle still counts as not synced." }
                    button { "Export bundle" }
                }
                form method="post" action=(FormName::ImportBundle.address()) enctype="multipart/form-data" {
                    h3 { "Import" }
                    div.field {
                        label for="bundle-file" { "Bundle (.zip file)" }
                        input #bundle-file type="file" name=(Field::Bundle.name()) accept=".zip,application/zip" required
                            aria-invalid=[wrong.then_some("true")] aria-describedby="bundle-hint" autofocus[wrong];
                        small #bundle-hint { "Every entry and photo is checked before it is imported." }
                    }
                    button { "Import bundle" }
                }
            }
        }
    }
}

/// The form that exports the notebook for people without Holebook.
pub fn export_section() -> Markup {
    html! {
        section.panel aria-labelledby="export" {
            h2 #export { "Export" }
            p { "The whole notebook as plain files in one zip: tables for a spreadsheet, every entry as text, the photos, and a "
                "README that explains them. Readable without Holebook. Anyone who has it can read all of it." }
            form method="post" action=(FormName::Export.address()) { button { "Export files" } }
        }
    }
}

/// A bundle or export that was written, with a link to download it, or to share it with other apps.
/// `save` is the link's text: `Save the bundle`.
pub fn written(save: &str, file: &BundleFile, can_share: bool) -> Markup {
    html! {
        p { (file.name) ": " (entries_and_photos(file.entries, file.photos)) ", " (megabytes(file.bytes)) " MB." }
        p { a.button.main href="/sync/file" download=(file.name) { @if can_share { (save.replacen("Save", "Save or share", 1)) } @else { (save) } } }
    }
}

/// The bundle or export that was written last, as a download.
pub fn download(backend: &dyn SyncBackend) -> Option<Response> {
    let run = backend.run()?;
    let file = run.bundle()?;
    // The name goes into a header field, so it must not contain anything that could end it.
    let name: String = file
        .name
        .chars()
        .filter(|letter| letter.is_ascii_alphanumeric() || "-_.".contains(*letter))
        .collect();
    Some(Response {
        status: 200,
        headers: vec![
            ("content-type", "application/zip".to_owned()),
            (
                "content-disposition",
                format!("attachment; filename=\"{name}\""),
            ),
            ("cache-control", "no-store".to_owned()),
        ],
        body: Body::File(file.path.clone()),
    })
}

/// Reads what to export.
pub fn share(request: &Request) -> BundleContent {
    match request.field(Field::Share) {
        Some("all") => BundleContent::All,
        _ => BundleContent::NotSynced,
    }
}

/// The bundle that was uploaded with the form.
pub fn uploaded(request: &Request) -> Result<&Upload, FormError> {
    let mut uploads = request.uploads.iter();
    uploads
        .find(|upload| upload.field == Field::Bundle.name())
        .ok_or_else(|| {
            let message = "no file chosen; choose one, then import it";
            FormError::of(Field::Bundle, "Bundle", message)
        })
}
