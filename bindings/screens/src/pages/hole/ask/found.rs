//! What is wrong with the hole: a card for each condition, with the few numbers that describe it.
//! All cards send the damage form.

use super::center;
use super::clock::clock;
use super::keypad::{Keys, keypad};
use super::{skip_field, tools};
use crate::form::{Form, hidden};
use crate::form_names::{Field, FormName, RowField};
use crate::labels::sentence_case;
use crate::pages::hole::HolePage;
use crate::pages::hole::damage::taken_from;
use holebook_core::hole::condition::Condition;
use holebook_core::hole::damage::{Damage, Span, Station};
use holebook_core::hole::record::{CutStep, Quantity};
use holebook_core::length::Length;
use holebook_core::notebook::AskedQuestion;
use maud::{Markup, html};

const FROM: Field = Field::Row(RowField::From, 0);
const TO: Field = Field::Row(RowField::To, 0);
const DIAMETER: Field = Field::Row(RowField::Diameter, 0);
const OFFSET: Field = Field::Row(RowField::Offset, 0);
const DIRECTION: Field = Field::Row(RowField::Direction, 0);
const HARD_FROM: Field = Field::Row(RowField::HardFrom, 0);
const HARD_TO: Field = Field::Row(RowField::HardTo, 0);
const HOLE_OFF: &str = "The hole is off toward (clock)";

/// The card for the hole's condition; what to look at if that is not known yet.
pub fn card(asked: &AskedQuestion, page: &HolePage<'_>) -> Markup {
    let record = &page.hole.record;
    if let Some(damage) = record.damage.0.first() {
        return html! { (center::taken_again(page)) (again(&damage.body, page)) };
    }
    let card = DamageCard { asked, page };
    let fields = match record.condition_in_force() {
        Some(Condition::Loose) => card.loose(),
        Some(Condition::OffCenter) => card.off_center(),
        Some(Condition::Crater) => card.crater(),
        Some(Condition::NotSquare) => card.not_square(),
        Some(Condition::Welded) => card.hard(),
        Some(
            Condition::Sound | Condition::BrokenBolt | Condition::BrokenTool | Condition::Unknown,
        )
        | None => return conditions(page),
    };
    html! {
        (fields)
        details { summary { "It is something else" } (conditions(page)) }
    }
}

/// The heading of the card, by the condition that it asks about.
pub fn title(page: &HolePage<'_>) -> Option<&'static str> {
    if center::places_changed(page) {
        return Some("How far is it off center now?");
    }
    let record = &page.hole.record;
    let condition = record
        .condition_in_force()
        .filter(|_| record.damage.0.is_empty())?;
    Some(match condition {
        Condition::Loose => "How far is the thread gone?",
        Condition::OffCenter => "How far is it off center?",
        Condition::Crater => "How big is the crater?",
        Condition::NotSquare => "How far does it lean?",
        Condition::Welded => "How deep is it hard?",
        Condition::Sound | Condition::BrokenBolt | Condition::BrokenTool | Condition::Unknown => {
            return None;
        }
    })
}

/// A button for each condition.
fn conditions(page: &HolePage<'_>) -> Markup {
    let record = &page.hole.record;
    let cleared = record
        .cuts
        .iter()
        .any(|cut| cut.body.step == CutStep::ClearBroken);
    // A hole that a piece came out of is not looked at for the first time: its thread is described.
    let offered = |condition: &Condition| {
        let of_piece = condition.broken_piece().is_some() || *condition == Condition::Sound;
        *condition != Condition::Unknown && !(cleared && of_piece)
    };
    html! {
        @if cleared { (good(page)) }
        form.conditions method="post" action=(page.address(FormName::Condition)) {
            (skip_field(page))
            (page.replaces(&record.condition.0))
            @for condition in Condition::ALL.into_iter().filter(offered) {
                button name=(Field::Condition.name()) value=(condition.name()) {
                    b aria-hidden="true" { (condition.letter()) } " " (sentence_case(condition.label()))
                }
            }
        }
    }
}

/// A button that says that the thread is good.
fn good(page: &HolePage<'_>) -> Markup {
    html! {
        form.ask.quick method="post" action=(page.address(FormName::Damage)) {
            (skip_field(page))
            (page.replaces(&page.hole.record.damage.0))
            (hidden(Field::NoDamage, "yes"))
            button.main { "The thread is good" }
        }
    }
}

/// After a broken piece is out, or to measure the damage more closely: as before, good, or anew.
fn again(before: &Damage, page: &HolePage<'_>) -> Markup {
    let cleared = before.broken_tool.is_some();
    let without_piece = Damage {
        broken_tool: None,
        ..before.clone()
    };
    html! {
        @if cleared {
            (good(page))
            @if !without_piece.is_empty() && without_piece.lean.is_none() {
                form.ask.quick method="post" action=(page.address(FormName::Damage)) {
                    (skip_field(page))
                    (page.replaces(&page.hole.record.damage.0))
                    (rows(&without_piece))
                    button { "As described before, without the piece" }
                }
            }
        }
        p { a.button href="#describe-damage" { "Describe the damage" } }
    }
}

/// The damage as hidden fields of its form.
pub(super) fn rows(damage: &Damage) -> Markup {
    rows_but_depths(damage, None)
}

/// The same without the depths of one line, which are entered.
pub fn rows_but_depths(damage: &Damage, entered: Option<usize>) -> Markup {
    html! {
        @for (row, station) in damage.stations.iter().enumerate() {
            @if entered != Some(row) {
                (length(RowField::From, row, Some(station.span.from)))
                (length(RowField::To, row, Some(station.span.to)))
            }
            (station_row(row, station))
        }
        @for (row, zone) in damage.hard.iter().enumerate() {
            (length(RowField::HardFrom, row, Some(zone.span.from)))
            (length(RowField::HardTo, row, Some(zone.span.to)))
            (length(RowField::HardTolerance, row, zone.tolerance))
        }
        @if damage.crack { (hidden(Field::Crack, "yes")) }
    }
}

fn station_row(row: usize, station: &Station) -> Markup {
    let degrees = |field, value: Option<f64>| {
        html! { @if let Some(value) = value { (hidden(Field::Row(field, row), format!("{value}°"))) } }
    };
    html! {
        (length(RowField::Diameter, row, Some(station.diameter)))
        (length(RowField::Offset, row, Some(station.offset)))
        (degrees(RowField::Direction, Some(station.direction_deg)))
        (length(RowField::LowerDiameter, row, station.to_diameter))
        (length(RowField::LowerOffset, row, station.to_offset))
        (degrees(RowField::LowerDirection, station.to_direction_deg))
        (length(RowField::DiameterTolerance, row, station.diameter_tolerance))
        (length(RowField::OffsetTolerance, row, station.offset_tolerance))
        (taken_from::fields(row, station))
    }
}

fn length(field: RowField, row: usize, value: Option<Length>) -> Markup {
    html! { @if let Some(value) = value { (hidden(Field::Row(field, row), value.exact())) } }
}

/// The way to trace a crater on the photo, if the hole is marked in one.
pub fn trace_link(page: &HolePage<'_>) -> Markup {
    html! {
        @if !page.hole.marks.is_empty() {
            p { a.button href=(format!("/hole/{}/outline", page.hole.id)) { "Trace it on the photo" } }
        }
    }
}

struct DamageCard<'a> {
    asked: &'a AskedQuestion,
    page: &'a HolePage<'a>,
}

impl DamageCard<'_> {
    fn form(&self) -> Form<'_> {
        self.page.card_form(super::CARD, FormName::Damage)
    }

    /// A form of the damage with these fields.
    fn with(&self, fields: &Markup) -> Markup {
        html! {
            form.ask method="post" action=(self.page.address(FormName::Damage)) {
                (hidden(Field::Card, super::CARD))
                (skip_field(self.page))
                (fields)
                (keypad(Keys::Length, self.page.context.unit))
                p { button.main { "Save" } }
                (self.form().questions())
            }
        }
    }

    fn number(&self, field: Field, label: &str, now: Option<Length>, hint: &str) -> Markup {
        self.form().length(field, label, now, hint)
    }

    /// The depth of the hole, which most damage reaches.
    fn depth(&self) -> Option<Length> {
        let situation = self.page.plan.situation.as_ref().ok()?;
        let depths = self.page.hole.record.readings.iter();
        let face = &self.page.hole.face_record;
        let read = depths.filter(|entry| entry.body.quantity == Quantity::Depth);
        read.map(|entry| entry.value_as_is(face))
            .min()
            .or(situation.depth)
    }

    fn tools(&self) -> Markup {
        tools(&self.asked.tools, self.form(), self.page.context.unit)
    }

    fn loose(&self) -> Markup {
        self.with(&html! {
            (hidden(FROM, 0))
            div.pair {
                (self.number(DIAMETER, "Across the thread", None, "between the crests"))
                (self.number(TO, "Worn down to", self.depth(), "depth from the face"))
            }
            (self.tools())
        })
    }

    fn off_center(&self) -> Markup {
        let wanted = self.page.plan.record.wanted.agreed();
        let across = wanted.map(|wanted| wanted.thread.nominal());
        let fields = self.with(&html! {
            (hidden(FROM, 0))
            (clock(DIRECTION, HOLE_OFF, self.form()))
            div.pair {
                (self.number(OFFSET, "Off center by", None, "from where it should be"))
                (self.number(DIAMETER, "Across the old hole", across, "to the thread's root"))
                (self.number(TO, "Down to", self.depth(), "depth from the face"))
            }
            (self.tools())
        });
        let one_tap = self.one_tap(across);
        html! {
            (center::first(self.page))
            @if let Some(station) = &one_tap { (center::offer(station, self.page)) }
            (fields)
        }
    }

    /// The whole off-center hole as the pattern and the photo have it, if its size and depth are known.
    fn one_tap(&self, across: Option<Length>) -> Option<Station> {
        let span = Span {
            from: Length::ZERO,
            to: self.depth()?,
        };
        center::station(self.page.center.as_ref()?, span, across?)
    }

    fn crater(&self) -> Markup {
        let form = self.form();
        html! { (center::first(self.page)) (self.crater_fields(form)) }
    }

    fn crater_fields(&self, form: Form<'_>) -> Markup {
        self.with(&html! {
            (hidden(FROM, 0))
            (trace_link(self.page))
            (self.crater_picture())
            div.pair {
                (self.number(DIAMETER, "Across the crater", None, "at its widest"))
                (self.number(TO, "Crater depth", None, "from the face"))
            }
            (self.tools())
            details open[form.any_typed(&[HARD_FROM, HARD_TO])] {
                summary { "Hard metal around it" }
                div.pair {
                    (self.number(HARD_FROM, "Hard from", None, "blank = the face"))
                    (self.number(HARD_TO, "Hard to", None, "depth from the face"))
                }
            }
            details open[form.any_typed(&[OFFSET, DIRECTION])] {
                summary { "Its middle is beside the hole" }
                (self.number(OFFSET, "Off center by", None, ""))
                (clock(DIRECTION, "The crater is off toward (clock)", form))
            }
        })
    }

    /// The hole to scale from above; the script lets a finger drag the crater's edge.
    fn crater_picture(&self) -> Markup {
        let wanted = self.page.plan.record.wanted.agreed();
        let nominal_mm = wanted.map_or(10.0, |wanted| wanted.thread.nominal().mm());
        let edge = nominal_mm * 2.0;
        let frame = format!(
            "{:.2} {:.2} {:.2} {:.2}",
            -edge,
            -edge,
            2.0 * edge,
            2.0 * edge
        );
        html! {
            svg.crater-picture hidden viewBox=(frame) data-sets=(DIAMETER.name()) data-unit=(self.page.context.unit)
                role="img" aria-label="The hole to scale from above: drag the crater's edge, or enter the number below" {
                circle.crater r=(format!("{nominal_mm:.2}")) {}
                circle.bolt r=(format!("{:.2}", nominal_mm / 2.0)) {}
                path.cross d=(format!("M{:.2} 0H{:.2}M0 {:.2}V{:.2}", -edge, edge, -edge, edge)) {}
            }
        }
    }

    fn not_square(&self) -> Markup {
        self.with(&html! {
            p.faint { "Put a bolt or pin in it and a square beside it." }
            (clock(Field::TiltDirection, "Its lower end leans toward (clock)", self.form()))
            div.pair {
                (self.number(Field::TiltBy, "Leans by", None, ""))
                (self.number(Field::TiltOver, "Over a depth of", None, ""))
            }
        })
    }

    fn hard(&self) -> Markup {
        self.with(&html! {
            p.faint { "Try it with a file: where the file skates, the metal is hard." }
            div.pair {
                (self.number(HARD_FROM, "Hard from", Some(Length::ZERO), "0 = at the face"))
                (self.number(HARD_TO, "Hard to", None, "depth from the face"))
            }
        })
    }
}
