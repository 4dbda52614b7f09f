//! Prints limits and strengths as one JSON value, for `oracle.py` to compare with third-party
//! packages. Inches unless the key says otherwise.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use holebook_core::strength::{
    areas, engagement, external_shear_area_mm2_per_mm, internal_shear_area_mm2_per_mm, iso16224,
};
use holebook_core::thread::{Form, Thread, standard_threads};
use serde_json::{Value, json};

/// Strength ratio for the compared lengths of engagement: iron of 20 ksi, screw of 60 ksi. The ISO
/// comparisons use their own strengths.
const IRON_OVER_SCREW: f64 = 20.0 / 60.0;

fn main() {
    let threads: Vec<Value> = standard_threads().map(thread).collect();
    println!("{}", json!({"threads": threads}));
}

fn thread(t: Thread) -> Value {
    json!({
        "designation": t.designation(),
        "metric": t.series().is_metric(),
        "sixty_degrees": t.form() == Form::Sixty,
        "nominal_mm": t.nominal().mm(),
        "pitch_mm": t.pitch_mm(),
        "limits_in": limits(t),
        "strength": strength(t),
    })
}

fn limits(t: Thread) -> Value {
    let (screw, hole) = (t.usual_external(), t.usual_internal());
    json!({
        "dmax": screw.major_max.inches(),
        "dmin": screw.major_min.inches(),
        "d2max": screw.pitch_diameter_max.inches(),
        "d2min": screw.pitch_diameter_min.inches(),
        "d1max": screw.minor_max.inches(),
        "D1min": hole.minor_min.inches(),
        "D1max": hole.minor_max.inches(),
        "D2min": hole.pitch_diameter_min.inches(),
        "D2max": hole.pitch_diameter_max.inches(),
    })
}

/// Keyed by the other package's method names; areas in square inches per inch of engagement.
fn strength(t: Thread) -> Value {
    let (screw, hole, basic, p) = (
        t.usual_external(),
        t.usual_internal(),
        t.basic(),
        t.pitch_mm(),
    );
    let area = t.stress_area_mm2();
    let internal = internal_shear_area_mm2_per_mm(
        screw.major_min.mm(),
        hole.pitch_diameter_max.mm(),
        p,
        t.form(),
    );
    let external = external_shear_area_mm2_per_mm(
        hole.minor_max.mm(),
        screw.pitch_diameter_min.mm(),
        p,
        t.form(),
    );
    let external_max = areas::external_shear_area_max_mm2_per_mm(basic.minor_mm);
    json!({
        "As_FEDSTD_1b": area / 25.4 / 25.4,
        "ASn_min_FEDSTD_2a": internal / 25.4,
        "ASn_FEDSTD_3": areas::internal_shear_area_simplified_mm2_per_mm(basic.pitch_diameter_mm) / 25.4,
        "ASs_min_FEDSTD_4a": external / 25.4,
        "ASs_FEDSTD_5": areas::external_shear_area_simplified_mm2_per_mm(basic.pitch_diameter_mm) / 25.4,
        "ASs_max_FEDSTD_6b": external_max / 25.4,
        "LEr_FEDSTD_13": engagement::equal_strength_mm(area, basic.pitch_diameter_mm) / 25.4,
        "LEr_FEDSTD_14": engagement::internal_stronger_mm(area, external) / 25.4,
        "LEr_FEDSTD_15": engagement::internal_stronger_mm(area, external_max) / 25.4,
        "LEr_FEDSTD_16": engagement::engagement_mm(area, internal, IRON_OVER_SCREW) / 25.4,
        "As_ISO": iso16224::stress_area_mm2(&t) / 25.4 / 25.4,
        "ASb_ISO": iso16224::bolt_shear_area_mm2_per_mm(&t) / 25.4,
        "ASn_ISO": iso16224::nut_shear_area_mm2_per_mm(&t) / 25.4,
        "LEr_ISO_equal": iso16224::engagement_mm(&t, 800.0, 800.0, 1.5).map(|l| l / 25.4),
        "LEr_ISO_soft_nut": iso16224::engagement_mm(&t, 800.0, 500.0, 1.8).map(|l| l / 25.4),
    })
}
