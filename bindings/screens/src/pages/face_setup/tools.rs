//! The measuring tools in use: common ones to pick, and one to add by name.

use crate::carrier::Request;
use crate::form::{FormError, length};
use crate::form_names::{Field, FormName};
use crate::pages::FormContext;
use crate::pages::hole::readings::TOLERANCE;
use holebook_core::hole::face_setup::{FaceSetup, MeasuringTool, MeasuringTools};
use holebook_core::length::{Length, Unit};
use maud::{Markup, html};

/// Common tools, each with its usual tolerance where the number is an inch fraction or decimal:
/// numerator and denominator. Judgment, no source: what such a tool repeats to in a rough hole.
const INCH: [(&str, i64, i64); 7] = [
    ("6 in rule", 1, 64),
    ("caliper", 1, 1000),
    ("depth gauge", 2, 1000),
    ("telescoping gauge", 2, 1000),
    ("small hole gauge", 2, 1000),
    ("drill shank", 5, 1000),
    ("tape measure", 1, 16),
];

/// The same in hundredths of a millimeter.
const METRIC: [(&str, i64); 7] = [
    ("150 mm rule", 50),
    ("caliper", 3),
    ("depth gauge", 5),
    ("telescoping gauge", 5),
    ("small hole gauge", 5),
    ("drill shank", 10),
    ("tape measure", 100),
];

/// The common tools in a unit.
pub fn common(unit: Unit) -> Vec<MeasuringTool> {
    let tool = |name: &str, tolerance| MeasuringTool {
        name: name.to_owned(),
        tolerance: Some(tolerance),
    };
    match unit {
        Unit::Inch => INCH
            .iter()
            .map(|(name, over, under)| tool(name, Length::from_fraction(*over, *under)))
            .collect(),
        Unit::Millimeter => METRIC
            .iter()
            .map(|(name, hundredths)| tool(name, Length::from_nm(hundredths * 10_000)))
            .collect(),
    }
}

/// A tool with its tolerance: `6 in rule, ±1/64 in`.
fn label(tool: &MeasuringTool, unit: Unit) -> String {
    match tool.tolerance {
        Some(tolerance) => format!("{}, ±{}", tool.name, shown(tolerance, unit)),
        None => tool.name.clone(),
    }
}

/// A tolerance as a shop writes it: a rule's as a fraction.
fn shown(tolerance: Length, unit: Unit) -> String {
    let with_value = Length::ZERO.show_tolerance(tolerance, unit);
    match with_value.split_once('±') {
        Some((_, tolerance)) => tolerance.to_owned(),
        None => tolerance.show(unit),
    }
}

/// Names of the tools in use.
pub fn names(setup: &FaceSetup) -> String {
    let names: Vec<&str> = setup
        .tools()
        .iter()
        .map(|tool| tool.name.as_str())
        .collect();
    names.join(", ")
}

/// The suggestions for what a value was measured with: the tools in use, or else the common ones.
pub fn list(setup: &FaceSetup, unit: Unit) -> Markup {
    let offered = common(unit);
    let in_use = setup.tools();
    let offered: Vec<&MeasuringTool> = match in_use.is_empty() {
        true => offered.iter().collect(),
        false => in_use,
    };
    html! {
        datalist #tools { @for tool in offered { option value=(tool.name) { (label(tool, unit)) } } }
    }
}

/// The tools to pick.
pub fn fields(setup: &FaceSetup, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::Setup);
    let in_use: Vec<MeasuringTool> = setup.tools().into_iter().cloned().collect();
    let mut offered = in_use.clone();
    let is_new = |tool: &MeasuringTool| !in_use.iter().any(|other| other.is_named(&tool.name));
    offered.extend(common(context.unit).into_iter().filter(is_new));
    html! {
        section.panel {
            h2 { "Measuring tools" }
            p.faint { "Pick what you have here. A reading gets its tool's tolerance unless you type another." }
            div.radio-group {
                @for tool in &offered {
                    (form.pick(Field::Tool, &label(tool, context.unit), &word(tool), in_use.contains(tool)))
                }
            }
            div.fields {
                (form.text(Field::OtherTool, "Another tool", None, ""))
                (form.length(Field::OtherToolTolerance, TOLERANCE, None, ""))
            }
        }
    }
}

/// Separates a tool's name from its tolerance in a field's value.
const BETWEEN: &str = " ±";

/// A tool as the value of a field.
fn word(tool: &MeasuringTool) -> String {
    match tool.tolerance {
        Some(tolerance) => format!("{}{BETWEEN}{}", tool.name, tolerance.exact()),
        None => tool.name.clone(),
    }
}

fn from_word(word: &str) -> MeasuringTool {
    let parts = word.rsplit_once(BETWEEN);
    let read = parts.and_then(|(name, text)| Some((name, Length::parse(text, None).ok()?)));
    match read {
        Some((name, tolerance)) => MeasuringTool {
            name: name.to_owned(),
            tolerance: Some(tolerance),
        },
        None => MeasuringTool {
            name: word.to_owned(),
            tolerance: None,
        },
    }
}

/// Reads the tools that were picked and the one that was added.
pub fn read(request: &Request, unit: Unit) -> Result<MeasuringTools, FormError> {
    let mut tools: Vec<MeasuringTool> = request.fields(Field::Tool).map(from_word).collect();
    let tolerance = length(
        request,
        Field::OtherToolTolerance,
        "Another tool, tolerance",
        unit,
    )?;
    match (request.field(Field::OtherTool), tolerance) {
        (Some(name), tolerance) => {
            // The one that is typed counts, if one of this name is picked too.
            tools.retain(|tool| !tool.is_named(name));
            tools.push(MeasuringTool {
                name: name.to_owned(),
                tolerance,
            });
        }
        (None, Some(_)) => {
            return Err(FormError::of(
                Field::OtherTool,
                "Another tool",
                "enter its name, or clear its tolerance",
            ));
        }
        (None, None) => {}
    }
    Ok(MeasuringTools { tools })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tool_comes_back_from_its_field() {
        let without = MeasuringTool {
            name: "go ± no-go ±".to_owned(),
            tolerance: None,
        };
        let units = [Unit::Inch, Unit::Millimeter];
        for tool in units.into_iter().flat_map(common).chain([without]) {
            assert_eq!(from_word(&word(&tool)), tool);
        }
    }

    #[test]
    fn tolerances_read_as_on_the_tool() {
        let labels = |unit| -> Vec<String> {
            let tools = common(unit);
            tools.iter().map(|tool| label(tool, unit)).collect()
        };
        let inch = labels(Unit::Inch);
        assert_eq!(inch[..2], ["6 in rule, ±1/64 in", "caliper, ±.001 in"]);
        assert_eq!(labels(Unit::Millimeter)[0], "150 mm rule, ±0.5 mm");
    }
}
