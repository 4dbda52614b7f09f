//! Cautions, each said at the number or step that it belongs to. They defer to the machine's manual, local rules and qualified
//! people; none of them replaces those.

use crate::length::Length;
use crate::strength::Grade;
use crate::strength::bolt::ReachAdvice;
use crate::thread::Thread;
use serde::{Serialize, Serializer};
use std::fmt;

/// One caution. Its `Display` is the sentence; JSON carries that sentence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Caution {
    /// A drill, mill or tap turns.
    TurningTool,
    /// Chips and splinters.
    Eyes,
    /// Dust from iron and grinding.
    Dust,
    /// Fluid at the bottom of a blind hole.
    OilInBlindHole,
    /// A piece of a tool or bolt sits in the hole.
    BrokenPiece,
    /// Heat, brazing or welding on a casting.
    Heat,
    /// Hard metal in the way of a tap.
    HardMetal,
    /// The old hole does not run on the intended centre.
    Wandered,
    /// A drill breaks through into something.
    BreaksThrough,
    /// Key slots in hard iron.
    KeySlots,
    /// Keys driven against a face.
    DrivingKeys,
    /// The tang, once broken off.
    Tang,
    /// A bottoming tap is needed.
    BottomingTap,
    /// The insert in the hand decides.
    InsertInHand,
    /// The iron strips before the bolt breaks, at so much of its strength.
    IronStripsFirst {
        /// Strength of the iron's thread over that of the bolt.
        ratio: f64,
    },
    /// The remedy holds less than a sound hole.
    HoldsLess {
        /// Share of what a sound hole holds.
        share: f64,
    },
    /// The bolt engages below a countersunk mouth.
    ThreadStartsLower {
        /// How far below the finished face.
        below: Length,
    },
    /// The published shear area is that of self-locking inserts.
    PublishedArea,
    /// No length of bolt serves, or its tip must be looked at.
    BoltLength(ReachAdvice),
    /// The bolt's grade does not cover its size.
    GradeNotCovered {
        /// The grade.
        grade: Grade,
        /// The bolt's thread.
        thread: Thread,
    },
    /// A locking insert turns hard by itself.
    PrevailingTorque,
    /// Nobody knows the iron.
    AssumedIron,
    /// The part bolted on must be opened, and the bolt's torque changes.
    LargerBolt,
    /// A plug carries the load by its own outside thread.
    Plug,
    /// Pins along the joint line of a plug.
    Pins,
    /// A bushing that is bonded in.
    Bonded,
    /// A stud with a larger end.
    SteppedStud,
    /// A crack was seen.
    Crack,
    /// A face cut by a milling cutter.
    FaceCut,
    /// Proving by torque.
    Torque,
    /// What comes before this notebook.
    ManualFirst,
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Caution::IronStripsFirst { ratio } => write!(
                f,
                "The metal round the hole strips at {:.0} % of the load that breaks the bolt: plan the torque from it, not from the bolt \
                 (FED-STD-H28/2B formula 16).",
                ratio * 100.0
            ),
            Caution::HoldsLess { share } => write!(
                f,
                "It holds {:.0} % of what a sound hole holds: plan the torque from that.",
                share * 100.0
            ),
            Caution::ThreadStartsLower { below } => write!(
                f,
                "The mouth has lost its thread: take a bolt long enough to engage from {} below the finished face on.",
                below.both()
            ),
            Caution::BoltLength(advice) => advice.fmt(f),
            Caution::GradeNotCovered { grade, thread } => write!(
                f,
                "{grade} does not cover {thread}, so no strength of this bolt and no torque is given: ask its maker."
            ),
            other => f.write_str(other.fixed()),
        }
    }
}

impl Caution {
    const fn fixed(&self) -> &'static str {
        match self {
            Caution::TurningTool => {
                "Clamp the casting; no gloves, rings or loose sleeves near a turning tool; stop it to clear chips."
            }
            Caution::Eyes => {
                "Wear eye protection: iron chips fly, and hard tools break into splinters."
            }
            Caution::Dust => {
                "Do not blow iron dust about; draw it off, and wear a dust mask where you grind."
            }
            Caution::OilInBlindHole => {
                "Wipe oil and coolant out of a blind hole before anything is screwed in: trapped fluid can burst the boss."
            }
            Caution::BrokenPiece => {
                "The broken piece must come out before anything else, and the hole be measured again then; a tap or hardened \
                                     stud cannot be drilled out with an ordinary drill."
            }
            Caution::Heat => {
                "Heat, brazing, welding and spark erosion on a casting are for people qualified in them: cold iron cracks beside a hot spot."
            }
            Caution::HardMetal => {
                "A tap breaks in chilled iron: grind the hard metal away first; what is ground away holds nothing."
            }
            Caution::Wandered => {
                "The old hole lies off centre and pulls a drill after it: start with an end mill in a rigid set-up."
            }
            Caution::BreaksThrough => {
                "The hole goes through: ease off as the tool breaks through, and seal the thread where it meets a passage as the \
                                       machine's manual says."
            }
            Caution::KeySlots => {
                "In iron harder than 150 Brinell, as most is, the key slots may have to be broached before the keys are driven (MS51835B)."
            }
            Caution::DrivingKeys => {
                "Drive the keys down evenly and a little at a time with a soft blow; a key forced sideways cracks the wall."
            }
            Caution::Tang => {
                "Take the broken-off tang out of the hole: it jams the bolt, or falls into the machine."
            }
            Caution::BottomingTap => {
                "The depth is reckoned for a bottoming tap after the plug tap; force on a tap that has met the bottom breaks it."
            }
            Caution::InsertInHand => {
                "The card that came with the insert in hand decides over these numbers."
            }
            Caution::PublishedArea => {
                "The load is held down to the least shear area published for this insert in its self-locking kind; a plain one holds \
                                       somewhat more."
            }
            Caution::AssumedIron => {
                "The iron's class is not known; it is taken as ASTM A48 class 20, the weakest."
            }
            Caution::LargerBolt => {
                "The part bolted on, its gasket and its washers must take the larger bolt, and its torque still follows from the iron."
            }
            Caution::Plug => {
                "The plug is locked by threadlocker, pins or keys as the machine's manual allows; heat, oil or vibration may undo a plug that is only screwed in."
            }
            Caution::Pins => {
                "Drill for the pins with the plug tight, through a guide that is clamped down: on a joint line a drill runs off into the softer \
                                metal. Pins lie below the finished face."
            }
            Caution::Bonded => {
                "A bond of retaining compound lets go in heat, and holds on clean dry metal only: keep to its maker's sheet and to the \
                                  machine's manual, and pin the bushing where the joint runs hot."
            }
            Caution::SteppedStud => {
                "The stud's step lies below the finished face, and its end does not bottom in the hole; a round corner at the step, no sharp one. \
                                       The smaller end's grade sets what it bears, and the iron its torque."
            }
            Caution::Crack => {
                "A cracked casting can let go under load: no insert mends a crack; leave it to someone qualified to repair cast iron."
            }
            Caution::FaceCut => {
                "Take every insert that was dry-fitted out before the face is cut: a cutter that meets it breaks."
            }
            Caution::Torque => {
                "Tighten with a torque wrench, in steps, standing clear of the line of the wrench; the machine's manual gives the torque, where \
                                it gives none the metal sets the limit, and where it gives more than the limit here it was written for a sound hole: \
                                find out before you use it."
            }
            Caution::ManualFirst => {
                "The machine's manual, local rules and licensed practice come before this notebook."
            }
            Caution::IronStripsFirst { .. }
            | Caution::HoldsLess { .. }
            | Caution::ThreadStartsLower { .. }
            | Caution::BoltLength(_)
            | Caution::GradeNotCovered { .. } => "",
            Caution::PrevailingTorque => {
                "A self-locking insert takes torque of its own to turn the bolt: measure it as the bolt runs in, and add it."
            }
        }
    }
}

impl Serialize for Caution {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
