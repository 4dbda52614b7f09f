//! Strength and torque by a typed call.

use holebook_core::length::Length;
use holebook_core::thread::Thread;
use holebook_mobile::*;

/// FED-STD-H28/2B (16): 1.5 diameters of 3/8-16 strip in class 20 iron before a grade 5 bolt
/// breaks.
#[test]
fn the_parent_thread_strips_first_in_weak_iron() {
    let thread = |name: &str| Thread::parse(name).unwrap();
    let grade = Some("SAE J429 grade 5".parse().unwrap());
    let metal = "ASTM A48 class 20".parse().unwrap();
    let engaged = Length::from_fraction(562, 1000);
    let report = strength_report(thread("3/8-16"), grade, metal, engaged).unwrap();
    assert_eq!(report.comparison.weakest, Some(FailureMode::ParentThread));
    assert_eq!(report.torques.len(), 3);
    assert!(strength_report(thread("G 1/2"), None, metal, engaged).is_err());
}
