//! Tests of thread forms and basic sizes.

use super::super::*;
use super::thread;

/// Constants as printed: FED-STD-H28/2B (60 degrees), and for Whitworth the pages named in the list
/// of sources: H 0.960491, depth 0.640327.
#[test]
fn form_constants_as_printed() {
    let close =
        |ours: f64, printed: f64| assert!((ours - printed).abs() < 1e-6, "{ours} {printed}");
    close(Form::Sixty.sharp_height_mm(1.0), 0.866025);
    close(2.0 * Form::Sixty.addendum_mm(1.0), 0.649519);
    close(2.0 * Form::Sixty.depth_mm(1.0), 1.082532);
    close(2.0 * Form::Sixty.full_thread_mm(1.0), 1.299038);
    close(Form::Sixty.tan_half_angle(), 0.577350);
    close(Form::Whitworth.sharp_height_mm(1.0), 0.960491);
    close(Form::Whitworth.depth_mm(1.0), 0.640327);
    close(2.0 * Form::Whitworth.addendum_mm(1.0), 0.640327);
    close(
        Form::Whitworth.tan_half_angle(),
        27.5_f64.to_radians().tan(),
    );
}

/// At one size a coarser pitch has a deeper thread and a thinner core.
#[test]
fn a_coarser_pitch_has_a_deeper_thread() {
    let threads: Vec<Thread> = standard_threads().filter(|t| !t.is_pipe()).collect();
    for a in &threads {
        for b in threads
            .iter()
            .filter(|b| b.nominal == a.nominal && b.form() == a.form())
        {
            if a.pitch_mm() > b.pitch_mm() + 1e-9 {
                assert!(a.basic().minor_mm < b.basic().minor_mm, "{a} {b}");
                assert!(
                    a.usual_internal().minor_min < b.usual_internal().minor_min,
                    "{a} {b}"
                );
                assert!(a.stress_area_mm2() < b.stress_area_mm2(), "{a} {b}");
            }
        }
    }
}

/// ASME B1.20.1, from memory: 1/2-14 NPT has E0 .75843, E1 .77843 in.
#[test]
fn npt_pitch_diameter_at_its_gauge_plane() {
    let half = thread("1/2 NPT");
    let pitch_diameter = half.basic().pitch_diameter_mm / 25.4;
    assert!((pitch_diameter - 0.778_43).abs() < 2e-5, "{pitch_diameter}");
    assert!(half.is_pipe() && half.series().is_taper() && half.form().angle_deg() == 60);
}
