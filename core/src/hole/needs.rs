//! What the steps of a remedy take: parts, tools, consumables, bolts.

use super::record::{CutStep, FitCheck, Remedy};
use super::remedies::Assessment;
use super::situation::Situation;
use super::steps::{StepKey, Work, centering_sequence, step_keys};
use crate::cutting::Cutter;
use crate::drawer::{
    Accepts, BoltItem, CountersinkItem, InsertItem, InstallTool, Item, Need, OnHand, TapItem,
};
use crate::drill::{Drill, tap_drill};
use crate::insert::{Family, Insert, TapChamfer};
use crate::length::{Length, Rounding};
use crate::strength::bolt::BoltLengthAdvice;
use crate::thread::Thread;

/// Locks a plug or a stud.
pub const THREADLOCKER: &str = "threadlocker";
/// Bonds a bushing.
pub const RETAINING_COMPOUND: &str = "retaining compound";
/// Takes oil out of a hole before anything is bonded or screwed in.
pub const CLEANER: &str = "cleaner, free of oil";

/// Standard included angles of countersinks, degrees. From memory.
const ANGLES_DEG: [f64; 5] = [82.0, 90.0, 100.0, 60.0, 120.0];

/// Returns what a step takes. The bolt is not among it: see [`bolt`].
pub fn of_step(key: StepKey, situation: &Situation, assessment: &Assessment) -> Vec<Need> {
    let insert = assessment.insert.as_deref();
    match key {
        StepKey::Cut(step) => cut(step, situation, assessment),
        StepKey::TrialFit if assessment.remedy.fit_check() == Some(FitCheck::Gauge) => {
            let outside = assessment.outside_thread.as_deref().unwrap_or_default();
            vec![other(Item::Gauge, format!("{outside} plug gauge"))]
        }
        StepKey::Install => install(situation, assessment),
        StepKey::StakeKeys => insert.and_then(install_tool).into_iter().collect(),
        StepKey::TrialFit | StepKey::FaceCut | StepKey::Check(_) | StepKey::FinalCheck => {
            Vec::new()
        }
    }
}

/// Returns the needs of a remedy of which nothing is done yet that are missing from the drawer, each
/// once; see [`Need::is_missing`].
pub fn missing(work: &Work<'_>, on_hand: &OnHand) -> Vec<Item> {
    let mut missing: Vec<Item> = Vec::new();
    for key in step_keys(work) {
        for need in of_step(key, work.situation, work.assessment) {
            let is_new = missing.iter().all(|known| !known.is_same(&need.item));
            if is_new && need.item.group().limits_remedies() && need.is_missing(on_hand) {
                missing.push(need.item);
            }
        }
    }
    missing
}

fn other(make: impl FnOnce(crate::drawer::NamedItem) -> Item, name: impl Into<String>) -> Need {
    Need::of(Item::named(make, name))
}

fn cut(step: CutStep, situation: &Situation, assessment: &Assessment) -> Vec<Need> {
    let insert = assessment.insert.as_deref();
    match step {
        CutStep::ClearBroken => {
            let piece = situation.damage.broken_tool.as_ref();
            let what = piece.map_or("piece", |piece| piece.what.as_str());
            vec![other(
                Item::OtherTool,
                format!("tools to take out a broken {what}; the hole's step lists the ways"),
            )]
        }
        CutStep::RelieveHard => vec![other(Item::OtherTool, "mounted grinding points")],
        CutStep::Center => centering(situation, assessment),
        CutStep::Drill => assessment
            .drill
            .map(|drill| drill_need(drill, insert))
            .into_iter()
            .collect(),
        CutStep::Tap => tapped_thread(situation, assessment)
            .map(|thread| taps(thread, assessment.tap_chamfer))
            .unwrap_or_default(),
        CutStep::Countersink => vec![countersink(situation, assessment)],
        CutStep::Plug => plug(assessment),
        CutStep::DrillPlug => vec![drill_need(tap_drill(&situation.thread).drill, None)],
        CutStep::TapPlug => taps(situation.thread, None),
        CutStep::MakeBushing => bushing(situation, assessment),
        CutStep::BroachSlots => {
            let outside = assessment.outside_thread.as_deref().unwrap_or_default();
            vec![other(
                Item::OtherTool,
                format!("key-slot broach for an insert in {outside}"),
            )]
        }
    }
}

/// Returns the tools that get back on center, without the drill of the next step.
fn centering(situation: &Situation, assessment: &Assessment) -> Vec<Need> {
    let tools = centering_sequence(situation, assessment);
    let before = tools.split_last().map_or(&[][..], |(_, before)| before);
    let needs = before.iter().map(|tool| match tool.cutter {
        Cutter::Drill(drill) => drill_need(drill, None),
        cutter => other(Item::OtherTool, cutter.to_string()),
    });
    needs.collect()
}

/// Returns the need of a drill: for an insert, any within the limits of its hole.
fn drill_need(drill: Drill, insert: Option<&Insert>) -> Need {
    let accepts = insert.map_or(Accepts::Same, |insert| Accepts::DrillBetween {
        least: insert.hole_min,
        most: insert.hole_max,
    });
    Need {
        item: Item::Drill(drill),
        accepts,
    }
}

/// Returns the thread that is tapped in the casting.
fn tapped_thread(situation: &Situation, assessment: &Assessment) -> Option<Thread> {
    let tap = assessment.tap.as_deref()?.trim_end_matches(" tap");
    Some(Thread::parse(tap).unwrap_or(situation.thread))
}

/// Returns the taps that cut a thread: the plug tap, and a bottoming tap after it where the depths are
/// worked out for one.
fn taps(thread: Thread, chamfer: Option<TapChamfer>) -> Vec<Need> {
    let tap = |chamfer| Need::of(Item::Tap(TapItem { thread, chamfer }));
    match chamfer {
        Some(TapChamfer::Bottoming) => vec![tap(TapChamfer::Plug), tap(TapChamfer::Bottoming)],
        Some(chamfer) => vec![tap(chamfer)],
        None => vec![tap(TapChamfer::Plug)],
    }
}

/// Returns the countersink of an insert, or else one that breaks the edge of the thread.
fn countersink(situation: &Situation, assessment: &Assessment) -> Need {
    let insert = assessment.insert.as_ref();
    let wanted = insert.and_then(|insert| insert.countersink);
    let (diameter, least_deg, most_deg) = match wanted {
        Some(sink) => (sink.min, sink.angle_min_deg, sink.angle_max_deg),
        None => (situation.thread.nominal(), 60.0, 120.0),
    };
    let within = |angle: &f64| (least_deg..=most_deg).contains(angle);
    let usual = match wanted {
        Some(_) => ANGLES_DEG.into_iter().find(within),
        None => Some(90.0),
    };
    let angle_deg = usual.unwrap_or(((least_deg + most_deg) / 2.0).round());
    Need {
        item: Item::Countersink(CountersinkItem {
            angle_deg,
            diameter,
        }),
        accepts: Accepts::CountersinkBetween {
            least_deg,
            most_deg,
            diameter,
        },
    }
}

fn cleaner() -> Need {
    other(Item::Consumable, CLEANER)
}

fn plug(assessment: &Assessment) -> Vec<Need> {
    let outside = assessment.outside_thread.as_deref().unwrap_or_default();
    let depths = assessment.depths.as_ref();
    let long = depths
        .and_then(|depths| depths.full_thread.or(Some(depths.full_thread_after_cut)))
        .map_or(String::new(), |long| {
            format!(", {} long", long.both_rounded(Rounding::Up))
        });
    let mut needs = vec![other(
        Item::ShopMade,
        format!("threaded plug {outside}{long}"),
    )];
    needs.extend(pins(assessment));
    needs.extend([other(Item::Consumable, THREADLOCKER), cleaner()]);
    needs
}

/// Returns the pins that lock a plug or bushing, and their drill.
fn pins(assessment: &Assessment) -> Vec<Need> {
    let Some(pins) = &assessment.pins else {
        return Vec::new();
    };
    let name = format!("{} pins, {}", pins.count, pins.drill);
    vec![other(Item::ShopMade, name), drill_need(pins.drill, None)]
}

/// Returns what it takes to make a bushing: bar, and the drill and tap for its bore.
fn bushing(situation: &Situation, assessment: &Assessment) -> Vec<Need> {
    let outside = assessment.outside_thread.as_deref().unwrap_or_default();
    let inside = situation.thread;
    let insert = assessment.insert.as_ref();
    let long = insert.map_or(String::new(), |insert| {
        format!(", {} long", insert.length.both())
    });
    let mut needs = vec![other(
        Item::ShopMade,
        format!("bushing {inside} in {outside}{long}, of low-carbon steel bar"),
    )];
    needs.push(drill_need(tap_drill(&inside).drill, None));
    needs.extend(taps(inside, None));
    needs
}

fn install(situation: &Situation, assessment: &Assessment) -> Vec<Need> {
    let outside = assessment.outside_thread.as_deref().unwrap_or_default();
    let mut needs = Vec::new();
    match (assessment.remedy, assessment.insert.as_deref()) {
        (Remedy::SteppedStud, _) => {
            let deep = assessment.engaged.map_or(String::new(), |engaged| {
                format!(", {} engaged", engaged.length().both_rounded(Rounding::Up))
            });
            let stud = format!(
                "stepped stud {outside}{deep}, to {} with nut",
                situation.thread
            );
            needs.push(other(Item::ShopMade, stud));
            needs.push(other(Item::Consumable, THREADLOCKER));
        }
        (Remedy::Bushing, _) => {
            needs.push(other(Item::Consumable, RETAINING_COMPOUND));
            needs.extend(pins(assessment));
        }
        (_, Some(insert)) => {
            needs.push(Need::of(Item::Insert(InsertItem {
                family: insert.family,
                thread: insert.internal,
                outside: insert.outside.designation.clone(),
                length: insert.length,
            })));
            needs.extend(install_tool(insert));
        }
        (_, None) => {}
    }
    needs.push(cleaner());
    needs
}

fn install_tool(insert: &Insert) -> Option<Need> {
    let (family, thread) = (insert.family, insert.internal);
    let tool = InstallTool { family, thread };
    (family != Family::Bushing).then(|| Need::of(Item::InstallTool(tool)))
}

/// The bolt of a finished hole.
#[derive(Debug, Clone, PartialEq)]
pub enum BoltNeed {
    /// None: a stud takes its place, or a specialist decides.
    None,
    /// The bolt in hand, whose length was measured, fits.
    InHand,
    /// A stock bolt.
    Bolt(Need),
    /// A stock bolt to cut, or to use with a washer: how, in a sentence.
    Cut(Need, String),
    /// Its length is not known, or no stock length fits: why, in a sentence.
    Open(String),
}

/// Returns the bolt that the finished hole takes.
pub fn bolt(situation: &Situation, assessment: &Assessment) -> BoltNeed {
    if matches!(assessment.remedy, Remedy::SteppedStud | Remedy::Specialist) {
        return BoltNeed::None;
    }
    let Some(bolt) = &assessment.bolt else {
        let why = match situation.grip {
            None => "the bolt's length is not known: measure the grip",
            Some(_) => "the bolt's length is not known while a broken piece is in the hole",
        };
        return BoltNeed::Open(why.to_owned());
    };
    let same_thread = bolt.thread == situation.thread;
    let fits = situation
        .bolt_length
        .is_some_and(|length| length >= bolt.least && bolt.most.is_none_or(|most| length <= most));
    if same_thread && fits {
        return BoltNeed::InHand;
    }
    let need = |least: Length, most: Option<Length>| Need {
        item: Item::Bolt(BoltItem {
            thread: bolt.thread,
            length: least,
            threaded_to_head: bolt.threaded_to_head,
        }),
        accepts: Accepts::BoltBetween { least, most },
    };
    match (bolt.shortest, bolt.advice) {
        (Some(shortest), _) => BoltNeed::Bolt(need(shortest, bolt.longest)),
        (None, Some(advice @ BoltLengthAdvice::CutOrWasher { stock, .. })) => {
            BoltNeed::Cut(need(stock, Some(stock)), advice.to_string())
        }
        (None, Some(advice)) => BoltNeed::Open(advice.to_string()),
        (None, None) => BoltNeed::Open("no stock bolt fits".to_owned()),
    }
}
