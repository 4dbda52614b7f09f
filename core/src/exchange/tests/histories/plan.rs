//! What a history is made of. Numbers choose among what is there when a step's turn comes, so that a history stays one
//! when steps are left out of it.

use proptest::prelude::*;

/// What several devices do, and how they meet at last.
#[derive(Debug, Clone)]
pub struct History {
    /// How each device begins: three to five.
    pub begin: Vec<Begin>,
    pub steps: Vec<Step>,
    /// By which road each device but the first is joined to one before it, when everything meets.
    pub roads: Vec<Road>,
}

/// With what a device begins.
#[derive(Debug, Clone, Copy)]
pub enum Begin {
    /// With a casting that all know.
    Joined,
    /// With nothing.
    Empty,
    /// With a notebook that an earlier version left, of which there may be several copies.
    Older,
}

#[derive(Debug, Clone)]
pub enum Step {
    Record {
        who: u8,
        what: Recording,
    },
    Exchange {
        who: u8,
        over: Place,
        cut: Option<Cut>,
    },
    Pack {
        who: u8,
        all: bool,
        home: bool,
    },
    Unpack {
        who: u8,
        which: u8,
        cut: Option<Cut>,
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
    Carry {
        from: bool,
        picks: u8,
        cut: Option<u8>,
    },
    Stranger {
        which: bool,
        says: Vec<(Foreign, u8)>,
        over: Place,
    },
    Verify {
        who: u8,
    },
}

/// Over what two devices exchange.
#[derive(Debug, Clone, Copy)]
pub enum Place {
    /// One of two folders.
    Folder(bool),
    /// Another device's notebook.
    Notebook(u8),
}

/// An exchange is cut off.
#[derive(Debug, Clone, Copy)]
pub struct Cut {
    /// What fails.
    pub at: At,
    /// How many times it goes well before.
    pub after: u8,
    /// Whether the device is killed by it, rather than only the exchange.
    pub kills: bool,
}

#[derive(Debug, Clone, Copy)]
pub enum At {
    /// The shelf, before it does what is asked.
    Shelf,
    /// The shelf, once it has done it, so that nobody hears of it.
    Reply,
    /// A change of the device's own notebook.
    Own,
    /// A change of the other device's notebook.
    Other,
}

/// A clock.
#[derive(Debug, Clone, Copy)]
pub enum Clock {
    /// So many days fast or slow.
    Off(i32),
    /// It begins anew in 1970.
    Zero,
    /// It stands in the last moment of the year 2999.
    LastMoment,
    /// It is in a year after that.
    Beyond,
}

/// What a person records.
#[derive(Debug, Clone, Copy)]
pub enum Recording {
    Hole,
    Answer {
        hole: u8,
        asked: Asked,
        pick: u8,
        seen: bool,
    },
    Settle {
        hole: u8,
        asked: Asked,
        pick: u8,
    },
    Reading {
        hole: u8,
        mm: u8,
    },
    Strike {
        pick: u8,
    },
    Photo {
        pick: u8,
    },
    Mark {
        pick: u8,
        x: u8,
        seen: bool,
    },
    Device {
        pick: u8,
    },
    Casting {
        pick: u8,
        seen: bool,
    },
}

/// A question about a hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asked {
    Wanted,
    Remedy,
    Number,
}

/// What another version writes.
#[derive(Debug, Clone, Copy)]
pub enum Foreign {
    /// A kind that is not known here.
    UnknownKind,
    /// A known kind with more in it, in another order.
    MoreFields,
    /// A remedy that is not known here.
    UnknownRemedy,
    /// An answer in place of another, with more in it.
    Answer,
    /// A strike with more in it.
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
    let begin =
        prop_oneof![20 => Just(Begin::Joined), 3 => Just(Begin::Empty), 1 => Just(Begin::Older)];
    let devices = prop_oneof![6 => Just(3_usize), 3 => Just(4), 1 => Just(5)];
    let begin = devices.prop_flat_map(move |devices| prop::collection::vec(begin.clone(), devices));
    let roads = prop::collection::vec(road(), 4);
    (begin, steps, roads).prop_map(|(begin, steps, roads)| History {
        begin,
        steps,
        roads,
    })
}

fn step() -> impl Strategy<Value = Step> {
    let who = any::<u8>;
    prop_oneof![
        40 => (who(), recording()).prop_map(|(who, what)| Step::Record { who, what }),
        30 => (who(), place(), cut()).prop_map(|(who, over, cut)| Step::Exchange { who, over, cut }),
        2 => (who(), any::<(bool, bool)>()).prop_map(|(who, (all, home))| Step::Pack { who, all, home }),
        2 => (who(), any::<u8>(), cut()).prop_map(|(who, which, cut)| Step::Unpack { who, which, cut }),
        3 => who().prop_map(|who| Step::BackUp { who }),
        3 => (who(), any::<u8>()).prop_map(|(who, which)| Step::Restore { who, which }),
        2 => who().prop_map(|who| Step::Copy { who }),
        3 => (who(), prop::option::of(recording()), any::<u8>()).prop_map(|(who, during, torn)| Step::Kill { who, during, torn }),
        5 => (who(), clock()).prop_map(|(who, to)| Step::SetClock { who, to }),
        4 => (any::<(bool, u8)>(), prop::option::of(any::<u8>()))
            .prop_map(|((from, picks), cut)| Step::Carry { from, picks, cut }),
        5 => (any::<bool>(), prop::collection::vec((foreign(), any::<u8>()), 1..4), place())
            .prop_map(|(which, says, over)| Step::Stranger { which, says, over }),
        1 => who().prop_map(|who| Step::Verify { who }),
    ]
}

fn place() -> impl Strategy<Value = Place> {
    prop_oneof![
        any::<bool>().prop_map(Place::Folder),
        any::<u8>().prop_map(Place::Notebook)
    ]
}

fn cut() -> impl Strategy<Value = Option<Cut>> {
    let at = prop_oneof![
        Just(At::Shelf),
        Just(At::Reply),
        Just(At::Own),
        Just(At::Other)
    ];
    let cut = (at, 0..6_u8, any::<bool>()).prop_map(|(at, after, kills)| Cut { at, after, kills });
    prop::option::weighted(0.3, cut)
}

fn clock() -> impl Strategy<Value = Clock> {
    prop_oneof![
        6 => (-20_000..20_000_i32).prop_map(Clock::Off),
        1 => Just(Clock::Zero),
        1 => Just(Clock::LastMoment),
        1 => Just(Clock::Beyond),
    ]
}

fn recording() -> impl Strategy<Value = Recording> {
    let asked = || {
        prop_oneof![
            3 => Just(Asked::Wanted),
            2 => Just(Asked::Remedy),
            1 => Just(Asked::Number)
        ]
    };
    prop_oneof![
        1 => Just(Recording::Hole),
        9 => (any::<u8>(), asked(), any::<u8>(), any::<bool>())
            .prop_map(|(hole, asked, pick, seen)| Recording::Answer { hole, asked, pick, seen }),
        3 => (any::<u8>(), asked(), any::<u8>())
            .prop_map(|(hole, asked, pick)| Recording::Settle { hole, asked, pick }),
        5 => any::<(u8, u8)>().prop_map(|(hole, mm)| Recording::Reading { hole, mm }),
        4 => any::<u8>().prop_map(|pick| Recording::Strike { pick }),
        1 => any::<u8>().prop_map(|pick| Recording::Photo { pick }),
        3 => any::<(u8, u8, bool)>().prop_map(|(pick, x, seen)| Recording::Mark { pick, x, seen }),
        2 => any::<u8>().prop_map(|pick| Recording::Device { pick }),
        1 => any::<(u8, bool)>().prop_map(|(pick, seen)| Recording::Casting { pick, seen }),
    ]
}

fn foreign() -> impl Strategy<Value = Foreign> {
    prop_oneof![
        Just(Foreign::UnknownKind),
        Just(Foreign::MoreFields),
        Just(Foreign::UnknownRemedy),
        Just(Foreign::Answer),
        Just(Foreign::Strike),
        Just(Foreign::Older),
    ]
}

/// How two devices meet at last.
#[derive(Debug, Clone, Copy)]
pub struct Road {
    /// Which of those before it.
    pub to: u8,
    pub way: Way,
}

#[derive(Debug, Clone, Copy)]
pub enum Way {
    /// It comes to the other's notebook.
    Guest,
    /// The other comes to its notebook.
    Host,
    /// Both come to one of two folders.
    Folder(bool),
}

fn road() -> impl Strategy<Value = Road> {
    let way = prop_oneof![
        Just(Way::Guest),
        Just(Way::Host),
        any::<bool>().prop_map(Way::Folder)
    ];
    (any::<u8>(), way).prop_map(|(to, way)| Road { to, way })
}
