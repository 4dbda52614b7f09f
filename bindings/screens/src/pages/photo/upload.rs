//! Adding a photo from a file that was sent with a form.

use crate::carrier::{Request, Upload};
use crate::form::FormError;
use crate::form_names::Field;
use crate::notices::Notice;
use holebook_core::notebook::{NotebookError, PhotoId};
use holebook_core::photo::ImportedPhoto;
use std::path::Path;

/// Adds the chosen file with `import`, which gets its path and name; returns what the next page says
/// of it.
pub fn add(
    request: &Request,
    import: impl FnOnce(&Path, &str) -> Result<(PhotoId, ImportedPhoto), NotebookError>,
) -> Result<(PhotoId, Notice), FormError> {
    let chosen = request
        .uploads
        .iter()
        .find(|upload| upload.field == Field::Photo.name());
    let Some(Upload { name, path, .. }) = chosen else {
        let message = "no file chosen; choose one, then add it";
        return Err(FormError::of(Field::Photo, "Photo", message));
    };
    let added = import(path, name);
    let (photo, file) = added.map_err(|error| photo_error(&error.to_string(), path, name))?;
    let notice = if file.incomplete {
        Notice::PhotoIncomplete
    } else {
        Notice::PhotoAdded
    };
    Ok((photo, notice))
}

/// Names the photo as the person knows it, not by the temporary file it was uploaded to.
fn photo_error(message: &str, path: &Path, name: &str) -> FormError {
    let short: String = name.chars().take(60).collect();
    let shown = if short.is_empty() {
        "The photo".to_owned()
    } else {
        format!("'{short}'")
    };
    FormError::new(message.replace(&path.display().to_string(), &shown)).at(Field::Photo)
}
