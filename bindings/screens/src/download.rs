//! Files that a page offers. A browser saves them; the app around the pages shares them with other
//! apps.

use crate::carrier::{Body, Response};

/// A file name that every system takes: the letters and digits of a name after a word that says what
/// it is.
pub fn file_name(name: &str, word: &str, ending: &str) -> String {
    let letters = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    let name: String = name.chars().take(60).map(letters).collect();
    let words: Vec<&str> = name.split('-').filter(|word| !word.is_empty()).collect();
    let name = words.join("-").to_ascii_lowercase();
    match name.is_empty() {
        true => format!("{word}.{ending}"),
        false => format!("{word}-{name}.{ending}"),
    }
}

/// A text as a file under a name of [`file_name`].
pub fn attachment(content_type: &str, name: &str, text: String) -> Response {
    let attachment = format!("attachment; filename=\"{name}\"");
    Response {
        status: 200,
        headers: vec![
            ("content-type", content_type.to_owned()),
            ("content-disposition", attachment),
            ("cache-control", "no-store".to_owned()),
        ],
        body: Body::Text(text),
    }
}
