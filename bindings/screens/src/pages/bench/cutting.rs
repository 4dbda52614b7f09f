//! Turns and feed in iron.

use super::Bench;
use crate::form::{Form, Refusal};
use crate::words::{feed, turns};
use holebook_core::cutting::{
    Hardness, Purpose, Speeds, ToolMaterial, Wear, depth_loss, speeds, wear,
};
use holebook_core::length::{Length, Unit};
use maud::{Markup, html};

const DIAMETER: &str = "Tool's diameter";
const DEPTH: &str = "Depth of the hole";

pub fn fields(form: &Form<'_>) -> Markup {
    let purposes = Purpose::ALL.map(|it| (it.name().to_owned(), it.name().to_owned()));
    let materials = ToolMaterial::ALL.map(|it| (it.name().to_owned(), it.name().to_owned()));
    let irons = Hardness::ALL.map(|it| (it.name().to_owned(), format!("{it} iron")));
    html! {
        div.fields {
            (form.choose("for", "For", None, &purposes))
            (form.choose("tool", "Tool of", None, &materials))
            (form.choose("iron", "In", None, &irons))
            (form.length("diameter", DIAMETER, None, "of the drill, end mill, reamer or tap"))
            (form.length("depth", DEPTH, None, "deep holes go slower; may stay empty"))
        }
        details { summary { "Which iron is it" }
            dl.facts { @for iron in Hardness::ALL { dt { (iron) } dd { (iron.shows()) } } } }
    }
}

pub fn answer(bench: &Bench) -> Result<Markup, Refusal> {
    let chosen = |field: &str| bench.asked.field(field).unwrap_or_default();
    let purpose = Purpose::ALL
        .into_iter()
        .find(|it| it.name() == chosen("for"));
    let tool = ToolMaterial::ALL
        .into_iter()
        .find(|it| it.name() == chosen("tool"));
    let iron = Hardness::ALL
        .into_iter()
        .find(|it| it.name() == chosen("iron"));
    let (purpose, tool, iron) = (
        purpose.unwrap_or(Purpose::Drill),
        tool.unwrap_or(ToolMaterial::HighSpeedSteel),
        iron.unwrap_or(Hardness::Soft),
    );
    let diameter = bench.needed_length("diameter", DIAMETER)?;
    let depth = bench.length("depth", DEPTH)?;
    let found = speeds(purpose, tool, iron, diameter)
        .map_err(|error| Refusal::of(DIAMETER, error).at("diameter"))?;
    Ok(html! {
        section.leaf {
            h2 { (crate::words::sentence_case(purpose.name())) ", " (diameter.show(bench.unit)) " in " (iron) " iron" }
            (figures(&found, bench.unit))
            @if let Some(depth) = depth { (deep(depth, diameter)) }
            @if let Some(note) = found.note { p { (note) } }
            p.source { "Surface speed: " (found.source) "." }
            @if let Some(feed) = &found.feed { p.source { "Feed: " (feed.source) "." } }
            p.caution { b { "Care. " } "Where to start with a sharp tool in a sound machine; the tool's own card and the machine's manual decide. "
                "Clamp the casting; no gloves or loose sleeves near a turning tool; eye protection on. Iron is cut dry: draw the dust off." }
        }
        (tools(&wear(iron, false, false)))
    })
}

fn figures(found: &Speeds, unit: Unit) -> Markup {
    let (least, most) = match unit {
        Unit::Inch => found.surface_ft_min,
        Unit::Millimetre => found.surface_m_min,
    };
    let per_minute = match unit {
        Unit::Inch => "ft/min",
        Unit::Millimetre => "m/min",
    };
    html! {
        p.big { (turns(found.rpm.0, found.rpm.1)) " turns a minute" }
        dl.facts {
            dt { "Surface speed" }
            dd { @if least == most { (format!("{least:.0} {per_minute}")) } @else { (format!("{least:.0} to {most:.0} {per_minute}")) } }
            dt { "Feed" }
            dd { @match &found.feed { Some(it) => (feed(it, unit)), None => "by the tap's own pitch, or by hand: no figure was found" } }
        }
    }
}

fn deep(depth: Length, diameter: Length) -> Markup {
    let diameters = depth.mm() / diameter.mm();
    html! {
        @match depth_loss(diameters) {
            Some(loss) => p { (format!(
                "The hole is {diameters:.1} diameters deep: take {:.0} % off the speed and {:.0} % off the feed, and clear the chips often (a drilling guide, secondary source).",
                loss.speed * 100.0, loss.feed * 100.0)) },
            None => p { (format!("The hole is {diameters:.1} diameters deep, which takes nothing off the speed.")) },
        }
    }
}

fn tools(wear: &Wear) -> Markup {
    let range = |(fewest, most): (u8, u8)| {
        if fewest == most {
            fewest.to_string()
        } else {
            format!("{fewest} to {most}")
        }
    };
    html! {
        section.leaf {
            h2 { "Tools to have at hand" }
            dl.facts {
                dt { "Drills, or sharp points" } dd { (range(wear.drills)) " a hole" }
                dt { "Taps" } dd { @match wear.taps { Some(taps) => { (range(taps)) " a hole" } None => "do not tap it" } }
            }
            @for reason in &wear.reasons { p { (reason) } }
            p.source { "A judgement; nothing here was measured." }
        }
    }
}
