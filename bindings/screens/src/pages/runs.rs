//! Tool runs: the tools that a face's or casting's holes need next, and for the tool in hand the
//! holes that want it, each recorded with one tap.

use super::FormContext;
use super::drawer;
use super::hole::steps::{self, OneTap, one_tap};
use crate::labels::{count, number_value, sentence};
use crate::page::{Crumb, Page};
use holebook_core::hole::steps::Step;
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{
    CastingId, FaceId, HoleId, Notebook, NotebookError, ReadyHole, RunHole, ToolRun, ToolRuns,
    WaitingHole,
};
use maud::{Markup, html};

/// Script of the page of one tool: its path and text.
pub const SCRIPT: (&str, &str) = ("/run.js", include_str!("../../assets/run.js"));

/// What the runs are of.
#[derive(Debug, Clone, Copy)]
pub enum RunsOf {
    /// One face.
    Face(FaceId),
    /// All faces of a casting.
    Casting(CastingId),
}

impl RunsOf {
    fn path(self) -> String {
        match self {
            RunsOf::Face(face) => format!("/face/{face}/runs"),
            RunsOf::Casting(casting) => format!("/casting/{casting}/runs"),
        }
    }

    fn load(self, notebook: &Notebook, unit: Unit) -> Result<ToolRuns, NotebookError> {
        match self {
            RunsOf::Face(face) => notebook.tool_runs(face, unit),
            RunsOf::Casting(casting) => notebook.tool_runs_of_casting(casting, unit),
        }
    }

    /// The links to the pages above.
    fn crumbs(self, notebook: &Notebook) -> Result<Vec<Crumb>, NotebookError> {
        let mut crumbs = vec![Crumb::to("Castings", "/")];
        match self {
            RunsOf::Face(id) => {
                let face = notebook.face(id)?;
                let casting = format!("/casting/{}", face.casting);
                crumbs.push(Crumb::to(face.casting_name, casting));
                crumbs.push(Crumb::to(face.name, format!("/face/{id}")));
            }
            RunsOf::Casting(id) => {
                let casting = notebook.casting(id)?;
                crumbs.push(Crumb::to(casting.name, format!("/casting/{id}")));
            }
        }
        Ok(crumbs)
    }
}

/// The list of all runs.
pub fn show(
    notebook: &Notebook,
    of: RunsOf,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let runs = of.load(notebook, context.unit)?;
    let open = runs.runs.iter().filter(|run| run.is_open());
    let (now, later): (Vec<&ToolRun>, Vec<&ToolRun>) = open.partition(|run| !run.ready.is_empty());
    let content = html! {
        h1 { "Tool runs" }
        (context.outcome())
        @if now.is_empty() { p { "No hole is ready for a tool." } }
        p { a.button href=(drawer::wear::PATH) { "Tool wear" } }
        ol.runs { @for run in now { (run_line(run, of, context.unit)) } }
        (face_cut(&runs.before_face_cut))
        @if !later.is_empty() {
            section.panel {
                h2 { "Later" }
                ol.runs { @for run in later { (run_line(run, of, context.unit)) } }
            }
        }
        @if !runs.others.is_empty() {
            section.panel {
                h2 { "No tool yet" }
                (waiting(&runs.others, context.unit))
            }
        }
    };
    let mut crumbs = of.crumbs(notebook)?;
    crumbs.push(Crumb::here("Tool runs"));
    Ok(Page::new(&context.title("Tool runs"), crumbs, content))
}

fn run_line(run: &ToolRun, of: RunsOf, unit: Unit) -> Markup {
    let later = run.waiting.len();
    html! {
        li {
            a href=(address(of, run, None)) {
                b { (in_unit(&run.tool.label, unit)) }
                span { @if run.ready.is_empty() { (count(later, "hole", "holes")) } @else {
                    (count(run.ready.len(), "hole", "holes")) @if later > 0 { ", " (later) " not yet" }
                } }
            }
        }
    }
}

/// The address of a run's page, with a hole to show first.
fn address(of: RunsOf, run: &ToolRun, hole: Option<HoleId>) -> String {
    let path = format!("{}/{}", of.path(), run.tool.word);
    hole.map_or_else(|| path.clone(), |hole| format!("{path}/{hole}"))
}

/// The holes that wait for the face cut, which is recorded for the whole face.
fn face_cut(holes: &[RunHole]) -> Markup {
    let mut faces: Vec<&RunHole> = Vec::new();
    for hole in holes {
        if faces.iter().all(|known| known.face != hole.face) {
            faces.push(hole);
        }
    }
    html! {
        @for face in faces {
            @let waiting: Vec<String> = holes.iter().filter(|hole| hole.face == face.face).map(|hole| hole.number.to_string()).collect();
            section.panel {
                h2 { "Cut the face" }
                p { (face.face_name) ": " @if waiting.len() == 1 { "hole " } @else { "holes " } (waiting.join(", ")) " next." }
                p { a.button href=(format!("/face/{}#milled", face.face)) { "Record it on the face's page" } }
            }
        }
    }
}

fn waiting(holes: &[WaitingHole], unit: Unit) -> Markup {
    html! {
        ul.value-list { @for hole in holes {
            li { (hole_link(&hole.at)) ": " (sentence(&in_unit(&hole.first, unit))) }
        } }
    }
}

fn hole_link(hole: &RunHole) -> Markup {
    html! { a.hole-link href=(format!("/hole/{}#next", hole.hole)) { "Hole " (hole.number) } }
}

/// The page of one tool; `None` if no step of the holes needs it.
pub fn show_one(
    notebook: &Notebook,
    of: RunsOf,
    word: &str,
    hole: Option<HoleId>,
    context: FormContext<'_>,
) -> Result<Option<Page>, NotebookError> {
    let runs = of.load(notebook, context.unit)?;
    let Some(run) = runs.runs.iter().find(|run| run.tool.word == word) else {
        return Ok(None);
    };
    let title = in_unit(&run.tool.label, context.unit);
    let asked = hole.and_then(|hole| run.ready.iter().position(|ready| ready.at.hole == hole));
    let list = RunPage {
        run,
        of,
        current: asked.unwrap_or(0),
        context,
    };
    let content = html! {
        h1 { (title) }
        (context.outcome())
        p.faint { (list.progress()) }
        @if !run.cautions.is_empty() {
            p.caution { b { "Caution: " } @for caution in &run.cautions { (sentence(&in_unit(&caution.to_string(), context.unit))) " " } }
        }
        (list.now(notebook)?)
        (list.rest())
        @if run.ready.len() > 1 { p.faint { (ORDER) } }
        @if !run.waiting.is_empty() {
            section.panel {
                h2 { "Not yet" }
                (waiting(&run.waiting, context.unit))
            }
        }
        p { a.button href=(of.path()) { "All tool runs" } }
    };
    let mut crumbs = of.crumbs(notebook)?;
    crumbs.push(Crumb::to("Tool runs", of.path()));
    crumbs.push(Crumb::here(&title));
    let page = Page::new(&context.title(&title), crumbs, content);
    Ok(Some(page.with_script(SCRIPT.0)))
}

/// The order of the holes, which is a judgment.
const ORDER: &str = "Nearest hole next; holes with hard metal last, because they dull the tool.";

/// A run with the hole that is shown first.
struct RunPage<'a> {
    run: &'a ToolRun,
    of: RunsOf,
    current: usize,
    context: FormContext<'a>,
}

impl RunPage<'_> {
    fn progress(&self) -> String {
        let run = self.run;
        let all = run.ready.len() + run.waiting.len() + run.done as usize;
        format!(
            "{} of {} done, {} ready, {} not yet.",
            run.done,
            count(all, "hole", "holes"),
            run.ready.len(),
            run.waiting.len()
        )
    }

    /// The address of the ready hole before or after the current one, around the end of the list.
    fn beside(&self, forward: bool) -> Option<String> {
        let ready = &self.run.ready;
        let steps = if forward {
            1
        } else {
            ready.len().checked_sub(1)?
        };
        let hole = ready.get((self.current + steps) % ready.len())?;
        (ready.len() > 1).then(|| address(self.of, self.run, Some(hole.at.hole)))
    }

    /// The page to come back to after the current hole was recorded: the next one is current then.
    fn back(&self) -> String {
        let ready = &self.run.ready;
        let next = ready.get(self.current + 1).or(ready.first());
        address(self.of, self.run, next.map(|next| next.at.hole))
    }

    /// The hole that the tool is at, with its numbers.
    fn now(&self, notebook: &Notebook) -> Result<Markup, NotebookError> {
        let Some(hole) = self.run.ready.get(self.current) else {
            let left = self.run.waiting.is_empty();
            return Ok(
                html! { p { @if left { "All holes are done with this tool." } @else { "No hole is ready for this tool." } } },
            );
        };
        let (unit, back) = (self.context.unit, self.back());
        let form = steps::other_value(notebook, hole.at.hole, hole.step.key, self.context, &back)?;
        let open = hole.ways.is_empty();
        Ok(html! {
            section.panel.next.run-now aria-labelledby="run-hole" {
                div.row {
                    h2.grow #run-hole { "Hole " (hole.at.number) @if let RunsOf::Casting(_) = self.of { ", " (hole.at.face_name) } }
                    @if let Some(previous) = self.beside(false) { a.button rel="prev" href=(previous) { "‹" span.visually-hidden { " Previous hole" } } }
                    @if let Some(next) = self.beside(true) { a.button rel="next" href=(next) { span.visually-hidden { "Next hole " } "›" } }
                }
                @for problem in &hole.step.problems {
                    p.problem { b { "Open: " } (sentence(&in_unit(&problem.to_string(), unit))) }
                }
                p.big { (depths(&hole.step, unit)) }
                @if !open { (one_tap(&hole.ways, &OneTap { hole: hole.at.hole, step: &hole.step, back: Some(&back), main: true, unit })) }
                (steps::numbers(&hole.step, unit))
                details.other-value open[open] {
                    summary { @if open { "Measured value" } @else { "Other value" } }
                    (form)
                }
                p { a.hole-link href=(format!("/hole/{}#next", hole.at.hole)) { "All steps of this hole" } }
            }
        })
    }

    /// The other holes that are ready, in order. Recording one of them keeps the current one.
    fn rest(&self) -> Markup {
        let unit = self.context.unit;
        let current = self.run.ready.get(self.current);
        let here = address(self.of, self.run, current.map(|hole| hole.at.hole));
        let ready = self.run.ready.iter().enumerate();
        let others = ready.filter(|(index, _)| *index != self.current);
        let others: Vec<&ReadyHole> = others.map(|(_, hole)| hole).collect();
        html! {
            @if !others.is_empty() {
                ol.run-rest { @for hole in others {
                    li {
                        a.hole-link href=(address(self.of, self.run, Some(hole.at.hole))) {
                            b { "Hole " (hole.at.number) }
                            @if let RunsOf::Casting(_) = self.of { ", " (hole.at.face_name) }
                            span { (depths(&hole.step, unit)) }
                        }
                        @if let [way] = &hole.ways[..] {
                            (one_tap(std::slice::from_ref(way), &OneTap { hole: hole.at.hole, step: &hole.step, back: Some(&here), main: false, unit }))
                        }
                    }
                } }
            }
        }
    }
}

/// The depths of a step, from the face as is and from the finished face.
fn depths(step: &Step, unit: Unit) -> String {
    let numbers = step.numbers.iter();
    let depths = numbers.filter_map(|number| {
        let face = ["face as is", "finished face"];
        let face = face.into_iter().find(|face| number.name.ends_with(face))?;
        Some(format!("{} {face}", number_value(number, unit)))
    });
    depths.collect::<Vec<_>>().join(", ")
}
