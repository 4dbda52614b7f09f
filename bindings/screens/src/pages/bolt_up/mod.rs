//! Bolting up the joint of a face: what each bolt needs, the order and the passes, and one tap for
//! each bolt in each pass.

mod joint;
mod order;
mod photo;
mod record;

pub use order::{OrderedBy, TighteningOrder, tightening_order};
pub use record::submit;

use crate::carrier::Request;
use crate::form::hidden;
use crate::form_names::{Field, FormName};
use crate::labels::{count, verdict};
use crate::page::Page;
use crate::pages::{FormContext, below_face, reminders};
use holebook_core::hole::bolt_up::{BoltPass, BoltUp, JointBolt, JointHole, pass_range};
use holebook_core::hole::caution::Caution;
use holebook_core::hole::remedies::Assessment;
use holebook_core::length::{Rounding, Unit, in_unit, show_range};
use holebook_core::notebook::{FaceId, FaceView, HoleId, HoleView, Notebook, NotebookError};
use holebook_core::strength::{Lubrication, show_load, show_torque, show_torque_range};
use joint::{Bolt, full_torque};
use maud::{Markup, html};

/// The query parameter that says how the bolts are lubricated.
const LUBRICATION: &str = "bolts";
/// What is offered for the reminder once the joint is bolted up.
const WARM_UP: &str = "After the first warm-up, cold again: go around once more at full torque";
/// What is offered before.
const CURED: &str = "Sealer has cured: go on with the bolts";

/// What the page draws from.
struct Joint<'a> {
    face: &'a FaceView,
    bolts: Vec<Bolt>,
    up: BoltUp,
    order: TighteningOrder,
    lubrication: Lubrication,
    /// The full torque in newton meters, with the number of the hole that sets it.
    full: Option<(f64, u32)>,
    context: FormContext<'a>,
}

impl<'a> Joint<'a> {
    fn of(
        notebook: &Notebook,
        face: &'a FaceView,
        lubrication: Lubrication,
        context: FormContext<'a>,
    ) -> Result<Joint<'a>, NotebookError> {
        let catalog = notebook.catalog()?;
        let holes = face.holes.iter().map(|hole| notebook.hole(hole.id));
        let holes: Vec<HoleView> = holes.collect::<Result<_, _>>()?;
        let joint: Vec<JointHole<'_>> = holes.iter().map(HoleView::in_joint).collect();
        let up = BoltUp::of(&joint, &face.record);
        let bolts: Vec<Bolt> = holes
            .into_iter()
            .map(|hole| Bolt::of(hole, &catalog))
            .collect();
        Ok(Joint {
            full: full_torque(&bolts, lubrication),
            order: tightening_order(face),
            face,
            bolts,
            up,
            lubrication,
            context,
        })
    }

    /// The bolts in the order of tightening.
    fn ordered(&self) -> impl Iterator<Item = (&Bolt, &JointBolt)> {
        self.order.holes.iter().filter_map(|id| {
            let bolt = self.bolts.iter().find(|bolt| bolt.hole.id == *id)?;
            let up = self.up.bolts.iter().find(|bolt| bolt.hole == *id)?;
            Some((bolt, up))
        })
    }

    fn unit(&self) -> Unit {
        self.context.unit
    }
}

/// Reads how the bolts are lubricated. Oiled unless said otherwise, which gives the lower torque: one
/// for dry bolts overloads oiled ones.
fn lubrication(request: &Request) -> Lubrication {
    let named = request
        .param(LUBRICATION)
        .or(request.field(Field::Lubrication));
    let mut all = Lubrication::ALL.into_iter();
    let named = all.find(|it| Some(word(*it)) == named);
    named.unwrap_or(Lubrication::Oiled)
}

const fn word(lubrication: Lubrication) -> &'static str {
    match lubrication {
        Lubrication::Dry => "dry",
        Lubrication::Oiled => "oiled",
        Lubrication::Zinc => "zinc",
    }
}

/// The page.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let joint = Joint::of(notebook, &face, lubrication(request), context)?;
    let reminder = if joint.up.bolted_up { WARM_UP } else { CURED };
    let content = html! {
        h1 { "Bolt-up" }
        (context.outcome())
        (state(&joint))
        (reminders::list(notebook, Some(id), context)?)
        div.two-columns {
            div {
                @if let Some(pass) = joint.up.next { (current_pass(&joint, pass)) }
                (torque(&joint))
            }
            div {
                (photo::order(&joint.order, &face))
                details.panel { summary { "Add a reminder" } (reminders::form(id, None, reminder, context)) }
            }
        }
        (table(&joint))
    };
    Ok(below_face::page(&face, "Bolt-up", context, content))
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
                p.row { @for bolt in &open { a.hole-link href=(format!("/hole/{}#next", bolt.hole)) { "Hole " (bolt.number) } } }
            }
        }
        @if again > 0 {
            p.problem { (count(again, "bolt was", "bolts were")) " tightened before later work on this joint, so they start again from the first pass." }
        }
    }
}

/// The pass that is next, with one tap for each bolt that is left.
fn current_pass(joint: &Joint<'_>, pass: BoltPass) -> Markup {
    let left: Vec<(&Bolt, &JointBolt)> = joint.ordered().filter(|(_, up)| !up.has(pass)).collect();
    let rejected = joint.context.was_rejected(FormName::Tighten);
    html! {
        section.panel.next aria-labelledby="next" {
            h2 #next { (crate::labels::sentence_case(pass.label())) ": "
                @match joint.full {
                    Some((full, _)) => (show_torque(full * pass.share(), joint.unit())),
                    None => { (format!("{:.0}% of the manual's torque", pass.share() * 100.0)) }
                }
            }
            p { (count(left.len(), "bolt", "bolts")) " left in this pass." }
            ol.value-list {
                @for (index, (bolt, _)) in left.iter().enumerate() { li { (one_tap(joint, bolt, pass, index == 0)) } }
            }
            @if let Some((bolt, _)) = left.first() {
                details open[rejected] { summary { "Another torque" } (measured(joint, bolt, pass)) }
            }
        }
    }
}

fn one_tap(joint: &Joint<'_>, bolt: &Bolt, pass: BoltPass, is_first: bool) -> Markup {
    let aim = joint.full.map(|(full, _)| full * pass.share());
    html! {
        form.one-tap method="post" action=(FormName::Tighten.address_of(joint.face.id)) {
            (fields(joint, bolt.hole.id, pass))
            @if let Some(aim) = aim { (hidden(Field::Torque, format!("{aim} N·m"))) }
            button.main[is_first] { "Hole " (bolt.hole.number) ": "
                @match aim { Some(aim) => (show_torque(aim, joint.unit())), None => "tightened" } }
        }
    }
}

/// A form for a torque that was read off the wrench.
fn measured(joint: &Joint<'_>, first: &Bolt, pass: BoltPass) -> Markup {
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
            (hidden(Field::Pass, pass.name())) (hidden(Field::Lubrication, word(joint.lubrication)))
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

fn fields(joint: &Joint<'_>, hole: HoleId, pass: BoltPass) -> Markup {
    html! {
        (hidden(Field::Hole, hole)) (hidden(Field::Pass, pass.name()))
        (hidden(Field::Lubrication, word(joint.lubrication)))
    }
}

/// The torque of the joint, what sets it, and the weakest part with its numbers.
fn torque(joint: &Joint<'_>) -> Markup {
    let unit = joint.unit();
    let weakest = joint
        .bolts
        .iter()
        .filter_map(|bolt| Some((bolt, bolt.weakest()?)));
    let weakest = weakest.min_by(|(_, one), (_, other)| one.load_n.total_cmp(&other.load_n));
    html! {
        section.panel aria-labelledby="torque" {
            h2 #torque { "Torque" }
            p.caution { b { "Caution: " } (Caution::ManualFirst) " Its order, passes and torque replace the ones here. "
            (Caution::OilInBlindHole) " " (Caution::Torque) }
            p.row { "Bolts: " @for it in Lubrication::ALL {
                @if it == joint.lubrication { b { (it.name()) } } @else {
                    a.button href=(format!("/face/{}/bolt-up?{LUBRICATION}={}", joint.face.id, word(it))) { (it.name()) } }
            } }
            @match joint.full {
                Some((full, hole)) => {
                    p { "Full torque for all bolts: " b { (show_torque(full, unit)) } ", set by hole " (hole)
                        ", which takes the least. Take it from the machine's manual if that gives less." }
                    table { caption { "Passes" } thead { tr { th scope="col" { "Pass" } th scope="col" { "Torque" } th scope="col" { "Done" } } }
                        tbody { @for pass in BoltPass::ALL { @let (least, most) = pass_range(full, pass);
                            tr { th scope="row" { (pass.label()) } td { (show_torque_range(least, most, unit)) }
                                td { (joint.up.bolts.iter().filter(|bolt| bolt.has(pass)).count()) " of " (joint.up.bolts.len()) } } } } }
                    p.faint { "The range is a tenth either way, for the wrench (judgment). The shares of the passes are common practice, no source." }
                }
                None => { p { "No torque can be given: the bolt's grade or the metal is not known at every hole. Use the machine's manual." } }
            }
            @if let Some((bolt, load)) = weakest {
                p { "Weakest part: hole " (bolt.hole.number) ", " (load.failure_mode) " at " b { (show_load(load.load_n, unit)) }
                    @if let Some(floor) = load.floor_n { " (could be as low as " (show_load(floor, unit)) ")" } "." }
            }
            p.faint { "Sealer: put it on just before the first pass, and go on only when its maker says so. Threads that open into a passage need it too." }
        }
    }
}

fn table(joint: &Joint<'_>) -> Markup {
    html! {
        section.panel aria-labelledby="bolts" {
            h2 #bolts { "Bolts" }
            @if !joint.bolts.is_empty() { p { (joint.order.by.sentence()) } }
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

fn row(joint: &Joint<'_>, place: usize, bolt: &Bolt, up: &JointBolt) -> Markup {
    let unit = joint.unit();
    let assessment = bolt.assessment();
    html! {
        tr {
            td { (place) }
            th scope="row" { a href=(format!("/hole/{}", up.hole)) { (up.number) } @if up.open { br; b { "open" } } }
            td { (bolt_cell(assessment, unit)) }
            td { (bolt.grip().map_or_else(|| "not measured".to_owned(), |grip| grip.show(unit))) }
            td { @match assessment.and_then(|assessment| assessment.effective_engagement) {
                Some(engaged) => (engaged.rounded(unit, Rounding::Down)),
                None => "unknown",
            } }
            td { @match bolt.torque(joint.lubrication) {
                Some(torque) => (show_torque(torque.usual_nm_torque, unit)),
                None => "unknown",
            } }
            td { @match bolt.weakest() {
                Some(load) => { (load.failure_mode) ", " (show_load(load.load_n, unit)) },
                None => "unknown",
            }
            @if let Some(assessment) = assessment { br; span.faint { "remedy " (verdict(assessment.verdict)) } } }
            td { @for done in &up.done { (done.pass.label())
                @if let Some(torque) = done.torque_nm { " " (show_torque(torque, unit)) } br; }
                @if up.done.is_empty() { "none" } }
        }
    }
}

/// The bolt to use: its length by reach, engagement and grip, and what to do if none fits.
fn bolt_cell(assessment: Option<&Assessment>, unit: Unit) -> Markup {
    let Some(bolt) = assessment.and_then(|assessment| assessment.bolt.as_ref()) else {
        return html! { "grip not measured" };
    };
    html! {
        @match (&bolt.name, bolt.most) {
            (Some(name), _) => b { (name) },
            (None, Some(most)) if most >= bolt.least => (show_range(bolt.least, most, unit)),
            (None, _) => (bolt.least.rounded(unit, Rounding::Up)),
        }
        @if bolt.threaded_to_head { ", threaded to the head" }
        @if let Some(advice) = bolt.advice { br; (in_unit(&advice.to_string(), unit)) }
    }
}
