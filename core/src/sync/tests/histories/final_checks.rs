//! All devices sync, and then the laws hold: all notebooks are equal, nothing acknowledged is lost,
//! both answers of a conflict are kept.

use super::CheckResult;
use super::plan::{Route, RouteKind, SyncTarget};
use super::queries::{context, line_texts};
use super::world::World;
use crate::hole::record::Recorded;
use crate::notebook::tests::derived_tables;
use crate::notebook::{Entry, EntryId, HoleId, Line, Notebook};
use crate::sync::SyncReport;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// More rounds than entries need over the longest route and back.
const MAX_ROUNDS: usize = 16;

/// Syncs all devices, along every route in both directions, until all are equal; in some histories
/// until nothing is transferred any more.
pub fn sync_everything(world: &mut World, routes: &[Route]) -> CheckResult {
    let until_idle = world.acknowledged.len().is_multiple_of(4);
    for round in 0..MAX_ROUNDS {
        let mut reports = Vec::new();
        if round % 2 == 0 {
            reports.extend(run_visits(world, &visits_inward(world, routes))?);
            reports.extend(sync_first_device(world)?);
        } else {
            reports.extend(run_visits(world, &visits_outward(world, routes))?);
        }
        // The first device synced with the folders and bundles in the round before.
        let visited_all = round > 0;
        if until_idle && visited_all && !reports.iter().any(transferred_anything) {
            return reports
                .iter()
                .try_for_each(|report| check_report(world, report));
        }
        if !until_idle && visited_all && all_equal(world)? {
            return Ok(());
        }
    }
    Err(format!(
        "after {MAX_ROUNDS} rounds the notebooks still differ or something is still transferred"
    ))
}

fn all_equal(world: &World) -> CheckResult<bool> {
    let first = line_texts(world.notebook(0))?;
    for who in 0..world.devices.len() {
        if check_photos(world, who).is_err() || line_texts(world.notebook(who))? != first {
            return Ok(false);
        }
    }
    Ok(true)
}

fn transferred_anything(report: &SyncReport) -> bool {
    let SyncReport {
        entries_pulled,
        entries_pushed,
        photos_pulled,
        photos_pushed,
        ..
    } = report;
    entries_pulled + entries_pushed + photos_pulled + photos_pushed > 0
}

/// The syncs from the ends of the routes to the first device.
fn visits_inward(world: &World, routes: &[Route]) -> Vec<(usize, SyncTarget)> {
    let devices = (1..world.devices.len()).rev();
    devices
        .flat_map(|device| visits_of_route(device, routes[device - 1]))
        .collect()
}

/// The same syncs in reverse order.
fn visits_outward(world: &World, routes: &[Route]) -> Vec<(usize, SyncTarget)> {
    let mut visits = visits_inward(world, routes);
    visits.reverse();
    visits
}

fn visits_of_route(device: usize, route: Route) -> Vec<(usize, SyncTarget)> {
    let to = usize::from(route.to) % device;
    match route.kind {
        RouteKind::Guest => vec![(device, SyncTarget::Notebook(to as u8))],
        RouteKind::Host => vec![(to, SyncTarget::Notebook(device as u8))],
        RouteKind::Folder(folder) => [device, to]
            .map(|who| (who, SyncTarget::Folder(folder)))
            .to_vec(),
    }
}

fn run_visits(world: &mut World, visits: &[(usize, SyncTarget)]) -> CheckResult<Vec<SyncReport>> {
    let mut reports = Vec::new();
    for (who, target) in visits {
        reports.extend(world.sync(*who, *target, None)?);
    }
    Ok(reports)
}

/// The first device syncs with both folders and imports the bundles.
fn sync_first_device(world: &mut World) -> CheckResult<Vec<SyncReport>> {
    let mut reports = run_visits(
        world,
        &[false, true].map(|folder| (0, SyncTarget::Folder(folder))),
    )?;
    for bundle in 0..world.bundles.len() {
        reports.extend(world.import_bundle(0, bundle as u8, None)?);
    }
    Ok(reports)
}

/// Once nothing is transferred any more, only truncated or lost files are reported as problems.
fn check_report(world: &World, report: &SyncReport) -> CheckResult {
    for problem in &report.problems {
        let follows_lost_line =
            world.lost_entries && problem.reason.contains("names an entry before it");
        if !world.truncated_files.contains(&problem.file) && !follows_lost_line {
            return Err(format!("at the end: {problem}"));
        }
    }
    let missing = report.photos_missing.iter();
    match missing
        .copied()
        .find(|photo| !world.lost_photos.contains(photo))
    {
        Some(photo) => Err(format!("photo {photo} was not synced")),
        None => Ok(()),
    }
}

/// Checks the laws.
pub fn check_final_state(world: &mut World, routes: &[Route]) -> CheckResult {
    let first = line_texts(world.notebook(0))?;
    let tables = derived_tables(world.notebook(0));
    for who in 0..world.devices.len() {
        if line_texts(world.notebook(who))? != first {
            return Err(format!("device {who} and device 0 have different lines"));
        }
        for (table, first) in derived_tables(world.notebook(who)).iter().zip(&tables) {
            if table != first {
                return Err(format!(
                    "device {who} and device 0 differ in table {}",
                    table.0
                ));
            }
        }
        check_photos(world, who)?;
        if who == 0 || !matches!(routes[who - 1].kind, RouteKind::Host) {
            check_all_synced(world.notebook(who))?;
        }
    }
    // All have equal lines and tables by now, and verifying takes longest, so only one device is
    // verified.
    world.verify(world.acknowledged.len() % world.devices.len())?;
    let kept: BTreeSet<&String> = first.iter().collect();
    if let Some((id, line)) = world
        .acknowledged
        .iter()
        .find(|(_, line)| !kept.contains(line))
    {
        return Err(format!(
            "entry {id} was acknowledged but is missing or changed: {line}"
        ));
    }
    world.coverage.entries += first.len();
    check_answers(world, &first)
}

fn check_photos(world: &World, who: usize) -> CheckResult {
    let notebook = world.notebook(who);
    let named = notebook.named_photos().map_err(context("photos"))?;
    let missing = named
        .difference(&world.lost_photos)
        .find(|photo| notebook.photos().verify(photo).is_err());
    match missing {
        Some(photo) => Err(format!("device {who} lacks photo {photo}")),
        None => Ok(()),
    }
}

fn check_all_synced(notebook: &Notebook) -> CheckResult {
    match notebook
        .entries_not_synced()
        .map_err(context("counting entries not synced"))?
    {
        0 => Ok(()),
        left => Err(format!("{left} entries still count as not synced")),
    }
}

/// The active answers, worked out a second time in the plainest way, are what each hole's page
/// shows; and if answers differ, the hole has a conflict.
fn check_answers(world: &mut World, line_texts: &[String]) -> CheckResult {
    let lines = line_texts.iter().map(|text| Line::read(text.clone()));
    let lines: Vec<Line> = lines.collect::<Result<_, _>>().map_err(context("a line"))?;
    let rules = ReferenceRules::of(&lines);
    let notebook = world.devices[0].notebook();
    let mut conflicts = 0;
    for hole in super::queries::ids_in(notebook, "hole")? {
        let view = notebook.hole(HoleId(hole)).map_err(context("a hole"))?;
        let record = &view.record;
        let differ = [
            rules.check(hole, "wanted-thread", &record.wanted.0)?,
            rules.check(hole, "remedy", &record.choice.0)?,
            rules.check(hole, "hole", &view.placement.0)?,
        ];
        conflicts += differ.iter().filter(|differ| **differ).count();
        if differ.contains(&true) && !view.conflict {
            return Err(format!("hole {hole} has two answers but no conflict"));
        }
    }
    world.coverage.conflicts += conflicts;
    world.coverage.replaced += lines
        .iter()
        .filter(|line| rules.is_replaced(line.entry()))
        .count();
    world.coverage.not_understood += lines
        .iter()
        .filter(|line| line.understood().is_none())
        .count();
    Ok(())
}

/// Today's name of an entry's kind, for the kinds in these histories that had another one.
fn todays_name(entry: &Entry) -> &str {
    match entry.kind.as_str() {
        "wanted" => "wanted-thread",
        "strike" => "strike-out",
        name => name,
    }
}

/// What entries say about each other.
struct ReferenceRules<'a> {
    lines: &'a [Line],
    struck: BTreeSet<EntryId>,
    /// The entries that name an entry as replaced.
    replaced_by: BTreeMap<EntryId, Vec<&'a Entry>>,
}

impl<'a> ReferenceRules<'a> {
    fn of(lines: &'a [Line]) -> Self {
        let strikes = lines
            .iter()
            .filter_map(|line| line.understood()?.strikes_out);
        let mut replaced_by: BTreeMap<EntryId, Vec<&Entry>> = BTreeMap::new();
        for line in lines {
            for replaced in &line.entry().replaces {
                replaced_by.entry(*replaced).or_default().push(line.entry());
            }
        }
        Self {
            lines,
            struck: strikes.collect(),
            replaced_by,
        }
    }

    fn is_struck(&self, entry: &Entry) -> bool {
        self.struck.contains(&entry.id)
    }

    fn is_replaced(&self, entry: &Entry) -> bool {
        let replaces = |other: &&Entry| {
            other.id > entry.id
                && (todays_name(other), other.subject) == (todays_name(entry), entry.subject)
                && (!self.is_struck(other) || self.is_replaced(other))
        };
        let replaced_by = self.replaced_by.get(&entry.id);
        replaced_by.is_some_and(|others| others.iter().any(replaces))
    }

    /// Whether the answers to a question differ; an error if other answers are shown than the
    /// active ones.
    fn check<T: PartialEq>(
        &self,
        hole: Uuid,
        kind: &str,
        shown: &[Recorded<T>],
    ) -> CheckResult<bool> {
        let about = self.lines.iter().filter(|line| {
            let entry = line.entry();
            (entry.subject, todays_name(entry)) == (hole, kind) && line.understood().is_some()
        });
        let active = about.filter(|line| {
            let entry = line.entry();
            !self.is_struck(entry) && !self.is_replaced(entry)
        });
        let active: Vec<EntryId> = active.map(|line| line.entry().id).collect();
        let shown_ids: Vec<EntryId> = shown.iter().map(|recorded| recorded.entry).collect();
        if active != shown_ids {
            return Err(format!(
                "{kind} of hole {hole}: {active:?} are active and {shown_ids:?} are shown"
            ));
        }
        Ok(shown.iter().any(|recorded| recorded.body != shown[0].body))
    }
}
