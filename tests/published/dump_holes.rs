//! Prints drills, holes and bolt lengths as one JSON value, for `holes.py` to compare with a
//! third-party package.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use holebook_core::drill::{ClearanceFit, DrillKinds, clearance_hole, tap_drill};
use holebook_core::strength::bolt::stock_lengths;
use holebook_core::thread::{Series, System, Thread, standard_threads};
use serde_json::{Map, Value, json};

fn main() {
    // Unified and metric only: a Whitworth thread may share its size and pitch with one of them.
    let threads: Vec<Thread> = standard_threads()
        .filter(|t| matches!(t.series().system(), System::Unified | System::Metric))
        .collect();
    let drills: Vec<Value> = DrillKinds::INCH
        .drills()
        .map(|d| json!({"name": d.to_string(), "diameter_in": d.diameter.inches()}))
        .collect();
    let lengths = stock_lengths(&Thread::parse("M6").unwrap());
    let lengths: Vec<f64> = lengths.iter().map(|length| length.mm()).collect();
    println!(
        "{}",
        json!({
            "threads": threads.iter().map(|t| (size(t), tapping(t))).collect::<Map<_, _>>(),
            "clearance_in": threads.iter().filter_map(clearance).collect::<Map<_, _>>(),
            "drills": drills,
            "metric_bolt_lengths_mm": lengths,
        })
    );
}

/// `3/8-16`, `M10x1.5`.
fn size(thread: &Thread) -> String {
    let designation = thread.designation();
    let (size, _) = designation.split_once(' ').unwrap_or((&designation, ""));
    size.to_owned()
}

fn tapping(thread: &Thread) -> Value {
    json!({"tap_drill_in": tap_drill(thread).drill.diameter.inches()})
}

/// Keyed by size alone, as in the other package: `#10`, `1 1/4`, `M12`.
fn clearance(thread: &Thread) -> Option<(String, Value)> {
    let coarse = matches!(thread.series(), Series::Unc | Series::MetricCoarse);
    let zero = size(thread) == "0-80";
    if !coarse && !zero {
        return None;
    }
    let holes =
        ClearanceFit::ALL.map(|fit| clearance_hole(thread, fit).map(|hole| hole.aim.inches()));
    let [Some(close), Some(normal), Some(loose)] = holes else {
        return None;
    };
    let all = size(thread);
    let (name, _) = all.rsplit_once(['-', 'x'])?;
    let numbered = thread.nominal().inches() < 0.22 && !name.starts_with('M');
    let name = if numbered {
        format!("#{name}")
    } else {
        name.replace('-', " ")
    };
    Some((
        name,
        json!({"close": close, "normal": normal, "loose": loose}),
    ))
}
