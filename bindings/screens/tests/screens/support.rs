//! A notebook whose screens are called directly.
#![allow(missing_docs, clippy::unwrap_used)]

use holebook_core::hole::stage::Stage;
use holebook_core::notebook::{FaceId, HoleId, Notebook};
use holebook_screens::{Body, Method, Request, Response, Upload, answer};
use std::path::Path;
use tempfile::TempDir;

pub struct Screens {
    pub notebook: Notebook,
    _dir: TempDir,
}

impl Screens {
    pub fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(&dir.path().join("notebook")).unwrap();
        Self {
            notebook,
            _dir: dir,
        }
    }

    /// Returns the page at an address, which may have a query of plain letters.
    pub fn get(&self, path: &str) -> String {
        let (path, query) = path.split_once('?').unwrap_or((path, ""));
        let mut request = Request::get(path);
        let pairs = query.split('&').filter_map(|pair| pair.split_once('='));
        request.query = pairs
            .map(|(name, value)| (name.to_owned(), value.to_owned()))
            .collect();
        let response = answer(&self.notebook, &request);
        assert_eq!(response.status, 200, "{path}: {}", text(&response));
        text(&response)
    }

    pub fn post(&self, path: &str, form: &[(&str, &str)]) -> Response {
        let pairs = form
            .iter()
            .map(|(key, value)| ((*key).to_owned(), (*value).to_owned()));
        let mut request = Request::get(path);
        request.method = Method::Post;
        request.form = pairs.collect();
        answer(&self.notebook, &request)
    }

    /// Sends a form with a photo; returns the address of the next page.
    pub fn send_photo(&self, path: &str) -> String {
        let photo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/photos/print.jpg");
        let upload = Upload {
            field: "photo".to_owned(),
            name: "close.jpg".to_owned(),
            path: photo,
        };
        let mut request = Request::get(path);
        request.method = Method::Post;
        request.uploads = vec![upload];
        let response = answer(&self.notebook, &request);
        assert_eq!(response.status, 303, "{path}: {}", problem(&response));
        response.headers[0].1.clone()
    }

    /// Sends a form that must be accepted; returns the address of the next page.
    pub fn submit(&self, path: &str, form: &[(&str, &str)]) -> String {
        let response = self.post(path, form);
        assert_eq!(response.status, 303, "{path}: {}", problem(&response));
        let (_, location) = response
            .headers
            .iter()
            .find(|(name, _)| *name == "location")
            .unwrap();
        // Without the notice and the anchor.
        location.split(['?', '#']).next().unwrap().to_owned()
    }

    /// Sends a form that must be rejected; returns the message.
    pub fn rejected(&self, path: &str, form: &[(&str, &str)]) -> String {
        let response = self.post(path, form);
        assert_eq!(response.status, 422, "{path} was accepted");
        problem(&response)
    }

    pub fn face(&self) -> FaceId {
        let casting = self.submit(
            "/casting",
            &[("name", "Pump end"), ("metal", "ASTM A48 class 25")],
        );
        let face = self.submit(&format!("{casting}/face"), &[("name", "Cover joint")]);
        face.trim_start_matches("/face/").parse().unwrap()
    }

    pub fn hole(&self) -> HoleId {
        let hole = self.submit(&format!("/face/{}/hole", self.face()), &[]);
        hole.trim_start_matches("/hole/").parse().unwrap()
    }

    /// Returns the values of the hidden fields of this name in the first form for `action` on the
    /// page at `path`.
    pub fn hidden(&self, path: &str, action: &str, name: &str) -> Vec<String> {
        let page = self.get(path);
        let form = forms(&page, action).next().unwrap_or_default();
        values(form, name)
    }

    /// The same for all forms for `action`.
    pub fn hidden_all(&self, path: &str, action: &str, name: &str) -> Vec<String> {
        let page = self.get(path);
        forms(&page, action)
            .flat_map(|form| values(form, name))
            .collect()
    }

    /// Sends a form that raises a question; returns the page, and the key of the answer.
    pub fn asked(&self, path: &str, form: &[(&str, &str)]) -> (String, String) {
        let response = self.post(path, form);
        assert_eq!(response.status, 422, "{path} asked nothing");
        let message = problem(&response);
        assert!(message.contains("Not saved yet."), "{message}");
        let page = text(&response);
        assert!(page.contains("It is right, save it"), "no button");
        assert!(page.contains("<title>Not saved yet: "), "the title");
        let key = answer_key(&page);
        (page, key)
    }

    pub fn stage(&self, hole: HoleId) -> Stage {
        self.notebook.hole(hole).unwrap().status.stage
    }
}

/// Returns the forms of a page that are sent to an address.
fn forms<'a>(page: &'a str, action: &str) -> impl Iterator<Item = &'a str> {
    let action = format!("action=\"{action}\"");
    page.split("<form")
        .filter(move |form| form.contains(&action))
}

/// Returns the values of the fields of a name.
pub fn values(form: &str, name: &str) -> Vec<String> {
    let marker = format!("name=\"{name}\" value=\"");
    form.split(&marker)
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap().to_owned())
        .collect()
}

pub fn text(response: &Response) -> String {
    match &response.body {
        Body::Text(text) => text.clone(),
        _ => String::new(),
    }
}

pub fn problem(response: &Response) -> String {
    let page = text(response);
    let after = page
        .split("class=\"problem\" role=\"alert\">")
        .nth(1)
        .unwrap_or_default();
    after.split("</p>").next().unwrap_or_default().to_owned()
}

/// The value of the button that answers the questions on a page.
pub fn answer_key(page: &str) -> String {
    let button = page
        .split("<button name=\"confirmed\" value=\"")
        .nth(1)
        .expect("no question is asked");
    button.split('"').next().unwrap().to_owned()
}
