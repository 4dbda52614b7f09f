//! An assessment as the JSON that `holebook remedies --json` promises.

use super::{Assessment, Check, Dependence, Lack, Pins, ThreadLeft, Verdict};
use crate::hole::budget::Depths;
use crate::hole::caution::Caution;
use crate::hole::damage::Span;
use crate::hole::record::Remedy;
use crate::insert::{Family, TapChamfer};
use crate::length::Length;
use crate::strength::Comparison;
use crate::strength::bolt::Reach;
use serde::{Serialize, Serializer};

#[derive(Serialize)]
struct Answer<'a> {
    remedy: Remedy,
    family: Option<Family>,
    outside_thread: Option<&'a str>,
    length_mm: Option<Length>,
    verdict: Verdict,
    checks: &'a [Check],
    thread_left: &'a [ThreadLeft],
    engaged: Option<Span>,
    effective_engagement_mm: Option<Length>,
    parent_strength_n: Option<f64>,
    bolt_strength_n: Option<f64>,
    sound_strength_n: Option<f64>,
    strength_ratio: Option<f64>,
    fails: Option<&'a Comparison>,
    bolt: Option<&'a Reach>,
    depths_mm: DepthsOrNone<'a>,
    drill: Option<NamedDrill>,
    tap: Option<&'a str>,
    tap_chamfer: Option<TapChamfer>,
    pins: Option<Pins>,
    source: Option<&'a str>,
    not_on_hand: &'a [String],
    lacks: Vec<Lack>,
    depends_on: &'a [Dependence],
    reasons: Vec<String>,
    cautions: &'a [Caution],
}

#[derive(Serialize)]
struct NamedDrill {
    name: String,
    diameter_mm: Length,
}

/// The keys stand in every answer; where nothing is cut, all are null.
#[derive(Serialize)]
#[serde(untagged)]
enum DepthsOrNone<'a> {
    Some(&'a Depths),
    None {
        drill: (),
        full_thread: (),
        set_now: (),
        set_after_cut: (),
    },
}

impl Serialize for Assessment {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let none = DepthsOrNone::None {
            drill: (),
            full_thread: (),
            set_now: (),
            set_after_cut: (),
        };
        Answer {
            remedy: self.remedy,
            family: self.family(),
            outside_thread: self.outside_thread.as_deref(),
            length_mm: self.insert.as_ref().map(|insert| insert.length),
            verdict: self.verdict,
            checks: &self.checks,
            thread_left: &self.thread_left,
            engaged: self.engaged,
            effective_engagement_mm: self.effective_engagement,
            parent_strength_n: self.parent_strength_n,
            bolt_strength_n: self.bolt_strength_n,
            sound_strength_n: self.sound_strength_n,
            strength_ratio: self.strength_ratio,
            fails: self.fails.as_ref(),
            bolt: self.bolt.as_ref(),
            depths_mm: self.depths.as_ref().map_or(none, DepthsOrNone::Some),
            drill: self.drill.map(|drill| NamedDrill {
                name: drill.name.to_string(),
                diameter_mm: drill.diameter,
            }),
            tap: self.tap.as_deref(),
            tap_chamfer: self.tap_chamfer,
            pins: self.pins,
            source: self.insert.as_ref().map(|insert| insert.source.as_str()),
            not_on_hand: &self.not_on_hand,
            lacks: self.lacks(),
            depends_on: &self.depends_on,
            reasons: self.reasons(),
            cautions: &self.cautions,
        }
        .serialize(serializer)
    }
}
