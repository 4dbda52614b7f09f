//! Clearance holes for bolts.

use super::hole_spec::{HolePurpose, HoleSpec};
use crate::length::{Length, NM_PER_MM};
use crate::thread::Thread;
use serde::{Deserialize, Serialize};
use std::fmt;

/// How much clearance a bolt has in its clearance hole.
#[derive(
    holebook_shape::Shape,
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum ClearanceFit {
    /// Close (ISO: fine), for accurate location.
    Close,
    /// Normal (ISO: medium).
    #[default]
    Normal,
    /// Loose (ISO: coarse), for castings that do not align well.
    Loose,
}

/// Numbered screws below 1/4 in, and the drills of close, normal and loose fit.
///
/// Source: ASME B18.2.8 as transcribed in the data of the package bd-warehouse 0.4.0; the normal
/// drills agree with Machinery's Handbook 31 page 1741. The standard has no No. 12.
const INCH_NUMBERED: [(i64, [&str; 3]); 9] = [
    (0, ["#51", "#48", "3/32"]),
    (1, ["#46", "#43", "#37"]),
    (2, ["3/32", "#38", "#32"]),
    (3, ["#36", "#32", "#30"]),
    (4, ["#31", "#30", "#27"]),
    (5, ["9/64", "5/32", "11/64"]),
    (6, ["#23", "#18", "#13"]),
    (8, ["#15", "#9", "#3"]),
    (10, ["#5", "#2", "B"]),
];
/// Nominal size in 1/16 in; hole of close, normal and loose fit in 1/64 in; sources as above. The
/// standard has no 9/16 in and ends at 1-1/2 in.
const INCH: [(i64, [i64; 3]); 13] = [
    (4, [17, 18, 19]),
    (5, [21, 22, 23]),
    (6, [25, 26, 27]),
    (7, [29, 30, 31]),
    (8, [34, 36, 39]),
    (10, [42, 44, 47]),
    (12, [50, 52, 58]),
    (14, [58, 60, 66]),
    (16, [66, 70, 74]),
    (18, [74, 78, 84]),
    (20, [82, 86, 92]),
    (22, [92, 96, 103]),
    (24, [100, 104, 111]),
];
/// Nominal size and holes of fine, medium and coarse series, all in tenths of a mm.
///
/// Source: ISO 273 as transcribed in the hole tables of the public repository `FreeCAD/FreeCAD`;
/// M1.6 to M16 agree with a public page on that standard. BS 4186 of 1967, in Machinery's Handbook
/// 31 page 2173, has 0.5 mm more for M12 to M16 in its medium and free series.
const METRIC: [(i64, [i64; 3]); 28] = [
    (16, [17, 18, 20]),
    (18, [20, 21, 22]),
    (20, [22, 24, 26]),
    (25, [27, 29, 31]),
    (30, [32, 34, 36]),
    (35, [37, 39, 42]),
    (40, [43, 45, 48]),
    (50, [53, 55, 58]),
    (60, [64, 66, 70]),
    (70, [74, 76, 80]),
    (80, [84, 90, 100]),
    (100, [105, 110, 120]),
    (120, [130, 135, 145]),
    (140, [150, 155, 165]),
    (160, [170, 175, 185]),
    (180, [190, 200, 210]),
    (200, [210, 220, 240]),
    (220, [230, 240, 260]),
    (240, [250, 260, 280]),
    (270, [280, 300, 320]),
    (300, [310, 330, 350]),
    (330, [340, 360, 380]),
    (360, [370, 390, 420]),
    (390, [400, 420, 450]),
    (420, [430, 450, 480]),
    (450, [460, 480, 520]),
    (480, [500, 520, 560]),
    (640, [660, 700, 740]),
];
/// Upper end of a range of diameters in mm, and tolerances H12, H13 and H14 in micrometers.
///
/// Source: ISO 286-1 as two public pages print it (engineersvault.blogspot.com, deepri.com;
/// secondary sources). The largest loose holes in Machinery's Handbook 31 page 1741 agree within
/// .0015 in, except that of 1 in, which it prints .004 in larger.
const TOLERANCES_UM: [(i64, [i64; 3]); 8] = [
    (3, [100, 140, 250]),
    (6, [120, 180, 300]),
    (10, [150, 220, 360]),
    (18, [180, 270, 430]),
    (30, [210, 330, 520]),
    (50, [250, 390, 620]),
    (80, [300, 460, 740]),
    (120, [350, 540, 870]),
];

impl ClearanceFit {
    /// All fits, closest first.
    pub const ALL: [ClearanceFit; 3] = [
        ClearanceFit::Close,
        ClearanceFit::Normal,
        ClearanceFit::Loose,
    ];

    /// Returns the name: `close`, `normal`, `loose`.
    pub const fn name(self) -> &'static str {
        match self {
            ClearanceFit::Close => "close",
            ClearanceFit::Normal => "normal",
            ClearanceFit::Loose => "loose",
        }
    }
}

impl fmt::Display for ClearanceFit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Returns the clearance hole diameter of normal (medium) fit; `None` for a size that is not in the
/// tables.
pub fn clearance_diameter(thread: &Thread) -> Option<Length> {
    least_clearance(thread, ClearanceFit::Normal)
}

/// Returns the least clearance hole diameter of a fit; `None` for a size that is not in the tables.
pub fn least_clearance(thread: &Thread, fit: ClearanceFit) -> Option<Length> {
    let (nominal, column) = (thread.nominal(), fit as usize);
    if thread.series().is_metric() {
        let mut rows = METRIC.iter();
        let row = rows.find(|(tenths, _)| nominal == tenths_of_mm(*tenths))?;
        return Some(tenths_of_mm(row.1[column]));
    }
    let numbered = INCH_NUMBERED.iter();
    let numbered = numbered
        .filter(|(number, _)| nominal == Length::from_fraction(60 + 13 * number, 1000))
        .find_map(|(_, drills)| super::Drill::parse(drills[column]).ok())
        .map(|drill| drill.diameter);
    let mut rows = INCH.iter();
    numbered.or_else(|| {
        rows.find(|(sixteenths, _)| nominal == Length::from_fraction(*sixteenths, 16))
            .map(|(_, holes)| Length::from_fraction(holes[column], 64))
    })
}

const fn tenths_of_mm(tenths: i64) -> Length {
    Length::from_nm(tenths * NM_PER_MM / 10)
}

/// Returns the clearance hole for a bolt with this thread; `None` for a size that is not in the
/// tables.
pub fn clearance_hole(thread: &Thread, fit: ClearanceFit) -> Option<HoleSpec> {
    let least = least_clearance(thread, fit)?;
    let tolerance = TOLERANCES_UM
        .iter()
        .find(|(up_to, _)| least <= Length::from_nm(up_to * NM_PER_MM))
        .map(|(_, um)| Length::from_nm(um[fit as usize] * 1_000))?;
    let source = if thread.series().is_metric() {
        "ISO 273 and the tolerance of ISO 286-1 (both transcribed)"
    } else {
        "ASME B18.2.8 and the tolerance of ISO 286-1 (both transcribed)"
    };
    Some(HoleSpec {
        purpose: HolePurpose::Clearance(fit),
        job: format!("clearance hole for {}, {fit} fit", thread.designation()),
        aim: least,
        least: Some(least),
        largest: Some(least + tolerance),
        depth: None,
        source: source.to_owned(),
    })
}
