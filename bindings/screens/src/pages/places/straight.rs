//! A photo as seen from straight above, in true scale, and the way to its print.

use crate::labels::sentence;
use crate::lengths::length;
use crate::page::Page;
use crate::pages::{FormContext, below_face};
use holebook_core::length::{Rounding, Unit, in_unit};
use holebook_core::notebook::{FaceView, Notebook, NotebookError, PhotoId};
use holebook_core::places::{Bounds, PhotoPlane, PlaneBasis};
use maud::{Markup, html};

/// Lines of the grid, at most, along the longer side.
const MOST_LINES: f64 = 10.0;

/// The page.
pub fn show(
    notebook: &Notebook,
    id: PhotoId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let photo = notebook.photo(id)?;
    let face = notebook.face(photo.face)?;
    let plane = match notebook.plane_of(&face, id) {
        Ok(plane) => Ok(plane),
        Err(NotebookError::Invalid(why)) => Err(why),
        Err(error) => return Err(error),
    };
    let title = "Straightened photo";
    let content = html! {
        h1 { (title) }
        @match &plane {
            Ok(plane) => (straightened(&face, plane, context.unit)),
            Err(why) => section.panel.next {
                h2 { "Not measurable yet" }
                p { (sentence(&in_unit(why, context.unit))) }
                p.row {
                    a.button href=(format!("/photo/{id}")) { "Mark holes" }
                    a.button href=(format!("/photo/{id}/points")) { "Known points" }
                }
            },
        }
    };
    Ok(below_face::photo_page(&face, id, title, context, content))
}

fn straightened(face: &FaceView, plane: &PhotoPlane, unit: Unit) -> Markup {
    let bounds = plane.bounds();
    let by = match plane.by {
        PlaneBasis::Holes(count) => format!("{count} marked holes of known place"),
        PlaneBasis::KnownPoints(count) => format!("{count} known points"),
    };
    html! {
        p { "As seen from straight above, measured by " (by) "." }
        @for warning in &plane.warnings { p { b { "Check: " } (sentence(&in_unit(warning, unit))) } }
        section.panel {
            (picture(face, plane, &bounds, unit))
            p.row {
                a.button.main href=(format!("/face/{}/sheet/template.pdf", face.id)) { "Template to print, true scale" }
                a.button href=(format!("/photo/{}/straight.jpg", plane.photo)) download { "Picture alone" }
            }
        }
        p.caution { b { "Caution: " } "Only what lies in the plane of the face is in scale: bosses, studs, and the bottoms of holes are not. Measure before you cut." }
    }
}

fn picture(face: &FaceView, plane: &PhotoPlane, bounds: &Bounds, unit: Unit) -> Markup {
    let (width, height) = (bounds.width_mm(), bounds.height_mm());
    let frame = format!("0 0 {width:.2} {height:.2}");
    let step = grid_step(width.max(height), unit);
    let lines = |from: f64, to: f64| {
        let first = (from / step).ceil() as i64;
        (first..)
            .map(move |at| at as f64 * step)
            .take_while(move |at| *at <= to)
    };
    let size = width.max(height) / 45.0;
    html! {
        figure.photo {
            div.marked {
                img src=(format!("/photo/{}/straight.jpg", plane.photo)) width=(format!("{:.0}", 10.0 * width)) height=(format!("{:.0}", 10.0 * height))
                    alt=(format!("{} of {} from straight above", face.name, face.casting_name));
                svg.centers viewBox=(frame) role="img" aria-label=(format!("Grid of {}", length(step, unit, Rounding::Nearest))) {
                    @for kind in ["edge", "line"] {
                        g.(kind).grid {
                            @for x in lines(bounds.left_mm, bounds.right_mm) { path d=(format!("M{:.2} 0V{height:.2}", x - bounds.left_mm)) {} }
                            @for y in lines(bounds.bottom_mm, bounds.top_mm) { path d=(format!("M0 {:.2}H{width:.2}", bounds.top_mm - y)) {} }
                        }
                    }
                    text x=(format!("{size:.2}")) y=(format!("{:.2}", 1.6 * size)) font-size=(format!("{size:.2}")) {
                        "Grid " (length(step, unit, Rounding::Nearest))
                    }
                }
            }
        }
        p.faint { "Shown: " (length(width, unit, Rounding::Nearest)) " by " (length(height, unit, Rounding::Nearest)) ". On paper, measure the check lines first." }
    }
}

/// The finest of 1, 2 and 5 times a power of ten, in the reader's unit, that gives few enough lines.
fn grid_step(side_mm: f64, unit: Unit) -> f64 {
    let one = match unit {
        Unit::Inch => 25.4,
        Unit::Millimeter => 1.0,
    };
    let least = side_mm / MOST_LINES / one;
    let power = 10.0_f64.powf(least.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|by| by * power);
    let step = steps.into_iter().find(|step| *step >= least);
    one * step.unwrap_or(power)
}
