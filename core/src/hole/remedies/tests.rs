#![allow(clippy::unwrap_used)]
use super::*;
#[test]
fn look() {
    for text in std::fs::read_to_string("/tmp/holes.jsonl").unwrap().lines() {
        let s: Situation = serde_json::from_str(text).unwrap();
        println!("=== {text}");
        for a in remedies(&s).into_iter().take(5) {
            println!(
                "{:?} {:?} {:?} {} eff {:?} parent {:?} bolt {:?} ratio {:?} tap {:?}/{:?} drill {:?}\n    {}",
                a.remedy,
                a.family().map(|f| f.name()),
                a.insert.as_ref().map(|i| i.length.mm()),
                a.verdict,
                a.effective_engagement.map(|l| l.mm()),
                a.parent_strength_n.map(f64::round),
                a.bolt_strength_n.map(f64::round),
                a.strength_ratio,
                a.tap,
                a.tap_chamfer,
                a.drill.map(|d| d.to_string()),
                a.reasons().join("\n    ")
            );
        }
    }
}
