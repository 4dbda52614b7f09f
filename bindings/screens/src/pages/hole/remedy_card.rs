//! One remedy: its verdict, its main numbers, the reasons, all checks, sources and cautions.

use crate::labels::{count, insert_length, remedy, sentence, sentence_case, sources, verdict};
use crate::lengths::{check_value, depth_pair};
use holebook_core::hole::caution::Caution;
use holebook_core::hole::record::Remedy;
use holebook_core::hole::remedies::{Assessment, BoltTip, Check, Verdict, Weight};
use holebook_core::length::{Rounding, Unit, in_unit};
use holebook_core::strength::show_load;
use maud::{Markup, html};

/// The card below its heading; `chosen` if it is the chosen remedy. Cautions that are `elsewhere`
/// on the page are left out.
pub fn body(assessment: &Assessment, chosen: bool, elsewhere: &[Caution], unit: Unit) -> Markup {
    html! {
        (verdict_line(assessment, chosen))
        (in_full(assessment, elsewhere, unit))
    }
}

fn verdict_line(assessment: &Assessment, chosen: bool) -> Markup {
    html! {
        p.verdict { (verdict_mark(assessment.verdict)) " " (verdict(assessment.verdict)) @if chosen { ", chosen" } }
    }
}

/// The card's numbers, reasons, checks and cautions.
pub fn in_full(assessment: &Assessment, elsewhere: &[Caution], unit: Unit) -> Markup {
    let its_own: Vec<Caution> = assessment
        .cautions
        .iter()
        .filter(|caution| !elsewhere.contains(caution))
        .copied()
        .collect();
    html! {
        (facts(assessment, unit))
        (reasons(assessment, unit))
        (details(assessment, unit))
        (cautions(&its_own, "caution", "cautions", unit))
    }
}

/// The card in short: its verdict, why it is first or what speaks against it, and what it costs in
/// metal.
pub fn brief(assessment: &Assessment, chosen: bool, unit: Unit) -> Markup {
    html! {
        (verdict_line(assessment, chosen))
        @if let Some(why) = &assessment.first_because { p { "First, because " (in_unit(why, unit)) "." } }
        @else if let Some(why) = against(assessment, unit) { p { (why) } }
        p {
            b { "Metal: " } (metal_cost(assessment, unit)) ". "
            @if let Some(ratio) = assessment.sound_ratio { b { "Holds: " } (percent_down(ratio)) " of a sound hole." }
        }
    }
}

/// The first thing that speaks against a remedy, without its source.
fn against(assessment: &Assessment, unit: Unit) -> Option<Markup> {
    if assessment.verdict == Verdict::Fits {
        return None;
    }
    let sensitivity = assessment.sensitivities.first().map(|one| one.words(unit));
    let rationale = || assessment.rationale.first().map(|one| in_unit(one, unit));
    let text = sensitivity
        .or_else(rationale)
        .map(|text| html! { (sentence(&text)) });
    let mut checks = assessment.checks.iter();
    let check = checks.find(|check| check.passes != Some(true));
    // The verdict above it says already what the check's result is.
    text.or_else(|| {
        check.map(|check| html! { (sentence_case(check.check)) ": " (check_numbers(check, unit)) })
    })
}

/// What a remedy takes from the casting.
fn metal_cost(assessment: &Assessment, unit: Unit) -> String {
    let wanted = assessment.bolt_thread.nominal();
    let major = assessment
        .insert
        .as_ref()
        .map(|insert| insert.outside.major);
    match assessment.remedy {
        Remedy::Leave | Remedy::LongerBolt => "none".to_owned(),
        Remedy::Chase => "none but what the tap cleans out".to_owned(),
        Remedy::TapDeeper => "the hole gets deeper, not wider".to_owned(),
        Remedy::LargerBolt => format!(
            "the hole is opened to {}",
            assessment.bolt_thread.designation()
        ),
        Remedy::Specialist => "as the specialist needs".to_owned(),
        _ => match (major, &assessment.outside_thread) {
            (Some(major), _) => format!(
                "the hole is opened to {} from {}",
                major.rounded(unit, Rounding::Up),
                wanted.show(unit)
            ),
            (None, Some(outside)) => format!("the hole is opened to {outside}"),
            (None, None) => "the hole is opened".to_owned(),
        },
    }
}

/// Cautions that several remedies share.
pub fn shared_cautions(assessments: &[Assessment]) -> Vec<Caution> {
    let all: Vec<Caution> = assessments
        .iter()
        .flat_map(|assessment| assessment.cautions.iter().copied())
        .collect();
    let mut shared = Vec::new();
    for caution in &all {
        let count = all.iter().filter(|other| *other == caution).count();
        if count > 1 && !shared.contains(caution) {
            shared.push(*caution);
        }
    }
    shared
}

/// The cautions that several remedies share, once above their cards.
pub fn shared(cautions: &[Caution], unit: Unit) -> Markup {
    let (one, several) = (
        "caution for several of these",
        "cautions for several of these",
    );
    self::cautions(cautions, one, several, unit)
}

/// What the strength figures mean; shown once below the cards.
pub fn about_strength() -> Markup {
    html! {
        p.faint { "Strength: load that strips the casting, as a part of what a sound hole for this bolt in the same metal holds. From 100% on, use the "
            "torque in the machine's manual; below, that torque times the percentage. It counts the thread height that the damage leaves, which is on the safe side: a thread loses shear strength later than height." }
        (sources(["Counting the thread height for its shear strength: judgment, on the safe side".to_owned()]))
    }
}

/// A remedy by name and, for an insert, its length.
pub fn title(assessment: &Assessment, unit: Unit) -> String {
    match (&assessment.insert, insert_length(assessment, unit)) {
        (Some(insert), Some(length)) => {
            format!("{}, {length}", sentence_case(insert.family.name()))
        }
        _ => remedy(assessment.remedy),
    }
}

/// A symbol beside the verdict, for the eye; the word carries the meaning.
pub fn verdict_mark(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "●",
        Verdict::Marginal => "◐",
        Verdict::Unknown => "?",
        Verdict::DoesNotFit => "✗",
    }
}

fn facts(assessment: &Assessment, unit: Unit) -> Markup {
    html! {
        dl.facts {
            @if let Some(outside) = &assessment.outside_thread { dt { "Thread in the casting" } dd { (outside) } }
            @if let Some(drill) = &assessment.drill { dt { "Drill" } dd { (drill.show(unit)) } }
            @if let Some(depths) = &assessment.depths {
                dt { "Drill to" } dd { (depth_pair(depths.drill, depths.drill_after_cut, Rounding::Up, unit)) }
            }
            @if let Some(ratio) = assessment.sound_ratio { dt { "Of a sound hole" } dd { (percent_down(ratio)) } }
        }
    }
}

/// Why it has its verdict: what speaks for it, and each check that it does not simply pass.
fn reasons(assessment: &Assessment, unit: Unit) -> Markup {
    let not_passed = assessment
        .checks
        .iter()
        .filter(|check| check.passes != Some(true));
    html! {
        @if let Some(why) = &assessment.first_because { p { "First, because " (in_unit(why, unit)) "." } }
        ul.checks {
            @for reason in &assessment.rationale { li { (sentence_case(&in_unit(reason, unit))) } }
            @for sensitivity in &assessment.sensitivities { li { (sentence_case(&sensitivity.words(unit))) } }
            @for check in not_passed { li { (check_line(check, unit)) } }
            @for missing in &assessment.not_on_hand { li { "Not on hand: " (missing) } }
        }
    }
}

/// All numbers, all checks, and where the limits come from.
fn details(assessment: &Assessment, unit: Unit) -> Markup {
    let limits = assessment
        .checks
        .iter()
        .map(|check| format!("{}: {}", check.check, check.limit_from));
    let hole = assessment
        .insert
        .iter()
        .map(|insert| format!("hole: {}", insert.source));
    html! {
        @if !assessment.checks.is_empty() || assessment.insert.is_some() {
            details {
                summary { "All numbers and checks" }
                dl.facts {
                    @if let Some(tap) = &assessment.tap { dt { "Tap" } dd { (tap) } }
                    @if let Some(engagement) = assessment.effective_engagement {
                        dt { "Effective engagement" } dd { (engagement.rounded(unit, Rounding::Nearest)) }
                    }
                    @if let Some(wall) = assessment.edge_wall { dt { "Wall to the edge" } dd { (wall.rounded(unit, Rounding::Down)) } }
                    @if let Some(tip) = &assessment.bolt_tip {
                        dt { "Bolt tip below the finished face" } dd { (bolt_tip(tip, unit)) }
                    }
                    @if let Some(load) = assessment.parent_strength_n { dt { "Casting strips at" } dd {
                        (show_load(load, unit))
                        @if let Some(low) = assessment.parent_strength_floor_n.filter(|low| *low < load) {
                            ", could be as low as " (show_load(low, unit))
                        }
                    } }
                    @if let Some(load) = assessment.bolt_strength_n { dt { "Bolt breaks at" } dd { (show_load(load, unit)) } }
                    @if let Some(first) = assessment.failure.as_ref().and_then(|failure| failure.weakest) { dt { "Fails first" } dd { (first) } }
                    @if let Some(name) = assessment.bolt.as_ref().and_then(|bolt| bolt.name.as_ref()) { dt { "Bolt" } dd { (name) } }
                }
                ul.checks { @for check in &assessment.checks { li { (check_line(check, unit)) } } }
                (sources(hole.chain(limits)))
            }
        }
    }
}

/// A share as a percentage, rounded down to the safe side.
pub fn percent_down(share: f64) -> String {
    format!("{:.0}%", (share * 100.0 + 1e-6).floor())
}

/// The depths between which the bolt's tip must end.
fn bolt_tip(tip: &BoltTip, unit: Unit) -> String {
    let least = tip.least.rounded(unit, Rounding::Up);
    match tip.most {
        Some(most) => format!("{least}, at most {}", most.rounded(unit, Rounding::Down)),
        None => format!("{least} or more"),
    }
}

/// A check with both its numbers.
fn check_line(check: &Check, unit: Unit) -> Markup {
    let result = match check.passes {
        Some(true) => "✓ pass",
        Some(false) if check.passes_as_read => "◐ fails only at the worst case",
        Some(false) if check.weight == Weight::Preferred => "◐ marginal",
        Some(false) => "✗ fail",
        None => "? unknown",
    };
    html! { b { (result) } ", " (check.check) ": " (check_numbers(check, unit)) }
}

/// What a check has and what it needs.
fn check_numbers(check: &Check, unit: Unit) -> Markup {
    let shown = |value| check_value(value, check.unit, unit);
    html! {
        @if let Some(has) = check.has { "is " (shown(has)) @if check.needs.is_some() { ", " } }
        @if let Some(needs) = check.needs { (check.limit(&shown(needs))) }
        @if let Some(missing) = check.missing { ", missing: " (missing) }
    }
}

fn cautions(cautions: &[Caution], one: &str, several: &str, unit: Unit) -> Markup {
    html! {
        @if !cautions.is_empty() {
            details {
                summary { (count(cautions.len(), one, several)) }
                @for caution in cautions {
                    p.caution { b { "Caution: " } (sentence(&in_unit(&caution.to_string(), unit))) }
                }
            }
        }
    }
}
