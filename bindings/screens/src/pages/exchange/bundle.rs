//! Bundles: the same shelf as one file, to be shared by whatever a person has.

use super::run::{megabytes, things};
use crate::carrier::{Body, Request, Response, Upload};
use crate::form::Refusal;
use crate::meeting::{BundleFile, Meeting, Share};
use crate::pages::Desk;
use maud::{Markup, html};

/// The forms that write a bundle and take one in.
pub fn leaf(desk: Desk<'_>) -> Markup {
    let wrong = desk.was_refused("take");
    html! {
        section.leaf aria-labelledby="bundle" {
            h2 #bundle { "A bundle" }
            p { "One file with entries and photos, to hand on by mail, cable or stick. Whoever has it can read all that is in it." }
            div.answers.bundles {
                form method="post" action="/exchange/write" {
                    h3 { "Write one" }
                    fieldset.one-of {
                        legend { "What it holds" }
                        label.choice { input type="radio" name="what" value="new" checked; span { "What is not home yet" } }
                        label.choice { input type="radio" name="what" value="all"; span { "All of this notebook" } }
                    }
                    p.faint { "A file may never arrive, so what is in a bundle still counts as not home." }
                    button { "Write the bundle" }
                }
                form method="post" action="/exchange/take" enctype="multipart/form-data" {
                    h3 { "Take one in" }
                    div.field {
                        label for="bundle-file" { "The bundle (a .zip file)" }
                        input #bundle-file type="file" name="bundle" accept=".zip,application/zip" required
                            aria-invalid=[wrong.then_some("true")] aria-describedby="bundle-hint" autofocus[wrong];
                        small #bundle-hint { "Every line and photo in it is checked before it is taken." }
                    }
                    button { "Take it in" }
                }
            }
        }
    }
}

/// A bundle that was written, to be fetched.
pub fn written(file: &BundleFile) -> Markup {
    let number = |number: u64| usize::try_from(number).unwrap_or(usize::MAX);
    html! {
        p { (file.name) " holds " (things(number(file.entries), number(file.photos))) ", " (megabytes(file.bytes)) " MB." }
        p { a.button.main href="/exchange/file" download=(file.name) { "Save the bundle" } }
    }
}

/// The bundle that was written last, to be saved.
pub fn fetch(meeting: &dyn Meeting) -> Option<Response> {
    let run = meeting.run()?;
    let file = run.bundle()?;
    // The name stands in a header field, so it holds nothing that could end it.
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

/// What a bundle shall hold, as the form says.
pub fn share(request: &Request) -> Share {
    match request.field("what") {
        Some("all") => Share::All,
        _ => Share::NotHome,
    }
}

/// The bundle that came with the form.
pub fn came(request: &Request) -> Result<&Upload, Refusal> {
    let mut uploads = request.uploads.iter();
    uploads
        .find(|upload| upload.field == "bundle")
        .ok_or_else(|| {
            Refusal::of("Bundle", "no file was chosen; choose one, then take it in").at("bundle")
        })
}
