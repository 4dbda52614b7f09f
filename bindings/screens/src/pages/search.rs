//! The search: a box on the first page, and a page of results.

use crate::carrier::Request;
use crate::page::{Crumb, Page};
use holebook_core::notebook::{MOST_RESULTS, Notebook, NotebookError, SearchResult, SearchResults};
use maud::{Markup, html};

/// Name of what is searched for, in an address.
const FIND: &str = "find";
/// Most letters of a text that a result shows.
const SHOWN: usize = 240;

/// The box. It is a plain GET form, so a search can be bookmarked.
pub fn search_box(text: &str) -> Markup {
    html! {
        form.row role="search" action="/search" {
            div.field.grow {
                label for="find" { "Search" }
                input #find type="search" name=(FIND) value=(text) autocomplete="off"
                    placeholder="casting, face, thread, note, serial number";
            }
            button { "Search" }
        }
    }
}

/// The results, newest first.
pub fn show(notebook: &Notebook, request: &Request) -> Result<Page, NotebookError> {
    let text = request.param(FIND).unwrap_or_default().trim();
    let results = notebook.search(text)?;
    let content = html! {
        h1 { "Search" }
        (search_box(text))
        (outcome(text, &results))
        @if !results.found.is_empty() {
            ol.results { @for result in &results.found { (line(result)) } }
        }
    };
    let crumbs = [Crumb::to("Castings", "/"), Crumb::here("Search")];
    Ok(Page::new("Search", crumbs, content))
}

fn outcome(text: &str, results: &SearchResults) -> Markup {
    html! {
        p role="status" {
            @match results.found.len() {
                _ if text.is_empty() => "Enter a word of a name or a note, a thread such as 7/16-14, or a hole number.",
                0 => "Nothing found. Every word has to be in the same name or note; try fewer words.",
                _ if results.more => { "The newest " (MOST_RESULTS) " results. There are more; add a word to narrow it down." }
                1 => "1 result.",
                several => { (several) " results, newest first." }
            }
        }
    }
}

fn line(result: &SearchResult) -> Markup {
    html! {
        li {
            a href=(address(result)) { (title(result)) }
            @let text = shortened(&result.text);
            @if result.is_note { p { "Note: " (text) } } @else { p { (text) } }
        }
    }
}

fn address(result: &SearchResult) -> String {
    match (result.hole, result.face, result.casting) {
        (Some(hole), _, _) => format!("/hole/{hole}"),
        (None, Some(face), _) => format!("/face/{face}"),
        (None, None, Some(casting)) => format!("/casting/{casting}"),
        (None, None, None) => "/".to_owned(),
    }
}

/// Where it is: `Hole 7, Pump end, Water jacket`.
fn title(result: &SearchResult) -> String {
    let hole = result.number.map(|number| format!("Hole {number}"));
    let names = [&result.face_name, &result.casting_name].into_iter();
    let names = names.filter(|name| !name.is_empty()).cloned();
    let parts: Vec<String> = hole.into_iter().chain(names).collect();
    parts.join(", ")
}

fn shortened(text: &str) -> String {
    let short: String = text.chars().take(SHOWN).collect();
    if short.len() < text.len() {
        short + "…"
    } else {
        short
    }
}
