//! A bucket or a WebDAV folder, named by a person: where it is, and which file holds its keys.

use super::whole_path;
use crate::carrier::Request;
use crate::form::{Refusal, needed_text};
use crate::meeting::Bucket;
use crate::pages::Desk;
use maud::{Markup, html};

const KEYS: &str = "The file of its keys";

/// The form, folded: it is filled once, and the shelf is on the list from then on.
pub fn leaf(desk: Desk<'_>) -> Markup {
    let form = desk.form("bucket");
    html! {
        details.leaf open[desk.was_refused("bucket")] {
            summary { "A bucket or a WebDAV folder" }
            p { "A shelf on the network for several benches. Whoever runs it, or has its keys, can read what lies there." }
            form method="post" action="/exchange/bucket" {
                (form.text("address", "Its address", None, "https://store.example/holebook for a WebDAV folder, s3://bucket/folder for a bucket"))
                (form.text("endpoint", "Where the store answers", None, "for a bucket only: https://store.example"))
                (form.text("keys", KEYS, None, "its path on this computer; a text file that nobody else can read, with lines such as user = \"bench\" and password = \"...\", or key and secret for a bucket. What it holds is copied nowhere."))
                (form.tick("unencrypted", "Go there unencrypted: the network is the shop's alone", false))
                p { button { "Exchange with it" } }
            }
        }
    }
}

/// What the form says.
pub fn asked(request: &Request) -> Result<Bucket<'_>, Refusal> {
    let keys = request.field("keys").map(|path| whole_path(path, KEYS));
    Ok(Bucket {
        address: needed_text(request, "address", "Its address")?,
        endpoint: request.field("endpoint"),
        keys: keys.transpose().map_err(|why| why.at("keys"))?,
        unencrypted: request.field("unencrypted").is_some(),
    })
}
