//! What is missing round the intended centre of a hole, by depth.

use crate::border::{In, Out, record, record_out};
use crate::error::NotebookError;
use crate::length::Length;
use holebook_core::hole::damage as core;

record! {
    /// A span of depth from the face.
    Span = core::Span {
        /// Where it starts.
        from: Length,
        /// Where it ends.
        to: Length,
    }
}

record! {
    /// A circle of missing metal over a span of depth: the same all the way down, or changing evenly to a lower circle.
    Station = core::Station {
        /// The depths it covers.
        span: Span,
        /// The circle's diameter, more than zero; at the upper end, where there is a lower circle.
        diameter: Length,
        /// How far its centre lies from the intended one.
        offset: Length,
        /// Which way, degrees counter-clockwise from the picture's right.
        direction_deg: f64,
        /// The diameter at the lower end; zero where it comes to a point. None: the same as above.
        #[uniffi(default = None)]
        to_diameter: Option<Length>,
        /// How far the centre lies off at the lower end. None: as far as above.
        #[uniffi(default = None)]
        to_offset: Option<Length>,
        /// Which way it lies off at the lower end, degrees. None: the same way as above.
        #[uniffi(default = None)]
        to_direction_deg: Option<f64>,
        /// How far the diameters may be off, either way. None: not said.
        #[uniffi(default = None)]
        diameter_error: Option<Length>,
        /// How far the centres may lie from where they were read. None: not said.
        #[uniffi(default = None)]
        offset_error: Option<Length>,
    }
}

record! {
    /// A span of depth in which the metal is too hard for a tap.
    HardZone = core::HardZone {
        /// The depths it covers.
        span: Span,
        /// How far either end may lie from where it was read. None: not said.
        #[uniffi(default = None)]
        error: Option<Length>,
    }
}

/// How much an axis leans, as it was measured.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Enum)]
pub enum Tilt {
    /// So much sideways over so much of depth.
    Run {
        /// Sideways.
        by: Length,
        /// Over this depth.
        over: Length,
    },
    /// By an angle.
    Degrees {
        /// Degrees from square to the face.
        deg: f64,
    },
}

impl Out for core::Tilt {
    type Face = Tilt;
    fn out(self) -> Tilt {
        match self {
            Self::Run { by, over } => Tilt::Run {
                by: by.out(),
                over: over.out(),
            },
            Self::Degrees(deg) => Tilt::Degrees { deg },
        }
    }
}

impl In<core::Tilt> for Tilt {
    fn inward(self) -> Result<core::Tilt, NotebookError> {
        Ok(match self {
            Self::Run { by, over } => core::Tilt::Run {
                by: by.inward()?,
                over: over.inward()?,
            },
            Self::Degrees { deg } => core::Tilt::Degrees(deg),
        })
    }
}

record! {
    /// The axis of the old hole leans.
    Lean = core::Lean {
        /// By how much.
        tilt: Tilt,
        /// Which way its lower end lies from the upper, degrees counter-clockwise from the picture's right.
        direction_deg: f64,
        /// How far its centre at the face lies from the intended one.
        offset: Length,
        /// Which way, in the same degrees.
        offset_direction_deg: f64,
        /// Diameter of the old hole to the bottom of its thread. None: the wanted thread's nominal size.
        #[uniffi(default = None)]
        diameter: Option<Length>,
    }
}

record! {
    /// A tool or bolt that broke off in the hole.
    BrokenTool = core::BrokenTool {
        /// What it is: bolt, tap, drill, stud.
        what: String,
        /// How long the piece is. None: not known.
        #[uniffi(default = None)]
        length: Option<Length>,
        /// How far its top lies below the face, below zero where it stands proud. None: not known.
        #[uniffi(default = None)]
        top: Option<Length>,
    }
}

record! {
    /// What is missing or wrong round the intended centre. Nothing in it says that somebody looked and nothing is.
    Damage = core::Damage {
        /// Missing metal.
        #[uniffi(default = [])]
        stations: Vec<Station>,
        /// Hardened zones.
        #[uniffi(default = [])]
        hard: Vec<HardZone>,
        /// The old hole is not square to the face.
        #[uniffi(default = None)]
        lean: Option<Lean>,
        /// A broken-off tool or bolt.
        #[uniffi(default = None)]
        broken_tool: Option<BrokenTool>,
        /// A crack was seen.
        #[uniffi(default = false)]
        crack: bool,
    }
}
