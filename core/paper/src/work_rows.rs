//! The lines of the work sheet in words, for paper and screen.

use crate::PaperError;
use crate::facts::{FaceFacts, HoleFacts};
use holebook_core::hole::condition::Condition;
use holebook_core::hole::record::CutStep;
use holebook_core::hole::remedies::Assessment;
use holebook_core::hole::stage::Stage;
use holebook_core::hole::steps::{StepKey, Value};
use holebook_core::labels::{assessed_remedy, number_value, remedy_spec, sentence_case};
use holebook_core::length::{Length, Rounding, Unit, in_unit, show_range};
use holebook_core::notebook::{FaceId, HoleId, Notebook};
use holebook_core::strength::bolt::{BoltLength, BoltLengthAdvice};

/// A depth from the face as is and from the finished face, in the reader's unit without its name.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DepthPair {
    /// From the face as is; `None`: not known until the face cut is planned.
    pub as_is: Option<String>,
    /// From the finished face.
    pub finished: Option<String>,
}

impl std::fmt::Display for DepthPair {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (&self.as_is, &self.finished) {
            (Some(as_is), Some(finished)) => write!(f, "{as_is} ({finished})"),
            (Some(as_is), None) => f.write_str(as_is),
            (None, Some(finished)) => write!(f, "? ({finished})"),
            (None, None) => Ok(()),
        }
    }
}

/// A line of the work sheet. Only a chosen remedy has tools and depths, since people follow a sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WorkRow {
    /// The hole; `None` on paper that is not read from a notebook.
    pub hole: Option<HoleId>,
    /// Its number.
    pub number: u32,
    /// Its condition by a first look.
    pub condition: Option<Condition>,
    /// Its stage.
    pub stage: &'static str,
    /// Whether it has passed.
    pub passed: bool,
    /// The wanted thread.
    pub thread: Option<String>,
    /// Whether the thread is the face's usual one.
    pub usual_thread: bool,
    /// The chosen remedy, or what is said without one.
    pub remedy: String,
    /// What to do next.
    pub next: String,
    /// Conflicts and open problems.
    pub open: Vec<String>,
    /// What is missing.
    pub missing: Vec<String>,
    /// The drill.
    pub drill: Option<String>,
    /// Depth to its full diameter.
    pub drill_to: DepthPair,
    /// The tap.
    pub tap: Option<String>,
    /// Depth of full thread.
    pub tap_to: DepthPair,
    /// Depth of the insert's top.
    pub top: DepthPair,
    /// The bolt.
    pub bolt: Option<String>,
    /// Spindle speed of the drill, revolutions per minute.
    pub rpm: Option<String>,
    /// Its feed.
    pub feed: Option<String>,
    /// Depths that were reached, of drill, thread and insert, in the reader's unit without its name.
    pub reached: [Option<String>; 3],
}

/// Returns the lines of a face's work sheet in working order.
///
/// # Errors
/// If there is no such face, or the notebook cannot be read.
pub fn work_rows(
    notebook: &Notebook,
    face: FaceId,
    unit: Unit,
) -> Result<Vec<WorkRow>, PaperError> {
    let facts = FaceFacts::read(notebook, face, unit)?;
    Ok(rows(&facts))
}

/// Returns the lines of the work sheet in working order.
pub(crate) fn rows(facts: &FaceFacts) -> Vec<WorkRow> {
    let holes = facts.in_working_order();
    holes.iter().map(|hole| row(hole, facts)).collect()
}

fn row(hole: &HoleFacts, facts: &FaceFacts) -> WorkRow {
    let (plan, unit) = (&hole.plan, facts.unit);
    let wanted = plan.record.wanted.agreed();
    let choice = hole.view.record.choice.agreed();
    let mut row = WorkRow {
        hole: Some(hole.summary.id),
        number: hole.summary.number,
        condition: hole.summary.condition,
        stage: plan
            .status
            .stage
            .label_for(choice.map(|choice| choice.spec.remedy)),
        passed: hole.is_passed(),
        thread: wanted.map(|wanted| wanted.thread.designation()),
        usual_thread: plan.inherited.thread,
        remedy: remedy(hole, unit),
        next: in_unit(&plan.next.to_string(), unit),
        open: open(hole, unit),
        missing: missing(hole, facts),
        reached: [plan.reached.drilled, plan.reached.tapped, plan.reached.top]
            .map(|depth| depth.map(|depth| bare(&depth.show(unit)))),
        ..WorkRow::default()
    };
    if let Some(chosen) = plan.chosen().filter(|_| !plan.stopped_by_crack()) {
        add_tools(&mut row, hole, chosen, unit);
    }
    row
}

fn remedy(hole: &HoleFacts, unit: Unit) -> String {
    let plan = &hole.plan;
    if plan.stopped_by_crack() {
        return "crack found: send it out; no thread repair holds in a cracked wall".to_owned();
    }
    match (hole.view.record.choice.agreed(), plan.chosen()) {
        (Some(_), Some(chosen)) => assessed_remedy(chosen, unit),
        (Some(choice), None) => remedy_spec(&choice.spec, unit),
        (None, _) if plan.status.stage == Stage::Passed => "sound".to_owned(),
        (None, _) => "no remedy chosen".to_owned(),
    }
}

fn open(hole: &HoleFacts, unit: Unit) -> Vec<String> {
    let status = &hole.plan.status;
    let mut open: Vec<String> = Vec::new();
    if hole.summary.shares_number {
        open.push("another hole has this number".to_owned());
    }
    let conflicts = status.conflicts.iter().map(ToString::to_string);
    let problems = status.problems.iter().map(ToString::to_string);
    open.extend(conflicts.chain(problems).map(|text| in_unit(&text, unit)));
    if open.is_empty() && hole.view.conflict {
        open.push("devices disagree on its number, position or mark".to_owned());
    }
    open
}

fn missing(hole: &HoleFacts, facts: &FaceFacts) -> Vec<String> {
    let readings = hole.summary.next.missing.iter();
    let mut missing: Vec<String> = readings
        .map(|reading| in_unit(&reading.to_string(), facts.unit))
        .collect();
    if let Some(chosen) = hole.plan.chosen().filter(|_| !hole.is_passed()) {
        let bases = hole.plan.unmeasured_bases(chosen, &facts.catalog);
        let bases = bases.iter().map(|basis| {
            let quantity = basis.quantity;
            format!("{quantity} at this hole: the usual value is not measured here")
        });
        missing.extend(bases);
    }
    missing
}

fn add_tools(row: &mut WorkRow, hole: &HoleFacts, chosen: &Assessment, unit: Unit) {
    let pair = |as_is: Option<Length>, finished: Option<Length>, rounding: Rounding| DepthPair {
        as_is: as_is.map(|depth| bare(&depth.rounded(unit, rounding))),
        finished: finished.map(|depth| bare(&depth.rounded(unit, rounding))),
    };
    row.drill = chosen.drill.as_ref().map(|drill| drill.show(unit));
    row.tap = chosen.tap.as_ref().map(|tap| {
        let chamfer = chosen.tap_chamfer.map(|chamfer| format!(", {chamfer}"));
        format!("{tap}{}", chamfer.unwrap_or_default())
    });
    if let Some(depths) = &chosen.depths {
        row.drill_to = pair(depths.drill, Some(depths.drill_after_cut), Rounding::Up);
        let thread = Some(depths.full_thread_after_cut);
        row.tap_to = pair(depths.full_thread, thread, Rounding::Up);
        row.top = pair(
            depths.install_now,
            depths.install_after_cut,
            Rounding::Nearest,
        );
    }
    row.bolt = chosen.bolt.as_ref().map(|bolt| bolt_line(bolt, unit));
    let drilling = StepKey::Cut(CutStep::Drill);
    let step = hole.plan.steps.iter().find(|step| step.key == drilling);
    for number in step.iter().flat_map(|step| &step.numbers) {
        match number.value {
            Value::Rpm { .. } => row.rpm = Some(number_value(number, unit)),
            // Its unit may go to the next line of a narrow column.
            Value::Feed(feed) => row.feed = Some(feed.show(unit)),
            _ => {}
        }
    }
}

/// The bolt to use, or the length it needs if none on sale fits.
pub fn bolt_line(bolt: &BoltLength, unit: Unit) -> String {
    match (&bolt.name, bolt.most) {
        (Some(name), _) => format!("bolt: {name}"),
        _ if bolt.advice == Some(BoltLengthAdvice::RoomNotKnown) => {
            "bolt: depth of the hole unknown".to_owned()
        }
        (None, Some(most)) if most < bolt.least => "bolt: the hole is too shallow".to_owned(),
        (None, Some(most)) => format!(
            "bolt: no standard length; {}",
            show_range(bolt.least, most, unit)
        ),
        (None, None) => format!(
            "bolt: no standard length; {} or longer",
            bolt.least.rounded(unit, Rounding::Up)
        ),
    }
}

/// A length without the name of its unit, which the table's title has.
fn bare(text: &str) -> String {
    let named = [" in", " mm"];
    let bare = named.iter().find_map(|unit| text.strip_suffix(unit));
    bare.unwrap_or(text).to_owned()
}

/// Returns what a line says of a hole's condition.
pub fn condition_label(row: &WorkRow) -> String {
    match row.condition {
        Some(condition) => sentence_case(condition.label()),
        None => "Not looked at".to_owned(),
    }
}
