//! Everything meets, and then the law holds: all notebooks are equal, nothing acknowledged is lost, both answers stand.

use super::Done;
use super::look::{texts, told};
use super::plan::{Place, Road, Way};
use super::world::World;
use crate::exchange::Report;
use crate::hole::record::Said;
use crate::notebook::tests::worked_out;
use crate::notebook::{Entry, EntryId, HoleId, Line, Notebook};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// More rounds than news need over the longest road there and back.
const MOST_ROUNDS: usize = 16;

/// Lets everything meet, every road there and back by turns, until all have the same; of some histories until nothing
/// moves any more.
pub fn meet(world: &mut World, roads: &[Road]) -> Done {
    let to_the_end = world.acknowledged.len().is_multiple_of(4);
    for round in 0..MOST_ROUNDS {
        let mut reports = Vec::new();
        if round % 2 == 0 {
            reports.extend(visit(world, &there(world, roads))?);
            reports.extend(stop(world)?);
        } else {
            reports.extend(visit(world, &back(world, roads))?);
        }
        // The first device has been to the folders and bundles in the round before.
        let was_everywhere = round > 0;
        if to_the_end && was_everywhere && !reports.iter().any(moves) {
            return reports
                .iter()
                .try_for_each(|report| went_well(world, report));
        }
        if !to_the_end && was_everywhere && all_have_the_same(world)? {
            return Ok(());
        }
    }
    Err(format!(
        "after {MOST_ROUNDS} rounds not all have the same, or there is still something to move"
    ))
}

fn all_have_the_same(world: &World) -> Done<bool> {
    let first = texts(world.notebook(0))?;
    for who in 0..world.devices.len() {
        if photos_are_here(world, who).is_err() || texts(world.notebook(who))? != first {
            return Ok(false);
        }
    }
    Ok(true)
}

fn moves(report: &Report) -> bool {
    let Report {
        entries_taken,
        entries_left,
        photos_taken,
        photos_left,
        ..
    } = report;
    entries_taken + entries_left + photos_taken + photos_left > 0
}

/// Who goes where, from the ends of the roads to the first device.
fn there(world: &World, roads: &[Road]) -> Vec<(usize, Place)> {
    let devices = (1..world.devices.len()).rev();
    devices
        .flat_map(|device| on_the_road(device, roads[device - 1]))
        .collect()
}

/// The same way back.
fn back(world: &World, roads: &[Road]) -> Vec<(usize, Place)> {
    let mut visits = there(world, roads);
    visits.reverse();
    visits
}

fn on_the_road(device: usize, road: Road) -> Vec<(usize, Place)> {
    let to = usize::from(road.to) % device;
    match road.way {
        Way::Guest => vec![(device, Place::Notebook(to as u8))],
        Way::Host => vec![(to, Place::Notebook(device as u8))],
        Way::Folder(folder) => [device, to]
            .map(|who| (who, Place::Folder(folder)))
            .to_vec(),
    }
}

fn visit(world: &mut World, visits: &[(usize, Place)]) -> Done<Vec<Report>> {
    let mut reports = Vec::new();
    for (who, over) in visits {
        reports.extend(world.exchange(*who, *over, None)?);
    }
    Ok(reports)
}

/// The first device goes to both folders and takes the bundles in.
fn stop(world: &mut World) -> Done<Vec<Report>> {
    let mut reports = visit(
        world,
        &[false, true].map(|folder| (0, Place::Folder(folder))),
    )?;
    for bundle in 0..world.bundles.len() {
        reports.extend(world.unpack(0, bundle as u8, None)?);
    }
    Ok(reports)
}

/// Where nothing moves any more, only what was cut short or lost is complained of.
fn went_well(world: &World, report: &Report) -> Done {
    for problem in &report.problems {
        let of_a_lost_line = world.lost_entries && problem.why.contains("names an entry before it");
        if !world.cut_files.contains(&problem.file) && !of_a_lost_line {
            return Err(format!("at the end: {problem}"));
        }
    }
    let missing = report.photos_missing.iter();
    match missing
        .copied()
        .find(|photo| !world.lost_photos.contains(photo))
    {
        Some(photo) => Err(format!("photo {photo} does not come")),
        None => Ok(()),
    }
}

/// The law.
pub fn judge(world: &mut World, roads: &[Road]) -> Done {
    let first = texts(world.notebook(0))?;
    let tables = worked_out(world.notebook(0));
    for who in 0..world.devices.len() {
        if texts(world.notebook(who))? != first {
            return Err(format!("device {who} has other lines than device 0"));
        }
        for (table, first) in worked_out(world.notebook(who)).iter().zip(&tables) {
            if table != first {
                return Err(format!(
                    "device {who} has another {} than device 0",
                    table.0
                ));
            }
        }
        photos_are_here(world, who)?;
        if who == 0 || !matches!(roads[who - 1].way, Way::Host) {
            brought_home(world.notebook(who))?;
        }
    }
    // All have the same lines and tables by now, and it takes longer than all else: another one each time.
    world.verify(world.acknowledged.len() % world.devices.len())?;
    let kept: BTreeSet<&String> = first.iter().collect();
    if let Some((id, line)) = world
        .acknowledged
        .iter()
        .find(|(_, line)| !kept.contains(line))
    {
        return Err(format!(
            "entry {id} was acknowledged and is not there as it was: {line}"
        ));
    }
    world.tally.entries += first.len();
    answers_stand(world, &first)
}

fn photos_are_here(world: &World, who: usize) -> Done {
    let notebook = world.notebook(who);
    let named = notebook.named_photos().map_err(told("photos"))?;
    let lacking = named
        .difference(&world.lost_photos)
        .find(|photo| notebook.photos().verify(photo).is_err());
    match lacking {
        Some(photo) => Err(format!("device {who} has not photo {photo}")),
        None => Ok(()),
    }
}

fn brought_home(notebook: &Notebook) -> Done {
    match notebook.entries_to_bring_home().map_err(told("home"))? {
        0 => Ok(()),
        left => Err(format!("{left} entries are said to lie on no shelf")),
    }
}

/// What stands, by the definition told once more in the plainest way, is what each hole's page shows; and where answers
/// differ, the hole is in question.
fn answers_stand(world: &mut World, texts: &[String]) -> Done {
    let lines = texts.iter().map(|text| Line::read(text.clone()));
    let lines: Vec<Line> = lines.collect::<Result<_, _>>().map_err(told("a line"))?;
    let told_by = Told::of(&lines);
    let notebook = world.devices[0].notebook();
    let mut open = 0;
    for hole in super::look::things(notebook, "hole_now")? {
        let view = notebook.hole(HoleId(hole)).map_err(told("a hole"))?;
        let record = &view.record;
        let differ = [
            told_by.check(hole, "wanted", &record.wanted.0)?,
            told_by.check(hole, "remedy", &record.choice.0)?,
            told_by.check(hole, "hole", &view.placed.0)?,
        ];
        open += differ.iter().filter(|differ| **differ).count();
        if differ.contains(&true) && !view.in_question {
            return Err(format!(
                "hole {hole} has two answers and is not in question"
            ));
        }
    }
    world.tally.open += open;
    world.tally.settled += lines
        .iter()
        .filter(|line| told_by.is_replaced(line.entry()))
        .count();
    world.tally.foreign += lines
        .iter()
        .filter(|line| line.understood().is_none())
        .count();
    Ok(())
}

/// What entries say of each other.
struct Told<'a> {
    lines: &'a [Line],
    struck: BTreeSet<EntryId>,
    /// Those that name an entry as replaced.
    over: BTreeMap<EntryId, Vec<&'a Entry>>,
}

impl<'a> Told<'a> {
    fn of(lines: &'a [Line]) -> Self {
        let strikes = lines.iter().filter_map(|line| line.understood()?.strikes);
        let mut over: BTreeMap<EntryId, Vec<&Entry>> = BTreeMap::new();
        for line in lines {
            for replaced in &line.entry().replaces {
                over.entry(*replaced).or_default().push(line.entry());
            }
        }
        Self {
            lines,
            struck: strikes.collect(),
            over,
        }
    }

    fn is_struck(&self, entry: &Entry) -> bool {
        self.struck.contains(&entry.id)
    }

    fn is_replaced(&self, entry: &Entry) -> bool {
        let replaces = |other: &&Entry| {
            other.id > entry.id
                && (&other.kind, other.subject) == (&entry.kind, entry.subject)
                && (!self.is_struck(other) || self.is_replaced(other))
        };
        let over = self.over.get(&entry.id);
        over.is_some_and(|over| over.iter().any(replaces))
    }

    /// Whether answers to a question differ; wrong where others are shown than those that stand.
    fn check<T: PartialEq>(&self, hole: Uuid, kind: &str, shown: &[Said<T>]) -> Done<bool> {
        let about = self.lines.iter().filter(|line| {
            let entry = line.entry();
            (entry.subject, &*entry.kind) == (hole, kind) && line.understood().is_some()
        });
        let standing = about.filter(|line| {
            let entry = line.entry();
            !self.is_struck(entry) && !self.is_replaced(entry)
        });
        let standing: Vec<Uuid> = standing.map(|line| line.entry().id.0).collect();
        let shown_ids: Vec<Uuid> = shown.iter().map(|said| said.entry).collect();
        if standing != shown_ids {
            return Err(format!(
                "of {kind} of hole {hole} {standing:?} stand and {shown_ids:?} are shown"
            ));
        }
        Ok(shown.iter().any(|said| said.body != shown[0].body))
    }
}
