//! A form for a bucket or a WebDAV folder: its address and the file with its keys.

use super::absolute_path;
use crate::carrier::Request;
use crate::form::{FormError, required_text};
use crate::form_names::{Field, FormName};
use crate::pages::FormContext;
use crate::sync_backend::BucketRequest;
use maud::{Markup, html};

const ADDRESS: &str = "Address";
const KEYS: &str = "Key file";

/// The form, folded: it is filled in once, then the remote is on the list.
pub fn section(context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::SyncBucket);
    html! {
        details.panel open[context.was_rejected(FormName::SyncBucket)] {
            summary { "Bucket or WebDAV folder" }
            p { "A remote on the network for several benches. Whoever runs it, or has its keys, can read what is on it." }
            form method="post" action=(FormName::SyncBucket.address()) {
                (form.text(Field::Address, ADDRESS, None, "https://store.example/holebook for a WebDAV folder, s3://bucket/folder for a bucket"))
                (form.text(Field::Endpoint, "Endpoint", None, "for a bucket only: https://store.example"))
                (form.text(Field::Keys, KEYS, None, "its path on this computer; a text file that nobody else can read, with lines such as user = \"bench\" and password = \"...\", or key and secret for a bucket. It is never copied."))
                (form.checkbox(Field::Unencrypted, "Connect without encryption: this network is the shop's own", false))
                p { button { "Sync with it" } }
            }
        }
    }
}

/// Reads the form.
pub fn read(request: &Request) -> Result<BucketRequest<'_>, FormError> {
    let keys = request
        .field(Field::Keys)
        .map(|path| absolute_path(path, Field::Keys, KEYS));
    Ok(BucketRequest {
        address: required_text(request, Field::Address, ADDRESS)?,
        endpoint: request.field(Field::Endpoint),
        keys: keys.transpose()?,
        unencrypted: request.field(Field::Unencrypted).is_some(),
    })
}
