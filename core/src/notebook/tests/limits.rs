//! The shop's own limits.

use super::*;
use crate::hole::limits::Limits;
use crate::sync::sync_folder;

fn with(key: &str, value: f64) -> Limits {
    let mut limits = Limits::STANDARD;
    limits.set(key, value).unwrap();
    limits
}

#[test]
fn limits_are_recorded_and_every_hole_is_judged_by_them() {
    let (bench, face, holes) = Bench::with_holes(1);
    let notebook = &bench.notebook;
    assert_eq!(notebook.limits().unwrap(), Limits::STANDARD);
    assert_eq!(notebook.hole(holes[0]).unwrap().face_record.limits, None);
    let first = notebook.set_limits(&with("wall_mm", 2.5)).unwrap();
    let second = notebook.set_limits(&with("tilt_deg", 2.0)).unwrap();
    assert_eq!(notebook.limits().unwrap(), with("tilt_deg", 2.0));
    let entries = notebook.limit_entries().unwrap();
    assert_eq!(entries.0.len(), 1);
    assert_eq!(entries.0[0].entry, second);
    assert!(notebook.entry(first).unwrap().replaced);
    for record in [
        notebook.hole(holes[0]).unwrap().face_record,
        notebook.face(face).unwrap().record,
    ] {
        assert_eq!(record.limits, Some(with("tilt_deg", 2.0)));
    }
    let out_of_range = Limits {
        tilt_deg: 90.0,
        ..Limits::STANDARD
    };
    let why = notebook.set_limits(&out_of_range).unwrap_err().to_string();
    assert!(why.contains("tilt_deg is 90"), "{why}");
}

#[test]
fn stricter_of_two_devices_counts_until_somebody_saves() {
    let (one, other) = (Bench::new(), Bench::new());
    one.notebook.set_limits(&with("wall_mm", 2.5)).unwrap();
    other.notebook.set_limits(&with("wall_mm", 1.0)).unwrap();
    let folder = TempDir::new().unwrap();
    for bench in [&one, &other, &one] {
        sync_folder(&bench.notebook, folder.path()).unwrap();
    }
    for bench in [&one, &other] {
        assert!(bench.notebook.limit_entries().unwrap().differ());
        assert_eq!(bench.notebook.limits().unwrap(), with("wall_mm", 2.5));
    }
    one.notebook.set_limits(&with("wall_mm", 1.0)).unwrap();
    assert!(!one.notebook.limit_entries().unwrap().differ());
    assert_eq!(one.notebook.limits().unwrap(), with("wall_mm", 1.0));
}
