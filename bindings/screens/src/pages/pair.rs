//! Pairing: the code that another device pairs by, and the field for a shop computer's code.

use crate::carrier::Request;
use crate::form::{Refusal, needed_text};
use crate::meeting::{Code, CodeState, Guest, Host, Meeting};
use crate::page::{Crumb, Page, page};
use crate::pages::Desk;
use crate::said::after;
use base64::prelude::{BASE64_STANDARD, Engine};
use maud::{Markup, html};

/// How often the page looks whether somebody came in, in seconds.
const AGAIN: u16 = 4;

const CODE: &str = "The shop computer's words, or its link";

/// The page; none where this device pairs in neither way.
pub fn show(meeting: &dyn Meeting, request: &Request, desk: Desk<'_>) -> Option<Page> {
    let (host, guest) = (meeting.host(), meeting.guest());
    if host.is_none() && guest.is_none() {
        return None;
    }
    let code = host.and_then(Host::code);
    let waits = code
        .as_ref()
        .is_some_and(|code| code.state == CodeState::Open);
    let title = match host {
        Some(_) => "Pair a device",
        None => "Pair with a shop computer",
    };
    let content = html! {
        h1 { (title) }
        (desk.outcome_or("That was not done."))
        @if let Some(host) = host { (of_host(host, code.as_ref())) }
        @if guest.is_some() { (of_guest(host.is_some(), request, desk)) }
    };
    let way = [
        Crumb::to("Castings", "/"),
        Crumb::to("Exchange", "/exchange"),
        Crumb::here("Pair"),
    ];
    Some(
        page(&desk.title_or("Not done", title), way, content)
            .followed_every(waits.then_some(AGAIN)),
    )
}

fn of_host(host: &dyn Host, code: Option<&Code>) -> Markup {
    html! {
        @match host.reached_at() {
            Ok(at) => { p.faint { "While this program is open, paired devices on the same network reach this computer at " span.together { (at) } "." } }
            Err(why) => { p.problem role="alert" { (why) } }
        }
        @match code {
            None => { (begin("A phone is paired once. From then on it exchanges with this computer whenever both are on the shop's network.", "Make a code")) }
            Some(code) => { (of_code(code)) }
        }
    }
}

fn begin(words: &str, button: &str) -> Markup {
    html! {
        section.leaf.next {
            p { (words) }
            form method="post" action="/pair/code" { button.main { (button) } }
        }
    }
}

fn of_code(code: &Code) -> Markup {
    match &code.state {
        CodeState::Open => open(code),
        CodeState::Used(name) => html! {
            p.big role="status" { "✓ " (name) " is paired." }
            p { a.button href="/devices" { "Paired devices" } }
            (begin("The code was good for that one device.", "Make a code for another device"))
        },
        CodeState::Over => begin(
            "The code is good no more: it is too old, was withdrawn, or too many wrong ones were tried.",
            "Make a new code",
        ),
    }
}

fn open(code: &Code) -> Markup {
    let picture = BASE64_STANDARD.encode(&code.picture_svg);
    html! {
        section.leaf.next.code #code data-follow aria-labelledby="code-head" {
            h2 #code-head { "On the other device" }
            p { "Open Holebook there, then Exchange, then Pair. Scan this, or type the words; four letters of each are enough." }
            div.code-both {
                img.scan src=(format!("data:image/svg+xml;base64,{picture}")) alt="The code as a picture to scan; the words beside it say the same";
                @if !code.words.is_empty() { ol.words { @for word in code.words.split_whitespace() { li { (word) } } } }
            }
            p { b { "Good until " (code.until.format("%H:%M")) } ", for one device." }
            p.caution { b { "Show it to nobody else" } ": whoever has this code can read all of this notebook and write in it." }
            details { summary { "As a link" } p.link { code { (code.link) } } }
            form method="post" action="/pair/withdraw" { button { "Withdraw the code" } }
        }
    }
}

/// The field for a shop computer's code; the address may bring it along, from a picture that was scanned.
fn of_guest(folded: bool, request: &Request, desk: Desk<'_>) -> Markup {
    let form = desk.form("shop");
    let field = html! {
        form method="post" action="/pair/shop" {
            (form.lines("code", CODE, request.asked("code"), "as it shows them under Exchange, Pair a device; four letters of each word are enough"))
            p { button.main[!folded] { "Pair" } }
        }
    };
    html! {
        @if folded {
            details.leaf open[desk.was_refused("shop")] { summary { "Pair this computer with another shop computer" } (field) }
        } @else {
            section.leaf.next { (field) }
        }
    }
}

/// Takes a form of the page; gives the address to go on at. None where there is no such form.
pub fn take(
    meeting: &dyn Meeting,
    form: &str,
    request: &Request,
) -> Option<Result<String, Refusal>> {
    Some(match form {
        "code" => {
            let made = meeting.host()?.make_code();
            made.map(|()| after("/pair", "code")).map_err(Refusal::from)
        }
        "withdraw" => {
            let withdrawn = meeting.host()?.withdraw_code();
            withdrawn
                .map(|()| after("/pair", "withdrawn"))
                .map_err(Refusal::from)
        }
        "shop" => pair(meeting.guest()?, request),
        _ => return None,
    })
}

fn pair(guest: &dyn Guest, request: &Request) -> Result<String, Refusal> {
    let code = needed_text(request, "code", CODE)?;
    match guest.pair(code) {
        Ok(_) => Ok(after("/exchange", "paired")),
        Err(why) => Err(Refusal::from(why).at("code")),
    }
}
