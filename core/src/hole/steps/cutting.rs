//! How to cut at each step: RPM and feed as numbers, and the rest as notes.

use super::StepKey;
use super::notes::Notes;
use super::number::{List, Value};
use crate::cutting::{
    Advice, Cutter, Feed, Hardness, OldHole, Operation, Pilot, Speeds, ToolMaterial, chamfer_leads,
    deep_hole_reduction, hard_skin_advice, interrupted_cut_advice, pilot_sequence,
    resharpening_advice, speeds, tool_wear,
};
use crate::drill::{Drill, DrillKinds, DrillName};
use crate::hole::hardness::hardness;
use crate::hole::record::CutStep;
use crate::hole::remedies::Assessment;
use crate::hole::removal;
use crate::hole::situation::Situation;
use crate::insert::TapChamfer;
use crate::length::{Length, Rounding, show_range_both};
use crate::thread::Thread;

/// Returns speeds for high-speed steel in the casting's metal; `None` if no figure is known for it.
fn speed(purpose: Operation, situation: &Situation, diameter: Length) -> Option<Speeds> {
    let hardness = hardness(situation.metal)?;
    speeds(purpose, ToolMaterial::HighSpeedSteel, hardness, diameter).ok()
}

/// Name of the tools that get back to the intended center.
pub(super) const TOOLS: &str = "Tools";

/// Adds RPM and feed.
pub(super) fn numbers(
    list: &mut List,
    step: CutStep,
    situation: &Situation,
    assessment: &Assessment,
) {
    match step {
        CutStep::Center => {
            let tools = centering_sequence(situation, assessment);
            list.push(TOOLS, names(&tools).map(Value::Text));
            speeds_and_feed(list, mill_speed(&tools, situation), 0.0);
        }
        CutStep::Drill => {
            let Some(drill) = assessment.drill else {
                return;
            };
            let deep = depth_in_diameters(assessment, drill);
            let speeds = speed(Operation::Drill, situation, drill.diameter);
            speeds_and_feed(list, speeds, deep);
        }
        _ => {}
    }
}

/// Names the tools that get back to the intended center; `None` if no drill is known.
pub(super) fn centering_tools(situation: &Situation, assessment: &Assessment) -> Option<String> {
    names(&centering_sequence(situation, assessment))
}

fn names(tools: &[Pilot]) -> Option<String> {
    // The last one is the drill of the next step.
    let (_, before) = tools.split_last()?;
    let names: Vec<String> = before.iter().map(|tool| tool.cutter.to_string()).collect();
    Some(names.join(", then ")).filter(|names| !names.is_empty())
}

fn depth_in_diameters(assessment: &Assessment, drill: Drill) -> f64 {
    let depths = assessment.depths.as_ref();
    let deep = depths.and_then(|depths| depths.drill.or(Some(depths.drill_after_cut)));
    deep.map_or(0.0, |deep| deep.mm() / drill.diameter.mm())
}

fn speeds_and_feed(list: &mut List, speeds: Option<Speeds>, deep: f64) {
    let Some(speeds) = speeds else { return };
    let loss = deep_hole_reduction(deep);
    let (slower, lighter) = loss.map_or((1.0, 1.0), |loss| (1.0 - loss.speed, 1.0 - loss.feed));
    let rpm = (speeds.rpm.0 * slower, speeds.rpm.1 * slower);
    list.push(
        "RPM",
        Some(Value::Rpm {
            least: rpm.0,
            most: rpm.1,
        }),
    );
    list.push(
        "Feed",
        speeds.feed.map(|feed| {
            Value::Feed(Feed {
                least: Length::from_computed_mm(feed.least.mm() * lighter),
                most: Length::from_computed_mm(feed.most.mm() * lighter),
                ..feed
            })
        }),
    );
}

/// Returns the tools that get back to the intended center, first to last; the last one is the drill of
/// the next step.
pub(in crate::hole) fn centering_sequence(
    situation: &Situation,
    assessment: &Assessment,
) -> Vec<Pilot> {
    let Some(last) = assessment.drill else {
        return Vec::new();
    };
    let kinds = match last.name {
        DrillName::Metric(_) => DrillKinds::METRIC,
        _ => DrillKinds::INCH,
    };
    pilot_sequence(&last, Some(old_hole(situation)), &kinds)
}

/// Returns the circle of missing metal that contains the intended center and reaches farthest.
fn old_hole(situation: &Situation) -> OldHole {
    let holding = situation
        .damage
        .stations
        .iter()
        .filter(|station| station.offset * 2 <= station.diameter);
    let widest = holding.max_by_key(|station| station.offset + station.diameter / 2);
    OldHole {
        offset: widest.map_or(situation.damage.off_center(), |station| station.offset),
        diameter: widest.map(|station| station.diameter),
    }
}

/// Returns whether a tool of a diameter cuts on one side only: missing metal is off to one side and
/// reaches beyond the tool.
///
/// Around a wider concentric circle there is no metal on any side; the tool just starts lower.
fn is_interrupted(situation: &Situation, tool: Option<Length>) -> bool {
    let Some(tool) = tool else { return false };
    let mut stations = situation.damage.stations.iter();
    stations
        .any(|station| station.offset > ASIDE && (station.offset + station.diameter / 2) * 2 > tool)
}

/// Largest offset that does not pull a drill aside (judgment).
const ASIDE: Length = Length::from_nm(200_000);

/// Returns whether the drill of a remedy cuts on one side only.
pub(in crate::hole) fn cuts_on_one_side(situation: &Situation, assessment: &Assessment) -> bool {
    is_interrupted(situation, drill_diameter(assessment))
}

fn drill_diameter(assessment: &Assessment) -> Option<Length> {
    assessment.drill.map(|drill| drill.diameter)
}

/// Returns the notes of a step.
pub(super) fn notes(key: StepKey, situation: &Situation, assessment: &Assessment) -> Notes {
    let mut notes = Notes::default();
    match key {
        StepKey::Cut(CutStep::ClearBroken) => removal(&mut notes, situation),
        StepKey::Cut(CutStep::MakeBushing) => bushing(&mut notes, assessment),
        StepKey::Cut(CutStep::RelieveHard) => relieving(&mut notes, situation, assessment),
        StepKey::Cut(CutStep::Center) => {
            let tools = centering_sequence(situation, assessment);
            notes.add_all(tools.iter().map(|tool| {
                let to = tool.depth.map_or(String::new(), |depth| {
                    format!(" to about {}", depth.both_rounded(Rounding::Nearest))
                });
                format!("{}{to}: {}", capital(&tool.cutter.to_string()), tool.why)
            }));
            if is_interrupted(
                situation,
                tools.first().map(|first| first.cutter.diameter()),
            ) {
                advise(&mut notes, &interrupted_cut_advice()[..2]);
            }
            speed_note(&mut notes, mill_speed(&tools, situation));
        }
        StepKey::Cut(CutStep::Drill) => {
            drilling(&mut notes, situation, assessment);
            notes.add_all(depth_parts(situation, assessment));
        }
        StepKey::Cut(CutStep::Tap) => tapping(&mut notes, situation, assessment),
        _ => {}
    }
    notes
}

/// Returns the speeds of the end mill, if the sequence starts with one.
fn mill_speed(tools: &[Pilot], situation: &Situation) -> Option<Speeds> {
    match tools.first()?.cutter {
        Cutter::EndMill(diameter) => speed(Operation::EndMill, situation, diameter),
        _ => None,
    }
}

/// Lists the ways to get the broken piece out.
fn removal(notes: &mut Notes, situation: &Situation) {
    let Some(piece) = &situation.damage.broken_tool else {
        return;
    };
    for (i, way) in removal::ways(piece).into_iter().enumerate() {
        notes.add(format!("{}. {}: {}", i + 1, capital(way.name()), way.how()));
    }
    notes.add(removal::NO_ACID);
    notes.source("Ways to take it out", removal::SOURCE);
}

/// Says what grinding out hard metal costs in thread.
fn relieving(notes: &mut Notes, situation: &Situation, assessment: &Assessment) {
    if let Some(engaged) = assessment.engaged {
        let lost = situation.damage.hard_within(engaged);
        notes.add(if lost.is_positive() {
            format!(
                "It costs {} of {} of thread, {:.0}%. The strength given for this remedy counts \
                 none there.",
                lost.both_rounded(Rounding::Up),
                engaged.length().both_rounded(Rounding::Nearest),
                100.0 * lost.mm() / engaged.length().mm()
            )
        } else {
            "It costs no thread: the thread that carries the bolt lies outside it.".to_owned()
        });
    }
    notes.source("Clearance around the tap", "1/64 in, judgment");
    advise(notes, &hard_skin_advice());
}

/// Says how a bushing is made and locked.
fn bushing(notes: &mut Notes, assessment: &Assessment) {
    let Some(insert) = &assessment.insert else {
        return;
    };
    notes.add_all(insert.notes.iter().cloned());
    notes.source("Bushing", &insert.source);
    notes.source("Material", "common practice, no source");
}

/// Says what the drill depth of an insert is made of. The tap's chamfer makes a short insert that is
/// tapped with a plug tap go deeper than a longer one with a bottoming tap.
/// Nothing for a through hole, which is drilled through.
fn depth_parts(situation: &Situation, assessment: &Assessment) -> Option<String> {
    if situation.blind() == Some(false) {
        return None;
    }
    let (insert, tap) = (assessment.insert.as_ref()?, assessment.tap_chamfer?);
    let depths = assessment.depths.as_ref()?;
    let threads = tap.threads();
    let chamfer = Length::from_computed_mm(insert.outside.pitch_mm) * threads;
    let below = (depths.drill_after_cut - depths.full_thread_after_cut).clamp_at_zero();
    let other = match tap {
        TapChamfer::Bottoming => {
            "A plug tap's chamfer is longer, so the hole would have to be deeper."
        }
        TapChamfer::Plug | TapChamfer::Taper => {
            "So a short insert with this tap can need a deeper hole than a longer one with a \
             bottoming tap."
        }
    };
    Some(format!(
        "The drill goes {} deeper than the full thread, {} of it for the {threads} threads of the \
         {} tap's chamfer, which cut no full thread. {other}",
        below.both_rounded(Rounding::Up),
        chamfer.both_rounded(Rounding::Up),
        tap.name()
    ))
}

fn drilling(notes: &mut Notes, situation: &Situation, assessment: &Assessment) {
    let Some(hardness) = hardness(situation.metal) else {
        notes.add(
            "No RPM is given: figures here are for gray iron and the milder ductile irons only.",
        );
        return;
    };
    notes.add(assumptions(situation, hardness));
    if let Some(drill) = assessment.drill {
        speed_note(notes, speed(Operation::Drill, situation, drill.diameter));
        if let Some(loss) = deep_hole_reduction(depth_in_diameters(assessment, drill)) {
            notes.add(format!(
                "The hole is three diameters deep or more, so RPM is already cut by {:.0}% and \
                 feed by {:.0}%. Clear the chips often.",
                loss.speed * 100.0,
                loss.feed * 100.0
            ));
            notes.source("Cut for depth", "a drilling guide, secondary source");
        }
    }
    let one_sided = is_interrupted(situation, drill_diameter(assessment));
    if one_sided {
        advise(notes, &interrupted_cut_advice()[..2]);
    }
    notes.add(tools_needed(situation, hardness, one_sided));
    notes.source("Number of tools", "judgment");
    advise(notes, &resharpening_advice());
}

fn assumptions(situation: &Situation, hardness: Hardness) -> String {
    let unknown = if situation.metal.is_assumed() {
        " The iron is unknown; running too slow does no harm."
    } else {
        ""
    };
    format!(
        "RPM is for a sharp high-speed steel tool in {hardness} iron: {}.{unknown} Start at the \
         low end.",
        hardness.how_to_tell()
    )
}

/// Says how many tools the hole is likely to use up.
fn tools_needed(situation: &Situation, hardness: Hardness, one_sided: bool) -> String {
    let hard = !situation.damage.hard.is_empty() || situation.may_be_hard;
    let wear = tool_wear(hardness, hard, one_sided);
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
        "Have {}{taps} on hand for this hole: {}",
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

fn tapping(notes: &mut Notes, situation: &Situation, assessment: &Assessment) {
    if let Some(pitch_mm) = pitch_mm(situation, assessment) {
        let leads = chamfer_leads(pitch_mm).map(|lead| {
            format!(
                "{} {} to {} threads, {}",
                lead.tap,
                lead.threads_min,
                lead.threads_max,
                show_range_both(lead.shortest, lead.longest)
            )
        });
        notes.add(format!("Chamfers of this tap: {}.", leads.join("; ")));
        notes.source("Tap chamfers", "TM 9-254");
    }
    notes.add("By hand, go slowly: back off half a turn for each turn in.");
    if is_interrupted(situation, drill_diameter(assessment)) {
        advise(notes, &interrupted_cut_advice()[2..]);
    }
    if !situation.damage.hard.is_empty() {
        advise(notes, &hard_skin_advice()[1..]);
    }
}

/// Returns the pitch of the thread cut into the casting.
fn pitch_mm(situation: &Situation, assessment: &Assessment) -> Option<f64> {
    if let Some(insert) = &assessment.insert {
        return Some(insert.outside.pitch_mm);
    }
    let cut = assessment.outside_thread.as_deref()?;
    let thread = Thread::parse(cut).unwrap_or(situation.thread);
    Some(thread.pitch_mm())
}

fn speed_note(notes: &mut Notes, speeds: Option<Speeds>) {
    let Some(speeds) = speeds else { return };
    let (least, most) = speeds.surface_ft_min;
    let (slow, fast) = speeds.surface_m_min;
    notes.add(format!(
        "Surface speed {slow:.0}-{fast:.0} m/min ({least:.0}-{most:.0} ft/min)."
    ));
    notes.source("Surface speed", speeds.source);
    if let Some(feed) = speeds.feed {
        notes.source("Feed", feed.source);
    }
}

fn advise(notes: &mut Notes, advice: &[Advice]) {
    for advice in advice {
        notes.add(format!("{} {}", advice.what, advice.why));
        notes.source("Advice", advice.source);
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests;
