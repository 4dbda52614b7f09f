//! Bolting up the joint of a face: what each bolt needs, the order and the passes, and one tap for
//! each bolt in each pass.

mod photo;
mod record;
pub mod sheet;

pub use record::submit;

use crate::carrier::Request;
use crate::form::hidden;
use crate::form_names::{Field, FormName};
use crate::labels::{count, sentence_case, verdict};
use crate::page::Page;
use crate::pages::{FormContext, below_face, reminders};
use holebook_core::hole::bolt_up::{BoltPass, JointBolt, pass_range};
use holebook_core::hole::caution::Caution;
use holebook_core::labels::{
    CURED, GRIP_NOTE, PASSES_SOURCE, SEALER, WARM_UP, bolt_lines, engaged, failure, full_torque,
    pass_aim, tightened_to, tightening_warnings, weakest,
};
use holebook_core::length::Unit;
use holebook_core::notebook::{BoltPlan, FaceId, HoleId, JointPlan, Notebook, NotebookError};
use holebook_core::strength::{Lubrication, show_torque, show_torque_range};
use maud::{Markup, html};
use std::ops::Deref;

/// The query parameter that says how the bolts are lubricated.
const LUBRICATION: &str = "bolts";

/// What the page draws from.
struct Joint<'a> {
    plan: JointPlan,
    context: FormContext<'a>,
}

impl Deref for Joint<'_> {
    type Target = JointPlan;

    fn deref(&self) -> &JointPlan {
        &self.plan
    }
}

impl Joint<'_> {
    fn unit(&self) -> Unit {
        self.context.unit
    }
}

/// Reads how the bolts are lubricated; `None` if neither the address nor a form that is shown again
/// says.
pub fn lubrication(request: &Request) -> Option<Lubrication> {
    let named = request.param(LUBRICATION);
    let named = named.or(request.field(Field::Lubrication))?;
    Lubrication::from_word(named)
}

/// Adds how the bolts are lubricated to the address of a page, which has parameters already.
pub fn with_lubrication(address: &str, lubrication: Lubrication) -> String {
    format!("{address}&{LUBRICATION}={}", lubrication.word())
}

/// A field that asks how the bolts are lubricated, for a form that makes the sheet.
pub fn select() -> Markup {
    html! {
        label { "Bolts: " select name=(LUBRICATION) {
            option value="" selected { "as recorded, else " (Lubrication::USUAL.name()) }
            @for it in Lubrication::ALL { option value=(it.word()) { (it.name()) } }
        } }
    }
}

/// Links to the same page for bolts that are lubricated otherwise.
fn choice(chosen: Lubrication, page: &str) -> Markup {
    html! {
        p.row { "Bolts: " @for it in Lubrication::ALL {
            @if it == chosen { b { (it.name()) } } @else {
                a.button href=(format!("{page}?{LUBRICATION}={}", it.word())) { (it.name()) } }
        } }
    }
}

/// The page.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let plan = notebook.joint_plan(id, lubrication(request))?;
    let joint = Joint { plan, context };
    let reminder = if joint.up.bolted_up { WARM_UP } else { CURED };
    let content = html! {
        h1 { "Bolt-up" }
        (context.outcome())
        (state(&joint))
        @if !joint.bolts.is_empty() { (sheet::links(id, joint.lubrication)) }
        (reminders::list(notebook, Some(id), context)?)
        div.two-columns {
            div {
                @if let Some(pass) = joint.up.next { (current_pass(&joint, pass)) }
                (torque(&joint))
            }
            div {
                (photo::order(&joint))
                details.panel { summary { "Add a reminder" } (reminders::form(id, None, reminder, context)) }
            }
        }
        (table(&joint))
    };
    Ok(below_face::page(&joint.face, "Bolt-up", context, content))
}

/// Whether the joint is bolted up, and if not, what is open.
fn state(joint: &Joint<'_>) -> Markup {
    let open: Vec<&JointBolt> = joint.up.bolts.iter().filter(|bolt| bolt.open).collect();
    let again = joint.up.bolts.iter().filter(|bolt| bolt.again).count();
    html! {
        @if joint.bolts.is_empty() { p { "This face has no holes yet." } }
        @else if joint.up.checked_warm { p.next-banner.done #state { "Bolted up, and checked after the first warm-up." } }
        @else if joint.up.bolted_up { p.next-banner.done #state { "Bolted up. Check it after the first warm-up." } }
        @else if !open.is_empty() {
            div.panel.conflict #state {
                h2 { "Not ready to bolt up" }
                p { (count(open.len(), "hole is", "holes are")) " open. A joint counts as bolted up only once every hole has passed." }
                @if open.len() > FOLDED { details { summary { "The open holes" } (hole_links(&open)) } } @else { (hole_links(&open)) }
            }
        }
        @if again > 0 {
            p.problem { (count(again, "bolt was", "bolts were")) " tightened before later work on this joint, so they start again from the first pass." }
        }
        @for warning in tightening_warnings(joint, joint.unit()) { p.problem { (warning) } }
    }
}

/// More open holes than these are folded.
const FOLDED: usize = 20;

fn hole_links(bolts: &[&JointBolt]) -> Markup {
    html! {
        p.row { @for bolt in bolts { a.hole-link href=(format!("/hole/{}#next", bolt.hole)) { "Hole " (bolt.number) } } }
    }
}

/// The pass that is next, with one tap for each bolt that is left.
fn current_pass(joint: &Joint<'_>, pass: BoltPass) -> Markup {
    let left: Vec<(&BoltPlan, &JointBolt)> =
        joint.ordered().filter(|(_, up)| !up.has(pass)).collect();
    let rejected = joint.context.was_rejected(FormName::Tighten);
    html! {
        section.panel.next aria-labelledby="next" {
            h2 #next { (sentence_case(pass.label())) ": " (pass_aim(joint, pass, joint.unit())) }
            (choose_lubrication(joint))
            p { (count(left.len(), "bolt", "bolts")) " left in this pass. One tap records the bolt, its torque, and how it was lubricated: "
                b { (joint.lubrication.name()) } "." }
            ol.value-list {
                @for (index, (bolt, _)) in left.iter().enumerate() { li { (one_tap(joint, bolt, pass, index == 0)) } }
            }
            @if let Some((bolt, _)) = left.first() {
                details open[rejected] { summary { "Another torque" } (measured(joint, bolt, pass)) }
            }
        }
    }
}

fn one_tap(joint: &Joint<'_>, bolt: &BoltPlan, pass: BoltPass, is_first: bool) -> Markup {
    let aim = joint.full.map(|(full, _)| full * pass.share());
    html! {
        form.one-tap method="post" action=(FormName::Tighten.address_of(joint.face.id)) {
            (fields(joint, bolt.hole.id, pass))
            @if let Some(aim) = aim { (hidden(Field::Torque, format!("{aim} N·m"))) }
            button.main[is_first] { "Hole " (bolt.hole.number) ": "
                @match aim { Some(aim) => (show_torque(aim, joint.unit())), None => "tightened" }
                ", " (joint.lubrication.word()) }
        }
    }
}

/// A form for a torque that was read off the wrench.
fn measured(joint: &Joint<'_>, first: &BoltPlan, pass: BoltPass) -> Markup {
    let form = joint.context.form(FormName::Tighten);
    let holes: Vec<(String, String)> = joint
        .ordered()
        .map(|(bolt, _)| {
            (
                bolt.hole.id.to_string(),
                format!("Hole {}", bolt.hole.number),
            )
        })
        .collect();
    let label = match joint.unit() {
        Unit::Inch => "Torque, ft-lb",
        Unit::Millimeter => "Torque, N·m",
    };
    html! {
        form method="post" action=(FormName::Tighten.address_of(joint.face.id)) {
            (hidden(Field::Pass, pass.name())) (hidden(Field::Lubrication, joint.lubrication.word()))
            p { "Recorded with this lubrication: " b { (joint.lubrication.name()) } "." }
            div.fields {
                (form.select(Field::Hole, "Bolt", Some(&first.hole.id.to_string()), &holes))
                (form.text(Field::Torque, label, None, "blank = not measured"))
                (form.text(Field::Reason, "Reason", None, "for a torque outside the range"))
            }
            (form.questions())
            p { button { "Save" } }
        }
    }
}

/// The choice that the torque is for, and what a tap records: beside the taps while there are any.
fn choose_lubrication(joint: &Joint<'_>) -> Markup {
    choice(
        joint.lubrication,
        &format!("/face/{}/bolt-up", joint.face.id),
    )
}

fn fields(joint: &Joint<'_>, hole: HoleId, pass: BoltPass) -> Markup {
    html! {
        (hidden(Field::Hole, hole)) (hidden(Field::Pass, pass.name()))
        (hidden(Field::Lubrication, joint.lubrication.word()))
    }
}

/// The torque of the joint, what sets it, and the weakest part with its numbers.
fn torque(joint: &Joint<'_>) -> Markup {
    let unit = joint.unit();
    html! {
        section.panel aria-labelledby="torque" {
            h2 #torque { "Torque" }
            p.caution { b { "Caution: " } (Caution::ManualFirst) " Its order, passes and torque replace the ones here. "
            (Caution::OilInBlindHole) " " (Caution::Torque) }
            @if joint.up.next.is_none() { (choose_lubrication(joint)) }
            p { "Bolts: " b { (joint.lubrication.name()) } ". The torque is for that alone." }
            p { (full_torque(joint, unit)) }
            @if let Some((full, _)) = joint.full {
                table { caption { "Passes" } thead { tr { th scope="col" { "Pass" } th scope="col" { "Torque" } th scope="col" { "Done" } } }
                    tbody { @for pass in BoltPass::ALL { @let (least, most) = pass_range(full, pass);
                        tr { th scope="row" { (pass.label()) } td { (show_torque_range(least, most, unit)) }
                            td { (joint.up.bolts.iter().filter(|bolt| bolt.has(pass)).count()) " of " (joint.up.bolts.len()) } } } } }
                p.faint { (PASSES_SOURCE) }
            }
            @if let Some(weakest) = weakest(joint, unit) { p { (weakest) } }
            p.faint { (SEALER) }
        }
    }
}

fn table(joint: &Joint<'_>) -> Markup {
    html! {
        section.panel aria-labelledby="bolts" {
            h2 #bolts { "Bolts" }
            @if !joint.bolts.is_empty() { p { (joint.order.by.sentence()) } p { (GRIP_NOTE) } }
            div.scroll tabindex="0" role="region" aria-label="Bolts in the order of tightening" {
                table.sheet-table {
                    caption { "In the order of tightening" }
                    thead { tr { th scope="col" { "Order" } th scope="col" { "Hole" } th scope="col" { "Bolt" } th scope="col" { "Grip" }
                        th scope="col" { "Engaged" } th scope="col" { "Torque limit" } th scope="col" { "Weakest part" } th scope="col" { "Passes" } } }
                    tbody { @for (index, (bolt, up)) in joint.ordered().enumerate() { (row(joint, index + 1, bolt, up)) } }
                }
            }
        }
    }
}

fn row(joint: &Joint<'_>, place: usize, bolt: &BoltPlan, up: &JointBolt) -> Markup {
    let unit = joint.unit();
    let assessment = bolt.assessment();
    html! {
        tr {
            td { (place) }
            th scope="row" { a href=(format!("/hole/{}", up.hole)) { (up.number) } @if up.open { br; b { "open" } } }
            td { @for (at, line) in bolt_lines(bolt, unit).iter().enumerate() {
                @if at == 0 { b { (line) } } @else { br; (line) } } }
            td { (bolt.grip().map_or_else(|| "not measured".to_owned(), |grip| grip.show(unit))) }
            td { (engaged(assessment, unit)) }
            td { @match bolt.torque(joint.lubrication) {
                Some(torque) => (show_torque(torque.usual_nm_torque, unit)),
                None => "unknown",
            } }
            td { (failure(bolt.weakest(), unit))
                @if let Some(assessment) = assessment { br; span.faint { "remedy " (verdict(assessment.verdict).to_lowercase()) } } }
            td { @for done in &up.done { (done.pass.label()) ": " (tightened_to(done, unit)) br; }
                @if up.done.is_empty() { "none" } }
        }
    }
}
