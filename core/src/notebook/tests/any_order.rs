//! Laws 1 and 2: which entries are active does not depend on the order in which they arrive, and
//! all tables can be rebuilt.

use super::*;
use crate::notebook::{DeviceId, Entry, EntryId, FaceId};
use proptest::prelude::*;
use serde_json::{Value, json};
use uuid::Uuid;

/// One entry of a generated history; numbers choose among subjects and other entries.
#[derive(Debug, Clone)]
struct Made {
    device: usize,
    what: What,
    /// Entries that it replaces, counted from the start; some are of another kind, or later than
    /// it.
    replaces: Vec<usize>,
}

#[derive(Debug, Clone)]
enum What {
    Hole(u32),
    Wanted(usize),
    /// The same kind under the name that earlier versions wrote.
    WantedByOldName(usize),
    Reading(u32),
    Mark(usize, u32),
    FinalCheck,
    UsualThread(usize),
    /// An off-center amount that rests on another entry, which may not be here yet.
    Damage(usize),
    Condition(usize),
    UsualDepth(u32),
    StrikeOut(usize),
    StrikeOutByOldName(usize),
    Unknown,
    Misshapen,
}

fn what() -> impl Strategy<Value = What> {
    prop_oneof![
        1 => (1..4_u32).prop_map(What::Hole),
        2 => (0..2_usize).prop_map(What::Wanted),
        2 => (0..2_usize).prop_map(What::WantedByOldName),
        1 => (1..9_u32).prop_map(What::Reading),
        2 => (0..2_usize, 0..3_u32).prop_map(|(photo, x)| What::Mark(photo, x)),
        1 => Just(What::FinalCheck),
        2 => (0..2_usize).prop_map(What::UsualThread),
        2 => (1..9_u32).prop_map(What::UsualDepth),
        3 => (0..30_usize).prop_map(What::Damage),
        1 => (0..2_usize).prop_map(What::Condition),
        3 => (0..30_usize).prop_map(What::StrikeOut),
        1 => (0..30_usize).prop_map(What::StrikeOutByOldName),
        1 => Just(What::Unknown),
        1 => Just(What::Misshapen),
    ]
}

fn made() -> impl Strategy<Value = Made> {
    let replaces = prop::collection::vec(0..30_usize, 0..3);
    (0..4_usize, what(), replaces).prop_map(|(device, what, replaces)| Made {
        device,
        what,
        replaces,
    })
}

/// The history as lines, each device's in one chain.
fn write(history: &[Made]) -> Vec<Line> {
    let devices: Vec<_> = (0..4).map(|_| DeviceId::fresh()).collect();
    let ids: Vec<_> = history.iter().map(|_| EntryId::fresh()).collect();
    let things = Things {
        face: FaceId::fresh().0,
        photos: [Uuid::now_v7(), Uuid::now_v7()],
        ids: &ids,
    };
    // Two holes and a casting, so that replacements across subjects occur.
    let holes = [Uuid::now_v7(), Uuid::now_v7()];
    let mut ends: Vec<Option<Line>> = vec![None; 4];
    let mut lines = Vec::new();
    for (at, made) in history.iter().enumerate() {
        let (kind, body) = things.entry_of(&made.what);
        let subject = match made.what {
            What::UsualThread(_) | What::UsualDepth(_) => things.face,
            _ => holes[usize::from(at % 5 == 0)],
        };
        let end = ends[made.device].as_ref();
        let entry = Entry {
            id: ids[at],
            device: devices[made.device],
            seq: end.map_or(1, |end| end.entry().seq + 1),
            at: chrono::DateTime::from_timestamp_nanos(0).fixed_offset(),
            by: "Ada".into(),
            kind: kind.into(),
            subject,
            body,
            replaces: made.replaces.iter().map(|at| ids[at % ids.len()]).collect(),
            prev: end.map(Line::hash),
            seen: Vec::new(),
            corrects: None,
        };
        let line = Line::write(&entry).unwrap();
        ends[made.device] = Some(line.clone());
        lines.push(line);
    }
    lines
}

const CONDITIONS: [&str; 2] = ["sound", "crater"];
const THREADS: [&str; 2] = ["3/8-16", "M10"];

struct Things<'a> {
    face: Uuid,
    photos: [Uuid; 2],
    ids: &'a [EntryId],
}

impl Things<'_> {
    fn struck_out(&self, at: usize) -> Value {
        json!({"entry": self.ids[at % self.ids.len()], "reason": "wrong"})
    }

    fn entry_of(&self, what: &What) -> (&'static str, Value) {
        match what {
            What::Hole(number) => ("hole", json!({"face": self.face, "number": number})),
            What::Wanted(pick) => ("wanted-thread", json!({"thread": THREADS[*pick]})),
            What::WantedByOldName(pick) => ("wanted", json!({"thread": THREADS[*pick]})),
            What::Reading(mm) => ("reading", json!({"quantity": "depth", "value_mm": mm})),
            What::Mark(photo, x) => (
                "mark",
                json!({"photo": self.photos[*photo], "x_px": x, "y_px": 1}),
            ),
            What::FinalCheck => (
                "final-check",
                json!({"for": {"remedy": "leave"}, "passes": true, "how": "bolt"}),
            ),
            What::Damage(at) => (
                "damage",
                json!({"stations": [{
                    "from_mm": 0, "to_mm": 9, "diameter_mm": 12, "offset_mm": 1,
                    "rests_on": [self.ids[at % self.ids.len()]],
                }]}),
            ),
            What::Condition(pick) => ("condition", json!({"condition": CONDITIONS[*pick]})),
            What::UsualThread(pick) => ("usual-thread", json!({"thread": THREADS[*pick]})),
            What::UsualDepth(mm) => (
                "usual-reading",
                json!({"quantity": "depth", "value_mm": mm}),
            ),
            What::StrikeOut(at) => ("strike-out", self.struck_out(*at)),
            What::StrikeOutByOldName(at) => ("strike", self.struck_out(*at)),
            What::Unknown => ("weather", json!({"sky": "gray"})),
            What::Misshapen => ("wanted", json!({"thread": "no thread at all"})),
        }
    }
}

/// An order in which the lines may arrive: any, but each after the one that it names. `picks`
/// choose.
fn shuffled(lines: &[Line], picks: &[usize]) -> Vec<Line> {
    let mut waiting: Vec<Line> = lines.to_vec();
    let mut order = Vec::new();
    for turn in 0..lines.len() {
        let free: Vec<usize> = (0..waiting.len())
            .filter(|at| {
                let entry = waiting[*at].entry();
                !waiting.iter().any(|other| {
                    other.entry().device == entry.device && other.entry().seq < entry.seq
                })
            })
            .collect();
        let pick = picks.get(turn).copied().unwrap_or(0) % free.len();
        order.push(waiting.remove(free[pick]));
    }
    order
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn entries_may_arrive_in_any_order(
        history in prop::collection::vec(made(), 1..30),
        picks in prop::collection::vec(any::<usize>(), 30),
        batch in 1..8_usize,
    ) {
        let lines = write(&history);
        let (first, second) = (Bench::new(), Bench::new());
        for line in &lines {
            first.notebook.import_lines(std::slice::from_ref(line)).unwrap();
        }
        let chunks = shuffled(&lines, &picks);
        let chunks = chunks.chunks(batch).map(<[Line]>::to_vec);
        second.notebook.import_chunks(chunks, |result| { result.unwrap(); }).unwrap();
        let tables = derived_tables(&first.notebook);
        prop_assert_eq!(&derived_tables(&second.notebook), &tables);

        for bench in [&first, &second] {
            prop_assert_eq!(bench.notebook.repair().unwrap(), []);
            prop_assert_eq!(&derived_tables(&bench.notebook), &tables, "rebuilt");
        }
    }

    /// The definition of an active entry, written again as simply as possible, against the tables.
    #[test]
    fn the_active_entries_are_those_of_the_definition(history in prop::collection::vec(made(), 1..30)) {
        let lines = write(&history);
        let bench = Bench::new();
        bench.notebook.import_lines(&lines).unwrap();
        let entries: Vec<&Entry> = lines.iter().map(Line::entry).collect();
        for entry in &entries {
            let seen = bench.notebook.entry(entry.id).unwrap();
            prop_assert_eq!(seen.struck_out_by.is_some(), is_struck(entry, &entries));
            prop_assert_eq!(seen.replaced, is_replaced(entry, &entries));
        }
    }
}

/// Today's name of an entry's kind.
fn todays_name(entry: &Entry) -> &str {
    match entry.kind.as_str() {
        "wanted" => "wanted-thread",
        "strike" => "strike-out",
        name => name,
    }
}

fn is_struck(entry: &Entry, all: &[&Entry]) -> bool {
    let strikes = |other: &&&Entry| {
        todays_name(other) == "strike-out" && other.body["entry"] == json!(entry.id)
    };
    todays_name(entry) != "strike-out" && all.iter().any(|other| strikes(&other))
}

fn is_replaced(entry: &Entry, all: &[&Entry]) -> bool {
    let replaces = |other: &Entry| {
        other.replaces.contains(&entry.id)
            && other.id > entry.id
            && (todays_name(other), other.subject) == (todays_name(entry), entry.subject)
            && (!is_struck(other, all) || is_replaced(other, all))
    };
    todays_name(entry) != "strike-out" && all.iter().any(|other| replaces(other))
}
