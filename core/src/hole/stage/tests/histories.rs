//! Random histories of two devices that sync now and then: laws that hold whatever was recorded.

use super::*;
use crate::hole::condition::{Condition, FirstLook};
use crate::hole::late_cut::EarlierEntries;
use crate::hole::next_task::Judgment;
use crate::hole::plan::Plan;
use crate::hole::situation::situation_of;
use crate::id::{DeviceId, EntryId, Seen};
use proptest::prelude::*;
use uuid::Uuid;

/// Something that a person records.
#[derive(Debug, Clone, Copy)]
enum Event {
    Wanted,
    /// A first look, by its place in [`Condition::ALL`].
    Look(u8),
    Damage,
    Choose(bool),
    Read(u8),
    UsualThread(bool),
    UsualReading(u8, bool),
    Plan(u8),
    Mill(u8),
    Drill(u8),
    Tap(u8),
    TrialFit(bool),
    Install(u8),
    Stake(u8),
    Check(u8, bool),
    FinalCheck(bool),
    /// The hole is checked as it is.
    LeaveCheck(bool),
    /// The devices exchange what they have.
    Sync,
}

fn event() -> impl Strategy<Value = Event> {
    prop_oneof![
        1 => Just(Event::Wanted),
        1 => (0..9_u8).prop_map(Event::Look),
        1 => Just(Event::Damage),
        2 => any::<bool>().prop_map(Event::Choose),
        1 => (0..3_u8).prop_map(Event::Read),
        1 => prop::bool::weighted(0.8).prop_map(Event::UsualThread),
        2 => (0..3_u8, prop::bool::weighted(0.8)).prop_map(|(which, same)| Event::UsualReading(which, same)),
        1 => (0..3_u8).prop_map(Event::Plan),
        2 => (0..3_u8).prop_map(Event::Mill),
        2 => (0..3_u8).prop_map(Event::Drill),
        2 => (0..3_u8).prop_map(Event::Tap),
        2 => prop::bool::weighted(0.8).prop_map(Event::TrialFit),
        2 => (0..4_u8).prop_map(Event::Install),
        2 => (2..5_u8).prop_map(Event::Stake),
        4 => (0..3_u8, prop::bool::weighted(0.8)).prop_map(|(kind, passes)| Event::Check(kind, passes)),
        3 => prop::bool::weighted(0.8).prop_map(Event::FinalCheck),
        3 => Just(Event::Sync),
    ]
}

/// The work of a hole that passes, so that histories often come close to it.
const WORK: [Event; 12] = [
    Event::Choose(true),
    Event::Drill(2),
    Event::Tap(2),
    Event::TrialFit(true),
    Event::Mill(1),
    Event::Install(1),
    Event::Stake(4),
    Event::Check(0, true),
    Event::Check(1, true),
    Event::Check(2, true),
    Event::FinalCheck(true),
    Event::Sync,
];

/// What is read at the hole, or usual on its face.
const MEASURED: [(Quantity, f64); 3] = [
    (Quantity::Depth, 34.0),
    (Quantity::NearestEdge, 30.0),
    (Quantity::NearestHole, 60.0),
];

/// Plays events; odd ones are recorded on the second device.
struct Player {
    job: Job,
    /// How many entries each device has written.
    written: [u64; 2],
    /// How many entries of the other each device has.
    known: [u64; 2],
}

impl Player {
    fn new() -> Player {
        Player {
            job: Job::default(),
            written: [0, 0],
            known: [0, 0],
        }
    }

    fn entry<T>(&mut self, device: usize, body: T) -> Recorded<T> {
        let id = |device: usize| DeviceId(Uuid::from_u128(device as u128 + 1));
        self.written[device] += 1;
        let known = self.known[device];
        let seen = Seen {
            device: id(1 - device),
            seq: known,
        };
        Recorded {
            entry: EntryId(Uuid::now_v7()),
            device: id(device),
            seq: self.written[device],
            seen: Vec::from_iter((known > 0).then_some(seen)),
            ..recorded(body)
        }
    }

    /// Adds a fact that replaces those that its device knows.
    fn fact<T>(&mut self, device: usize, facts: fn(&mut Job) -> &mut FactEntries<T>, body: T) {
        let new = self.entry(device, body);
        let facts = facts(&mut self.job);
        facts.0.retain(|old| !new.knows(old.position()));
        facts.0.push(new);
    }

    fn play(&mut self, device: usize, event: Event) {
        let spec = thin_wall();
        match event {
            Event::Wanted => {
                self.fact(
                    device,
                    |job| &mut job.record.wanted,
                    wanted_thread("3/8-16"),
                );
            }
            Event::Look(which) => {
                let condition = Condition::ALL[usize::from(which)];
                self.fact(
                    device,
                    |job| &mut job.record.condition,
                    FirstLook { condition },
                );
            }
            Event::Damage => {
                let stripped = damage(vec![station(0.0, 20.0, 9.4, 0.0, 0.0)]);
                self.fact(device, |job| &mut job.record.damage, stripped);
            }
            Event::Choose(insert) => {
                let chosen = if insert {
                    spec
                } else {
                    plain_spec(Remedy::Leave)
                };
                let body = choice(chosen).0.remove(0).body;
                self.fact(device, |job| &mut job.record.choice, body);
            }
            Event::Read(which) => {
                let (quantity, value) = MEASURED[usize::from(which)];
                let entry = self.entry(device, reading(quantity, value).body);
                self.job.record.readings.push(entry);
            }
            Event::UsualThread(same) => {
                let body = wanted_thread(if same { "3/8-16" } else { "7/16-14" });
                self.fact(device, |job| &mut job.face.setup.thread, body);
            }
            Event::UsualReading(which, same) => self.set_usual(device, which, same),
            Event::Plan(steps) => {
                let planned = mm(0.5 * f64::from(steps));
                self.fact(
                    device,
                    |job| &mut job.face.planned_cut,
                    FaceCut::typed(planned),
                );
            }
            Event::Mill(steps) => {
                let removed = mm(0.25 * f64::from(steps + 1));
                let entry = self.entry(
                    device,
                    FaceMilled {
                        removed,
                        ..FaceMilled::default()
                    },
                );
                self.job.face.milled.push(entry);
            }
            Event::Drill(deep) => self.cut(device, CutStep::Drill, 24.0 + f64::from(deep)),
            Event::Tap(deep) => self.cut(device, CutStep::Tap, 14.2 + f64::from(deep)),
            Event::TrialFit(fits) => {
                let entry = self.entry(device, trial_fit(&spec, fits).body);
                self.job.record.trial_fits.push(entry);
            }
            Event::Install(deep) => {
                let mut body = install(&spec, true, None).body;
                body.below_face = Some(mm([0.1, 0.5, 0.7, 1.5][usize::from(deep)]));
                let entry = self.entry(device, body);
                self.job.record.installs.push(entry);
            }
            Event::Stake(driven) => {
                let body = StakeKeys {
                    driven,
                    ..stake_keys(&spec).body
                };
                let entry = self.entry(device, body);
                self.job.record.stake_keys.push(entry);
            }
            Event::Check(kind, passes) => {
                let body = check(CheckKind::ALL[usize::from(kind)], passes).body;
                let entry = self.entry(device, body);
                self.job.record.checks.push(entry);
            }
            Event::FinalCheck(passes) => {
                let entry = self.entry(device, final_check(&spec, passes).body);
                self.job.record.final_checks.push(entry);
            }
            Event::LeaveCheck(passes) => {
                let body = final_check(&plain_spec(Remedy::Leave), passes).body;
                let entry = self.entry(device, body);
                self.job.record.final_checks.push(entry);
            }
            Event::Sync => self.known = [self.written[1], self.written[0]],
        }
    }

    /// Sets a usual value in place of those that the device knows: the same as Event::Read reads, or
    /// too little for the insert.
    fn set_usual(&mut self, device: usize, which: u8, same: bool) {
        let (quantity, value) = MEASURED[usize::from(which)];
        let value = if same { value } else { 9.0 };
        let new = self.entry(device, reading(quantity, value).body);
        let usual = &mut self.job.face.setup.readings;
        usual.retain(|old| old.body.quantity != quantity || !new.knows(old.position()));
        usual.push(new);
    }

    fn cut(&mut self, device: usize, step: CutStep, depth: f64) {
        let mut body = cut(&thin_wall(), step).body;
        body.depth = Some(mm(depth));
        let entry = self.entry(device, body);
        self.job.record.cuts.push(entry);
    }
}

/// The thread and the readings, recorded at the hole or in the setup of its face.
fn measured(at_the_hole: [bool; 4]) -> Vec<(usize, Event)> {
    let [thread, readings @ ..] = at_the_hole;
    let mut events = vec![(
        0,
        if thread {
            Event::Wanted
        } else {
            Event::UsualThread(true)
        },
    )];
    for (which, at_the_hole) in (0..3_u8).zip(readings) {
        let event = match at_the_hole {
            true => Event::Read(which),
            false => Event::UsualReading(which, true),
        };
        events.push((0, event));
    }
    events.extend([(0, Event::Damage), (0, Event::Plan(1)), (0, Event::Sync)]);
    events
}

/// A measured hole, then work that mostly succeeds with random events between.
fn history() -> impl Strategy<Value = Vec<(usize, Event)>> {
    let noise = prop::collection::vec((0..2_usize, event()), 0..3);
    let work = prop::collection::vec((0..2_usize, noise), WORK.len());
    let at_the_hole = any::<[bool; 4]>();
    (work, prop::bool::weighted(0.7), at_the_hole).prop_map(|(work, one_device, at_the_hole)| {
        let mut events = measured(at_the_hole);
        for (step, (device, noise)) in WORK.into_iter().zip(work) {
            let rare = noise.len() == 2;
            let device = if one_device { 0 } else { device };
            events.push((device, step));
            events.extend(noise.into_iter().filter(|_| rare));
        }
        events
    })
}

fn play(history: &[(usize, Event)]) -> Player {
    let mut player = Player::new();
    for (device, event) in history {
        player.play(*device, *event);
    }
    player
}

/// The entries of a hole and its face without their bodies.
fn writers(job: &Job) -> Vec<Recorded<()>> {
    fn all<T>(entries: &[Recorded<T>]) -> impl Iterator<Item = Recorded<()>> {
        entries.iter().map(Recorded::without_body)
    }
    let record = &job.record;
    all(&record.readings)
        .chain(all(&record.damage.0))
        .chain(all(&record.cuts))
        .chain(all(&record.installs))
        .chain(all(&record.checks))
        .chain(all(&record.final_checks))
        .chain(all(&job.face.setup.readings))
        .collect()
}

/// The places of the setup's entries that the hole has no entry of its own for, worked out without
/// [`inherit`](crate::hole::inherit).
fn inherited(job: &Job) -> Vec<Seen> {
    let setup = &job.face.setup;
    let threads = setup
        .thread
        .0
        .iter()
        .filter(|_| job.record.wanted.0.is_empty());
    let usual = setup.readings.iter().filter(|usual| {
        let mut own = job.record.readings.iter();
        !own.any(|own| own.body.quantity == usual.body.quantity)
    });
    threads
        .map(Recorded::position)
        .chain(usual.map(Recorded::position))
        .collect()
}

/// What a passed hole must show, worked out from the entries alone.
fn reasons_not_to_pass(job: &Job) -> Vec<&'static str> {
    let (record, face) = (&job.record, &job.face);
    let mut reasons = Vec::new();
    if face.left_to_remove() != Some(Length::ZERO) {
        reasons.push("the face is not cut");
    }
    let thread_differs = record.wanted.0.is_empty() && face.setup.thread.differ();
    if thread_differs {
        reasons.push("the usual threads differ");
    }
    let differ = record.wanted.differ()
        || record.condition.differ()
        || record.damage.differ()
        || record.choice.differ();
    if differ {
        reasons.push("facts differ");
    }
    let last = record.final_checks.iter().find(|check| {
        let others = record.final_checks.iter();
        let known = check.body.passes
            && others
                .filter(|other| !other.body.passes)
                .all(|failed| check.knows(failed.position()));
        let facts = record.wanted.0.iter().map(Recorded::position);
        let bad = record.condition.0.iter();
        let bad = bad.filter(|look| look.body.condition != Condition::Sound);
        let facts = facts.chain(bad.map(Recorded::position));
        let facts = facts.chain(record.damage.0.iter().map(Recorded::position));
        let facts = facts.chain(record.choice.0.iter().map(Recorded::position));
        let facts = facts.chain(inherited(job));
        let facts = facts.chain(record.readings.iter().map(Recorded::position));
        let facts = facts.chain(record.cuts.iter().map(Recorded::position));
        let facts = facts.chain(record.installs.iter().map(Recorded::position));
        let mut facts = facts.chain(face.milled.iter().map(Recorded::position));
        known && facts.all(|fact| check.knows(fact))
    });
    if last.is_none() {
        reasons.push("no final check knows everything");
    }
    let broken = |look: &Recorded<FirstLook>| {
        let pieces = [Condition::BrokenBolt, Condition::BrokenTool];
        let mut cuts = record.cuts.iter();
        pieces.contains(&look.body.condition)
            && !record.damage.0.iter().any(|it| it.knows(look.position()))
            && !cuts.any(|cut| cut.body.step == CutStep::ClearBroken && cut.knows(look.position()))
    };
    if record.condition.0.iter().any(broken) {
        reasons.push("a broken piece was seen and is not out");
    }
    let insert = record.choice.agreed().map(|choice| choice.spec.remedy);
    if insert == Some(Remedy::KeyLockingInsert) {
        let depth = |entry: &Recorded<Cut>| {
            entry
                .body
                .depth
                .map(|depth| depth - face.removed_after(entry))
        };
        let tapped = record
            .cuts
            .iter()
            .filter(|cut| cut.body.step == CutStep::Tap);
        // .560 in of full thread below the finished face (MS51835B).
        if tapped.filter_map(depth).max() < Some(Length::from_fraction(560, 1000)) {
            reasons.push("the thread is too shallow");
        }
        let above = record.installs.iter().filter(|install| {
            let mut others = record.installs.iter();
            let last = !others.any(|other| other.knows(install.position()));
            let below = install.body.below_face.unwrap() - face.removed_after(install);
            // .010 in, as closely as it is shown.
            last && below < Length::from_fraction(95, 10_000)
        });
        if above.count() > 0 {
            reasons.push("an insert is too high");
        }
    }
    reasons
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn nothing_passes_while_anything_is_open(history in history()) {
        let player = play(&history);
        let status = player.job.status();
        if status.stage == Stage::Passed {
            prop_assert_eq!(&status.problems, &vec![]);
            prop_assert_eq!(&status.conflicts, &vec![]);
            prop_assert_eq!(reasons_not_to_pass(&player.job), Vec::<&str>::new());
        }
    }

    /// Lists of holes show the same next action as the hole's page.
    #[test]
    fn the_next_task_is_that_of_the_whole_plan(history in history(), last in event()) {
        let mut player = play(&history[..history.len() / 2]);
        for step in 0..2 {
            let (record, face) = (&player.job.record, &player.job.face);
            let judgment = Judgment::of(record, face, Catalog::standard());
            let plan = Plan::of(record, face, Catalog::standard());
            prop_assert_eq!(&judgment.next.action, &plan.next, "after {} events", step);
            prop_assert_eq!(&judgment.status, &plan.status);
            prop_assert_eq!(judgment.status, player.job.status());
            player.play(1, last);
        }
    }

    #[test]
    fn a_passed_hole_is_reopened_by_every_new_fact(history in history(), device in 0..2_usize, which in 0..8_usize, look in 1..9_u8) {
        let mut player = play(&history);
        if player.job.stage() == Stage::Passed {
            let news = [
                Event::Wanted,
                Event::Damage,
                Event::Choose(true),
                Event::Read(1),
                Event::Mill(0),
                Event::Tap(2),
                Event::FinalCheck(false),
                Event::Look(look),
            ];
            player.play(device, news[which]);
            prop_assert_ne!(player.job.stage(), Stage::Passed);
        }
    }

    /// A change of the setup reopens a passed hole exactly if the hole inherits that value.
    #[test]
    fn a_passed_hole_is_reopened_by_the_setup_it_inherits(
        history in history(),
        device in 0..2_usize,
        which in 0..4_u8,
    ) {
        let mut player = play(&history);
        if player.job.stage() == Stage::Passed {
            let record = &player.job.record;
            let (inherits, event) = match which {
                3 => (record.wanted.0.is_empty(), Event::UsualThread(true)),
                which => {
                    let (quantity, _) = MEASURED[usize::from(which)];
                    let mut own = record.readings.iter();
                    let inherits = !own.any(|own| own.body.quantity == quantity);
                    (inherits, Event::UsualReading(which, true))
                }
            };
            player.play(device, event);
            prop_assert_eq!(player.job.stage() != Stage::Passed, inherits);
        }
    }

    /// The last cut is recorded after everything else, with the answer which entries it came before.
    #[test]
    fn a_cut_that_is_recorded_late_is_judged_as_if_it_was_not(history in history()) {
        let true_order = play(&history).job;
        let mut late = true_order.clone();
        let last = late.face.milled.iter().max_by_key(|cut| (cut.device, cut.seq)).cloned();
        let Some(cut) = last.filter(|cut| {
            // Without it, nothing else was cut after it, and one device wrote all that it knew.
            let mut others = true_order.face.milled.iter();
            others.all(|other| other.entry == cut.entry || cut.knows(other.place()))
        }) else {
            return Ok(());
        };
        late.face.milled.retain(|other| other.entry != cut.entry);
        let mut earlier = EarlierEntries::of(&late.face, None);
        earlier.add_hole(1, &late.record);
        let listed = earlier.finish(cut.at).into_iter();
        let after = |place: &Seen| {
            let all = writers(&true_order);
            let writer = all.iter().find(|writer| writer.place() == *place);
            writer.is_some_and(|writer| writer.knows(cut.place()))
        };
        let came_before = listed.map(|entry| entry.place).filter(after).collect();
        let mut recorded_late = cut.clone();
        recorded_late.seq = 1_000;
        recorded_late.body.came_before = came_before;
        late.face.milled.push(recorded_late);
        let (one, two) = (true_order.status(), late.status());
        prop_assert_eq!(one.stage, two.stage);
        prop_assert_eq!(one.problems, two.problems);
        let situation = |job: &Job| situation_of(&job.record, &job.face);
        prop_assert_eq!(situation(&true_order), situation(&late));
    }

    /// What a hole inherits is never shown as measured.
    #[test]
    fn the_setup_alone_measures_nothing(usual in prop::collection::vec((0..2_usize, 0..4_u8, any::<bool>()), 0..6)) {
        let mut player = Player::new();
        for (device, which, same) in usual {
            let event = match which {
                3 => Event::UsualThread(same),
                which => Event::UsualReading(which, same),
            };
            player.play(device, event);
        }
        prop_assert_eq!(player.job.stage(), Stage::NotMeasured);
    }

    #[test]
    fn the_order_of_arrival_does_not_matter(history in history(), seed in any::<u64>()) {
        let job = play(&history).job;
        let mut other = job.clone();
        fn shuffle<T>(entries: &mut [T], seed: u64) {
            let by = usize::try_from(seed % 7).unwrap_or(0);
            if !entries.is_empty() {
                entries.rotate_left(by % entries.len());
            }
            if seed.is_multiple_of(2) {
                entries.reverse();
            }
        }
        let record = &mut other.record;
        shuffle(&mut record.wanted.0, seed);
        shuffle(&mut record.condition.0, seed);
        shuffle(&mut record.damage.0, seed);
        shuffle(&mut record.readings, seed);
        shuffle(&mut record.cuts, seed);
        shuffle(&mut record.trial_fits, seed);
        shuffle(&mut record.installs, seed);
        shuffle(&mut record.stake_keys, seed);
        shuffle(&mut record.checks, seed);
        shuffle(&mut record.final_checks, seed);
        shuffle(&mut other.face.milled, seed);
        shuffle(&mut other.face.setup.thread.0, seed);
        shuffle(&mut other.face.setup.readings, seed);
        let (one, two) = (job.status(), other.status());
        prop_assert_eq!(one.stage, two.stage);
        prop_assert_eq!(one.problems.len(), two.problems.len());
        prop_assert_eq!(one.conflicts.len(), two.conflicts.len());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// A hole that nobody measured passes by its check alone if a first look found it sound, or told
    /// nothing; whatever is recorded later reopens it.
    #[test]
    fn a_hole_left_as_is_passes_unless_a_first_look_found_it_bad(
        look in prop::option::of(0..9_u8),
        described in any::<bool>(),
        later in 0..6_usize,
        again in 1..9_u8,
        device in 0..2_usize,
    ) {
        let mut player = Player::new();
        player.play(0, Event::Wanted);
        player.play(0, Event::Plan(0));
        if let Some(look) = look {
            player.play(0, Event::Look(look));
        }
        prop_assert_eq!(player.job.stage(), Stage::NotMeasured);
        if described {
            player.play(0, Event::Damage);
        }
        player.play(0, Event::LeaveCheck(true));
        let condition = look.map(|look| Condition::ALL[usize::from(look)]);
        let may_pass = described
            || matches!(condition, None | Some(Condition::Sound | Condition::Unknown));
        prop_assert_eq!(player.job.stage() == Stage::Passed, may_pass);
        let later = [
            Event::Damage,
            Event::Look(again),
            Event::Read(0),
            Event::LeaveCheck(false),
            Event::Choose(true),
            Event::Wanted,
        ][later];
        player.play(device, later);
        prop_assert_ne!(player.job.stage(), Stage::Passed, "{:?}", later);
    }

    #[test]
    fn a_second_look_that_finds_it_sound_reopens_nothing(history in history()) {
        let mut player = play(&history);
        let before = player.job.stage();
        player.play(0, Event::Sync);
        player.play(0, Event::Look(0));
        if before == Stage::Passed {
            prop_assert_eq!(player.job.stage(), Stage::Passed);
        }
    }
}

/// Most histories of one device without noise pass, so the laws above are about something.
#[test]
fn the_plain_work_passes() {
    for at_the_hole in [[true; 4], [false; 4], [true, false, true, false]] {
        let mut events = measured(at_the_hole);
        events.extend(WORK.map(|event| (0, event)));
        let player = play(&events);
        let status = player.job.status();
        assert_eq!(status.stage, Stage::Passed, "{at_the_hole:?} {status:?}");
    }
}
