//! Pairing: the code for another device, and the field for a shop computer's code.

use crate::carrier::Request;
use crate::form::{FormError, required_text};
use crate::form_names::{Field, FormName};
use crate::notices::{Notice, with_notice};
use crate::page::{Crumb, Page};
use crate::pages::{FormContext, sync};
use crate::sync_backend::{
    PairingClient, PairingCode, PairingCodeState, PairingServer, SyncBackend,
};
use base64::prelude::{BASE64_STANDARD, Engine};
use holebook_core::display_name::shown;
use maud::{Markup, html};

/// Seconds between refreshes of the page while a code is open.
const REFRESH_SECONDS: u16 = 4;

const CODE: &str = "Pairing code or link";

/// The page; `None` if this device cannot pair.
pub fn show(
    backend: &dyn SyncBackend,
    request: &Request,
    context: FormContext<'_>,
) -> Option<Page> {
    let (server, client) = (backend.pairing_server(), backend.pairing_client());
    if server.is_none() && client.is_none() {
        return None;
    }
    let code = server.and_then(PairingServer::code);
    let waits = code
        .as_ref()
        .is_some_and(|code| matches!(code.state, PairingCodeState::Open { .. }));
    let title = match server {
        Some(_) => "Pair a device",
        None => "Pair with a shop computer",
    };
    let content = html! {
        h1 { (title) }
        (context.outcome_or("Not done."))
        @if let Some(server) = server { (server_section(server, code.as_ref())) }
        @if client.is_some() { (client_section(server.is_some(), request, context)) }
    };
    let crumbs = [
        Crumb::to("Castings", "/"),
        Crumb::to("Sync", sync::PATH),
        Crumb::here("Pair"),
    ];
    Some(
        Page::new(&context.title_or("Not done", title), crumbs, content)
            .refreshed_every(waits.then_some(REFRESH_SECONDS)),
    )
}

fn server_section(server: &dyn PairingServer, code: Option<&PairingCode>) -> Markup {
    html! {
        @match server.address() {
            Ok(at) => { p.faint { "While this program runs, paired devices on the same network reach this computer at " span.nowrap { (at) } "." } }
            Err(why) => { p.problem role="alert" { (why) } }
        }
        @match code {
            None => { (new_code("Pair a phone once; it then syncs with this computer whenever both are on the shop's network.", "Make a pairing code")) }
            Some(code) => { (code_section(code)) }
        }
    }
}

fn new_code(text: &str, button: &str) -> Markup {
    html! {
        section.panel.next {
            p { (text) }
            form method="post" action=(FormName::MakeCode.address()) { button.main { (button) } }
        }
    }
}

fn code_section(code: &PairingCode) -> Markup {
    match &code.state {
        PairingCodeState::Open { digits, renewed } => open_code(code, digits, *renewed),
        PairingCodeState::Used(name) => html! {
            p.big role="status" { "✓ " (shown(name)) " is paired." }
            p { a.button href="/devices" { "Paired devices" } }
            (new_code("A code pairs one device.", "Make a code for another device"))
        },
        PairingCodeState::Expired => new_code(
            "The code no longer works: it expired, was withdrawn, or a newer one replaced it.",
            "Make a new code",
        ),
    }
}

fn open_code(code: &PairingCode, digits: &str, renewed: bool) -> Markup {
    let picture = BASE64_STANDARD.encode(&code.picture_svg);
    html! {
        section.panel.next.code #code data-follow aria-labelledby="code-head" {
            h2 #code-head { "On the other device" }
            p { "Open Holebook there, then Sync, then Pair. Scan this, or type the digits." }
            @if renewed {
                p.caution { b { "Caution: " } "Wrong digits were typed too often, so they were replaced. Type these now; if you did not type the wrong ones, somebody else on this network did." }
            }
            div.pairing-code {
                img.qr-code src=(format!("data:image/svg+xml;base64,{picture}")) alt="Pairing code to scan; or type the digits beside it";
                div {
                    p.code-digits { (digits) }
                    p.faint { "If that device does not find this computer, type this before the digits: " span.nowrap { (code.address) } }
                }
            }
            p { b { "Expires at " (code.until.format("%H:%M")) } ". Pairs one device." }
            p.caution { b { "Caution: " } "Anyone with this code can read and change this whole notebook." }
            details { summary { "Link" } p.pairing-link { code { (code.link) } } }
            form method="post" action=(FormName::WithdrawCode.address()) { button { "Withdraw code" } }
        }
    }
}

/// The field for a shop computer's code; a scanned code comes in the address.
fn client_section(folded: bool, request: &Request, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::PairWithShop);
    let field = html! {
        form method="post" action=(FormName::PairWithShop.address()) {
            (form.lines(Field::Code, CODE, request.param("code"), "on the shop computer under Sync, Pair a device: nine digits, with its address before them if it is not found"))
            p { button.main[!folded] { "Pair" } }
        }
    };
    html! {
        @if folded {
            details.panel open[context.was_rejected(FormName::PairWithShop)] { summary { "Pair this computer with another shop computer" } (field) }
        } @else {
            section.panel.next { (field) }
        }
    }
}

/// Processes a form of the page and returns the address of the next page; `None` if this device
/// has no such form.
pub fn submit(
    backend: &dyn SyncBackend,
    form: FormName,
    request: &Request,
) -> Option<Result<String, FormError>> {
    Some(match form {
        FormName::MakeCode => {
            let made = backend.pairing_server()?.create_code();
            made.map(|()| with_notice("/pair", Notice::NewCode))
                .map_err(FormError::from)
        }
        FormName::WithdrawCode => {
            let withdrawn = backend.pairing_server()?.cancel_code();
            withdrawn
                .map(|()| with_notice("/pair", Notice::CodeWithdrawn))
                .map_err(FormError::from)
        }
        FormName::PairWithShop => pair(backend.pairing_client()?, request),
        _ => return None,
    })
}

fn pair(client: &dyn PairingClient, request: &Request) -> Result<String, FormError> {
    let code = required_text(request, Field::Code, CODE)?;
    match client.pair(code) {
        Ok(_) => Ok(with_notice(sync::PATH, Notice::Paired)),
        Err(why) => Err(FormError::from(why).at(Field::Code)),
    }
}
