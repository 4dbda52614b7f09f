//! What the next page says after something was recorded: one fixed sentence, named in the address.
//!
//! It needs no memory, and nothing that a person typed comes back through an address.

macro_rules! notices {
    ($($name:ident $word:literal $text:literal;)*) => {
        /// A sentence for the next page.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Notice { $($name,)* }

        impl Notice {
            /// Its name in an address.
            pub const fn word(self) -> &'static str {
                match self { $(Notice::$name => $word,)* }
            }

            /// Finds it by its name in an address.
            pub fn from_word(word: &str) -> Option<Notice> {
                match word { $($word => Some(Notice::$name),)* _ => None }
            }

            /// The sentence.
            pub const fn text(self) -> &'static str {
                match self { $(Notice::$name => $text,)* }
            }
        }
    };
}

notices! {
    SettingsSaved "settings" "Settings saved.";
    LimitsSaved "limits" "Limits recorded. Every hole is judged by them from now on.";
    CastingAdded "casting" "Casting added. Next: its joint face.";
    FaceAdded "face" "Face added. Next: its face cut, a photo and the holes.";
    Edited "edit" "Changes saved.";
    SetupSaved "setup" "Setup saved. Holes without a value of their own take it over.";
    SetupCopied "setup-copied" "Setup copied. Check it, and change what differs here.";
    Alike "alike" "Recorded for all of these holes.";
    PatternSaved "pattern" "Pattern saved. The centers follow from it.";
    PlacesSaved "places" "Places recorded.";
    GoodSaved "good" "Good holes recorded. The centers follow from them.";
    GoodByGrade "graded" "The holes graded sound count again.";
    MillSaved "mill" "Mill saved.";
    HeightsSaved "heights" "Heights recorded.";
    PointAdded "point" "Known point added.";
    CutPlanned "plan" "Face cut planned.";
    Milled "milled" "Cut recorded. All depths now run from the new face.";
    Corrected "correct" "Corrected. The wrong entry stays readable in the log.";
    HoleAdded "hole" "Hole added.";
    PhotoAdded "photo" "Photo added.";
    PhotoRemoved "photo-removed" "Photo removed with its marks. Its holes stay. Bring it back under Removed photos.";
    PhotoOfHoleRemoved "photo-of-hole-removed" "Photo removed. The hole stays. Bring it back here, or later under Removed photos on the face's page.";
    PhotoRestored "photo-restored" "Photo brought back with its marks.";
    PhotoIncomplete "photo-incomplete" "Photo added, but its file was cut short: detail is missing. Copy it again from the camera.";
    Readings "reading" "Measurements recorded.";
    Condition "condition" "Condition recorded.";
    Damage "damage" "Damage recorded.";
    WantedThread "wanted-thread" "Thread recorded.";
    Remedy "remedy" "Remedy chosen.";
    Resolved "resolve" "Conflict resolved.";
    Cut "cut" "Cut recorded.";
    TrialFit "trial-fit" "Trial fit recorded.";
    Install "install" "Recorded as installed.";
    StakeKeys "stake-keys" "Keys recorded.";
    Check "check" "Check recorded.";
    FinalCheck "final-check" "Final check recorded.";
    Try "try" "Recorded what was tried.";
    ToolTrouble "tool-trouble" "Tool trouble recorded.";
    TimeSpent "time" "Time added.";
    Tightened "tightened" "Bolt recorded.";
    Reminded "reminded" "Reminder added. It is on the first page until it is done.";
    ReminderDone "reminder-done" "Done. The reminder stays readable in the export.";
    Number "number" "Number changed.";
    Note "note" "Note added.";
    SetAdded "set-added" "Set added. What was in the drawer already stays as it is.";
    ItemAdded "item-added" "Added to the drawer.";
    ItemChanged "item-changed" "Count recorded.";
    ToolRenewed "tool-renewed" "Recorded. The holes that it cut so far no longer count.";
    SheetAdded "sheet-added" "Sheet recorded. Its figures replace the standard's for this insert.";
    SheetRemoved "sheet-removed" "Taken out. The standard's figures count again.";
    Undone "undone" "Undone. It stays readable in the log.";
    StruckOut "strike-out" "Struck out. It stays readable in the log.";
    Started "started" "Started.";
    Stopping "stopping" "Stopping at the next safe point.";
    Forgotten "forgotten" "Removed from the list. Nothing on it was changed.";
    NewCode "code" "New code. The old code no longer works.";
    CodeWithdrawn "withdrawn" "The code no longer works.";
    Paired "paired" "Paired. You can sync with it from here.";
    Revoked "revoked" "Revoked. This device can no longer sync; what it synced before stays.";
}

/// The address of a page that is to show a notice.
pub fn with_notice(path: &str, notice: Notice) -> String {
    format!("{path}?{PARAM}={}", notice.word())
}

/// The query parameter that names the notice.
pub const PARAM: &str = "notice";
