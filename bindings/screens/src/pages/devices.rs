//! Devices paired with this shop computer, and a form to revoke one.

use crate::carrier::Request;
use crate::form::{FormError, hidden, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::{date_time, entries_and_photos};
use crate::notices::{Notice, with_notice};
use crate::page::{Crumb, Page};
use crate::pages::FormContext;
use crate::pages::sync;
use crate::sync_backend::{PairedDevice, SyncBackend};
use holebook_core::display_name::shown;
use maud::{Markup, html};

/// The page; `None` if no device can pair with this one.
pub fn show(backend: &dyn SyncBackend, context: FormContext<'_>) -> Option<Page> {
    let server = backend.pairing_server()?;
    let devices = server.devices();
    let content = html! {
        div.row {
            h1.grow { "Paired devices" }
            a.button href="/pair" { "Pair a device" }
        }
        (context.outcome_or("Not done."))
        @match &devices {
            Err(why) => { p.problem role="alert" { (why) } }
            Ok(devices) => { (list(devices)) }
        }
    };
    let crumbs = [
        Crumb::to("Castings", "/"),
        Crumb::to("Sync", sync::PATH),
        Crumb::here("Paired devices"),
    ];
    Some(Page::new(
        &context.title_or("Not done", "Paired devices"),
        crumbs,
        content,
    ))
}

fn list(devices: &[PairedDevice]) -> Markup {
    let (paired, revoked): (Vec<_>, Vec<_>) = devices
        .iter()
        .partition(|device| device.revoked_at.is_none());
    html! {
        @if paired.is_empty() { p { "No device is paired. A paired phone syncs with this computer over the shop's network." } }
        ul.cards { @for device in paired { (card(device)) } }
        @if !revoked.is_empty() {
            section.panel aria-labelledby="revoked" {
                h2 #revoked { "Revoked" }
                ul.journal { @for device in revoked { li {
                    span.struck-out { (shown(&device.name)) }
                    div.faint { "Number " (device.id) ", paired " (date_time(&device.paired_at))
                        @if let Some(at) = &device.revoked_at { ", revoked " (date_time(at)) }
                        ". What it synced stays." }
                } } }
            }
        }
    }
}

fn card(device: &PairedDevice) -> Markup {
    html! {
        li.panel.remote {
            h2 { (shown(&device.name)) }
            p.faint { "Number " (device.id) ", paired " (date_time(&device.paired_at)) "." }
            @match &device.last_sync {
                None => { p { "Not synced yet." } }
                Some((at, moved)) => {
                    p { "Last sync " (date_time(at)) ". It sent " (entries_and_photos(moved.entries_pushed, moved.photos_pushed))
                        " and received " (entries_and_photos(moved.entries_pulled, moved.photos_pulled)) "." }
                }
            }
            details.row-action {
                summary { "Revoke" span.visually-hidden { " " (shown(&device.name)) ", number " (device.id) } }
                form method="post" action=(FormName::RevokeDevice.address()) {
                    (hidden(Field::Device, &device.id))
                    p { "For a device that is lost, sold or lent. It can no longer sync. "
                        "What it synced stays, here and on it. To undo this, pair it again." }
                    button { "Revoke " (shown(&device.name)) }
                }
            }
        }
    }
}

/// Revokes a device; `None` if no device can pair with this one.
pub fn revoke(backend: &dyn SyncBackend, request: &Request) -> Option<Result<String, FormError>> {
    let server = backend.pairing_server()?;
    let device = required_text(request, Field::Device, "Device");
    Some(device.and_then(|device| {
        server.revoke(device)?;
        Ok(with_notice("/devices", Notice::Revoked))
    }))
}
