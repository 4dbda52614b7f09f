//! Every file under `data/`, and how Holebook answers it.

use crate::compare::Answer;
use crate::{cutting, drills, examples, inserts, limits, strength};

#[rustfmt::skip]
pub const SOURCES: &[(&str, Answer)] = &[
    ("unified_limits", limits::unified),
    ("unified_minor_2b", limits::unified_minor_2b),
    ("metric_6g6h", limits::metric),
    ("metric_stress_areas", limits::stress_area_mm2),
    ("named_drills", drills::named),
    ("thread_percent", drills::percent),
    ("clearance_inch_loose", drills::clearance_inch_loose),
    ("clearance_metric", drills::clearance_metric),
    ("tap_drills_metric", drills::tap_drills_metric),
    ("sti_inch", inserts::sti_inch),
    ("sti_metric", inserts::sti_metric),
    ("key_locking_thin", inserts::thin_wall),
    ("key_locking_thin_percent", inserts::thin_wall),
    ("key_locking_heavy", inserts::heavy_duty),
    ("insert_shear_areas", inserts::shear_areas),
    ("irons_and_bolts", strength::irons_and_bolts),
    ("engagement", strength::engagement_in_iron),
    ("cutting", cutting::surface_speeds),
    ("drill_feeds", cutting::drill_feeds),
    ("drill_depth", cutting::drill_depth),
    ("example_iron_engagement", examples::iron_engagement),
    ("example_extra_fine", examples::extra_fine),
    ("example_long_engagement", examples::long_engagement),
    ("example_bolt_torque", examples::bolt_torque),
    ("example_m10", examples::m10),
    ("example_insert_depth", examples::insert_depth),
];
