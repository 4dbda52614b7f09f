//! What a circle of missing metal was taken from, in hidden fields of its row. Each says which offset
//! it is true of, so that it is dropped when somebody types another one.

use crate::carrier::Request;
use crate::clock_direction::editable_clock;
use crate::form::hidden;
use crate::form_names::{Field, RowField};
use holebook_core::hole::damage::Station;
use holebook_core::notebook::{EntryId, PhotoId};
use holebook_core::places::{EdgeInPhoto, OffsetSource};
use maud::{Markup, html};

/// The hidden fields of a row.
pub fn fields(row: usize, station: &Station) -> Markup {
    let field = |field, value: Option<String>| {
        html! { @if let Some(value) = value { (hidden(Field::Row(field, row), value)) } }
    };
    html! {
        (field(RowField::OffsetSource, source_value(station)))
        (field(RowField::RestsOn, rests_on_value(station)))
        (field(RowField::Traced, traced_value(station)))
    }
}

/// Adds to a circle what its hidden fields say, as far as that is true of it.
pub fn read(request: &Request, row: usize, circle: Station) -> Station {
    let value = |field| request.field(Field::Row(field, row)).unwrap_or_default();
    let sources = [OffsetSource::PhotoPlane, OffsetSource::Pattern];
    let offset_source = sources.into_iter().find(|source| {
        let station = Station {
            offset_source: Some(*source),
            ..circle.clone()
        };
        source_value(&station).as_deref() == Some(value(RowField::OffsetSource))
    });
    let rests_on = after(value(RowField::RestsOn), &offset(&circle));
    let rests_on = rests_on.split(' ').filter_map(|id| id.parse().ok());
    let rests_on: Vec<EntryId> = rests_on.collect();
    let traced = after(value(RowField::Traced), &whole(&circle));
    Station {
        offset_source,
        rests_on,
        traced: edge(traced),
        ..circle
    }
}

/// The offset of a circle as a person would read it.
fn offset(station: &Station) -> String {
    let direction = editable_clock(station.direction_deg);
    format!("{}|{direction}", station.offset.exact())
}

/// The offset and the diameter.
fn whole(station: &Station) -> String {
    format!("{}|{}", offset(station), station.diameter.exact())
}

fn source_value(station: &Station) -> Option<String> {
    let source = station.offset_source?;
    Some(format!("{source}|{}", offset(station)))
}

fn rests_on_value(station: &Station) -> Option<String> {
    let ids = station.rests_on.iter().map(ToString::to_string);
    let ids: Vec<String> = ids.collect();
    (!ids.is_empty()).then(|| format!("{}|{}", offset(station), ids.join(" ")))
}

fn traced_value(station: &Station) -> Option<String> {
    let traced = station.traced.as_ref()?;
    let points = traced.edge_px.iter().map(|px| format!("{px:.1}"));
    let points: Vec<String> = points.collect();
    let (whole, photo) = (whole(station), traced.photo);
    Some(format!("{whole}|{photo} {}", points.join(" ")))
}

/// What follows the circle that a value is true of; nothing if that is another circle.
fn after<'a>(value: &'a str, circle: &str) -> &'a str {
    let rest = value.strip_prefix(circle);
    rest.and_then(|rest| rest.strip_prefix('|'))
        .unwrap_or_default()
}

fn edge(value: &str) -> Option<EdgeInPhoto> {
    let (photo, points) = value.split_once(' ')?;
    let photo: PhotoId = photo.parse().ok()?;
    let points: Result<Vec<f64>, _> = points.split(' ').map(str::parse).collect();
    Some(EdgeInPhoto {
        photo,
        edge_px: points.ok()?,
    })
}
