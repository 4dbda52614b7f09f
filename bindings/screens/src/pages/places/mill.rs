//! The mill at hand: its handwheels, and from which side positions are approached.

use super::whole;
use crate::carrier::Request;
use crate::form::{FormError, length};
use crate::form_names::{Field, FormName};
use crate::pages::FormContext;
use holebook_core::hole::record::FactEntries;
use holebook_core::length::Unit;
use holebook_core::notebook::{FaceView, Notebook};
use holebook_core::places::record::MOST_DIVISIONS;
use holebook_core::places::{MillAxis, MillSetup};
use holebook_place::moves::Approach;
use maud::{Markup, html};

/// The fields of an axis: lead, divisions, backlash.
type AxisFields = (&'static str, Field, Field, Field);

const X: AxisFields = ("X", Field::XLead, Field::XDivisions, Field::XBacklash);
const Y: AxisFields = ("Y", Field::YLead, Field::YDivisions, Field::YBacklash);

pub fn section(
    face: &FaceView,
    mills: &FactEntries<MillSetup>,
    context: FormContext<'_>,
) -> Markup {
    let form = context.form(FormName::Mill);
    let mill = mills.0.first().map(|entry| &entry.body);
    let approach = mill
        .and_then(|mill| mill.x.or(mill.y))
        .map(|axis| axis.approach);
    let falling = approach == Some(Approach::Falling);
    html! {
        details.panel open[form.is_rejected() || mills.differ()] {
            summary { "The mill" }
            @if mills.differ() { p { b { "Devices disagree. " } "Save it again." } }
            form method="post" action=(FormName::Mill.address_of(face.id)) {
                (form.text(Field::Name, "Name", mill.and_then(|mill| mill.name.as_deref()), ""))
                @for (name, lead, divisions, backlash) in [X, Y] {
                    @let axis = mill.and_then(|mill| if name == "X" { mill.x } else { mill.y });
                    @let marks = axis.map(|axis| axis.divisions.to_string());
                    fieldset {
                        legend { (name) " handwheel" }
                        div.fields {
                            (form.length(lead, "Travel in one turn", axis.map(|axis| axis.lead), "blank: no dial"))
                            (form.text(divisions, "Divisions on the dial", marks.as_deref(), ""))
                            (form.length(backlash, "Backlash", axis.and_then(|axis| axis.backlash), "how far it turns before the table moves"))
                        }
                    }
                }
                (form.radios_from(Field::Approach, "Come to each position", Some(if falling { "falling" } else { "rising" }), &[
                    ("rising", "toward larger readings"), ("falling", "toward smaller readings"),
                ]))
                (form.checkbox(Field::Readout, "It has a digital readout", mill.is_some_and(|mill| mill.readout)))
                p { button { "Save mill" } }
            }
        }
    }
}

/// Records the mill.
pub fn save(notebook: &Notebook, request: &Request, unit: Unit) -> Result<(), FormError> {
    let mill = MillSetup {
        name: request.field(Field::Name).map(str::to_owned),
        x: axis(request, X, unit)?,
        y: axis(request, Y, unit)?,
        readout: request.field(Field::Readout).is_some(),
    };
    notebook.set_mill(&mill)?;
    Ok(())
}

fn axis(
    request: &Request,
    (name, lead, divisions, backlash): AxisFields,
    unit: Unit,
) -> Result<Option<MillAxis>, FormError> {
    let label = |what: &str| format!("{name}, {what}");
    let turn = length(request, lead, &label("travel in one turn"), unit)?;
    let marks = whole(
        request,
        divisions,
        &label("divisions on the dial"),
        (1, MOST_DIVISIONS),
    )?;
    let slack = length(request, backlash, &label("backlash"), unit)?;
    let (turn, divisions) = match (turn, marks) {
        (Some(turn), Some(marks)) => (turn, marks),
        (None, None) => return Ok(None),
        (Some(_), None) => {
            let message = "required with the travel in one turn";
            return Err(FormError::of(
                divisions,
                &label("divisions on the dial"),
                message,
            ));
        }
        (None, Some(_)) => {
            let message = "required with the divisions on the dial";
            return Err(FormError::of(lead, &label("travel in one turn"), message));
        }
    };
    Ok(Some(MillAxis {
        lead: turn,
        divisions,
        approach: match request.field(Field::Approach) {
            Some("falling") => Approach::Falling,
            _ => Approach::Rising,
        },
        backlash: slack,
    }))
}
