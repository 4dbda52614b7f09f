//! What holds, by a typed call, against the figures that the core is checked with.
#![allow(clippy::unwrap_used)]

use holebook_mobile::*;

fn inches(thousandths: i64) -> Length {
    Length {
        nm: thousandths * 25_400,
    }
}

/// FED-STD-H28/2B (16): 1.5 diameters of 3/8-16 strip in class 20 iron before a grade 5 bolt breaks.
#[test]
fn what_holds() {
    let grade = Some("SAE J429 grade 5".to_owned());
    let metal = "ASTM A48 class 20".to_owned();
    let held = hold("3/8-16".to_owned(), grade, metal.clone(), inches(562)).unwrap();
    assert_eq!(held.fails.weakest, Some(Part::ParentThread));
    assert_eq!(held.torques.len(), 3);
    assert!(hold("G 1/2".to_owned(), None, metal, inches(562)).is_err());
}
