//! The holes that were found in a photo: each outlined, with a box to tick, and one button that adds
//! those that are ticked.

use super::PhotoPage;
use crate::carrier::Request;
use crate::form::FormError;
use crate::form_names::{Field, FormName};
use crate::labels::{count, sentence};
use crate::page::Page;
use crate::pages::{FormContext, below_face};
use holebook_core::notebook::{FoundRim, Notebook, NotebookError, PhotoId};
use holebook_core::photo::{ExpectedHole, ProposedHole};
use maud::{Markup, html};

/// Half the side of a box to tick, pixels of the screen.
const BOX_RADIUS: f64 = 24.0;
/// More proposals than this are not shown at once; adding some and looking again shows more.
const MOST_SHOWN: usize = 60;

/// The page with the proposals.
pub fn show(
    notebook: &Notebook,
    id: PhotoId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let page = PhotoPage::of(notebook, id)?;
    let found = match (page.photo.marks.is_empty(), on_pattern(&page)) {
        (true, _) => None,
        (false, true) => Some(
            notebook
                .find_on_pattern(id)
                .map(|found| expected(&page, &found)),
        ),
        (false, false) => Some(notebook.find_holes(id).map(|found| proposals(&page, found))),
    };
    let content = match found {
        None => {
            html! { p { "Mark two or three holes first, spread round the face. The others are then looked for." } }
        }
        Some(Ok(found)) => found,
        // Marks in odd places; a photo that cannot be read is reported by the error page.
        Some(Err(error @ NotebookError::Invalid { .. })) => {
            html! { p role="alert" { (sentence(&error.to_string())) } }
        }
        Some(Err(error)) => return Err(error),
    };
    let content = html! {
        h1 { "Holes found in the photo" }
        (context.outcome())
        (content)
        p { a.button href=(page.path()) { "Back to the photo" } }
    };
    let title = "Find holes";
    Ok(below_face::photo_page(
        &page.face, id, title, context, content,
    ))
}

/// Whether the face has a pattern to look by, and two of its holes are marked.
fn on_pattern(page: &PhotoPage) -> bool {
    let Some(pattern) = page.face.record.pattern.agreed() else {
        return false;
    };
    let marks = page.photo.marks.iter();
    let known = |number: u32| pattern.holes.iter().any(|hole| hole.hole == number);
    marks.filter(|mark| known(mark.number)).count() >= 2
}

/// The holes of the pattern that are not marked: a box to tick at each rim that was found, and a ring
/// where one must be and none shows.
fn expected(page: &PhotoPage, found: &[ExpectedHole]) -> Markup {
    if found.is_empty() {
        return html! { p { "Every hole of the pattern is marked in this photo." } };
    }
    let inside = found
        .iter()
        .filter(|hole| contains(page, hole.x_px, hole.y_px));
    let shown: Vec<&ExpectedHole> = inside.take(MOST_SHOWN).collect();
    let rims = shown.iter().filter(|hole| hole.rim.is_some()).count();
    let more = found.len() - shown.len();
    html! {
        p { (count(rims, "hole of the pattern shows", "holes of the pattern show")) " where the marked ones put them. Tap what is not one to drop it. "
            @if rims < shown.len() { "A broken circle is where a hole belongs and none shows." } }
        form.found method="post" action=(FormName::AddExpected.address_of(page.photo.id)) {
            div.marked {
                img src=(format!("{}/view.jpg", page.path())) width=(page.photo.width_px) height=(page.photo.height_px)
                    alt=(format!("{} of {}", page.face.name, page.face.casting_name));
                svg.marks {
                    @for hole in &shown {
                        @match &hole.rim {
                            Some(rim) => { (ticked(page, hole.number, rim)) }
                            None => { (missing(page, hole)) }
                        }
                    }
                }
            }
            @if more > 0 { p { (more) " more lie outside of the photo, or are shown once these are marked." } }
            @if rims > 0 { p { button.main { "Mark the ticked holes" } } }
        }
        p.faint { "Found by the pattern and the picture. It can be wrong: look at each one. Marks that you correct move the others: look again." }
    }
}

fn contains(page: &PhotoPage, x_px: f64, y_px: f64) -> bool {
    (0.0..=f64::from(page.photo.width_px)).contains(&x_px)
        && (0.0..=f64::from(page.photo.height_px)).contains(&y_px)
}

/// A place in the picture as percent.
fn place(page: &PhotoPage, x_px: f64, y_px: f64) -> (String, String) {
    let percent = |pixels: f64, of: u32| format!("{:.4}%", 100.0 * pixels / f64::from(of));
    (
        percent(x_px, page.photo.width_px),
        percent(y_px, page.photo.height_px),
    )
}

/// A box to tick over a rim, with the number of its hole.
fn ticked(page: &PhotoPage, number: u32, rim: &ProposedHole) -> Markup {
    let (x, y) = place(page, rim.x_px, rim.y_px);
    html! {
        svg x=(x) y=(y) overflow="visible" {
            foreignObject x=(-BOX_RADIUS) y=(-BOX_RADIUS) width=(2.0 * BOX_RADIUS) height=(2.0 * BOX_RADIUS) {
                input type="checkbox" name=(Field::Found.name()) checked autocomplete="off" aria-label=(format!("Hole {number}"))
                    value=(format!("{number} {}", written(rim)));
            }
            (number_sign(number))
        }
    }
}

/// Where a hole belongs and none shows.
fn missing(page: &PhotoPage, hole: &ExpectedHole) -> Markup {
    let (x, y) = place(page, hole.x_px, hole.y_px);
    html! {
        svg x=(x) y=(y) overflow="visible" {
            g.expected { @for line in ["edge", "line"] { circle.(line) r=(BOX_RADIUS / 2.0) {} } }
            (number_sign(hole.number))
        }
    }
}

fn number_sign(number: u32) -> Markup {
    html! { text.expected-number x=(BOX_RADIUS) y=(-0.6 * BOX_RADIUS) { (number) } }
}

/// Marks the holes of the pattern that are ticked, and returns the sentence about them.
pub fn add_expected(
    notebook: &Notebook,
    id: PhotoId,
    request: &Request,
) -> Result<String, FormError> {
    let places: Vec<(u32, FoundRim)> = request
        .fields(Field::Found)
        .map(|text| {
            let (number, rim) = text.split_once(' ')?;
            Some((number.parse().ok()?, read_rim(rim)?))
        })
        .collect::<Option<_>>()
        .ok_or_else(|| {
            FormError::new(
                "A place is not a hole's number and three numbers of pixels; look again.",
            )
        })?;
    if places.is_empty() {
        return Err(FormError::new(
            "No hole is ticked; tick those that are holes.",
        ));
    }
    let marked = notebook.add_expected_holes(id, &places)?;
    Ok(format!("{} marked.", count(marked.len(), "hole", "holes")))
}

fn proposals(page: &PhotoPage, found: Vec<ProposedHole>) -> Markup {
    let marks = page.photo.marks.len();
    if found.is_empty() {
        return html! {
            p { "Nothing else looks like the " (count(marks, "marked hole", "marked holes")) ". Mark one or two more, far from the others, and look again." }
        };
    }
    let more = found.len().saturating_sub(MOST_SHOWN);
    let shown = clockwise(page, found.into_iter().take(MOST_SHOWN).collect());
    html! {
        p { (count(shown.len(), "place looks", "places look")) " like the " (count(marks, "marked hole", "marked holes")) ". Tap what is not a hole to drop it." }
        form.found method="post" action=(FormName::AddFound.address_of(page.photo.id)) {
            div.marked {
                img src=(format!("{}/view.jpg", page.path())) width=(page.photo.width_px) height=(page.photo.height_px)
                    alt=(format!("{} of {}", page.face.name, page.face.casting_name));
                svg.marks {
                    @for (index, hole) in shown.iter().enumerate() { (proposal(page, index + 1, hole)) }
                }
            }
            @if more > 0 { p { (more) " more are shown once these are added." } }
            p { button.main { "Add the ticked holes" } }
        }
        p.faint { "Found by comparing the picture with the marked holes. It can be wrong: look at each one." }
    }
}

/// A proposal: a ring around the rim, and a box to tick over it.
fn proposal(page: &PhotoPage, number: usize, hole: &ProposedHole) -> Markup {
    let (width, height) = (
        f64::from(page.photo.width_px),
        f64::from(page.photo.height_px),
    );
    let percent = |pixels: f64, of: f64| format!("{:.4}%", 100.0 * pixels / of);
    let label = format!(
        "Place {number}, at {:.0}, {:.0} pixels",
        hole.x_px, hole.y_px
    );
    html! {
        svg x=(percent(hole.x_px, width)) y=(percent(hole.y_px, height)) overflow="visible" {
            foreignObject x=(-BOX_RADIUS) y=(-BOX_RADIUS) width=(2.0 * BOX_RADIUS) height=(2.0 * BOX_RADIUS) {
                input type="checkbox" name=(Field::Found.name()) checked autocomplete="off" aria-label=(label)
                    value=(written(hole));
            }
        }
    }
}

/// Orders proposals clockwise around the face, from the highest-numbered mark on, as a person
/// would number them.
fn clockwise(page: &PhotoPage, mut found: Vec<ProposedHole>) -> Vec<ProposedHole> {
    let marks = page
        .photo
        .marks
        .iter()
        .filter_map(|mark| mark.entries.0.first());
    let marks: Vec<(f64, f64)> = marks.map(|it| (it.body.x_px, it.body.y_px)).collect();
    let all = found
        .iter()
        .map(|it| (it.x_px, it.y_px))
        .chain(marks.iter().copied());
    let all: Vec<(f64, f64)> = all.collect();
    let middle = |of: fn(&(f64, f64)) -> f64| all.iter().map(of).sum::<f64>() / all.len() as f64;
    let (cx, cy) = (middle(|it| it.0), middle(|it| it.1));
    // Down is positive in a picture, so the angle grows clockwise.
    let angle = |x: f64, y: f64| (y - cy).atan2(x - cx);
    let last = page.photo.marks.iter().max_by_key(|mark| mark.number);
    let last = last.and_then(|mark| mark.entries.0.first());
    let start = last.map_or(0.0, |it| angle(it.body.x_px, it.body.y_px));
    let from_start = |hole: &ProposedHole| {
        (angle(hole.x_px, hole.y_px) - start).rem_euclid(std::f64::consts::TAU)
    };
    found.sort_by(|a, b| from_start(a).total_cmp(&from_start(b)));
    found
}

/// Adds the holes that are ticked, and returns the sentence about them.
pub fn add(notebook: &Notebook, id: PhotoId, request: &Request) -> Result<String, FormError> {
    let places: Vec<FoundRim> = request
        .fields(Field::Found)
        .map(read_rim)
        .collect::<Option<_>>()
        .ok_or_else(|| FormError::new("A place is not three numbers of pixels; look again."))?;
    if places.is_empty() {
        return Err(FormError::new(
            "No place is ticked; tick those that are holes.",
        ));
    }
    let added = notebook.add_found_holes(id, &places)?;
    Ok(format!(
        "{} added and marked.",
        count(added.len(), "hole", "holes")
    ))
}

/// A rim as its box sends it: the pixels of its middle, and its radius.
fn written(rim: &ProposedHole) -> String {
    let radius = rim.diameter_px / 2.0;
    format!("{:.1} {:.1} {radius:.1}", rim.x_px, rim.y_px)
}

fn read_rim(text: &str) -> Option<FoundRim> {
    let numbers = text.split(' ').map(|word| word.parse::<f64>().ok());
    let numbers: Vec<f64> = numbers.collect::<Option<_>>()?;
    let [x_px, y_px, radius] = numbers[..] else {
        return None;
    };
    Some(FoundRim {
        x_px,
        y_px,
        radius_px: Some(radius),
    })
}
