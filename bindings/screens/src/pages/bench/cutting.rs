//! Speeds and feeds in iron.

use super::Bench;
use crate::form::{Form, FormError};
use crate::form_names::Field;
use crate::labels::{rpm, sentence_case, sources, without_source_tags};
use holebook_core::cutting::{
    Hardness, Operation, Speeds, ToolMaterial, ToolWear, deep_hole_reduction, speeds, tool_wear,
};
use holebook_core::length::{Length, Unit, in_unit};
use maud::{Markup, html};

const DIAMETER: &str = "Tool diameter";
const DEPTH: &str = "Hole depth";

pub fn fields(form: &Form<'_>) -> Markup {
    let operations = Operation::ALL.map(|it| (it.name().to_owned(), it.name().to_owned()));
    let materials = ToolMaterial::ALL.map(|it| (it.name().to_owned(), it.name().to_owned()));
    let irons = Hardness::ALL.map(|it| (it.name().to_owned(), format!("{it} iron")));
    html! {
        div.fields {
            (form.select(Field::Purpose, "Operation", None, &operations))
            (form.select(Field::Tool, "Tool", None, &materials))
            (form.select(Field::Iron, "Iron", None, &irons))
            (form.length(Field::Diameter, DIAMETER, None, "drill, end mill, reamer or tap"))
            (form.length(Field::Depth, DEPTH, None, "optional; deep holes run slower"))
        }
        details { summary { "How hard is the iron?" }
            dl.facts { @for iron in Hardness::ALL { dt { (iron) } dd { (without_source_tags(iron.how_to_tell())) } } }
            (sources(Hardness::ALL.map(|iron| format!("{iron}: {}", iron.how_to_tell())))) }
    }
}

pub fn answer(bench: &Bench) -> Result<Markup, FormError> {
    let chosen = |field: Field| bench.asked.field(field).unwrap_or_default();
    let operation = Operation::ALL
        .into_iter()
        .find(|it| it.name() == chosen(Field::Purpose));
    let tool = ToolMaterial::ALL
        .into_iter()
        .find(|it| it.name() == chosen(Field::Tool));
    let iron = Hardness::ALL
        .into_iter()
        .find(|it| it.name() == chosen(Field::Iron));
    let (operation, tool, iron) = (
        operation.unwrap_or(Operation::Drill),
        tool.unwrap_or(ToolMaterial::HighSpeedSteel),
        iron.unwrap_or(Hardness::Soft),
    );
    let diameter = bench.required_length(Field::Diameter, DIAMETER)?;
    let depth = bench.length(Field::Depth, DEPTH)?;
    let unit = bench.unit;
    let found = speeds(operation, tool, iron, diameter).map_err(|error| {
        let message = without_source_tags(&in_unit(&error.to_string(), unit));
        FormError::of(Field::Diameter, DIAMETER, message)
    })?;
    let mut from = vec![format!("surface speed: {}", found.source)];
    from.extend(found.feed.map(|feed| format!("feed: {}", feed.source)));
    if depth.is_some() {
        from.push("deep holes: a drilling guide (secondary source)".to_owned());
    }
    Ok(html! {
        section.panel {
            h2 { (sentence_case(operation.name())) ", " (diameter.show(unit)) " in " (iron) " iron" }
            (figures(&found, unit))
            @if let Some(depth) = depth { (deep_hole(depth, diameter)) }
            @if let Some(note) = found.note { p { (in_unit(&without_source_tags(note), unit)) } }
            p.caution { b { "Caution: " } "Starting values for a sharp tool and a sound machine. The tool maker's sheet and the machine's manual override them. "
                "Clamp the casting; no gloves or loose sleeves near a turning tool; wear eye protection. Cut iron dry, and vacuum the dust." }
            (sources(from))
        }
        (tools(&tool_wear(iron, false, false)))
    })
}

fn figures(found: &Speeds, unit: Unit) -> Markup {
    let ((least, most), speed_unit) = match unit {
        Unit::Inch => (found.surface_ft_min, "ft/min"),
        Unit::Millimeter => (found.surface_m_min, "m/min"),
    };
    html! {
        p.big { (rpm(found.rpm.0, found.rpm.1)) " RPM" }
        dl.facts {
            dt { "Surface speed" }
            dd { @if least == most { (format!("{least:.0} {speed_unit}")) } @else { (format!("{least:.0}-{most:.0} {speed_unit}")) } }
            dt { "Feed" }
            dd { @match &found.feed { Some(feed) => (feed.show(unit)), None => "by the tap's pitch, or by hand; no figure on file" } }
        }
    }
}

fn deep_hole(depth: Length, diameter: Length) -> Markup {
    let diameters = depth.mm() / diameter.mm();
    html! {
        @match deep_hole_reduction(diameters) {
            Some(reduction) => p { (format!(
                "The hole is {diameters:.1} D deep: cut the speed by {:.0}% and the feed by {:.0}%, and clear chips often.",
                reduction.speed * 100.0, reduction.feed * 100.0)) },
            None => p { (format!("The hole is {diameters:.1} D deep: full speed.")) },
        }
    }
}

fn tools(wear: &ToolWear) -> Markup {
    let range = |(fewest, most): (u8, u8)| {
        if fewest == most {
            fewest.to_string()
        } else {
            format!("{fewest}-{most}")
        }
    };
    html! {
        section.panel {
            h2 { "Tools to have ready" }
            dl.facts {
                dt { "Drills or regrinds" } dd { (range(wear.drills)) " per hole" }
                dt { "Taps" } dd { @match wear.taps { Some(taps) => { (range(taps)) " per hole" } None => "do not tap it" } }
            }
            @for reason in &wear.reasons { p { (without_source_tags(reason)) } }
            (sources(["Judgment; nothing was measured".to_owned()]))
        }
    }
}
