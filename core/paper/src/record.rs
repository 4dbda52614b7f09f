//! The record: what each hole was found like, what was done to it, by whom and with what, and the
//! checks with their limits. Entries that were struck out stay readable.

use crate::PaperError;
use crate::cautions::CAUTION;
use crate::face_lines::face_lines;
use crate::facts::{FaceFacts, HoleFacts};
use crate::paper::{BODY, HEADING, LEADING, Paper, SMALL};
use crate::photo::{draw, fitted};
use crate::text::Letters;
use holebook_core::hole::caution::Caution;
use holebook_core::hole::steps::StepKey;
use holebook_core::labels::{
    author, damage_lines, date_time, entry_text, number_value, remedy_spec, sentence, sentence_case,
};
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{EntryBody, EntryId, EntryKind, JournalLine, Notebook};
use std::collections::BTreeSet;

/// The largest picture, points.
const PICTURE: (f32, f32) = (300.0, 200.0);
/// The largest picture of a hole alone, points.
const HOLE_PICTURE: (f32, f32) = (120.0, 90.0);
/// Most entries of one subject; what is left out is said.
const ENTRIES: usize = 400;
/// Width of what says who and when, points.
const WHO: f32 = 128.0;
/// Width of the name of a group of entries.
const GROUP: f32 = 52.0;

/// Fills the sheet.
pub fn fill(paper: &mut Paper, notebook: &Notebook, facts: &FaceFacts) -> Result<(), PaperError> {
    head(paper, notebook, facts);
    cautions(paper, facts);
    about_face(paper, notebook, facts)?;
    for hole in &facts.holes {
        hole_block(paper, notebook, facts, hole)?;
    }
    Ok(())
}

fn head(paper: &mut Paper, notebook: &Notebook, facts: &FaceFacts) {
    let (left, top) = (paper.left(), paper.y());
    let (mut x, mut bottom) = (left, top);
    if let Some(photo) = facts.face.photos_of_face().next() {
        let (width, height) = fitted(photo, PICTURE.0, PICTURE.1);
        draw(paper.page(), notebook, photo, (left, top), (width, height));
        x = left + width + 12.0;
        bottom = top + height + 4.0;
    }
    let width = paper.right() - x;
    let mut y = top;
    let lines = face_lines(&facts.face.record, facts.unit);
    for (name, value) in lines.into_iter().chain(counts(facts)) {
        let letters = Letters::bold(&format!("{name}: ")).and(&value, false);
        y += paper.lines_at(x, y, BODY, letters.wrapped(width, BODY));
    }
    y += 3.0;
    let caution = Letters::bold("Caution: ").and(CAUTION, false);
    y += paper.lines_at(x, y, SMALL, caution.wrapped(width, SMALL));
    let below = y.max(bottom) + 3.0 - paper.y();
    paper.skip(below);
}

/// How many holes have passed, and which are open or in conflict.
fn counts(facts: &FaceFacts) -> Vec<(&'static str, String)> {
    let numbers = |keep: &dyn Fn(&HoleFacts) -> bool| {
        let kept = facts.holes.iter().filter(|hole| keep(hole));
        let kept: Vec<String> = kept.map(|hole| hole.summary.number.to_string()).collect();
        kept.join(", ")
    };
    let passed = facts.holes.iter().filter(|hole| hole.is_passed()).count();
    let mut lines = vec![("Holes passed", format!("{passed} of {}", facts.holes.len()))];
    let open = numbers(&|hole| !hole.is_passed());
    let conflicts = numbers(&|hole| hole.view.conflict);
    let problems = numbers(&|hole| hole.summary.problems > 0);
    for (name, holes) in [
        ("OPEN, not passed", open),
        ("CONFLICT in", conflicts),
        ("OPEN PROBLEM in", problems),
    ] {
        if !holes.is_empty() {
            lines.push((name, holes));
        }
    }
    lines
}

/// The cautions of all holes, each once, with the holes that it is for.
fn cautions(paper: &mut Paper, facts: &FaceFacts) {
    let mut found: Vec<(String, BTreeSet<u32>)> = Vec::new();
    for hole in &facts.holes {
        let chosen = hole.plan.chosen();
        for caution in chosen.iter().flat_map(|chosen| &chosen.cautions) {
            let text = sentence(&in_unit(&caution.to_string(), facts.unit));
            let number = hole.summary.number;
            match found.iter_mut().find(|(known, _)| *known == text) {
                Some((_, holes)) => {
                    holes.insert(number);
                }
                None => found.push((text, BTreeSet::from([number]))),
            }
        }
    }
    for (text, holes) in found {
        let holes: Vec<String> = holes.iter().map(u32::to_string).collect();
        let noun = if holes.len() == 1 { "Hole" } else { "Holes" };
        let of = format!("{noun} {}: ", holes.join(", "));
        paper.paragraph(Letters::bold(&of).and(&text, false), SMALL);
    }
    let manual = sentence(&Caution::ManualFirst.to_string());
    paper.paragraph(Letters::plain(&manual), SMALL);
}

/// Notes on the casting and the face, and the face cuts.
fn about_face(paper: &mut Paper, notebook: &Notebook, facts: &FaceFacts) -> Result<(), PaperError> {
    let mut lines = notebook.history(facts.face.casting.0, ENTRIES, None)?;
    lines.retain(|line| matches!(line.entry_kind(), Some(EntryKind::Note)) || !line.understood);
    lines.extend(notebook.history(facts.face.id.0, ENTRIES, None)?);
    lines.retain(|line| {
        let kind = line.entry_kind();
        !matches!(
            kind,
            Some(EntryKind::Face | EntryKind::StrikeOut | EntryKind::Photo)
        )
    });
    let notes = [
        facts.casting.as_ref().and_then(|casting| {
            let details = casting.details.0.first()?;
            details.body.note.clone()
        }),
        facts
            .face
            .details
            .0
            .first()
            .and_then(|details| details.body.note.clone()),
    ];
    let notes: Vec<String> = notes.into_iter().flatten().collect();
    if lines.is_empty() && notes.is_empty() {
        return Ok(());
    }
    paper.heading("Casting and face", 2.0 * BODY * LEADING);
    for note in notes {
        paper.paragraph(note, BODY);
    }
    lines.sort_by_key(|line| line.entry.0);
    entries(paper, "Face", &lines, &BTreeSet::new(), facts.unit);
    Ok(())
}

/// The photos of the hole alone, side by side as far as there is room.
fn photos_of_hole(paper: &mut Paper, notebook: &Notebook, facts: &FaceFacts, hole: &HoleFacts) {
    let photos = facts.face.photos.iter();
    let alone = photos.filter(|photo| photo.hole == Some(hole.summary.id));
    let sized: Vec<_> = alone
        .map(|photo| (photo, fitted(photo, HOLE_PICTURE.0, HOLE_PICTURE.1)))
        .collect();
    let Some(height) = sized.iter().map(|(_, size)| size.1).reduce(f32::max) else {
        return;
    };
    paper.ensure(height + 4.0);
    let (mut x, y) = (paper.left(), paper.y());
    for (photo, size) in sized {
        if x + size.0 > paper.right() {
            break;
        }
        draw(paper.page(), notebook, photo, (x, y), size);
        x += size.0 + 6.0;
    }
    paper.skip(height + 4.0);
}

fn hole_block(
    paper: &mut Paper,
    notebook: &Notebook,
    facts: &FaceFacts,
    hole: &HoleFacts,
) -> Result<(), PaperError> {
    hole_title(paper, hole, facts.unit);
    flags(paper, hole, facts.unit);
    photos_of_hole(paper, notebook, facts, hole);
    let mut lines = notebook.history(hole.summary.id.0, ENTRIES, None)?;
    let left_out = lines.len() == ENTRIES;
    lines.sort_by_key(|line| line.entry.0);
    let conflicts = hole.plan.status.conflicts.iter();
    let disputed: BTreeSet<EntryId> = conflicts
        .flat_map(|conflict| conflict.entries().iter().copied())
        .collect();
    for group in Group::ALL {
        let of_group = |line: &JournalLine| Group::of(line) == Some(group);
        let (these, others): (Vec<_>, Vec<_>) = lines.into_iter().partition(of_group);
        lines = others;
        if !these.is_empty() {
            entries(paper, group.label(), &these, &disputed, facts.unit);
        }
    }
    limits(paper, hole, facts.unit);
    if left_out {
        let text = format!("Only the latest {ENTRIES} entries of this hole are printed.");
        paper.paragraph(Letters::bold(&text), SMALL);
    }
    Ok(())
}

/// The title of a hole: number, thread, stage, and remedy.
fn hole_title(paper: &mut Paper, hole: &HoleFacts, unit: Unit) {
    let plan = &hole.plan;
    let choice = hole.view.record.choice.agreed();
    let stage = plan
        .status
        .stage
        .label_for(choice.map(|choice| choice.spec.remedy));
    let mut about = vec![sentence_case(stage)];
    about.extend(
        plan.record
            .wanted
            .agreed()
            .map(|wanted| wanted.thread.designation()),
    );
    about.extend(choice.map(|choice| remedy_spec(&choice.spec, unit)));
    let about = about.join(" · ");
    let title = Letters::bold(&format!("Hole {}", hole.summary.number));
    let at = paper.left() + title.width(HEADING) + 10.0;
    let lines = Letters::plain(&about).wrapped(paper.right() - at, BODY);
    paper.ensure(HEADING * LEADING + 4.0 * BODY * LEADING);
    paper.skip(5.0);
    let (left, right, top) = (paper.left(), paper.right(), paper.y());
    paper
        .page()
        .line((left, top), (right, top), crate::page::Pen::LINE);
    paper.page().text(left, top + 3.0 + HEADING, HEADING, title);
    let height = paper.lines_at(at, top + 3.0 + HEADING - BODY, BODY, lines);
    paper.skip(3.0 + (HEADING * LEADING).max(height + HEADING - BODY));
}

/// What is in conflict or does not hold.
fn flags(paper: &mut Paper, hole: &HoleFacts, unit: Unit) {
    let status = &hole.plan.status;
    let conflicts = status.conflicts.iter().map(ToString::to_string);
    let problems = status.problems.iter().map(ToString::to_string);
    let conflicts = conflicts.map(|text| ("CONFLICT: ", text));
    for (flag, text) in conflicts.chain(problems.map(|text| ("OPEN: ", text))) {
        let text = sentence(&in_unit(&text, unit));
        paper.paragraph(Letters::bold(flag).and(&text, false), SMALL + 0.4);
    }
    if status.conflicts.is_empty() && hole.view.conflict {
        let text = "devices disagree on its number, position or mark.";
        paper.paragraph(Letters::bold("CONFLICT: ").and(text, false), SMALL + 0.4);
    }
}

/// The limits that the last checks are judged by.
fn limits(paper: &mut Paper, hole: &HoleFacts, unit: Unit) {
    let judged = |key: StepKey| {
        matches!(
            key,
            StepKey::TrialFit | StepKey::Install | StepKey::Check(_) | StepKey::FinalCheck
        )
    };
    let steps = hole.plan.steps.iter().filter(|step| judged(step.key));
    let mut shown: Vec<String> = Vec::new();
    for number in steps.flat_map(|step| &step.numbers) {
        let line = format!("{}: {}", number.name, number_value(number, unit));
        if !shown.contains(&line) {
            shown.push(line);
        }
    }
    if !shown.is_empty() {
        let limits = Letters::bold("Limits: ").and(&shown.join("; "), false);
        paper.paragraph(limits.and(".", false), SMALL);
    }
}

/// Groups of entries in the order of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Group {
    Found,
    Decided,
    Cut,
    Checked,
    Notes,
}

impl Group {
    const ALL: [Group; 5] = [
        Group::Found,
        Group::Decided,
        Group::Cut,
        Group::Checked,
        Group::Notes,
    ];

    const fn label(self) -> &'static str {
        match self {
            Group::Found => "As found",
            Group::Decided => "Decided",
            Group::Cut => "As cut",
            Group::Checked => "Checks",
            Group::Notes => "Also",
        }
    }

    /// The group of an entry; `None` for one that is printed elsewhere: its mark on the photo, its
    /// number in the title, a strike-out beside what it struck out.
    fn of(line: &JournalLine) -> Option<Group> {
        let Some(kind) = line.entry_kind() else {
            return Some(Group::Notes);
        };
        Some(match kind {
            EntryKind::Mark | EntryKind::Hole | EntryKind::StrikeOut => return None,
            EntryKind::Condition | EntryKind::Damage | EntryKind::Reading => Group::Found,
            EntryKind::WantedThread | EntryKind::Remedy => Group::Decided,
            EntryKind::Cut | EntryKind::TrialFit | EntryKind::Install | EntryKind::StakeKeys => {
                Group::Cut
            }
            EntryKind::Check | EntryKind::FinalCheck => Group::Checked,
            _ => Group::Notes,
        })
    }
}

/// Writes entries in the order in which they were recorded, each with who and when.
fn entries(
    paper: &mut Paper,
    group: &str,
    lines: &[JournalLine],
    disputed: &BTreeSet<EntryId>,
    unit: Unit,
) {
    for (at, line) in lines.iter().enumerate() {
        let is_disputed = disputed.contains(&line.entry);
        for (part, letters) in entry_lines(line, is_disputed, unit).into_iter().enumerate() {
            let name = if at == 0 && part == 0 { group } else { "" };
            let who = (part == 0).then(|| format!("{}, {}", author(&line.by), date_time(&line.at)));
            entry_line(paper, name, &letters, who.as_deref());
        }
    }
}

/// Writes one line of an entry, wrapped; its name and author beside the first part.
fn entry_line(paper: &mut Paper, group: &str, letters: &Letters, who: Option<&str>) {
    let who = Letters::plain(who.unwrap_or_default()).wrapped(WHO, SMALL - 0.6);
    let (left, who_x) = (paper.left(), paper.right() - WHO);
    let x = left + GROUP;
    let lines = letters.wrapped(who_x - x - 8.0, SMALL + 0.4);
    let mut who = who.into_iter();
    for (at, line) in lines.into_iter().enumerate() {
        paper.ensure(SMALL * LEADING * 1.1);
        let y = paper.y() + SMALL;
        if at == 0 {
            paper.page().text(left, y, SMALL, Letters::bold(group));
        }
        paper.page().line_of_text(x, y, SMALL + 0.4, 0, line);
        if let Some(who) = who.next() {
            paper.page().line_of_text(who_x, y, SMALL - 0.6, 0, who);
        }
        paper.skip((SMALL + 0.4) * LEADING);
    }
    // A long name has lines below those of a short entry.
    for line in who {
        paper.ensure(SMALL * LEADING);
        let y = paper.y() + SMALL;
        paper.page().line_of_text(who_x, y, SMALL - 0.6, 0, line);
        paper.skip(SMALL * LEADING);
    }
}

/// What an entry says: struck through if it no longer counts, with who struck it out and why.
fn entry_lines(line: &JournalLine, disputed: bool, unit: Unit) -> Vec<Letters> {
    let mut letters = vec![Letters::from(entry_text(line, unit))];
    if let Some(EntryBody::Damage(damage)) = line.entry_body() {
        let parts = damage_lines(&damage, unit).into_iter().map(Letters::from);
        letters.extend(parts);
        if damage.is_empty() {
            letters = vec![Letters::plain(holebook_core::labels::NO_DAMAGE)];
        }
    }
    if line.is_active() {
        if disputed {
            letters[0] = Letters::bold("IN CONFLICT ").and_letters(&letters[0]);
        }
        return letters;
    }
    let mut struck: Vec<Letters> = letters.into_iter().map(Letters::struck).collect();
    let why = match &line.struck_out_by {
        Some(by) => format!(
            " struck out by {}, {}: {}",
            author(&by.by),
            date_time(&by.at),
            by.reason
        ),
        None => " replaced by a later entry".to_owned(),
    };
    let last = struck.len() - 1;
    let whole = std::mem::take(&mut struck[last]);
    struck[last] = whole.and(&why, false);
    struck
}
