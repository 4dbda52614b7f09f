//! What to do: the steps of the chosen remedy with their numbers, and recording each.

use super::Leaf;
use crate::lengths::{drill, force};
use crate::words::{count, feed, torque, torque_unit, turns, when};
use holebook_core::hole::record::{CheckKind, CutStep};
use holebook_core::hole::steps::{Number, Step, StepKey, Value, out_of_order};
use holebook_core::length::Unit;
use maud::{Markup, html};

/// The steps; nothing where no remedy is chosen.
pub fn leaf(leaf: &Leaf<'_>) -> Markup {
    html! {
        @if !leaf.plan.steps.is_empty() {
            section.leaf aria-labelledby="work" {
                h2 #work { "What to do" }
                ol.steps { @for step in &leaf.plan.steps { (step_line(step, leaf)) } }
            }
        }
    }
}

fn step_line(step: &Step, leaf: &Leaf<'_>) -> Markup {
    let now = leaf.is_next(step.key.word());
    let cut = step.key == StepKey::FaceCut;
    html! {
        li.done[step.done.is_some()].now[now].cutline[cut] id=[now.then_some("next")] {
            h3 { (step.title) @if step.done.is_some() { span.hidden { ", done" } } }
            (body(step, now, leaf))
        }
    }
}

/// The step's numbers, reason, cautions and form: in full where it is next. The steps to come show their numbers and
/// those behind only that they are done; the rest of them is folded, so that nobody reads past the next thing.
fn body(step: &Step, now: bool, leaf: &Leaf<'_>) -> Markup {
    let open = now || refused(step, leaf);
    html! {
        @if step.done.is_some() {
            details open[open] {
                summary { span { (done_line(step)) span.hidden { "; its numbers, and recording it again" } } }
                (numbers(step, leaf.desk.unit))
                (rest(step, now, leaf))
            }
        } @else {
            (numbers(step, leaf.desk.unit))
            @if now { (rest(step, now, leaf)) } @else {
                details open[open] { summary { (folded(step)) } (rest(step, now, leaf)) }
            }
        }
    }
}

/// What a fold holds, named so that cautions are known to be there.
fn folded(step: &Step) -> String {
    match step.cautions.len() {
        0 => "Why, and recording it".to_owned(),
        cautions => format!(
            "Why, {}, and recording it",
            count(cautions, "caution", "cautions")
        ),
    }
}

fn rest(step: &Step, now: bool, leaf: &Leaf<'_>) -> Markup {
    html! {
        p.faint { (step.why) }
        @for caution in &step.cautions { p.caution { b { "Care. " } (caution) } }
        (more(step))
        (record(step, now, leaf))
    }
}

/// What more there is to know, folded: nobody with a tool in hand reads it all.
fn more(step: &Step) -> Markup {
    let summary = match step.key {
        StepKey::Prove => "What the numbers stand on",
        _ => "More on cutting it",
    };
    html! {
        @if !step.notes.is_empty() {
            details { summary { (summary) } ul.read { @for note in &step.notes { li { (note) } } } }
        }
    }
}

/// Whether the form that was refused was this step's.
fn refused(step: &Step, leaf: &Leaf<'_>) -> bool {
    leaf.desk.refused.is_some_and(|refused| {
        form_of(step.key) == refused.form && is_for(step.key, refused.request)
    })
}

fn numbers(step: &Step, unit: Unit) -> Markup {
    html! {
        @if !step.numbers.is_empty() {
            dl.facts { @for number in &step.numbers { dt { (number.name) } dd { (value(number, unit)) } } }
        }
    }
}

/// A number in words, its unit never on a line of its own.
fn value(number: &Number, unit: Unit) -> String {
    let words = match &number.value {
        Value::Length(length) => length.show(unit),
        Value::Between(least, most) => format!("{} to {}", least.show(unit), most.show(unit)),
        Value::Drill(with) => drill(with, unit),
        Value::Degrees(least, most) if least == most => format!("{least}°"),
        Value::Degrees(least, most) => format!("{least}° to {most}°"),
        Value::Count(count) => count.to_string(),
        Value::NewtonMetres(newton_metres) => torque(*newton_metres, unit),
        Value::Newtons(newtons) => force(*newtons, unit),
        Value::Turns(least, most) => turns(*least, *most),
        Value::Feed(by) => feed(by, unit),
        Value::Words(words) => return words.clone(),
    };
    words
        .replace(' ', "\u{a0}")
        .replace("\u{a0}to\u{a0}", " to ")
}

fn done_line(step: &Step) -> Markup {
    html! {
        @if let Some(done) = &step.done {
            "Done"
            @if let Some(by) = &done.by { ", " (crate::words::writer(by)) }
            @if let Some(at) = &done.at { ", " (when(at)) }
            @if let Some(but) = &done.but { ": " (but) }
        }
    }
}

/// What records the step.
fn record(step: &Step, now: bool, leaf: &Leaf<'_>) -> Markup {
    html! {
        @if step.key == StepKey::FaceCut {
            p { a.button.main[now] href=(format!("/face/{}#milled", leaf.hole.face)) { "Record it on the face's page" } }
        } @else { (form(step, leaf)) }
    }
}

/// The form's address: its kind of entry.
pub fn form_of(key: StepKey) -> &'static str {
    match key {
        StepKey::Cut(_) => "cut",
        StepKey::DryFit => "dry-fit",
        StepKey::FaceCut => "face-cut",
        StepKey::Set => "set",
        StepKey::Keys => "keys",
        StepKey::Check(_) => "check",
        StepKey::Prove => "prove",
    }
}

fn is_for(key: StepKey, request: &crate::carrier::Request) -> bool {
    request.field("step") == Some(key.word())
}

fn form(step: &Step, leaf: &Leaf<'_>) -> Markup {
    let name = step.key.word();
    let fields = StepForm {
        step,
        leaf,
        form: leaf
            .desk
            .form_for(name, form_of(step.key), |request| is_for(step.key, request)),
    };
    html! {
        form method="post" action=(leaf.path(form_of(step.key))) {
            input type="hidden" name="step" value=(name);
            @for answer in &leaf.hole.record.choice.0 { input type="hidden" name="choice" value=(answer.entry); }
            div.fields { (fields.of_kind()) }
            (fields.reason())
            p { button.main[leaf.is_next(name)] { (fields.button()) } }
        }
    }
}

/// The fields of one step's form.
struct StepForm<'a> {
    step: &'a Step,
    leaf: &'a Leaf<'a>,
    form: crate::form::Form<'a>,
}

impl StepForm<'_> {
    fn of_kind(&self) -> Markup {
        match self.step.key {
            StepKey::Cut(step) => self.cut(step),
            StepKey::DryFit => html! {
                (self.passes("Goes in as it should", "Does not"))
                (self.form.length("below", "Its top below the face", None, "face of today"))
                (self.form.text("note", "What was seen", None, ""))
            },
            StepKey::Set => self.form.length(
                "below",
                "Its top below the face",
                None,
                "as it is now, measured",
            ),
            StepKey::Keys => self
                .form
                .text("driven", "Keys driven", self.keys().as_deref(), ""),
            StepKey::Check(check) => html! {
                (self.passes("Passes", "Fails"))
                @if check != CheckKind::RunsIn { (self.form.length("reading", reading_of(check), None, "if measured")) }
                (self.form.text("instrument", "Checked with", None, ""))
            },
            StepKey::Prove => html! {
                (self.passes("It holds", "It does not hold"))
                (self.form.text("how", "Proved by", None, "thread plug gauge, new bolt to its torque"))
                (self.form.text("torque", &format!("Torque held ({})", torque_unit(self.leaf.desk.unit)), None, "if proved by torque"))
                (self.form.length("engaged", "Thread engaged", None, "if measured"))
            },
            StepKey::FaceCut => html! {},
        }
    }

    fn cut(&self, step: CutStep) -> Markup {
        let deep = !matches!(step, CutStep::ClearBroken | CutStep::Plug);
        html! {
            @if deep { (self.form.length("depth", "Depth reached", None, "from the face as it is now")) }
            (self.form.text("tool", "With", self.tool(step).as_deref(), ""))
        }
    }

    /// The tool that the step names, to be kept or corrected.
    fn tool(&self, step: CutStep) -> Option<String> {
        let named = self
            .step
            .numbers
            .iter()
            .find_map(|number| match &number.value {
                Value::Drill(drill) => Some(format!("drill {drill}")),
                Value::Words(words) if step == CutStep::Tap => Some(words.clone()),
                _ => None,
            });
        named.filter(|_| matches!(step, CutStep::Drill | CutStep::Tap | CutStep::DrillPlug))
    }

    fn keys(&self) -> Option<String> {
        let count = self
            .step
            .numbers
            .iter()
            .find_map(|number| match number.value {
                Value::Count(count) => Some(count),
                _ => None,
            });
        count.map(|count| count.to_string())
    }

    fn passes(&self, yes: &str, no: &str) -> Markup {
        self.form
            .one_of("passes", "Result", &[("yes", yes), ("no", no)])
    }

    /// Asked where the step comes out of the planned order; the sentence says why.
    fn reason(&self) -> Markup {
        let leaf = self.leaf;
        let why = leaf
            .plan
            .situation
            .as_ref()
            .ok()
            .zip(leaf.plan.chosen())
            .and_then(|(situation, chosen)| {
                out_of_order(situation, chosen, &leaf.hole.record, self.step.key)
            });
        html! {
            @if let Some(why) = why.filter(|_| self.step.done.is_none()) {
                // Where the reason was refused, the same sentence stands at its field.
                @if !self.form.is_wrong("reason") {
                    p { b { "Out of the planned order. " } (crate::words::sentence_case(&why)) "." }
                }
                (self.form.text("reason", "Why it is done now", None, "stays in the journal"))
            }
        }
    }

    fn button(&self) -> &'static str {
        match self.step.key {
            StepKey::Cut(_) => "Record what was cut",
            StepKey::DryFit => "Record the dry fit",
            StepKey::Set => "Record it as set",
            StepKey::Keys => "Record the keys",
            StepKey::Check(_) => "Record the check",
            StepKey::Prove => "Record the proof",
            StepKey::FaceCut => "",
        }
    }
}

fn reading_of(check: CheckKind) -> &'static str {
    match check {
        CheckKind::RuleAcross => "Below the rule by",
        CheckKind::Square => "Out of square by",
        CheckKind::RunsIn => "Reading",
    }
}
