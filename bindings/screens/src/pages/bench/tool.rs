//! The calculators there are: their addresses and names.

/// One calculator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tool {
    /// A thread's limits, drills and bolts.
    Thread,
    /// Which thread a reading belongs to.
    Identify,
    /// The inserts that give a thread.
    Insert,
    /// The nearest drills for a hole.
    Drill,
    /// Turns and feed.
    Cutting,
    /// What fails first, and the torque.
    Hold,
    /// The ways to make a hole hold again.
    Remedies,
}

impl Tool {
    /// All of them, in the order in which the work asks for them.
    pub const ALL: [Tool; 7] = [
        Tool::Thread,
        Tool::Identify,
        Tool::Insert,
        Tool::Drill,
        Tool::Cutting,
        Tool::Hold,
        Tool::Remedies,
    ];

    /// The word in its address.
    pub const fn word(self) -> &'static str {
        match self {
            Tool::Thread => "thread",
            Tool::Identify => "identify",
            Tool::Insert => "insert",
            Tool::Drill => "drill",
            Tool::Cutting => "cutting",
            Tool::Hold => "hold",
            Tool::Remedies => "remedies",
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
            Tool::Identify => "Which thread is it",
            Tool::Insert => "Insert",
            Tool::Drill => "Drill",
            Tool::Cutting => "Cutting",
            Tool::Hold => "What holds",
            Tool::Remedies => "What can be done",
        }
    }

    /// The same where there is little room.
    pub const fn short(self) -> &'static str {
        match self {
            Tool::Thread => "Thread",
            Tool::Identify => "Which",
            Tool::Insert => "Insert",
            Tool::Drill => "Drill",
            Tool::Cutting => "Cutting",
            Tool::Hold => "Holds",
            Tool::Remedies => "Ways",
        }
    }

    /// What it answers.
    pub const fn about(self) -> &'static str {
        match self {
            Tool::Thread => {
                "Limits of the hole and the screw, drills for tapping, and what bolts of each grade hold."
            }
            Tool::Identify => {
                "Which threads a caliper's reading can mean, and what would tell them apart."
            }
            Tool::Insert => {
                "Every insert for a thread, with its drill, tap, depth and countersink."
            }
            Tool::Drill => {
                "The nearest drills of your drawer above and below: for a thread's holes, or for a diameter."
            }
            Tool::Cutting => {
                "Turns and feed for drilling, end milling, reaming and tapping in iron."
            }
            Tool::Hold => {
                "What fails first: the bolt, its thread or the metal; and how far it may be tightened."
            }
            Tool::Remedies => {
                "The ways to make one hole hold again, from its main readings. For a record of it, write the hole down in a casting."
            }
        }
    }
}
