//! A crater traced on the photo: draw around its edge, then enter how deep it is.
//!
//! The address holds the traced points, so that nothing is recorded before the depth is known.

use super::HolePage;
use super::ask::rows_but_depths;
use crate::carrier::Request;
use crate::form::hidden;
use crate::form_names::{Field, FormName, RowField};
use crate::labels::{sentence, sources};
use crate::lengths::{length, number};
use crate::page::{Crumb, Page};
use crate::pages::FormContext;
use crate::pages::places::to_five;
use holebook_core::hole::damage::{Damage, Span, Station};
use holebook_core::labels::o_clock;
use holebook_core::length::{Length, Rounding, Unit, in_unit};
use holebook_core::notebook::{HoleId, MarkBody, Notebook, NotebookError, PhotoId, PhotoView};
use holebook_core::places::outline::{MeasuredOutline, OutlineCenter, OutlineScale};
use holebook_core::places::record::MOST_EDGE_POINTS;
use holebook_core::places::{EdgeInPhoto, OffsetSource};
use maud::{Markup, html};
use std::borrow::Cow;

/// The script that traces.
pub const SCRIPT: (&str, &str) = ("/outline.js", include_str!("../../../assets/outline.js"));
/// How much of the photo's longer side is shown: near, wider, and all of it.
const SHARES: [(&str, f64); 3] = [("near", 0.12), ("wider", 0.3), ("all", 1.0)];

/// What the address says.
struct Traced {
    edge: Vec<(f64, f64)>,
    /// What is shown of the photo: one of [`SHARES`].
    share: (&'static str, f64),
}

impl Traced {
    fn of(request: &Request) -> Self {
        let named =
            |name: Cow<'static, str>| request.query.iter().filter(move |(key, _)| *key == name);
        let points = named(Field::Traced.name()).filter_map(|(_, text)| {
            let (x, y) = text.split_once(' ')?;
            Some((x.parse().ok()?, y.parse().ok()?))
        });
        let edge = points.take(MOST_EDGE_POINTS).collect();
        let shown = request.param("shown");
        let share = SHARES.into_iter().find(|share| Some(share.0) == shown);
        Self {
            edge,
            share: share.unwrap_or(SHARES[0]),
        }
    }
}

/// The page; `None` if the hole is not marked in a photo.
pub fn show(
    notebook: &Notebook,
    id: HoleId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Option<Page>, NotebookError> {
    super::with_page(notebook, id, context, |page| {
        let asked = request.param("photo").and_then(|text| text.parse().ok());
        let Some((photo, mark)) = marked_photo(notebook, &page, asked)? else {
            return Ok(None);
        };
        let traced = Traced::of(request);
        let traced = with_press(traced, request, &photo);
        let drawn = Outline {
            page: &page,
            photo,
            mark,
            traced,
        };
        Ok(Some(drawn.show(notebook)?))
    })
}

/// Adds the point of the plain picture that was pressed.
fn with_press(mut traced: Traced, request: &Request, photo: &PhotoView) -> Traced {
    let pressed = |field: Field| request.param(&field.name())?.parse::<f64>().ok();
    let scale = f64::from(photo.width_px) / f64::from(PLAIN_WIDTH);
    if let Some((x, y)) = pressed(Field::PlainX).zip(pressed(Field::PlainY))
        && traced.edge.len() < MOST_EDGE_POINTS
    {
        traced.edge.push((x * scale, y * scale));
    }
    traced
}

/// The width of the picture in the form that needs no script; the style sheet has the same.
const PLAIN_WIDTH: u32 = 1_200;

/// The photo that is asked for, else the first in which the hole is marked.
fn marked_photo(
    notebook: &Notebook,
    page: &HolePage<'_>,
    asked: Option<PhotoId>,
) -> Result<Option<(PhotoView, MarkBody)>, NotebookError> {
    let mut marks = page.hole.marks.iter();
    let mark = marks.find(|mark| asked.is_none_or(|asked| asked == mark.photo));
    let Some(mark) = mark else { return Ok(None) };
    let Some(entry) = mark.entries.0.first() else {
        return Ok(None);
    };
    Ok(Some((notebook.photo(mark.photo)?, entry.body)))
}

struct Outline<'a> {
    page: &'a HolePage<'a>,
    photo: PhotoView,
    mark: MarkBody,
    traced: Traced,
}

impl Outline<'_> {
    fn unit(&self) -> Unit {
        self.page.context.unit
    }

    fn path(&self) -> String {
        format!("/hole/{}/outline", self.page.hole.id)
    }

    fn show(&self, notebook: &Notebook) -> Result<Page, NotebookError> {
        let number = self.page.hole.number;
        let measured = match self.traced.edge.len() {
            0 => None,
            _ => {
                match notebook.measure_outline(self.page.hole.id, self.photo.id, &self.traced.edge)
                {
                    Ok(measured) => Some(Ok(measured)),
                    Err(NotebookError::Invalid(why)) => Some(Err(why)),
                    Err(error) => return Err(error),
                }
            }
        };
        let title = format!("Trace the crater of hole {number}");
        let content = html! {
            h1 { (title) }
            @match &measured {
                Some(Ok(measured)) => (self.result(measured)),
                Some(Err(why)) => p.problem role="alert" { (sentence(&in_unit(why, self.unit()))) },
                None => {}
            }
            (self.tracing())
            noscript { (self.plain()) }
            p { a.button href=(format!("/hole/{}#describe-damage", self.page.hole.id)) { "Enter it in numbers instead" } }
        };
        let crumbs = vec![
            Crumb::to(
                format!("Hole {number}"),
                format!("/hole/{}", self.page.hole.id),
            ),
            Crumb::here("Trace"),
        ];
        Ok(Page::new(&title, crumbs, content).with_script(SCRIPT.0))
    }

    /// The picture to draw on, shown by the script.
    fn tracing(&self) -> Markup {
        let (width, height) = (
            f64::from(self.photo.width_px),
            f64::from(self.photo.height_px),
        );
        let side = self.traced.share.1 * width.max(height);
        let middle = match self.traced.share.0 {
            "all" => (width / 2.0, height / 2.0),
            _ => (self.mark.x_px, self.mark.y_px),
        };
        let frame = format!(
            "{:.1} {:.1} {side:.1} {side:.1}",
            middle.0 - side / 2.0,
            middle.1 - side / 2.0
        );
        let points = self
            .traced
            .edge
            .iter()
            .map(|(x, y)| format!("{x:.1},{y:.1}"));
        let points = points.collect::<Vec<_>>().join(" ");
        let arm = side / 40.0;
        let cross = format!(
            "M{:.1} {:.1}h{:.1}M{:.1} {:.1}v{:.1}",
            self.mark.x_px - arm,
            self.mark.y_px,
            2.0 * arm,
            self.mark.x_px,
            self.mark.y_px - arm,
            2.0 * arm
        );
        html! {
            form method="get" action=(self.path()) hidden {
                (self.kept())
                p { "Draw once around the edge of the crater with a finger or the mouse. Draw again to replace it." }
                div.row { @for (name, _) in SHARES { a.button href=(self.at(name)) aria-current=[(self.traced.share.0 == name).then_some("true")] { (shown_label(name)) } } }
                svg.trace viewBox=(frame) role="img" aria-label=(format!("Hole {} in the photo: draw around the edge of its crater, or enter it in numbers", self.page.hole.number)) {
                    image href=(format!("/photo/{}/view.jpg", self.photo.id)) width=(width) height=(height) {}
                    path.backing d=(cross) {}
                    path d=(cross) {}
                    polyline.backing points=(points) {}
                    polyline data-trace points=(points) {}
                }
            }
        }
    }

    /// What stays in the address.
    fn kept(&self) -> Markup {
        html! {
            input type="hidden" name="photo" value=(self.photo.id);
            input type="hidden" name="shown" value=(self.traced.share.0);
        }
    }

    fn at(&self, shown: &str) -> String {
        format!("{}?photo={}&shown={shown}", self.path(), self.photo.id)
    }

    /// Each press adds a point of the edge.
    fn plain(&self) -> Markup {
        let count = self.traced.edge.len();
        html! {
            form.plain-marking method="get" action=(self.path()) {
                (self.kept())
                @for (x, y) in &self.traced.edge { (hidden(Field::Traced, format!("{x:.1} {y:.1}"))) }
                p { "JavaScript is off: press three or more places on the edge of the crater, spread around it. So far: " (count) ". "
                    @if count > 0 { a href=(self.at(self.traced.share.0)) { "Begin again" } } }
                div.plain-picture tabindex="0" role="group" aria-label="Photo with the edge to press" {
                    input type="image" name="at" alt="Add a point of the edge at the place that is pressed"
                        src=(format!("/photo/{}/view.jpg", self.photo.id)) width=(PLAIN_WIDTH);
                }
            }
        }
    }

    fn result(&self, measured: &MeasuredOutline) -> Markup {
        let unit = self.unit();
        let of = |mm, tolerance| {
            html! { b { (number(mm, unit)) " ±" (length(tolerance, unit, Rounding::Up)) } }
        };
        html! {
            section.panel.next {
                h2 { "The crater as traced" }
                dl.facts {
                    dt { "Across" } dd { (of(measured.diameter_mm, measured.diameter_tolerance_mm)) }
                    dt { "Off center by" } dd { (of(measured.offset_mm, measured.offset_tolerance_mm)) " toward " (o_clock(to_five(measured.direction_deg))) }
                    dt { "Center" } dd { @match measured.center { OutlineCenter::Pattern => "by the pattern", OutlineCenter::Mark => "the hole's mark" } }
                    dt { "Scale" } dd { @match measured.scale { OutlineScale::Plane => "by the places known in the photo", OutlineScale::Thread => "by the rims of known threads, the camera taken as square to the face" } }
                }
                (self.record(measured))
                (sources([scale_source(measured.scale).to_owned()]))
            }
        }
    }

    /// The form that records it with its depth, after what was described before.
    fn record(&self, measured: &MeasuredOutline) -> Markup {
        let before = self
            .page
            .hole
            .record
            .damage
            .agreed()
            .cloned()
            .unwrap_or_default();
        let edge = EdgeInPhoto::of(self.photo.id, &self.traced.edge);
        let unknown = Span {
            from: Length::ZERO,
            to: Length::ZERO,
        };
        let Some(station) = station(measured, edge, unknown) else {
            return html! { p role="alert" { "That is too large for a crater; trace it again." } };
        };
        // What the fields of the rows cannot carry is described by hand.
        if before.lean.is_some() || before.broken_tool.is_some() {
            return html! { p { "This hole leans or has a piece in it. Enter the crater with the rest of its damage." } };
        }
        let row = before.stations.len();
        let all = Damage {
            stations: before.stations.iter().cloned().chain([station]).collect(),
            ..before
        };
        let form = self.page.long_form(FormName::Damage);
        html! {
            form method="post" action=(self.page.address(FormName::Damage)) {
                (self.page.replaces(&self.page.hole.record.damage.0))
                (rows_but_depths(&all, Some(row)))
                (hidden(Field::Row(RowField::From, row), "0"))
                div.fields { (form.length(Field::Row(RowField::To, row), "Crater depth", None, "from the face")) }
                p { button.main { "Record the crater" } }
            }
        }
    }
}

fn shown_label(name: &str) -> &'static str {
    match name {
        "near" => "Near",
        "wider" => "Wider",
        _ => "Whole photo",
    }
}

fn scale_source(scale: OutlineScale) -> &'static str {
    match scale {
        OutlineScale::Plane => {
            "Circle: least squares over the traced edge, through the perspective of the photo; tolerance: two standard deviations"
        }
        OutlineScale::Thread => {
            "Scale: a rim is its thread's nominal diameter wide, ±15 % for crests and chamfers (judgment)"
        }
    }
}

/// The crater as a line of damage over some depth, rounded as people read it.
pub fn station(measured: &MeasuredOutline, edge: EdgeInPhoto, span: Span) -> Option<Station> {
    let round = |mm: f64, rounding| {
        let length = Length::from_mm(mm).ok()?;
        Some(length.round_to(Unit::Inch, rounding))
    };
    let offset = round(measured.offset_mm, Rounding::Nearest)?;
    let diameter = round(measured.diameter_mm, Rounding::Nearest)?;
    Some(Station {
        diameter_tolerance: Some(round(measured.diameter_tolerance_mm, Rounding::Up)?),
        offset_tolerance: Some(round(measured.offset_tolerance_mm, Rounding::Up)?),
        offset_source: (measured.center == OutlineCenter::Pattern)
            .then_some(OffsetSource::PhotoPlane),
        rests_on: measured.rests_on.clone(),
        traced: Some(edge),
        ..Station::of(span, diameter, offset, to_five(measured.direction_deg))
    })
}
