//! Names of forms and of their fields, each listed once, so that a page and the code that reads
//! its form cannot disagree.

use holebook_core::drill::DrillKind;
use holebook_core::hole::record::Quantity;
use holebook_core::hole::steps::StepKey;
use std::borrow::Cow;

/// The pages that have forms; a page about one thing has that thing's id in its address.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FormPage {
    /// All castings, at `/`; its form is sent to `/casting`.
    Castings,
    /// `/settings`
    Settings,
    /// `/casting/{id}`
    Casting,
    /// `/face/{id}`
    Face,
    /// `/face/{id}/setup`
    FaceSetup,
    /// `/face/{id}/alike`
    Alike,
    /// `/face/{id}/places`
    Places,
    /// `/face/{id}/pattern`
    Pattern,
    /// `/face/{id}/moves`
    Moves,
    /// `/face/{id}/heights`
    Heights,
    /// `/photo/{id}/points`
    KnownPoints,
    /// `/face/{id}/bolt-up`
    BoltUp,
    /// `/photo/{id}`
    Photo,
    /// `/hole/{id}`
    Hole,
    /// `/sync`
    Sync,
    /// `/pair`
    Pair,
    /// `/devices`
    Devices,
    /// `/drawer`
    Drawer,
    /// Any page; the form names it.
    Any,
}

macro_rules! form_names {
    ($($(#[$doc:meta])* $name:ident $page:ident $word:literal;)*) => {
        /// A form that records or starts something.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum FormName { $($(#[$doc])* $name,)* }

        impl FormName {
            const ALL: &'static [FormName] = &[$(FormName::$name,)*];

            /// The last part of the address it is sent to, unique on its page. Ids of its fields
            /// begin with it.
            pub const fn word(self) -> &'static str {
                match self { $(FormName::$name => $word,)* }
            }

            /// The page it is on.
            pub const fn page(self) -> FormPage {
                match self { $(FormName::$name => FormPage::$page,)* }
            }
        }
    };
}

form_names! {
    /// This device's settings.
    Settings Settings "settings";
    /// The shop's limits where judgment decides.
    Limits Settings "limits";
    /// Adds a casting.
    AddCasting Castings "casting";
    /// Replaces a casting's name, metal and note.
    EditCasting Casting "edit";
    /// Adds a face to a casting.
    AddFace Casting "face";
    /// Replaces a face's name and note.
    EditFace Face "edit";
    /// Plans the face cut.
    PlanCut Face "cut";
    /// Records metal that was milled off the face.
    Milled Face "milled";
    /// Corrects a face cut that was recorded wrong.
    CorrectMilled Face "correct";
    /// Strikes out a face cut.
    StrikeOutMilled Face "strike-out";
    /// Adds a hole to a face.
    AddHole Face "hole";
    /// Adds a photo to a face.
    AddPhoto Face "photo";
    /// A note about a face.
    FaceNote Face "note";
    /// What the holes of the face have in common.
    Setup FaceSetup "save";
    /// Takes over the setup of another face.
    CopySetup FaceSetup "copy";
    /// Takes an entry out of the setup.
    RemoveUsual FaceSetup "remove";
    /// Records the same for several holes.
    Alike Alike "record";
    /// Where holes of the face were measured.
    HolePlaces Places "measured";
    /// The holes that the places of the face rest on.
    ChooseGood Places "good";
    /// Strikes out that choice: the holes count by their conditions again.
    GoodByGrade Places "graded";
    /// The wanted pattern, by coordinates.
    PatternLines Pattern "lines";
    /// The wanted pattern: holes around a circle.
    PatternCircle Pattern "circle";
    /// The wanted pattern: a line or grid.
    PatternGrid Pattern "grid";
    /// The wanted pattern: holes along an oval.
    PatternOval Pattern "oval";
    /// The wanted pattern, by caliper distances.
    PatternDistances Pattern "distances";
    /// Picks one of several patterns that differ.
    UsePattern Pattern "use";
    /// Strikes out the wanted pattern.
    StrikeOutPattern Pattern "strike-out";
    /// The mill at hand.
    Mill Moves "mill";
    /// Heights read on the face.
    Heights Heights "save";
    /// Strikes out heights.
    StrikeOutHeights Heights "strike-out";
    /// Plans the least face cut that cleans up the face.
    PlanLeastCut Heights "cut";
    /// A point of known place in a photo.
    KnownPoint KnownPoints "add";
    /// Strikes out a known point.
    StrikeOutPoint KnownPoints "strike-out";
    /// Records that a bolt was tightened.
    Tighten BoltUp "tighten";
    /// Adds a reminder about the face or a hole of it.
    Remind Face "remind";
    /// Says that a reminder is done.
    FinishReminder Face "reminder-done";
    /// Marks a hole on a photo, or moves its mark.
    Mark Photo "mark";
    /// Strikes out a mark.
    StrikeOutMark Photo "strike-out";
    /// Records the condition of a hole.
    Grade Photo "grade";
    /// Grades all holes of the face sound that nobody looked at.
    GradeRest Photo "grade-rest";
    /// Removes a wrong photo with its marks.
    RemovePhoto Photo "remove";
    /// Brings back a photo that was removed.
    RestorePhoto Photo "restore";
    /// Strikes out what was recorded last on a photo.
    UndoOnPhoto Photo "undo";
    /// Marks the holes of the pattern that were found in a photo and that a person confirmed.
    AddExpected Photo "add-expected";
    /// Looks for the rim around a mark.
    SnapMark Photo "snap";
    /// Adds the holes that were found in a photo and that a person confirmed.
    AddFound Photo "add-found";
    /// Measurements.
    Readings Hole "reading";
    /// Corrects a reading that was recorded wrong.
    CorrectReading Hole "correct";
    /// Picks one of several readings that differ.
    UseReading Hole "use-reading";
    /// Missing and hard metal, a broken tool, a crack.
    Damage Hole "damage";
    /// What a first look says.
    Condition Hole "condition";
    /// Plans the face cut from a hole's page.
    PlanCutHere Hole "face-cut";
    /// The thread the hole is to have.
    WantedThread Hole "wanted-thread";
    /// The chosen remedy.
    Remedy Hole "remedy";
    /// Picks one of several entries that disagree.
    Resolve Hole "resolve";
    /// A step done as planned, in one tap.
    AsPlanned Hole "as-planned";
    /// A step of cutting.
    Cut Hole "cut";
    /// Trial fit of the insert.
    TrialFit Hole "trial-fit";
    /// Installation of the insert.
    Install Hole "install";
    /// The locking keys.
    StakeKeys Hole "stake-keys";
    /// A check, with pass or fail.
    Check Hole "check";
    /// The final check.
    FinalCheck Hole "final-check";
    /// Something that was tried before.
    Try Hole "try";
    /// A tool that was worn out, chipped or broken in the hole.
    ToolTrouble Hole "tool-trouble";
    /// Time spent on the hole.
    TimeSpent Hole "time";
    /// The hole's number.
    Number Hole "number";
    /// A note.
    Note Hole "note";
    /// Adds a photo of a hole alone.
    HolePhoto Hole "photo";
    /// Strikes out an entry.
    StrikeOut Hole "strike-out";
    /// Syncs with one remote or all.
    StartSync Sync "start";
    /// Stops what is running.
    StopSync Sync "stop";
    /// Syncs with a folder.
    SyncFolder Sync "folder";
    /// Syncs with a bucket or a WebDAV folder.
    SyncBucket Sync "bucket";
    /// Removes a remote from the list.
    ForgetRemote Sync "forget";
    /// Imports a bundle.
    ImportBundle Sync "import";
    /// Writes a bundle.
    ExportBundle Sync "export";
    /// Exports the notebook as files that anyone can read.
    Export Sync "export-files";
    /// Makes a pairing code.
    MakeCode Pair "code";
    /// Withdraws the pairing code.
    WithdrawCode Pair "withdraw";
    /// Pairs this device with a shop computer.
    PairWithShop Pair "shop";
    /// Revokes a paired device.
    RevokeDevice Devices "revoke";
    /// Adds a whole set to the drawer.
    AddSet Drawer "set";
    /// Adds one item to the drawer.
    AddItem Drawer "item";
    /// Changes how many of an item the drawer holds.
    ChangeItem Drawer "change";
    /// The figures of an insert maker's sheet.
    MakersSheet Drawer "sheet";
    /// Takes a file of the shop's own inserts out.
    RemoveSheet Drawer "remove-sheet";
    /// A drill or tap is new or sharpened.
    RenewTool Drawer "renewed";
    /// Undoes what the form before it recorded.
    Undo Any "undo";
}

impl FormName {
    /// Finds the form at an address, given as the parts between its slashes.
    pub fn at(parts: &[&str]) -> Option<FormName> {
        let (page, word) = match parts {
            ["settings"] => (FormPage::Settings, "settings"),
            ["settings", word] => (FormPage::Settings, *word),
            ["casting"] => (FormPage::Castings, "casting"),
            ["casting", _, word] => (FormPage::Casting, *word),
            ["face", _, word] => (FormPage::Face, *word),
            ["face", _, "setup", word] => (FormPage::FaceSetup, *word),
            ["face", _, "alike", word] => (FormPage::Alike, *word),
            ["face", _, "places", word] => (FormPage::Places, *word),
            ["face", _, "pattern", word] => (FormPage::Pattern, *word),
            ["face", _, "moves", word] => (FormPage::Moves, *word),
            ["face", _, "heights", word] => (FormPage::Heights, *word),
            ["photo", _, "points", word] => (FormPage::KnownPoints, *word),
            ["face", _, "bolt-up", word] => (FormPage::BoltUp, *word),
            ["photo", _, word] => (FormPage::Photo, *word),
            ["hole", _, word] => (FormPage::Hole, *word),
            ["sync", word] => (FormPage::Sync, *word),
            ["pair", word] => (FormPage::Pair, *word),
            ["devices", word] => (FormPage::Devices, *word),
            ["drawer", word] => (FormPage::Drawer, *word),
            ["undo"] => (FormPage::Any, "undo"),
            _ => return None,
        };
        let mut all = FormName::ALL.iter().copied();
        all.find(|form| form.page() == page && form.word() == word)
    }

    /// The address of the page that the form at this address is on.
    pub fn page_address(self, parts: &[&str]) -> String {
        match self.page() {
            FormPage::Castings | FormPage::Any => "/".to_owned(),
            FormPage::Settings => "/settings".to_owned(),
            _ => format!("/{}", parts[..parts.len().saturating_sub(1)].join("/")),
        }
    }

    /// The address of a form on a page that has no id in its address.
    pub fn address(self) -> String {
        let word = self.word();
        match self.page() {
            FormPage::Sync => format!("/sync/{word}"),
            FormPage::Pair => format!("/pair/{word}"),
            FormPage::Devices => format!("/devices/{word}"),
            FormPage::Drawer => format!("/drawer/{word}"),
            FormPage::Settings if self != FormName::Settings => format!("/settings/{word}"),
            _ => format!("/{word}"),
        }
    }

    /// The address of a form on the page of the casting, face, photo or hole of this id.
    pub fn address_of(self, id: impl std::fmt::Display) -> String {
        let word = self.word();
        match self.page() {
            FormPage::Casting => format!("/casting/{id}/{word}"),
            FormPage::Face => format!("/face/{id}/{word}"),
            FormPage::FaceSetup => format!("/face/{id}/setup/{word}"),
            FormPage::Alike => format!("/face/{id}/alike/{word}"),
            FormPage::Places => format!("/face/{id}/places/{word}"),
            FormPage::Pattern => format!("/face/{id}/pattern/{word}"),
            FormPage::Moves => format!("/face/{id}/moves/{word}"),
            FormPage::Heights => format!("/face/{id}/heights/{word}"),
            FormPage::KnownPoints => format!("/photo/{id}/points/{word}"),
            FormPage::BoltUp => format!("/face/{id}/bolt-up/{word}"),
            FormPage::Photo => format!("/photo/{id}/{word}"),
            FormPage::Hole => format!("/hole/{id}/{word}"),
            _ => self.address(),
        }
    }

    /// Whether what it records can be undone on the next page. This device's settings are not
    /// entries alone, and what a sync or a pairing does is not undone by striking out.
    pub const fn can_be_undone(self) -> bool {
        match self.page() {
            FormPage::Castings
            | FormPage::Casting
            | FormPage::Face
            | FormPage::FaceSetup
            | FormPage::Alike
            | FormPage::Places
            | FormPage::Pattern
            | FormPage::Moves
            | FormPage::Heights
            | FormPage::KnownPoints
            | FormPage::BoltUp
            | FormPage::Photo
            | FormPage::Drawer
            | FormPage::Hole => true,
            FormPage::Settings => matches!(self, FormName::Limits),
            FormPage::Sync | FormPage::Pair | FormPage::Devices | FormPage::Any => false,
        }
    }

    /// The form that records a step; `None` for the face cut, which is recorded for the whole face.
    pub const fn of_step(step: StepKey) -> Option<FormName> {
        Some(match step {
            StepKey::Cut(_) => FormName::Cut,
            StepKey::TrialFit => FormName::TrialFit,
            StepKey::Install => FormName::Install,
            StepKey::StakeKeys => FormName::StakeKeys,
            StepKey::Check(_) => FormName::Check,
            StepKey::FinalCheck => FormName::FinalCheck,
            StepKey::FaceCut => return None,
        })
    }
}

macro_rules! fields {
    ($($name:ident $word:literal)*) => {
        /// A field of a form.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        #[allow(missing_docs)] // the variants are the fields' names
        pub enum Field {
            $($name,)*
            /// A measured value.
            Reading(Quantity),
            /// The tolerance of a measured value.
            Tolerance(Quantity),
            /// What it was measured with.
            Instrument(Quantity),
            /// A field of a numbered row of the damage form, counted from 0.
            Row(RowField, usize),
            /// Whether a kind of drill is in the drawer.
            Drawer(DrillKind),
            /// A limit where judgment decides, by its key.
            Limit(&'static str),
        }

        impl Field {
            /// Its name in the form.
            pub fn name(self) -> Cow<'static, str> {
                match self {
                    $(Field::$name => $word.into(),)*
                    Field::Reading(quantity) => quantity_word(quantity).into(),
                    Field::Tolerance(quantity) => format!("{}-tolerance", quantity_word(quantity)).into(),
                    Field::Instrument(quantity) => format!("{}-instrument", quantity_word(quantity)).into(),
                    Field::Row(field, row) => format!("{}-{row}", field.word()).into(),
                    Field::Drawer(kind) => format!("drawer-{}", kind.key()).into(),
                    Field::Limit(key) => format!("limit-{key}").into(),
                }
            }
        }
    };
}

fields! {
    // Entries that a form replaces, strikes out or picks, and why.
    Replaces "replaces"
    Entry "entry"
    Reason "reason"
    // Questions that the person has answered.
    Confirmed "confirmed"
    // The page that a form leads back to.
    Back "back"
    Kind "kind"
    // Castings and faces.
    Name "name"
    Note "note"
    Metal "metal"
    MetalStrength "metal-strength"
    PlannedCut "planned"
    Taken "taken"
    // A cut that is recorded late: whether it is, and what was measured on the face as milled.
    RecordedLate "recorded-late"
    LateAnswer "late-answer"
    AskedAbout "asked-about"
    CameBefore "came-before"
    MeasuredWith "instrument"
    Photo "photo"
    // A hole.
    Number "number"
    Text "text"
    Thread "thread"
    OtherThread "other-thread"
    Bolt "bolt"
    Through "through"
    Pressure "pressure"
    Remedy "remedy"
    Choice "choice"
    Condition "condition"
    // A hole that was found in a photo, and that is one.
    Found "found"
    // A question's card, what was skipped, and the tool that was picked.
    Card "card"
    Skip "skip"
    PickedTool "picked-tool"
    // Steps and checks.
    Step "step"
    // Which way of doing a step as planned.
    Planned "way"
    Depth "depth"
    Tool "tool"
    OtherTool "other-tool"
    OtherToolTolerance "other-tool-tolerance"
    BelowFace "below"
    KeysStaked "staked"
    Result "passes"
    Locking "locking"
    // How a broken piece came out.
    Removal "removal"
    CheckReading "reading"
    CheckedBy "how"
    Torque "torque"
    Engagement "engagement"
    // Bolt-up.
    Pass "pass"
    Lubrication "bolts"
    // Time spent, and reminders.
    Minutes "minutes"
    Due "due"
    // Damage that has no rows.
    NoDamage "no-damage"
    Crack "crack"
    BrokenPiece "broken"
    BrokenLength "broken-length"
    BrokenTop "broken-top"
    TiltBy "tilt-by"
    TiltOver "tilt-over"
    TiltDegrees "tilt-degrees"
    TiltDirection "tilt-direction"
    TiltOffset "tilt-offset"
    TiltOffsetDirection "tilt-offset-direction"
    TiltDiameter "tilt-diameter"
    // A mark on a photo.
    Hole "hole"
    // Holes by number, and the face that a setup is copied from.
    Holes "holes"
    From "from"
    XPixels "x_px"
    YPixels "y_px"
    Fragment "part"
    // The same from a browser without the script: where its picture was pressed.
    PlainX "at.x"
    PlainY "at.y"
    // Settings.
    Person "person"
    Device "device"
    Unit "unit"
    KeepPhotoGps "keep_photo_gps"
    // Sync and pairing.
    Remote "remote"
    Folder "folder"
    Create "create"
    Address "address"
    Endpoint "endpoint"
    Keys "keys"
    Unencrypted "unencrypted"
    Share "what"
    Bundle "bundle"
    Code "code"
    // The drawer; some of its fields are named above.
    ItemSet "set"
    Item "item"
    Change "change"
    Began "began"
    Ended "ended"
    Count "count"
    Chamfer "chamfer"
    Family "family"
    ItemLength "item-length"
    Angle "angle"
    Checked "checked"
    DrillName "drill"
    HoleLeast "hole-least"
    HoleMost "hole-most"
    CountersinkLeast "countersink-least"
    CountersinkMost "countersink-most"
    BelowLeast "below-least"
    BelowMost "below-most"
    FullThread "full-thread-least"
    KeyCount "key-count"
    Source "source"
    // Bench tables; some of their fields are named above.
    Class "class"
    DrillSet "drawer"
    Diameter "diameter"
    Purpose "for"
    Iron "iron"
    MeasuredAcross "across"
    CaliperReading "caliper"
    CaliperTolerance "caliper-tolerance"
    Pitch "pitch"
    Floor "floor"
    Edge "edge"
    Neighbor "neighbor"
    FaceCut "face-cut"
    MissingDiameter "missing"
    MissingTo "missing-to"
    MissingOffset "missing-offset"
    WantedPattern "wanted-pattern"
    FoundHoles "found"
    FoundTolerance "found-tolerance"
    MayMirror "mirror"
    MayScale "scale"
    HeightReadings "heights"
    FaceHoles "holes"
    // Where things are on a face.
    HoleCount "count"
    PatternDiameter "pattern-diameter"
    FirstNumber "first"
    Clockwise "clockwise"
    Columns "columns"
    Rows "rows"
    StepX "step-x"
    StepY "step-y"
    OvalWidth "width"
    OvalHeight "height"
    OvalShape "oval"
    PatternTolerance "pattern-tolerance"
    FromBack "from-back"
    Distances "distances"
    JawDiameter "jaw-diameter"
    HeightTool "height-tool"
    HeightTolerance "height-tolerance"
    XLead "x-lead"
    XDivisions "x-divisions"
    XBacklash "x-backlash"
    YLead "y-lead"
    YDivisions "y-divisions"
    YBacklash "y-backlash"
    Approach "approach"
    Readout "readout"
    XPlace "x"
    YPlace "y"
    Good "good"
    Traced "traced"
    RimRadius "rim"
    Reference "reference"
    SecondHole "second"
    SecondX "second-x"
    SecondY "second-y"
    Jacks "jacks"
    JackLead "jack-lead"
}

impl Field {
    /// Whether it asks for a diameter, which may be given as a drill.
    pub const fn is_diameter(self) -> bool {
        matches!(
            self,
            Field::Reading(Quantity::Bore | Quantity::MatingHole | Quantity::NeighborDiameter)
                | Field::Row(RowField::Diameter | RowField::LowerDiameter, _)
                | Field::TiltDiameter
                | Field::Diameter
                | Field::HoleLeast
                | Field::HoleMost
                | Field::CountersinkLeast
                | Field::CountersinkMost
                | Field::CaliperReading
                | Field::MissingDiameter
        )
    }
}

/// A column of the damage form's numbered rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowField {
    /// Depth at which missing metal begins.
    From,
    /// Depth at which it ends.
    To,
    /// Diameter of the circle of missing metal.
    Diameter,
    /// How far its center is off.
    Offset,
    /// In which direction.
    Direction,
    /// Diameter at the lower end.
    LowerDiameter,
    /// How far its center is off at the lower end.
    LowerOffset,
    /// In which direction at the lower end.
    LowerDirection,
    /// Tolerance of the diameter.
    DiameterTolerance,
    /// Tolerance of the offset.
    OffsetTolerance,
    /// What the offset was taken from, with the offset that this is true of.
    OffsetSource,
    /// The entries that the circle rests on, with the offset that this is true of.
    RestsOn,
    /// The edge that was traced in a photo, with the circle that it gave.
    Traced,
    /// Depth at which hard metal begins.
    HardFrom,
    /// Depth at which it ends.
    HardTo,
    /// Tolerance of both.
    HardTolerance,
}

impl RowField {
    const fn word(self) -> &'static str {
        match self {
            RowField::From => "from",
            RowField::To => "to",
            RowField::Diameter => "diameter",
            RowField::Offset => "offset",
            RowField::Direction => "direction",
            RowField::LowerDiameter => "lower-diameter",
            RowField::LowerOffset => "lower-offset",
            RowField::LowerDirection => "lower-direction",
            RowField::DiameterTolerance => "diameter-tolerance",
            RowField::OffsetTolerance => "offset-tolerance",
            RowField::OffsetSource => "offset-source",
            RowField::RestsOn => "rests-on",
            RowField::Traced => "traced",
            RowField::HardFrom => "hard-from",
            RowField::HardTo => "hard-to",
            RowField::HardTolerance => "hard-tolerance",
        }
    }
}

const fn quantity_word(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Depth => "depth",
        Quantity::Floor => "floor",
        Quantity::NearestEdge => "nearest-edge",
        Quantity::NearestHole => "nearest-hole",
        Quantity::Bore => "bore",
        Quantity::MatingHole => "mating-hole",
        Quantity::Grip => "grip",
        Quantity::FullThread => "full-thread",
        Quantity::FullDiameter => "full-diameter",
        Quantity::NeighborDiameter => "neighbor-diameter",
        Quantity::BoltLength => "bolt-length",
        Quantity::BoltThreadLength => "bolt-thread-length",
    }
}
