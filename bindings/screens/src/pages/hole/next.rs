//! The next thing to do, on the page: the band at its head, and the form that does it.

use holebook_core::hole::next::Next;
use holebook_core::hole::steps::StepKey;
use maud::{Markup, html};

/// The name of the form that does it.
pub fn form(next: &Next) -> &'static str {
    match next {
        Next::Settle => "settle",
        Next::Read => "reading",
        Next::Damage => "damage",
        Next::Want => "wanted",
        Next::Choose | Next::LookAgain | Next::Crack => "choose",
        Next::Elsewhere => StepKey::Prove.word(),
        Next::Step(key, _) => key.word(),
        Next::Nothing => "",
    }
}

/// The band that says what is next and leads there.
pub fn strip(next: &Next) -> Markup {
    html! {
        @if *next == Next::Nothing {
            p.next-strip.done { (next) }
        } @else {
            a.next-strip href="#next" { span { "Next" } b { (next) } }
        }
    }
}
