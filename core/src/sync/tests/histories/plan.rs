//! What a history consists of. Numbers choose among what exists when a step runs, so a history
//! stays valid when steps are removed from it.

use proptest::prelude::*;

/// What several devices do, and how they sync in the end.
#[derive(Debug, Clone)]
pub struct History {
    /// How each device begins: three to five of them.
    pub begin: Vec<InitialState>,
    pub steps: Vec<Step>,
    /// How each device but the first is connected to an earlier one for the final syncs.
    pub routes: Vec<Route>,
}

/// What a device begins with.
#[derive(Debug, Clone, Copy)]
pub enum InitialState {
    /// A casting that all devices know.
    SharedCasting,
    /// Nothing.
    Empty,
    /// A notebook left by an earlier version; there may be several copies of it.
    OlderVersion,
}

#[derive(Debug, Clone)]
pub enum Step {
    Record {
        who: u8,
        what: Recording,
    },
    Sync {
        who: u8,
        target: SyncTarget,
        interruption: Option<Interruption>,
    },
    WriteBundle {
        who: u8,
        all: bool,
        mark_synced: bool,
    },
    ImportBundle {
        who: u8,
        which: u8,
        interruption: Option<Interruption>,
    },
    BackUp {
        who: u8,
    },
    Restore {
        who: u8,
        which: u8,
    },
    Copy {
        who: u8,
    },
    Kill {
        who: u8,
        during: Option<Recording>,
        torn: u8,
    },
    SetClock {
        who: u8,
        to: Clock,
    },
    CopyFiles {
        from: bool,
        picks: u8,
        truncate_at: Option<u8>,
    },
    OtherVersion {
        which: bool,
        lines: Vec<(OtherVersionLine, u8)>,
        target: SyncTarget,
    },
    Verify {
        who: u8,
    },
}

/// What a device syncs with.
#[derive(Debug, Clone, Copy)]
pub enum SyncTarget {
    /// One of two folders.
    Folder(bool),
    /// Another device's notebook.
    Notebook(u8),
}

/// A sync is interrupted.
#[derive(Debug, Clone, Copy)]
pub struct Interruption {
    /// The operation that fails.
    pub at: InterruptAt,
    /// Number of operations that succeed before.
    pub after: u8,
    /// Whether the interruption kills the device, not only the sync.
    pub kills: bool,
}

#[derive(Debug, Clone, Copy)]
pub enum InterruptAt {
    /// The remote fails before it does what was requested.
    Request,
    /// The remote fails after doing it, so the response is lost.
    Response,
    /// A change of the device's own notebook fails.
    LocalCommit,
    /// A change of the other device's notebook fails.
    RemoteCommit,
}

/// A device's clock.
#[derive(Debug, Clone, Copy)]
pub enum Clock {
    /// Fast or slow by this many days.
    Off(i32),
    /// Reset to 1970.
    Zero,
    /// Stopped at the last millisecond of the year 2999.
    LastMoment,
    /// After the year 2999.
    AfterLastMoment,
}

/// What a person records.
#[derive(Debug, Clone, Copy)]
pub enum Recording {
    Hole,
    Answer {
        hole: u8,
        question: Question,
        pick: u8,
        replaces_current: bool,
    },
    Resolve {
        hole: u8,
        question: Question,
        pick: u8,
    },
    Reading {
        hole: u8,
        mm: u8,
    },
    StrikeOut {
        pick: u8,
    },
    Photo {
        pick: u8,
    },
    Mark {
        pick: u8,
        x: u8,
        replaces_current: bool,
    },
    DeviceName {
        pick: u8,
    },
    Casting {
        pick: u8,
        replaces_current: bool,
    },
}

/// A question about a hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    Wanted,
    Remedy,
    Number,
}

/// A line written by another version.
#[derive(Debug, Clone, Copy)]
pub enum OtherVersionLine {
    /// A kind that this version does not know.
    UnknownKind,
    /// A known kind with extra fields, in another order.
    MoreFields,
    /// A remedy that this version does not know.
    UnknownRemedy,
    /// An answer that replaces another, with extra fields.
    Answer,
    /// A strike-out with extra fields.
    Strike,
    /// An earlier version's line, which lacks what has a default.
    Older,
}

pub fn history() -> impl Strategy<Value = History> {
    let steps = prop_oneof![
        12 => prop::collection::vec(step(), 3..10),
        5 => prop::collection::vec(step(), 10..24),
        1 => prop::collection::vec(step(), 24..70),
    ];
    let begin = prop_oneof![20 => Just(InitialState::SharedCasting), 3 => Just(InitialState::Empty), 1 => Just(InitialState::OlderVersion)];
    let devices = prop_oneof![6 => Just(3_usize), 3 => Just(4), 1 => Just(5)];
    let begin = devices.prop_flat_map(move |devices| prop::collection::vec(begin.clone(), devices));
    let routes = prop::collection::vec(route(), 4);
    (begin, steps, routes).prop_map(|(begin, steps, routes)| History {
        begin,
        steps,
        routes,
    })
}

fn step() -> impl Strategy<Value = Step> {
    let who = any::<u8>;
    prop_oneof![
        40 => (who(), recording()).prop_map(|(who, what)| Step::Record { who, what }),
        30 => (who(), sync_target(), interruption()).prop_map(|(who, target, interruption)| Step::Sync { who, target, interruption }),
        2 => (who(), any::<(bool, bool)>()).prop_map(|(who, (all, mark_synced))| Step::WriteBundle { who, all, mark_synced }),
        2 => (who(), any::<u8>(), interruption()).prop_map(|(who, which, interruption)| Step::ImportBundle { who, which, interruption }),
        3 => who().prop_map(|who| Step::BackUp { who }),
        3 => (who(), any::<u8>()).prop_map(|(who, which)| Step::Restore { who, which }),
        2 => who().prop_map(|who| Step::Copy { who }),
        3 => (who(), prop::option::of(recording()), any::<u8>()).prop_map(|(who, during, torn)| Step::Kill { who, during, torn }),
        5 => (who(), clock()).prop_map(|(who, to)| Step::SetClock { who, to }),
        4 => (any::<(bool, u8)>(), prop::option::of(any::<u8>()))
            .prop_map(|((from, picks), truncate_at)| Step::CopyFiles { from, picks, truncate_at }),
        5 => (any::<bool>(), prop::collection::vec((other_version_line(), any::<u8>()), 1..4), sync_target())
            .prop_map(|(which, lines, target)| Step::OtherVersion { which, lines, target }),
        1 => who().prop_map(|who| Step::Verify { who }),
    ]
}

fn sync_target() -> impl Strategy<Value = SyncTarget> {
    prop_oneof![
        any::<bool>().prop_map(SyncTarget::Folder),
        any::<u8>().prop_map(SyncTarget::Notebook)
    ]
}

fn interruption() -> impl Strategy<Value = Option<Interruption>> {
    let at = prop_oneof![
        Just(InterruptAt::Request),
        Just(InterruptAt::Response),
        Just(InterruptAt::LocalCommit),
        Just(InterruptAt::RemoteCommit)
    ];
    let interruption = (at, 0..6_u8, any::<bool>()).prop_map(|(at, after, kills)| Interruption {
        at,
        after,
        kills,
    });
    prop::option::weighted(0.3, interruption)
}

fn clock() -> impl Strategy<Value = Clock> {
    prop_oneof![
        6 => (-20_000..20_000_i32).prop_map(Clock::Off),
        1 => Just(Clock::Zero),
        1 => Just(Clock::LastMoment),
        1 => Just(Clock::AfterLastMoment),
    ]
}

fn recording() -> impl Strategy<Value = Recording> {
    let question = || {
        prop_oneof![
            3 => Just(Question::Wanted),
            2 => Just(Question::Remedy),
            1 => Just(Question::Number)
        ]
    };
    prop_oneof![
        1 => Just(Recording::Hole),
        9 => (any::<u8>(), question(), any::<u8>(), any::<bool>())
            .prop_map(|(hole, question, pick, replaces_current)| Recording::Answer { hole, question, pick, replaces_current }),
        3 => (any::<u8>(), question(), any::<u8>())
            .prop_map(|(hole, question, pick)| Recording::Resolve { hole, question, pick }),
        5 => any::<(u8, u8)>().prop_map(|(hole, mm)| Recording::Reading { hole, mm }),
        4 => any::<u8>().prop_map(|pick| Recording::StrikeOut { pick }),
        1 => any::<u8>().prop_map(|pick| Recording::Photo { pick }),
        3 => any::<(u8, u8, bool)>().prop_map(|(pick, x, replaces_current)| Recording::Mark { pick, x, replaces_current }),
        2 => any::<u8>().prop_map(|pick| Recording::DeviceName { pick }),
        1 => any::<(u8, bool)>().prop_map(|(pick, replaces_current)| Recording::Casting { pick, replaces_current }),
    ]
}

fn other_version_line() -> impl Strategy<Value = OtherVersionLine> {
    prop_oneof![
        Just(OtherVersionLine::UnknownKind),
        Just(OtherVersionLine::MoreFields),
        Just(OtherVersionLine::UnknownRemedy),
        Just(OtherVersionLine::Answer),
        Just(OtherVersionLine::Strike),
        Just(OtherVersionLine::Older),
    ]
}

/// How two devices sync in the end.
#[derive(Debug, Clone, Copy)]
pub struct Route {
    /// Which earlier device.
    pub to: u8,
    pub kind: RouteKind,
}

#[derive(Debug, Clone, Copy)]
pub enum RouteKind {
    /// It syncs with the other's notebook.
    Guest,
    /// The other syncs with its notebook.
    Host,
    /// Both sync with one of two folders.
    Folder(bool),
}

fn route() -> impl Strategy<Value = Route> {
    let kind = prop_oneof![
        Just(RouteKind::Guest),
        Just(RouteKind::Host),
        any::<bool>().prop_map(RouteKind::Folder)
    ];
    (any::<u8>(), kind).prop_map(|(to, kind)| Route { to, kind })
}
