//! Where the forms of a hole ask about what is unusual.

use crate::form_names::{Field, RowField};
use holebook_core::hole::plausibility::{Implausible, Subject};
use holebook_core::hole::question::Question;

/// The questions about what is unusual, each at its field. `stations` and `hard` are the rows of the
/// damage form that the stations and hard zones were read from.
pub fn questions<'a>(
    unusual: impl IntoIterator<Item = Implausible> + 'a,
    (stations, hard): (&'a [usize], &'a [usize]),
) -> impl Iterator<Item = (Question, Option<Field>)> + 'a {
    unusual.into_iter().map(move |unusual| {
        let field = field(unusual.subject(), stations, hard);
        (Question::from(&unusual), field)
    })
}

/// The field of what a question is about.
fn field(subject: Subject, stations: &[usize], hard: &[usize]) -> Option<Field> {
    let at =
        |rows: &[usize], index: usize, column| rows.get(index).map(|row| Field::Row(column, *row));
    match subject {
        Subject::Reading(quantity) => Some(Field::Reading(quantity)),
        Subject::Tolerance(quantity) => Some(Field::Tolerance(quantity)),
        Subject::StationEnd(i) => at(stations, i, RowField::To),
        Subject::Diameter(i) => at(stations, i, RowField::Diameter),
        Subject::LowerDiameter(i) => at(stations, i, RowField::LowerDiameter),
        Subject::Offset(i) => at(stations, i, RowField::Offset),
        Subject::LowerOffset(i) => at(stations, i, RowField::LowerOffset),
        Subject::DiameterTolerance(i) => at(stations, i, RowField::DiameterTolerance),
        Subject::OffsetTolerance(i) => at(stations, i, RowField::OffsetTolerance),
        Subject::HardEnd(i) => at(hard, i, RowField::HardTo),
        Subject::HardTolerance(i) => at(hard, i, RowField::HardTolerance),
        Subject::Tilt => Some(Field::TiltBy),
        Subject::PieceLength => Some(Field::BrokenLength),
        Subject::FaceCut => None,
    }
}
