//! What people record of a hole.

use crate::border::{In, Out, record, record_out, words};
use crate::error::NotebookError;
use crate::length::Length;
use holebook_core::hole::record as core;
use holebook_core::insert as inserts;
use holebook_core::strength::{Grade, Metal};
use holebook_core::thread::Thread;

record! {
    /// What the finished hole shall hold.
    Wanted = core::Wanted {
        /// The thread the bolt has, as the trade writes it: `3/8-16`, `M10x1.5`. It comes back in full: `3/8-16 UNC`.
        thread: String,
        /// The bolt's strength grade: `SAE J429 grade 5`, `ISO 898-1 class 8.8`. None: not known.
        #[uniffi(default = None)]
        bolt: Option<String>,
        /// Whether the hole breaks through into a passage or out of the far side. None: not known.
        #[uniffi(default = None)]
        through: Option<bool>,
    }
}

impl Out for Thread {
    type Face = String;
    fn out(self) -> String {
        self.designation()
    }
}

impl In<Thread> for String {
    fn inward(self) -> Result<Thread, NotebookError> {
        Thread::parse(&self).map_err(|error| NotebookError::unreadable("thread", self, &error))
    }
}

impl Out for Grade {
    type Face = String;
    fn out(self) -> String {
        self.to_string()
    }
}

impl In<Grade> for String {
    fn inward(self) -> Result<Grade, NotebookError> {
        let read = self.parse::<Grade>();
        read.map_err(|error| NotebookError::unreadable("grade", self, &error))
    }
}

impl Out for Metal {
    type Face = String;
    fn out(self) -> String {
        self.to_string()
    }
}

impl In<Metal> for String {
    fn inward(self) -> Result<Metal, NotebookError> {
        let read = self.parse::<Metal>();
        read.map_err(|error| NotebookError::unreadable("metal", self, &error))
    }
}

words! {
    /// A quantity that is read off a hole. Distances run from the intended centre, depths from the face as it was when
    /// the reading was taken.
    Quantity = core::Quantity {
        /// Depth from the face to the bottom of the hole.
        Depth,
        /// Metal under the bottom of the hole.
        Floor,
        /// From the intended centre to the nearest edge of the face, or to a passage.
        NearestEdge,
        /// From the intended centre to the centre of the nearest other hole.
        NearestHole,
        /// Diameter of the hole, across the crests that are left.
        Bore,
        /// Diameter of the hole in the part that is bolted on, where the bolt goes through.
        MatingHole,
        /// Thickness of all that the bolt holds: the part, its gasket and the washer.
        Grip,
    }
}

record! {
    /// A measured value.
    Reading = core::Reading {
        /// What was measured.
        quantity: Quantity,
        /// The value read; more than zero.
        value: Length,
        /// How far the value may be off, either way. None: not said.
        #[uniffi(default = None)]
        error: Option<Length>,
        /// What it was measured with.
        #[uniffi(default = None)]
        instrument: Option<String>,
    }
}

words! {
    /// One way to make a hole hold again.
    Remedy = core::Remedy {
        /// The thread is sound: leave it, and prove it.
        Leave,
        /// Run a tap through the thread that is there.
        Chase,
        /// Tap larger and wind in a wire thread insert.
        WireInsert,
        /// Tap larger and screw in a solid insert, locked by keys.
        KeyLockingInsert,
        /// Tap larger and bond in a threaded bushing of the shop's own making.
        Bushing,
        /// Tap for a stud with a larger end in the casting, and the wanted thread above it.
        SteppedStud,
        /// Tap for the next larger bolt.
        LargerBolt,
        /// Fill the hole with a threaded plug and drill and tap the wanted hole in it.
        ThreadedPlug,
        /// Not for this notebook: hand it to a specialist.
        Specialist,
    }
}

words! {
    /// A kind of insert.
    Family = inserts::Family {
        /// A coil of wire in a tapped hole of its own size.
        WireThread,
        /// A bush with locking keys, lightweight.
        KeyLockingThinWall,
        /// A bush with locking keys, miniature.
        KeyLockingMiniature,
        /// A bush with locking keys, heavy duty.
        KeyLockingHeavyDuty,
        /// A bush with locking keys, extra heavy duty.
        KeyLockingExtraHeavyDuty,
        /// A plain bush, threaded inside and out, of the shop's own making, bonded in.
        Bushing,
    }
}

record! {
    /// Which work it is: a remedy with the insert, thread or plug it takes. Entries of work done carry it, so that work
    /// done for another remedy than the chosen one shows.
    Work = core::Work {
        /// The remedy.
        remedy: Remedy,
        /// The insert's family, where the remedy is an insert.
        #[uniffi(default = None)]
        family: Option<Family>,
        /// The insert's nominal length, where the remedy is an insert.
        #[uniffi(default = None)]
        length: Option<Length>,
        /// The thread cut into the casting, by its designation, where one is cut.
        #[uniffi(default = None)]
        outside_thread: Option<String>,
    }
}

record! {
    /// The chosen remedy.
    Choice = core::Choice {
        /// What is to be done.
        work: Work,
        /// Why, where the person chose another than the first, or one that the checks do not pass.
        #[uniffi(default = None)]
        reason: Option<String>,
    }
}

words! {
    /// A step of cutting.
    CutStep = core::CutStep {
        /// The broken bolt or tap is out.
        ClearBroken,
        /// Hard metal is relieved (ground or milled away).
        RelieveHard,
        /// A flat and a pilot back on the intended centre, by end mill.
        Centre,
        /// Drilled to size and depth.
        Drill,
        /// Countersunk.
        Countersink,
        /// Tapped.
        Tap,
        /// A plug is fitted and locked.
        Plug,
        /// The wanted hole is drilled in the plug.
        DrillPlug,
        /// The wanted hole is tapped in the plug.
        TapPlug,
    }
}

record! {
    /// Metal was cut.
    Cut = core::Cut {
        /// The work it belongs to.
        work: Work,
        /// Which step.
        step: CutStep,
        /// Depth reached from the face as it was then, where the step has one.
        #[uniffi(default = None)]
        depth: Option<Length>,
        /// Tool used, as the trade names it (drill X, 1/2-13 plug tap).
        #[uniffi(default = None)]
        tool: Option<String>,
        /// Why, where it was done out of the planned order.
        #[uniffi(default = None)]
        reason: Option<String>,
    }
}

record! {
    /// The insert was tried and taken out again.
    DryFit = core::DryFit {
        /// The work it belongs to.
        work: Work,
        /// Whether it went in as it should.
        fits: bool,
        /// How far its top lay below the face as it was then.
        #[uniffi(default = None)]
        below_face: Option<Length>,
        /// What was seen.
        #[uniffi(default = None)]
        note: Option<String>,
    }
}

record! {
    /// The insert is installed for good.
    InsertSet = core::Set {
        /// The work it belongs to.
        work: Work,
        /// How far its top lies below the face as it was then. None: not measured.
        #[uniffi(default = None)]
        below_face: Option<Length>,
        /// Whether the face cut that the plan counts on was done before; a plan says it in `face_is_finished`.
        after_face_cut: bool,
        /// Why, where the insert was set before that cut. Without it the hole is in question.
        #[uniffi(default = None)]
        reason: Option<String>,
    }
}

record! {
    /// Locking keys were driven down.
    KeysDriven = core::Keys {
        /// The work it belongs to.
        work: Work,
        /// How many were driven; more than 0.
        driven: u8,
        /// Why, where it was done out of the planned order.
        #[uniffi(default = None)]
        reason: Option<String>,
    }
}

words! {
    /// What a check looks at.
    CheckKind = core::CheckKind {
        /// A rule laid across: insert, keys and burrs all lie below the face.
        RuleAcross,
        /// A gauge or new bolt runs in by hand to full depth.
        RunsIn,
        /// The bolt stands square to the face.
        Square,
    }
}

record! {
    /// One check with its answer.
    Checked = core::Checked {
        /// What was looked at.
        check: CheckKind,
        /// Whether it passed.
        passes: bool,
        /// The value read, where the check has one (how far below the face, how far out of square over the bolt's length).
        #[uniffi(default = None)]
        reading: Option<Length>,
        /// What it was checked with.
        #[uniffi(default = None)]
        instrument: Option<String>,
    }
}

record! {
    /// The hole was proved: the last check, by a bolt or gauge, with its reading.
    Proof = core::Proof {
        /// The work it proves; a sound hole is proved for `Leave`.
        work: Work,
        /// Whether it held.
        passes: bool,
        /// How it was proved (thread plug gauge, bolt to so much torque).
        how: String,
        /// Torque held, newton metres, where it was proved by torque.
        #[uniffi(default = None)]
        torque_nm: Option<f64>,
        /// Length of thread that the gauge or bolt engaged.
        #[uniffi(default = None)]
        engaged: Option<Length>,
    }
}

record! {
    /// Metal still to come off a face.
    FaceCut = core::FaceCut {
        /// How much, square to the face. Zero: the face stays as it is.
        planned: Length,
    }
}

record! {
    /// A face was cut.
    FaceMilled = core::FaceMilled {
        /// How much came off; more than zero.
        taken: Length,
        /// How it was measured.
        #[uniffi(default = None)]
        instrument: Option<String>,
    }
}

record! {
    /// Free words.
    Note = core::Note {
        /// What the person wrote; not empty.
        text: String,
    }
}
