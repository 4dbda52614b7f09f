//! Labels of the core as HTML, and those that only the screens show.

pub use holebook_core::labels::{
    QUANTITIES, assessed_remedy, author, count, date, date_time, insert_length, number_value,
    quantity, quantity_hint, remedy, remedy_spec, rpm, sentence, sentence_case, time, verdict,
    without_source_tags,
};

use holebook_core::labels::Text;
use maud::{Markup, html};

/// A text of the core with its bold parts.
pub fn markup(text: &Text) -> Markup {
    html! {
        @for span in text.spans() {
            @if span.bold { b { (span.text) } } @else { (span.text) }
        }
    }
}

/// A count of entries and photos: `3 entries and 1 photo`.
pub fn entries_and_photos(entries: impl Into<u64>, photos: impl Into<u64>) -> String {
    let number = |number: u64| usize::try_from(number).unwrap_or(usize::MAX);
    let (entries, photos) = (number(entries.into()), number(photos.into()));
    let entries_text = count(entries, "entry", "entries");
    match (entries, photos) {
        (0, 0) => "nothing".to_owned(),
        (_, 0) => entries_text,
        (0, _) => count(photos, "photo", "photos"),
        _ => format!("{entries_text} and {}", count(photos, "photo", "photos")),
    }
}

/// Bytes as megabytes, to the tenth.
pub fn megabytes(bytes: u64) -> String {
    format!("{:.1}", bytes as f64 / 1e6)
}

/// How many entries exist on this device only.
pub fn not_synced_entries(entries: u64) -> String {
    match entries {
        1 => "One entry is on this device only".to_owned(),
        several => format!("{several} entries are on this device only"),
    }
}

/// The sources of the numbers above it, folded; nothing if there are none.
pub fn sources(lines: impl IntoIterator<Item = String>) -> Markup {
    let mut unique: Vec<String> = Vec::new();
    for line in lines {
        let line = sentence(&line);
        if !unique.contains(&line) {
            unique.push(line);
        }
    }
    html! {
        @if !unique.is_empty() {
            details.sources { summary { "Sources" } ul { @for line in &unique { li.source { (line) } } } }
        }
    }
}
