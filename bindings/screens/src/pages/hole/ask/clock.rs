//! A clock face to tap for a direction: twelve radio buttons on a dial, so that keys work too and no
//! script is needed.

use crate::form::Form;
use crate::form_names::Field;
use maud::{Markup, html};

/// The dial; `label` says what points where.
pub fn clock(field: Field, label: &str, form: Form<'_>) -> Markup {
    let typed = form.typed_value(field);
    html! {
        fieldset.clock {
            legend { (label) }
            div.dial {
                @for hour in 1..=12 {
                    label class=(format!("hour-{hour}")) {
                        input type="radio" name=(field.name()) value=(hour) checked[typed == Some(hour.to_string().as_str())];
                        span { (hour) span.visually-hidden { " o'clock" } }
                    }
                }
            }
        }
    }
}
