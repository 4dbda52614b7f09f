//! How to cut at each step: turns and feed as numbers, and the rest as notes that are read when they are wanted.

use super::StepKey;
use super::numbers::{List, Value};
use crate::cutting::{
    Advice, Cutter, Feed, Hardness, OldHole, Pilot, Purpose, Speeds, ToolMaterial, chamfer_leads,
    depth_loss, hard_skin, interrupted, pilots, resharpening, speeds, wear,
};
use crate::drill::{Drawer, Drill, DrillName};
use crate::hole::hardness::hardness;
use crate::hole::record::CutStep;
use crate::hole::remedies::Assessment;
use crate::hole::situation::Situation;
use crate::length::Length;
use crate::thread::Thread;

/// Speeds for a tool of high speed steel in the casting's metal; none where no figure is kept for it.
fn speed(purpose: Purpose, situation: &Situation, diameter: Length) -> Option<Speeds> {
    let hardness = hardness(situation.metal)?;
    speeds(purpose, ToolMaterial::HighSpeedSteel, hardness, diameter).ok()
}

/// Adds turns and feed.
pub(super) fn numbers(
    list: &mut List,
    step: CutStep,
    situation: &Situation,
    assessment: &Assessment,
) {
    match step {
        CutStep::Centre => {
            let tools = sequence(situation, assessment);
            // The last of them is the drill of the step after it.
            let names: Vec<String> = tools
                .iter()
                .rev()
                .skip(1)
                .rev()
                .map(|tool| tool.cutter.to_string())
                .collect();
            let named = Some(names.join(", then ")).filter(|names| !names.is_empty());
            list.push("tools", named.map(Value::Words));
            turns(list, mill_speed(&tools, situation), 0.0);
        }
        CutStep::Drill => {
            let Some(drill) = assessment.drill else {
                return;
            };
            let deep = depth_in_diameters(assessment, drill);
            turns(list, speed(Purpose::Drill, situation, drill.diameter), deep);
        }
        _ => {}
    }
}

fn depth_in_diameters(assessment: &Assessment, drill: Drill) -> f64 {
    let depths = assessment.depths.as_ref();
    let deep = depths.and_then(|depths| depths.drill.or(Some(depths.drill_after_cut)));
    deep.map_or(0.0, |deep| deep.mm() / drill.diameter.mm())
}

fn turns(list: &mut List, speeds: Option<Speeds>, deep: f64) {
    let Some(speeds) = speeds else { return };
    let loss = depth_loss(deep);
    let (slower, lighter) = loss.map_or((1.0, 1.0), |loss| (1.0 - loss.speed, 1.0 - loss.feed));
    let rpm = (speeds.rpm.0 * slower, speeds.rpm.1 * slower);
    list.push("turns a minute", Some(Value::Turns(rpm.0, rpm.1)));
    list.push(
        "feed",
        speeds.feed.map(|feed| {
            Value::Feed(Feed {
                least: Length::computed_mm(feed.least.mm() * lighter),
                most: Length::computed_mm(feed.most.mm() * lighter),
                ..feed
            })
        }),
    );
}

/// The tools back to the intended centre.
fn sequence(situation: &Situation, assessment: &Assessment) -> Vec<Pilot> {
    let Some(last) = assessment.drill else {
        return Vec::new();
    };
    let drawer = match last.name {
        DrillName::Metric(_) => Drawer::METRIC,
        _ => Drawer::INCH,
    };
    pilots(&last, Some(old_hole(situation)), &drawer)
}

/// The circle of missing metal that holds the intended centre and reaches farthest from it.
fn old_hole(situation: &Situation) -> OldHole {
    let holding = situation
        .damage
        .stations
        .iter()
        .filter(|station| station.offset * 2 <= station.diameter);
    let widest = holding.max_by_key(|station| station.offset + station.diameter / 2);
    OldHole {
        offset: widest.map_or(situation.damage.wandered(), |station| station.offset),
        diameter: widest.map(|station| station.diameter),
    }
}

/// Whether the old hole or damage lets a tool of a diameter cut on one side only: missing metal that lies to one side and reaches beyond
/// the tool. A wider circle round the centre takes the metal on all sides, and the tool only starts lower.
fn is_interrupted(situation: &Situation, tool: Option<Length>) -> bool {
    let Some(tool) = tool else { return false };
    let mut stations = situation.damage.stations.iter();
    stations
        .any(|station| station.offset > ASIDE && (station.offset + station.diameter / 2) * 2 > tool)
}

/// An offset that a drill does not feel (judgement).
const ASIDE: Length = Length::from_nm(200_000);

fn drill_diameter(assessment: &Assessment) -> Option<Length> {
    assessment.drill.map(|drill| drill.diameter)
}

/// The notes of a step.
pub(super) fn notes(key: StepKey, situation: &Situation, assessment: &Assessment) -> Vec<String> {
    match key {
        StepKey::Cut(CutStep::RelieveHard) => hard_skin().iter().map(said).collect(),
        StepKey::Cut(CutStep::Centre) => {
            let tools = sequence(situation, assessment);
            let mut notes: Vec<String> = tools
                .iter()
                .map(|tool| {
                    let to = tool
                        .depth
                        .map_or(String::new(), |depth| format!(" to about {}", depth.both()));
                    format!("{}{to}: {}", capital(&tool.cutter.to_string()), tool.why)
                })
                .collect();
            if is_interrupted(
                situation,
                tools.first().map(|first| first.cutter.diameter()),
            ) {
                notes.extend(interrupted().iter().take(2).map(said));
            }
            notes.extend(source(mill_speed(&tools, situation)));
            notes
        }
        StepKey::Cut(CutStep::Drill) => drilling(situation, assessment),
        StepKey::Cut(CutStep::Tap) => tapping(situation, assessment),
        _ => Vec::new(),
    }
}

/// Speeds of the end mill, where the sequence begins with one.
fn mill_speed(tools: &[Pilot], situation: &Situation) -> Option<Speeds> {
    match tools.first()?.cutter {
        Cutter::EndMill(diameter) => speed(Purpose::EndMill, situation, diameter),
        _ => None,
    }
}

fn drilling(situation: &Situation, assessment: &Assessment) -> Vec<String> {
    let mut notes = Vec::new();
    let Some(hardness) = hardness(situation.metal) else {
        notes.push("No turns are given: they are kept here for gray iron and the milder ductile irons only.".to_owned());
        return notes;
    };
    notes.push(taken_as(situation, hardness));
    if let Some(drill) = assessment.drill {
        notes.extend(source(speed(Purpose::Drill, situation, drill.diameter)));
        if let Some(loss) = depth_loss(depth_in_diameters(assessment, drill)) {
            notes.push(format!(
                "The hole is three diameters deep or more: {:.0} % is taken off the turns and {:.0} % off the feed already; clear the chips often \
                 (drilling guide, secondary source).",
                loss.speed * 100.0,
                loss.feed * 100.0
            ));
        }
    }
    let one_sided = is_interrupted(situation, drill_diameter(assessment));
    if one_sided {
        notes.extend(interrupted().iter().take(2).map(said));
    }
    notes.push(likely(situation, hardness, one_sided));
    notes.extend(resharpening().iter().map(said));
    notes
}

fn taken_as(situation: &Situation, hardness: Hardness) -> String {
    let unknown = if situation.metal.is_assumed() {
        " Nobody knows this iron, and a tool that turns too slowly spoils nothing."
    } else {
        ""
    };
    format!(
        "The turns are for a sharp tool of high speed steel in {hardness} iron: {}.{unknown} Start at the low end.",
        hardness.shows()
    )
}

/// How many tools the hole is likely to take.
fn likely(situation: &Situation, hardness: Hardness, one_sided: bool) -> String {
    let wear = wear(hardness, !situation.damage.hard.is_empty(), one_sided);
    let range = |(fewest, most): (u8, u8)| {
        if fewest == most {
            fewest.to_string()
        } else {
            format!("{fewest} to {most}")
        }
    };
    let taps = wear.taps.map_or(String::new(), |taps| {
        format!(" and {}", count(&range(taps), "tap"))
    });
    format!(
        "Have {}{taps} at hand for this hole (judgement): {}",
        count(&range(wear.drills), "drill or sharp point"),
        wear.reasons.join(" ")
    )
}

fn count(range: &str, word: &str) -> String {
    match (range, word) {
        ("1", word) => format!("1 {word}"),
        (range, "drill or sharp point") => format!("{range} drills or sharp points"),
        (range, word) => format!("{range} {word}s"),
    }
}

fn tapping(situation: &Situation, assessment: &Assessment) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(pitch_mm) = pitch_mm(situation, assessment) {
        let leads = chamfer_leads(pitch_mm).map(|lead| {
            format!(
                "{} {} to {} threads, {} to {}",
                lead.tap,
                lead.threads_min,
                lead.threads_max,
                lead.shortest.both(),
                lead.longest.both()
            )
        });
        notes.push(format!(
            "Chamfers of this tap: {} (TM 9-254).",
            leads.join("; ")
        ));
    }
    notes.push(
        "By hand go slowly, and half a turn back for each turn in: the turns of a machine are many times that.".to_owned(),
    );
    if is_interrupted(situation, drill_diameter(assessment)) {
        notes.extend(interrupted().iter().skip(2).map(said));
    }
    if !situation.damage.hard.is_empty() {
        notes.extend(hard_skin().iter().skip(1).map(said));
    }
    notes
}

/// Pitch of the thread that is cut into the casting.
fn pitch_mm(situation: &Situation, assessment: &Assessment) -> Option<f64> {
    if let Some(insert) = &assessment.insert {
        return Some(insert.outside.pitch_mm);
    }
    let cut = assessment.outside_thread.as_deref()?;
    let thread = Thread::parse(cut).unwrap_or(situation.thread);
    Some(thread.pitch_mm())
}

fn source(speeds: Option<Speeds>) -> Option<String> {
    let speeds = speeds?;
    let (least, most) = speeds.surface_ft_min;
    let (slow, fast) = speeds.surface_m_min;
    let feed = speeds
        .feed
        .map_or(String::new(), |feed| format!(" Feed: {}.", feed.source));
    Some(format!(
        "Surface speed {least:.0} to {most:.0} ft/min ({slow:.0} to {fast:.0} m/min): {}.{feed}",
        speeds.source
    ))
}

fn said(advice: &Advice) -> String {
    format!("{} {} ({})", advice.what, advice.why, advice.source)
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests;
