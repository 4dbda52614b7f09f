//! The devices that are paired with this shop computer, and revoking one.

use crate::carrier::Request;
use crate::form::{Refusal, needed_text};
use crate::meeting::{Device, Meeting};
use crate::page::{Crumb, Page, page};
use crate::pages::Desk;
use crate::pages::exchange::things;
use crate::said::after;
use crate::words::when;
use maud::{Markup, html};

/// The page; none where nobody can be paired with this device.
pub fn show(meeting: &dyn Meeting, desk: Desk<'_>) -> Option<Page> {
    let host = meeting.host()?;
    let devices = host.devices();
    let content = html! {
        div.row {
            h1.grow { "Paired devices" }
            a.button href="/pair" { "Pair a device" }
        }
        (desk.outcome_or("That was not done."))
        @match &devices {
            Err(why) => { p.problem role="alert" { (why) } }
            Ok(devices) => { (list(devices)) }
        }
    };
    let way = [
        Crumb::to("Castings", "/"),
        Crumb::to("Exchange", "/exchange"),
        Crumb::here("Paired devices"),
    ];
    Some(page(
        &desk.title_or("Not done", "Paired devices"),
        way,
        content,
    ))
}

fn list(devices: &[Device]) -> Markup {
    let (paired, revoked): (Vec<_>, Vec<_>) = devices
        .iter()
        .partition(|device| device.revoked_at.is_none());
    html! {
        @if paired.is_empty() { p { "No device is paired. A phone that is paired exchanges with this computer over the shop's network." } }
        ul.cards { @for device in paired { (card(device)) } }
        @if !revoked.is_empty() {
            section.leaf aria-labelledby="revoked" {
                h2 #revoked { "Revoked" }
                ul.journal { @for device in revoked { li {
                    span.struck { (device.name) }
                    div.faint { "Paired " (when(&device.paired_at))
                        @if let Some(at) = &device.revoked_at { ", revoked " (when(at)) }
                        ". What it brought stays." }
                } } }
            }
        }
    }
}

fn card(device: &Device) -> Markup {
    html! {
        li.leaf.shelf {
            h2 { (device.name) }
            p.faint { "Paired " (when(&device.paired_at)) "." }
            @match &device.last {
                None => { p { "It has not exchanged yet." } }
                Some((at, moved)) => {
                    p { "Last exchange " (when(at)) ". It brought " (things(moved.entries_left, moved.photos_left))
                        " and took " (things(moved.entries_taken, moved.photos_taken)) "." }
                }
            }
            details.strike {
                summary { "Revoke" span.hidden { " " (device.name) } }
                form method="post" action="/devices/revoke" {
                    input type="hidden" name="device" value=(device.id);
                    p { "Do this when the device is lost, sold or lent. From then on it can bring nothing and take nothing. "
                        "What it brought stays, and what it took stays on it. To let it in again, pair it again." }
                    button { "Revoke " (device.name) }
                }
            }
        }
    }
}

/// Revokes a device. None where nobody can be paired with this one.
pub fn revoke(meeting: &dyn Meeting, request: &Request) -> Option<Result<String, Refusal>> {
    let host = meeting.host()?;
    let device = needed_text(request, "device", "Device");
    Some(device.and_then(|device| {
        host.revoke(device)?;
        Ok(after("/devices", "revoked"))
    }))
}
