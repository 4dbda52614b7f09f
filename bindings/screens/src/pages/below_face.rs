//! What the pages below a face's have in common: the links to the pages above them.

use super::FormContext;
use crate::page::{Crumb, Page};
use holebook_core::notebook::{FaceView, PhotoId};
use maud::Markup;

/// The links to a face and to the pages above it.
pub fn crumbs(face: &FaceView) -> Vec<Crumb> {
    vec![
        Crumb::to("Castings", "/"),
        Crumb::to(&face.casting_name, format!("/casting/{}", face.casting)),
        Crumb::to(&face.name, format!("/face/{}", face.id)),
    ]
}

/// A page below a face's.
pub fn page(face: &FaceView, title: &str, context: FormContext<'_>, content: Markup) -> Page {
    let mut crumbs = crumbs(face);
    crumbs.push(Crumb::here(title));
    Page::new(&context.title(title), crumbs, content)
}

/// A page below a photo's.
pub fn photo_page(
    face: &FaceView,
    photo: PhotoId,
    title: &str,
    context: FormContext<'_>,
    content: Markup,
) -> Page {
    let mut crumbs = crumbs(face);
    crumbs.push(Crumb::to("Photo", format!("/photo/{photo}")));
    crumbs.push(Crumb::here(title));
    Page::new(&context.title(title), crumbs, content)
}
