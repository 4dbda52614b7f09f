//! Properties of every response of the screens, and the links and forms on a page.

use holebook_core::notebook::Notebook;
use holebook_screens::{Body, Method, Request, Response};

/// Checks a response: no internal error, a content security policy on every page, no user text read
/// as markup, no redirect to another site.
///
/// # Panics
/// If one of these does not hold.
pub fn check(notebook: &Notebook, request: &Request, response: &Response) {
    let known = [200, 303, 404, 422];
    assert!(
        known.contains(&response.status),
        "{request:?} got {response:?}"
    );
    let header = |name: &str| {
        let mut headers = response.headers.iter();
        headers
            .find(|(key, _)| *key == name)
            .map(|(_, value)| value.as_str())
    };
    if let Some(path) = header("location") {
        assert!(path.starts_with('/') && !path.starts_with("//"), "{path}");
        assert!(!path.contains(['\r', '\n', '\\']), "{path:?}");
    }
    match &response.body {
        Body::Text(text)
            if header("content-type").is_some_and(|kind| kind.starts_with("text/html")) =>
        {
            assert!(header("content-security-policy").is_some(), "{request:?}");
            assert!(
                !text.contains("<fz") && !text.contains("\"fz="),
                "{request:?} is rendered as markup"
            );
        }
        Body::File(file) => {
            assert_eq!(request.method, Method::Get);
            let file = file.canonicalize().expect("the file of a response exists");
            let notebook = notebook
                .dir()
                .canonicalize()
                .expect("the notebook's folder");
            assert!(file.starts_with(notebook), "{}", file.display());
        }
        _ => {}
    }
}

/// A form on a page.
#[derive(Debug, Clone, Default)]
pub struct Form {
    /// Whether it changes something.
    pub posts: bool,
    /// Its address.
    pub action: String,
    /// Its fields, each with the values that the page offers.
    pub fields: Vec<(String, Vec<String>)>,
    /// The names of its file fields.
    pub files: Vec<String>,
}

/// The links and forms of a page written by the screens: quoted attributes, no scripts inside.
pub fn links_and_forms(html: &str) -> (Vec<String>, Vec<Form>) {
    let (mut links, mut forms) = (Vec::new(), Vec::<Form>::new());
    for tag in html.split('<').skip(1) {
        let attribute = |name: &str| attribute(tag, name);
        match tag.split(|end: char| !end.is_ascii_alphanumeric()).next() {
            Some("a") => links.extend(attribute("href")),
            Some("form") => forms.push(Form {
                posts: attribute("method").as_deref() == Some("post"),
                action: attribute("action").unwrap_or_default(),
                ..Form::default()
            }),
            Some("input" | "select" | "textarea" | "button") => {
                if let (Some(form), Some(name)) = (forms.last_mut(), attribute("name")) {
                    if attribute("type").as_deref() == Some("file") {
                        form.files.push(name);
                    } else {
                        offer(form, name, attribute("value"));
                    }
                }
            }
            Some("option") => {
                let field = forms.last_mut().and_then(|form| form.fields.last_mut());
                if let (Some((_, values)), Some(value)) = (field, attribute("value")) {
                    values.push(value);
                }
            }
            _ => {}
        }
    }
    (links, forms)
}

/// Adds a value of a field; radio buttons share a name.
fn offer(form: &mut Form, name: String, value: Option<String>) {
    match form.fields.iter_mut().find(|(known, _)| *known == name) {
        Some((_, values)) => values.extend(value),
        None => form.fields.push((name, value.into_iter().collect())),
    }
}

fn attribute(tag: &str, name: &str) -> Option<String> {
    let tag = tag.split('>').next()?;
    let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
    let (value, _) = rest.split_once('"')?;
    let plain = value
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"");
    Some(plain.replace("&amp;", "&"))
}
