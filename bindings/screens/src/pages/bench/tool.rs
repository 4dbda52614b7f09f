//! The calculators with their addresses and names.

/// One calculator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tool {
    /// A thread's limits, drills and bolts.
    Thread,
    /// Which thread fits a reading.
    Identify,
    /// The inserts that give a thread.
    Insert,
    /// The nearest drills for a hole.
    Drill,
    /// Speeds and feeds.
    Cutting,
    /// What fails first, and the torque.
    Strength,
    /// The remedies for a hole.
    Remedies,
    /// Where lost centers are.
    Pattern,
    /// How flat a face is.
    Flatness,
}

impl Tool {
    /// All, in the order the work needs them.
    pub const ALL: [Tool; 9] = [
        Tool::Thread,
        Tool::Identify,
        Tool::Insert,
        Tool::Drill,
        Tool::Cutting,
        Tool::Strength,
        Tool::Remedies,
        Tool::Pattern,
        Tool::Flatness,
    ];

    /// The word in its address.
    pub const fn word(self) -> &'static str {
        match self {
            Tool::Thread => "thread",
            Tool::Identify => "identify",
            Tool::Insert => "insert",
            Tool::Drill => "drill",
            Tool::Cutting => "cutting",
            Tool::Strength => "strength",
            Tool::Remedies => "remedies",
            Tool::Pattern => "pattern",
            Tool::Flatness => "flatness",
        }
    }

    /// The calculator at an address.
    pub fn at(word: &str) -> Option<Tool> {
        Tool::ALL.into_iter().find(|tool| tool.word() == word)
    }

    /// Its address.
    pub fn path(self) -> String {
        format!("/bench/{}", self.word())
    }

    /// What it is called.
    pub const fn name(self) -> &'static str {
        match self {
            Tool::Thread => "Thread",
            Tool::Identify => "Identify thread",
            Tool::Insert => "Insert",
            Tool::Drill => "Drill",
            Tool::Cutting => "Speeds and feeds",
            Tool::Strength => "Strength and torque",
            Tool::Remedies => "Remedies",
            Tool::Pattern => "Pattern: lost centers",
            Tool::Flatness => "Face flatness",
        }
    }

    /// A short name for narrow screens.
    pub const fn short(self) -> &'static str {
        match self {
            Tool::Thread => "Thread",
            Tool::Identify => "Identify",
            Tool::Insert => "Insert",
            Tool::Drill => "Drill",
            Tool::Cutting => "Speeds",
            Tool::Strength => "Strength",
            Tool::Remedies => "Remedies",
            Tool::Pattern => "Pattern",
            Tool::Flatness => "Flatness",
        }
    }

    /// What it answers.
    pub const fn about(self) -> &'static str {
        match self {
            Tool::Thread => {
                "Limits of the internal and external thread, tap drills, and the strength of bolts by grade."
            }
            Tool::Identify => "Which threads a caliper reading fits, and what tells them apart.",
            Tool::Insert => "All inserts for a thread, with drill, tap, depth and countersink.",
            Tool::Drill => {
                "The nearest drills above and below, for a thread's holes or a diameter."
            }
            Tool::Cutting => "RPM and feed for drilling, end milling, reaming and tapping iron.",
            Tool::Strength => {
                "What fails first: bolt, bolt thread or casting; and the tightening torque."
            }
            Tool::Remedies => {
                "Remedies for one hole from its main readings. To keep a record, add the hole to a casting."
            }
            Tool::Pattern => {
                "Where lost centers are, and which holes wandered: the wanted pattern fitted to the good holes."
            }
            Tool::Flatness => {
                "How flat a face is by height readings, the least face cut, and what each hole loses."
            }
        }
    }
}
