//! Tolerance tables of ISO 965-1 for pitches of 0.35 to 6 mm and diameters of 1.4 to 90 mm, in
//! micrometers. 0 marks a cell that the standard leaves empty.
//!
//! Source: BS ISO 965-1 as transcribed in `Threads.py` of the public repository
//! `Bob-SpringMtTech/Engineering` (secondary). Two errors of that transcription are corrected here:
//! the signs of deviation e at 0.75 and 1.75 mm. Every cell was compared with the formulas of the
//! standard (from memory): all but four lie within one step of the R40 series. Position G of table
//! 1 agrees with the public repository `FreeCAD/FreeCAD`, and g and the tolerances of 6g and 6H
//! with the DIN 13 limits transcribed in `adrianschlatter/threadlib` for every size here
//! (`metric_din13` in `tests/published`).

/// Allowances and tolerances that depend on the pitch alone.
pub(super) struct ByPitch {
    /// Pitch in hundredths of a millimeter.
    pub pitch: i64,
    /// Allowance of position g.
    pub g: i64,
    /// Allowance of position e.
    pub e: i64,
    /// Tolerance of the screw's major diameter, grades 4 and 6.
    pub major_4_6: [i64; 2],
    /// Tolerance of the hole's minor diameter, grades 4, 5, 6 and 7.
    pub minor_4_to_7: [i64; 4],
}

/// Tolerances of the pitch diameter for one pitch in one range of diameters.
pub(super) struct ByDiameter {
    /// Diameters over this, in tenths of a millimeter.
    pub over: i64,
    /// Diameters up to and including this, in tenths of a millimeter.
    pub up_to: i64,
    /// Pitch in hundredths of a millimeter.
    pub pitch: i64,
    /// Of the hole, grades 4, 5, 6 and 7.
    pub hole_4_to_7: [i64; 4],
    /// Of the screw, grades 4 and 6.
    pub screw_4_6: [i64; 2],
}

#[rustfmt::skip]
pub(super) const BY_PITCH: &[ByPitch] = &[
    ByPitch { pitch: 35, g: 19, e: 0, major_4_6: [53, 85], minor_4_to_7: [63, 80, 100, 0] },
    ByPitch { pitch: 40, g: 19, e: 0, major_4_6: [60, 95], minor_4_to_7: [71, 90, 112, 0] },
    ByPitch { pitch: 45, g: 20, e: 0, major_4_6: [63, 100], minor_4_to_7: [80, 100, 125, 0] },
    ByPitch { pitch: 50, g: 20, e: 50, major_4_6: [67, 106], minor_4_to_7: [90, 112, 140, 180] },
    ByPitch { pitch: 60, g: 21, e: 53, major_4_6: [80, 125], minor_4_to_7: [100, 125, 160, 200] },
    ByPitch { pitch: 70, g: 22, e: 56, major_4_6: [90, 140], minor_4_to_7: [112, 140, 180, 224] },
    ByPitch { pitch: 75, g: 22, e: 56, major_4_6: [90, 140], minor_4_to_7: [118, 150, 190, 236] },
    ByPitch { pitch: 80, g: 24, e: 60, major_4_6: [95, 150], minor_4_to_7: [125, 160, 200, 250] },
    ByPitch { pitch: 100, g: 26, e: 60, major_4_6: [112, 180], minor_4_to_7: [150, 190, 236, 300] },
    ByPitch { pitch: 125, g: 28, e: 63, major_4_6: [132, 212], minor_4_to_7: [170, 212, 265, 335] },
    ByPitch { pitch: 150, g: 32, e: 67, major_4_6: [150, 236], minor_4_to_7: [190, 236, 300, 375] },
    ByPitch { pitch: 175, g: 34, e: 71, major_4_6: [170, 265], minor_4_to_7: [212, 265, 335, 425] },
    ByPitch { pitch: 200, g: 38, e: 71, major_4_6: [180, 280], minor_4_to_7: [236, 300, 375, 475] },
    ByPitch { pitch: 250, g: 42, e: 80, major_4_6: [212, 335], minor_4_to_7: [280, 355, 450, 560] },
    ByPitch { pitch: 300, g: 48, e: 85, major_4_6: [236, 375], minor_4_to_7: [315, 400, 500, 630] },
    ByPitch { pitch: 350, g: 53, e: 90, major_4_6: [265, 425], minor_4_to_7: [355, 450, 560, 710] },
    ByPitch { pitch: 400, g: 60, e: 95, major_4_6: [300, 475], minor_4_to_7: [375, 475, 600, 750] },
    ByPitch { pitch: 450, g: 63, e: 100, major_4_6: [315, 500], minor_4_to_7: [425, 530, 670, 850] },
    ByPitch { pitch: 500, g: 71, e: 106, major_4_6: [335, 530], minor_4_to_7: [450, 560, 710, 900] },
    ByPitch { pitch: 550, g: 75, e: 112, major_4_6: [355, 560], minor_4_to_7: [475, 600, 750, 950] },
    ByPitch { pitch: 600, g: 80, e: 118, major_4_6: [375, 600], minor_4_to_7: [500, 630, 800, 1000] },
];

#[rustfmt::skip]
pub(super) const BY_DIAMETER: &[ByDiameter] = &[
    ByDiameter { over: 14, up_to: 28, pitch: 35, hole_4_to_7: [53, 67, 85, 0], screw_4_6: [40, 63] },
    ByDiameter { over: 14, up_to: 28, pitch: 40, hole_4_to_7: [56, 71, 90, 0], screw_4_6: [42, 67] },
    ByDiameter { over: 14, up_to: 28, pitch: 45, hole_4_to_7: [60, 75, 95, 0], screw_4_6: [45, 71] },
    ByDiameter { over: 28, up_to: 56, pitch: 35, hole_4_to_7: [56, 71, 90, 0], screw_4_6: [42, 67] },
    ByDiameter { over: 28, up_to: 56, pitch: 50, hole_4_to_7: [63, 80, 100, 125], screw_4_6: [48, 75] },
    ByDiameter { over: 28, up_to: 56, pitch: 60, hole_4_to_7: [71, 90, 112, 140], screw_4_6: [53, 85] },
    ByDiameter { over: 28, up_to: 56, pitch: 70, hole_4_to_7: [75, 95, 118, 150], screw_4_6: [56, 90] },
    ByDiameter { over: 28, up_to: 56, pitch: 75, hole_4_to_7: [75, 95, 118, 150], screw_4_6: [56, 90] },
    ByDiameter { over: 28, up_to: 56, pitch: 80, hole_4_to_7: [80, 100, 125, 160], screw_4_6: [60, 95] },
    ByDiameter { over: 56, up_to: 112, pitch: 75, hole_4_to_7: [85, 106, 132, 170], screw_4_6: [63, 100] },
    ByDiameter { over: 56, up_to: 112, pitch: 100, hole_4_to_7: [95, 118, 150, 190], screw_4_6: [71, 112] },
    ByDiameter { over: 56, up_to: 112, pitch: 125, hole_4_to_7: [100, 125, 160, 200], screw_4_6: [75, 118] },
    ByDiameter { over: 56, up_to: 112, pitch: 150, hole_4_to_7: [112, 140, 180, 224], screw_4_6: [85, 132] },
    ByDiameter { over: 112, up_to: 224, pitch: 100, hole_4_to_7: [100, 125, 160, 200], screw_4_6: [75, 118] },
    ByDiameter { over: 112, up_to: 224, pitch: 125, hole_4_to_7: [112, 140, 180, 224], screw_4_6: [85, 132] },
    ByDiameter { over: 112, up_to: 224, pitch: 150, hole_4_to_7: [118, 150, 190, 236], screw_4_6: [90, 140] },
    ByDiameter { over: 112, up_to: 224, pitch: 175, hole_4_to_7: [125, 160, 200, 250], screw_4_6: [95, 150] },
    ByDiameter { over: 112, up_to: 224, pitch: 200, hole_4_to_7: [132, 170, 212, 265], screw_4_6: [100, 160] },
    ByDiameter { over: 112, up_to: 224, pitch: 250, hole_4_to_7: [140, 180, 224, 280], screw_4_6: [106, 170] },
    ByDiameter { over: 224, up_to: 450, pitch: 100, hole_4_to_7: [106, 132, 170, 212], screw_4_6: [80, 125] },
    ByDiameter { over: 224, up_to: 450, pitch: 150, hole_4_to_7: [125, 160, 200, 250], screw_4_6: [95, 150] },
    ByDiameter { over: 224, up_to: 450, pitch: 200, hole_4_to_7: [140, 180, 224, 280], screw_4_6: [106, 170] },
    ByDiameter { over: 224, up_to: 450, pitch: 300, hole_4_to_7: [170, 212, 265, 335], screw_4_6: [125, 200] },
    ByDiameter { over: 224, up_to: 450, pitch: 350, hole_4_to_7: [180, 224, 280, 355], screw_4_6: [132, 212] },
    ByDiameter { over: 224, up_to: 450, pitch: 400, hole_4_to_7: [190, 236, 300, 375], screw_4_6: [140, 224] },
    ByDiameter { over: 224, up_to: 450, pitch: 450, hole_4_to_7: [200, 250, 315, 400], screw_4_6: [150, 236] },
    ByDiameter { over: 450, up_to: 900, pitch: 150, hole_4_to_7: [132, 170, 212, 265], screw_4_6: [100, 160] },
    ByDiameter { over: 450, up_to: 900, pitch: 200, hole_4_to_7: [150, 190, 236, 300], screw_4_6: [112, 180] },
    ByDiameter { over: 450, up_to: 900, pitch: 300, hole_4_to_7: [180, 224, 280, 355], screw_4_6: [132, 212] },
    ByDiameter { over: 450, up_to: 900, pitch: 400, hole_4_to_7: [200, 250, 315, 400], screw_4_6: [150, 236] },
    ByDiameter { over: 450, up_to: 900, pitch: 500, hole_4_to_7: [212, 265, 335, 425], screw_4_6: [160, 250] },
    ByDiameter { over: 450, up_to: 900, pitch: 550, hole_4_to_7: [224, 280, 355, 450], screw_4_6: [170, 265] },
    ByDiameter { over: 450, up_to: 900, pitch: 600, hole_4_to_7: [236, 300, 375, 475], screw_4_6: [180, 280] },
];
