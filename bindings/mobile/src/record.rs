//! What people record of a hole: bodies of entries, with who recorded them.

use crate::damage::*;
use crate::ids::*;
use crate::lend::lend;
use crate::places::{Across, Approach};
use crate::remedies::Verdict;
use crate::strength::Lubrication;
use chrono::{DateTime, FixedOffset};
use holebook_core::hole::record::{FaceRecord, FactEntries, Recorded};
use holebook_core::length::Length;
use holebook_core::notebook::{
    CastingBody, FaceBody, HoleBody, InsertsBody, MarkBody, ReminderBody,
};
use holebook_core::strength::{Grade, Metal};
use holebook_core::thread::Thread;

lend! {
    holebook_core::insert {
        Family,
    }
}

lend! {
    holebook_core::hole::condition {
        Condition,
        FirstLook,
    }
}

lend! {
    holebook_core::hole::limits {
        Limits,
    }
}

lend! {
    holebook_core::id {
        Seen,
    }
}

lend! {
    holebook_core::hole::removal {
        Removal,
    }
}

lend! {
    holebook_core::hole::tries {
        TimeSpent,
        ToolTrouble,
        Trouble,
        Try,
    }
}

lend! {
    holebook_core::hole::bolt_up {
        BoltPass,
        BoltTightened,
    }
}

lend! {
    holebook_core::hole::face_setup {
        FaceSetup,
        MeasuringTool,
        MeasuringTools,
        UsualReading,
        UsualThread,
    }
}

lend! {
    holebook_core::hole::place_change {
        ChangeKind,
        PlaceChange,
        PlaceFact,
    }
}

lend! {
    holebook_core::places::record {
        CaliperDistance,
        EdgeInPhoto,
        FaceHeights,
        GoodHoles,
        HeightAt,
        HeightTool,
        KnownPlace,
        MillAxis,
        MillSetup,
        OffsetSource,
        PatternHole,
        PatternSource,
        WantedPattern,
    }
}

lend! {
    holebook_core::hole::record {
        CheckKind,
        CheckResult,
        Choice,
        ChoiceBasis,
        Cut,
        CutStep,
        FaceCut,
        FaceMilled,
        FinalCheck,
        HoleRecord,
        Install,
        Note,
        Quantity,
        Reading,
        Remedy,
        RemedySpec,
        StakeKeys,
        TrialFit,
        WantedThread,
        Recorded<BoltTightened> as RecordedBoltTightened,
        Recorded<CastingBody> as RecordedCasting,
        Recorded<CheckResult> as RecordedCheck,
        Recorded<Choice> as RecordedChoice,
        Recorded<Cut> as RecordedCut,
        Recorded<Damage> as RecordedDamage,
        Recorded<FaceBody> as RecordedFace,
        Recorded<FaceCut> as RecordedFaceCut,
        Recorded<FaceHeights> as RecordedFaceHeights,
        Recorded<FaceMilled> as RecordedFaceMilled,
        Recorded<FinalCheck> as RecordedFinalCheck,
        Recorded<GoodHoles> as RecordedGoodHoles,
        Recorded<FirstLook> as RecordedFirstLook,
        Recorded<HoleBody> as RecordedHole,
        Recorded<InsertsBody> as RecordedInserts,
        Recorded<Install> as RecordedInstall,
        Recorded<KnownPlace> as RecordedKnownPlace,
        Recorded<MarkBody> as RecordedMark,
        Recorded<MeasuringTools> as RecordedMeasuringTools,
        Recorded<MillSetup> as RecordedMillSetup,
        Recorded<Note> as RecordedNote,
        Recorded<Reading> as RecordedReading,
        Recorded<ReminderBody> as RecordedReminder,
        Recorded<StakeKeys> as RecordedStakeKeys,
        Recorded<TimeSpent> as RecordedTimeSpent,
        Recorded<ToolTrouble> as RecordedToolTrouble,
        Recorded<TrialFit> as RecordedTrialFit,
        Recorded<WantedPattern> as RecordedWantedPattern,
        Recorded<Try> as RecordedTry,
        Recorded<WantedThread> as RecordedWantedThread,
    }
}

/// The active entries for a fact, with what they come to.
macro_rules! facts {
    ($($(#[$doc:meta])* $name:ident, $view:ident: $body:ident;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, uniffi::Record)]
        pub struct $view {
            /// All of them, in the order of their ids. A new value names those that it replaces.
            pub all: Vec<Recorded<$body>>,
            /// The value, if there is one entry or all have the same.
            pub agreed: Option<$body>,
            /// Whether entries have different values.
            pub differ: bool,
        }

        $(#[$doc])*
        pub type $name = FactEntries<$body>;

        uniffi::custom_type!($(#[$doc])* $name, $view, {
            remote,
            lower: |entries| $view {
                agreed: entries.agreed().cloned(),
                differ: entries.differ(),
                all: entries.0,
            },
            try_lift: |view| Ok(FactEntries(view.all)),
        });
    )+};
}

facts! {
    /// What a casting is.
    CastingEntries, CastingFacts: CastingBody;
    /// What a face is.
    FaceEntries, FaceFacts: FaceBody;
    /// How much is to come off a face.
    FaceCutEntries, FaceCutFacts: FaceCut;
    /// A hole's number and position.
    HoleEntries, HoleFacts: HoleBody;
    /// Where a hole is in a photo.
    MarkEntries, MarkFacts: MarkBody;
    /// The thread that a hole is to take.
    WantedThreadEntries, WantedThreadFacts: WantedThread;
    /// What a first look says.
    ConditionEntries, ConditionFacts: FirstLook;
    /// Where the holes of a face belong.
    WantedPatternEntries, WantedPatternFacts: WantedPattern;
    /// The holes that the places of a face rest on.
    GoodHolesEntries, GoodHolesFacts: GoodHoles;
    /// The mill at hand.
    MillSetupEntries, MillSetupFacts: MillSetup;
    /// The measuring tools in use on a face.
    MeasuringToolEntries, MeasuringToolFacts: MeasuringTools;
    /// What metal is missing.
    DamageEntries, DamageFacts: Damage;
    /// The chosen remedy.
    ChoiceEntries, ChoiceFacts: Choice;
}

/// What is recorded of a face that its holes depend on.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FaceCuts {
    /// The cut still to come, as planned.
    pub planned_cut: FactEntries<FaceCut>,
    /// Cuts that were made.
    pub milled: Vec<Recorded<FaceMilled>>,
    /// The casting's metal, if it is known.
    pub metal: Option<Metal>,
    /// The shop's limits where judgment decides; None: the standard ones.
    #[uniffi(default)]
    pub limits: Option<Limits>,
    /// What its holes have in common; a hole inherits what it has no entry of its own for.
    pub setup: FaceSetup,
    /// Where its holes belong.
    pub pattern: FactEntries<WantedPattern>,
    /// The holes that their places rest on; none: by their conditions.
    pub good: FactEntries<GoodHoles>,
    /// What the planned face cut was taken from and does not hold any more.
    #[uniffi(default)]
    pub cut_changes: Vec<PlaceChange>,
    /// The total removed so far.
    pub removed: Length,
    /// What is left to remove: the deepest active plan, less what was removed. None: no cut is
    /// planned.
    pub left_to_remove: Option<Length>,
}

uniffi::custom_type!(
    /// What is recorded of a face that its holes depend on.
    FaceRecord, FaceCuts, {
        remote,
        lower: |face| FaceCuts {
            removed: face.removed(),
            left_to_remove: face.left_to_remove(),
            planned_cut: face.planned_cut,
            milled: face.milled,
            metal: face.metal,
            limits: face.limits,
            setup: face.setup,
            pattern: face.pattern,
            good: face.good,
            cut_changes: face.cut_changes,
        },
        try_lift: |cuts| Ok(FaceRecord {
            planned_cut: cuts.planned_cut,
            milled: cuts.milled,
            metal: cuts.metal,
            limits: cuts.limits,
            setup: cuts.setup,
            pattern: cuts.pattern,
            good: cuts.good,
            cut_changes: cuts.cut_changes,
        }),
    }
);
