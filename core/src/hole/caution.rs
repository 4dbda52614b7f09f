//! Cautions, each shown once at the number or step that it belongs to.
//!
//! They defer to the machine's manual, local codes and qualified people.

use crate::length::{Length, Rounding};
use crate::strength::Grade;
use crate::strength::bolt::BoltLengthAdvice;
use crate::thread::Thread;
use serde::{Serialize, Serializer};
use std::fmt;

/// A caution. `Display` and JSON give its sentence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Caution {
    /// A turning drill, mill or tap.
    TurningTool,
    /// Flying chips and splinters.
    Eyes,
    /// Dust from iron and grinding.
    Dust,
    /// Fluid at the bottom of a blind hole.
    OilInBlindHole,
    /// A broken tool or bolt in the hole.
    BrokenPiece,
    /// Heat, brazing or welding on a casting.
    Heat,
    /// Hard metal that a tap would meet.
    HardMetal,
    /// The old hole is off the intended center.
    OldHoleOffCenter,
    /// A drill that breaks through.
    BreaksThrough,
    /// Keys driven against a face.
    DrivingKeys,
    /// The broken-off tang.
    Tang,
    /// A bottoming tap is needed.
    BottomingTap,
    /// The insert maker's sheet takes precedence.
    InsertInHand,
    /// The iron strips before the bolt breaks.
    IronStripsFirst {
        /// Strength of the iron's thread, as a fraction of the bolt's.
        ratio: f64,
    },
    /// The remedy holds less than a sound hole.
    HoldsLess {
        /// Its strength, as a fraction of a sound hole's.
        share: f64,
    },
    /// The thread starts below the finished face.
    ThreadStartsLower {
        /// Depth below the finished face where it starts.
        below: Length,
    },
    /// The published shear area is for the self-locking kind of insert.
    PublishedArea,
    /// No stock bolt length fits, or its tip needs a check.
    BoltLength(BoltLengthAdvice),
    /// Depths or distances are the face's usual ones, not measured at this hole.
    NotMeasuredHere,
    /// The bolt's grade does not cover its size.
    GradeNotCovered {
        /// The grade.
        grade: Grade,
        /// The bolt's thread.
        thread: Thread,
    },
    /// The prevailing torque of a self-locking insert.
    PrevailingTorque,
    /// The iron's class is unknown.
    AssumedIron,
    /// The mating part must be opened up, and the bolt's torque changes.
    LargerBolt,
    /// A plug carries the load on its outside thread.
    Plug,
    /// Pins along the joint line of a plug.
    Pins,
    /// A bonded bushing.
    Bonded,
    /// A stud with a larger end.
    SteppedStud,
    /// A cracked casting.
    Crack,
    /// Milling the face.
    FaceCut,
    /// Tightening to a torque.
    Torque,
    /// The bolt unscrews the insert or plug.
    OtherHand,
    /// The machine's manual comes first.
    ManualFirst,
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Caution::IronStripsFirst { ratio } => write!(
                f,
                "The metal around the hole strips at {:.0}% of the load that breaks the bolt: set \
                 the torque by the metal, not by the bolt.",
                ratio * 100.0
            ),
            Caution::HoldsLess { share } => write!(
                f,
                "It holds {:.0}% of what a sound hole holds: use the torque in the machine's manual \
                 times that.",
                (share * 100.0).floor()
            ),
            Caution::ThreadStartsLower { below } => write!(
                f,
                "The mouth has no thread left: use a bolt long enough to engage from {} below the \
                 finished face on.",
                below.both_rounded(Rounding::Up)
            ),
            Caution::BoltLength(advice) => advice.fmt(f),
            Caution::GradeNotCovered { grade, thread } => write!(
                f,
                "{grade} does not cover {thread}, so no bolt strength and no torque is given: ask \
                 the bolt maker."
            ),
            other => f.write_str(other.fixed()),
        }
    }
}

impl Caution {
    const fn fixed(&self) -> &'static str {
        match self {
            Caution::TurningTool => {
                "Clamp the casting. No gloves, rings or loose sleeves near a turning tool. Stop it \
                 to clear chips."
            }
            Caution::Eyes => "Wear eye protection: iron chips fly, and hard tools shatter.",
            Caution::Dust => {
                "Do not blow iron dust around; vacuum it up, and wear a dust mask when you grind."
            }
            Caution::OilInBlindHole => {
                "Wipe oil and coolant out of a blind hole before you screw anything in: trapped \
                 fluid can burst the boss."
            }
            Caution::BrokenPiece => {
                "Remove the broken piece before anything else, then measure the hole again. An \
                 ordinary drill does not cut a tap or a hardened stud."
            }
            Caution::Heat => {
                "Heating, brazing, welding and EDM on a casting are for people qualified in them: \
                 cold iron cracks beside a hot spot."
            }
            Caution::HardMetal => {
                "A tap breaks in chilled iron: grind the hard metal out first. Ground-out metal \
                 holds nothing."
            }
            Caution::OldHoleOffCenter => {
                "The old hole is off center and pulls a drill into it: start with an end mill in a \
                 rigid setup."
            }
            Caution::BreaksThrough => {
                "The hole goes through: ease off as the tool breaks through. Where the thread opens \
                 into a passage, seal it as the machine's manual says."
            }
            Caution::DrivingKeys => {
                "Drive the keys down evenly, a little at a time, with light blows. A key forced \
                 sideways cracks the wall."
            }
            Caution::Tang => {
                "Take the broken-off tang out of the hole: it jams the bolt or falls into the \
                 machine."
            }
            Caution::BottomingTap => {
                "The depth is for a bottoming tap after the plug tap. A tap forced against the \
                 bottom breaks."
            }
            Caution::InsertInHand => "The insert maker's sheet overrides these numbers.",
            Caution::PublishedArea => {
                "The load is limited to the smallest shear area published for the self-locking \
                 kind of this insert; a plain one holds somewhat more."
            }
            Caution::AssumedIron => {
                "The iron's class is not known; it is taken as ASTM A48 class 20, the weakest."
            }
            Caution::LargerBolt => {
                "The mating part, its gasket and its washers must take the larger bolt, and the \
                 iron still limits its torque."
            }
            Caution::Plug => {
                "Lock the plug with threadlocker, pins or keys as the machine's manual allows. A \
                 plug that is only screwed in can back out with heat, oil or vibration."
            }
            Caution::Pins => {
                "Drill for the pins with the plug tight, through a guide that is clamped down: on a \
                 joint line a drill wanders into the softer metal. Keep the pins below the finished \
                 face."
            }
            Caution::Bonded => {
                "Retaining compound lets go when hot, and holds only on clean, dry metal. Follow the \
                 compound maker's sheet and the machine's manual, and pin the bushing if the joint \
                 runs hot."
            }
            Caution::SteppedStud => {
                "Keep the stud's step below the finished face, and its end off the bottom of the \
                 hole. The step needs a radius, not a sharp corner. The grade of the smaller end \
                 sets its load, and the iron sets its torque."
            }
            Caution::Crack => {
                "A cracked casting can let go under load, and no insert fixes a crack: leave it to \
                 someone qualified to repair cast iron."
            }
            Caution::FaceCut => {
                "Remove every trial-fitted insert before the face is cut: a cutter that hits one \
                 breaks."
            }
            Caution::Torque => {
                "Use a torque wrench, tighten in steps, and stand clear of the line of the wrench. \
                 The machine's manual gives the torque; if it gives none, the metal sets the limit. \
                 If the manual gives more than the limit here, its torque is for a sound hole: make \
                 sure that this one holds before you use it."
            }
            Caution::OtherHand => {
                "Bolt and outside thread are of opposite hands (left-hand and right-hand): \
                 tightening the bolt unscrews the insert or plug. Lock it with its keys, or with \
                 pins on the joint line, before the bolt goes in; adhesive alone does not hold it."
            }
            Caution::ManualFirst => {
                "The machine's manual, local codes and licensed practice come before this notebook."
            }
            Caution::IronStripsFirst { .. }
            | Caution::HoldsLess { .. }
            | Caution::ThreadStartsLower { .. }
            | Caution::BoltLength(_)
            | Caution::GradeNotCovered { .. } => "",
            Caution::NotMeasuredHere => {
                "These depths rest on usual values of the face that nobody measured at this hole: \
                 measure it before you cut."
            }
            Caution::PrevailingTorque => {
                "A self-locking insert adds its own prevailing torque: measure it as the bolt runs \
                 in, and add it."
            }
        }
    }
}

impl Serialize for Caution {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
