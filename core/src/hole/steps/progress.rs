//! Which steps are done, judged by all active entries.
//!
//! A step is done only while its recorded values hold: depths count from the face as it is now, and
//! an entry counts only if its writer knew the entries that it rests on. What does not hold is a
//! [`Problem`], and the step is open again.

use super::{Done, StepKey, order};
use crate::hole::condition::Condition;
use crate::hole::inherit::Inherited;
use crate::hole::problem::{Cause, Problem};
use crate::hole::record::{
    CheckKind, CheckResult, Cut, CutStep, FaceRecord, FinalCheck, HoleRecord, Install, Quantity,
    Reading, Recorded, Remedy, RemedySpec, StakeKeys, is_blank,
};
use crate::hole::remedies::Assessment;
use crate::hole::removal::Removal;
use crate::hole::situation::Situation;
use crate::hole::tries::Trouble;
use crate::id::{DeviceId, EntryId, Seen};
use crate::length::Length;
use crate::strength::Lubrication;
use std::collections::HashMap;

/// A hole's work: its remedy, and all that is recorded of it and its face.
#[derive(Debug, Clone, Copy)]
pub struct Work<'a> {
    /// The hole as it is now.
    pub situation: &'a Situation,
    /// The remedy.
    pub assessment: &'a Assessment,
    /// The hole's entries.
    pub record: &'a HoleRecord,
    /// The face's entries.
    pub face: &'a FaceRecord,
}

/// How far one step has come.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Progress {
    /// How it was done; `None` if it is open.
    pub done: Option<Done>,
    /// Why it is open again, or not done as recorded.
    pub problems: Vec<Problem>,
}

impl Progress {
    const OPEN: Progress = Progress {
        done: None,
        problems: Vec::new(),
    };

    /// Returns a step as done unless there are problems.
    fn unless(problems: Vec<Problem>, done: Done) -> Progress {
        Progress {
            done: problems.is_empty().then_some(done),
            problems,
        }
    }
}

/// Depths that were reached, by the entries that count, from the face as is.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Default)]
pub struct ReachedDepths {
    /// Drilled to.
    pub drilled: Option<Length>,
    /// Tapped to.
    pub tapped: Option<Length>,
    /// The installed part's top end below the face; below zero if it stands proud.
    pub top: Option<Length>,
}

impl<'a> Work<'a> {
    /// Returns the depths that were reached. They may differ from the plan.
    pub fn reached(&self) -> ReachedDepths {
        let depth = |step| self.deepest(step).map(|(depth, _)| depth);
        let installs = self.latest_installs().into_iter();
        let tops = installs.filter_map(|install| {
            let below = install.body.below_face?;
            Some(self.as_is(install, below))
        });
        ReachedDepths {
            drilled: depth(CutStep::Drill),
            tapped: depth(CutStep::Tap),
            top: tops.min(),
        }
    }

    /// Returns how far a step of the remedy has come.
    pub fn progress(&self, key: StepKey) -> Progress {
        match key {
            StepKey::Cut(step) => self.cut(step),
            StepKey::TrialFit => self.trial_fit(),
            StepKey::FaceCut => self.face_cut(),
            StepKey::Install => self.install(),
            StepKey::StakeKeys => self.stake_keys(),
            StepKey::Check(kind) => self.check(kind),
            StepKey::FinalCheck => self.final_check(),
        }
    }

    /// Returns whether a step is done.
    pub(in crate::hole) fn is_done(&self, key: StepKey) -> bool {
        self.progress(key).done.is_some()
    }

    fn counts(&self, spec: &RemedySpec) -> bool {
        spec.counts_for(&self.assessment.spec())
    }

    /// Returns the cuts of one step that count for the remedy. Removing a broken piece, grinding out
    /// hard metal, and centering count for any remedy.
    fn cuts(&self, step: CutStep) -> impl Iterator<Item = &'a Recorded<Cut>> + use<'a, '_> {
        let for_any = step.counts_for_any_remedy();
        // A tool that broke off since makes an earlier removal void.
        let void = step == CutStep::ClearBroken && self.record.piece_broken().is_some();
        self.record
            .cuts
            .iter()
            .filter(move |cut| cut.body.step == step && !void)
            .filter(move |cut| for_any || self.counts(&cut.body.spec))
    }

    /// Returns a depth of an entry as it is from the face as is.
    fn as_is<T>(&self, entry: &Recorded<T>, depth: Length) -> Length {
        depth - self.face.removed_after(entry)
    }

    /// Returns the deepest recorded depth of a step, from the face as is, with its entry.
    fn deepest(&self, step: CutStep) -> Option<(Length, &'a Recorded<Cut>)> {
        self.cuts(step)
            .filter_map(|cut| Some((self.as_is(cut, cut.body.depth?), cut)))
            .max_by_key(|(depth, _)| *depth)
    }

    fn cut(&self, step: CutStep) -> Progress {
        let Some(last) = self.cuts(step).last() else {
            return self.shown_by_what_follows(step);
        };
        let needed = self.depth_needed(step);
        let key = StepKey::Cut(step);
        let (problems, entry) = match (self.deepest(step), needed) {
            (Some((reached, cut)), Some(needed)) if reached < needed => {
                let short = Problem::TooShallow {
                    step: key,
                    entry: cut.entry,
                    reached,
                    needed,
                };
                let moot = step == CutStep::Drill && self.thread_is_there(needed - reached);
                (Vec::from_iter((!moot).then_some(short)), cut)
            }
            (Some((reached, cut)), _) => (self.deeper_than_drilled(step, reached, cut), cut),
            (None, Some(_)) if self.cut_too_deep_since(last) => {
                let entry = last.entry;
                (vec![Problem::DepthUnknown { step: key, entry }], last)
            }
            (None, _) => (Vec::new(), last),
        };
        Progress::unless(problems, Done::with_reason(entry, &entry.body.reason))
    }

    /// Returns a step as done if something is recorded that could only follow it.
    fn shown_by_what_follows(&self, step: CutStep) -> Progress {
        let follower = match step {
            CutStep::MakeBushing => {
                let mut fits = self.record.trial_fits.iter();
                let tried = fits.find(|fit| self.counts(&fit.body.spec)).map(Done::by);
                tried.or_else(|| {
                    self.latest_installs()
                        .first()
                        .map(|install| Done::by(install))
                })
            }
            CutStep::BroachSlots => {
                let mut keys = self.record.stake_keys.iter();
                keys.find(|keys| self.counts(&keys.body.spec)).map(Done::by)
            }
            _ => None,
        };
        Progress {
            done: follower,
            problems: Vec::new(),
        }
    }

    /// Returns the depth that a step must reach, from the face as is.
    fn depth_needed(&self, step: CutStep) -> Option<Length> {
        let depths = self.assessment.depths.as_ref()?;
        match step {
            CutStep::Drill => Some(depths.drill.unwrap_or(depths.drill_after_cut)),
            CutStep::Tap => Some(depths.full_thread.unwrap_or(depths.full_thread_after_cut)),
            _ => None,
        }
    }

    /// Returns whether a hole drilled too shallow does not matter any more: the thread is there at
    /// its full depth, and what is missing is less than the clearance of one pitch below it.
    fn thread_is_there(&self, missing: Length) -> bool {
        let clearance = Length::from_computed_mm(self.assessment.bolt_thread.pitch_mm());
        missing < clearance
            && self.deepest(CutStep::Tap).is_some()
            && self.is_done(StepKey::Cut(CutStep::Tap))
    }

    fn deeper_than_drilled(
        &self,
        step: CutStep,
        tapped: Length,
        cut: &Recorded<Cut>,
    ) -> Vec<Problem> {
        let drilled = self.deepest(CutStep::Drill).map(|(depth, _)| depth);
        let wrong = drilled.filter(|drilled| step == CutStep::Tap && tapped > *drilled);
        let problem = wrong.map(|drilled| Problem::TappedDeeperThanDrilled {
            entry: cut.entry,
            tapped,
            drilled,
        });
        Vec::from_iter(problem)
    }

    /// Returns whether the face was cut after an entry, and in all by more than planned.
    fn cut_too_deep_since<T>(&self, entry: &Recorded<T>) -> bool {
        let planned = self.face.planned().unwrap_or(Length::ZERO);
        self.face.removed_after(entry).is_positive() && self.face.removed() > planned
    }

    fn trial_fit(&self) -> Progress {
        let fits = self.record.trial_fits.iter();
        let counting = fits.filter(|fit| self.counts(&fit.body.spec));
        let failed = |entry| Problem::TrialFitFailed { entry };
        last_word(counting, |fit| fit.fits).judged(|_| Vec::new(), failed)
    }

    /// The face cut is recorded for the whole face.
    fn face_cut(&self) -> Progress {
        let finished = self.face.left_to_remove() == Some(Length::ZERO);
        if finished && self.face.removed().is_positive() {
            let done = Done {
                entry: None,
                by: None,
                at: None,
                reason: None,
            };
            return Progress::unless(Vec::new(), done);
        }
        Progress::OPEN
    }

    /// Returns the latest installs: those that no other one came after.
    fn latest_installs(&self) -> Vec<&'a Recorded<Install>> {
        let installs = self.record.installs.iter();
        latest(installs.filter(|install| self.counts(&install.body.spec)))
    }

    fn install(&self) -> Progress {
        let latest = self.latest_installs();
        let Some(first) = latest.first() else {
            return Progress::OPEN;
        };
        let problems = latest
            .iter()
            .flat_map(|install| self.judge_install(install));
        Progress::unless(
            problems.collect(),
            Done::with_reason(first, &first.body.reason),
        )
    }

    fn judge_install(&self, install: &Recorded<Install>) -> Vec<Problem> {
        let entry = install.entry;
        let mut problems = Vec::new();
        problems.extend(self.reopened(StepKey::Install, install, self.threads_cut()));
        let range = self.install_range();
        match (install.body.below_face, range) {
            (Some(below), Some((least, most))) => {
                let below = self.as_is(install, below);
                if is_outside(below, least, most) {
                    problems.push(Problem::InstallDepth {
                        entry,
                        below,
                        least,
                        most,
                    });
                }
            }
            (None, Some(_)) if self.face.removed_after(install).is_positive() => {
                let step = StepKey::Install;
                problems.push(Problem::DepthUnknown { step, entry });
            }
            _ => {}
        }
        let early = self.face.left_to_remove() != Some(Length::ZERO);
        if early && is_blank(&install.body.reason) {
            problems.push(Problem::InstalledBeforeFaceCut { entry });
        }
        problems
    }

    /// Returns the range of an insert's top end below the face as is.
    fn install_range(&self) -> Option<(Length, Length)> {
        let depths = self.assessment.depths.as_ref()?;
        let left = self.face.left_to_remove().unwrap_or(Length::ZERO);
        let (least, most) = depths.install_below_min.zip(depths.install_below_max)?;
        Some((least + left, most + left))
    }

    fn stake_keys(&self) -> Progress {
        let keys = self.record.stake_keys.iter();
        let latest: Vec<&Recorded<StakeKeys>> =
            latest(keys.filter(|keys| self.counts(&keys.body.spec)));
        let Some(first) = latest.first() else {
            return Progress::OPEN;
        };
        let of = self
            .assessment
            .insert
            .as_ref()
            .map_or(0, |insert| insert.keys);
        let mut problems = Vec::new();
        for keys in &latest {
            problems.extend(self.reopened(StepKey::StakeKeys, keys, self.installed()));
            let (entry, driven) = (keys.entry, keys.body.driven);
            if driven < of {
                problems.push(Problem::KeysMissing { entry, driven, of });
            }
        }
        Progress::unless(problems, Done::with_reason(first, &first.body.reason))
    }

    fn check(&self, kind: CheckKind) -> Progress {
        let checks = self.record.checks.iter();
        let counting = checks.filter(|check| check.body.check == kind);
        let judge = |check: &Recorded<CheckResult>| {
            let mut problems = Vec::new();
            let key = StepKey::Check(kind);
            problems.extend(self.reopened(key, check, self.before_check(kind)));
            problems.extend(self.reading_out_of_limits(kind, check));
            problems
        };
        let failed = |entry| Problem::CheckFailed { check: kind, entry };
        last_word(counting, |check| check.passes).judged(judge, failed)
    }

    /// A straightedge reading gives the depth of the insert's top, which has its limits.
    fn reading_out_of_limits(
        &self,
        kind: CheckKind,
        check: &Recorded<CheckResult>,
    ) -> Option<Problem> {
        let read = check
            .body
            .reading
            .filter(|_| kind == CheckKind::StakeCheck)?;
        let reading = self.as_is(check, read);
        let (least, most) = self.install_range()?;
        is_outside(reading, least, most).then_some(Problem::CheckReading {
            check: kind,
            entry: check.entry,
            reading,
            least,
            most,
        })
    }

    fn final_check(&self) -> Progress {
        let checks = self.record.final_checks.iter();
        let counting = checks.filter(|check| self.counts(&check.body.spec));
        let failed = |entry| Problem::FinalCheckFailed { entry };
        last_word(counting, |check| check.passes)
            .judged(|check| self.judge_final_check(check), failed)
    }

    fn judge_final_check(&self, check: &Recorded<FinalCheck>) -> Vec<Problem> {
        let entry = check.entry;
        let mut problems = Vec::new();
        let open =
            order::required_before(StepKey::FinalCheck, self).find(|key| !self.is_done(*key));
        problems.extend(open.map(|open| Problem::PassedTooSoon { entry, open }));
        problems.extend(self.reopened(StepKey::FinalCheck, check, self.everything()));
        let limit = self.torque_limit_nm();
        if let (Some(torque_nm), Some(limit_nm)) = (check.body.torque_nm, limit)
            && torque_nm > limit_nm * TORQUE_ROUNDING
        {
            problems.push(Problem::TorqueAboveLimit {
                entry,
                torque_nm,
                limit_nm,
            });
        }
        let needed = self.thread_for_bolt();
        if let (Some(engaged), Some(needed)) = (check.body.engaged, needed)
            && engaged < needed
        {
            problems.push(Problem::EngagementShort {
                entry,
                engaged,
                needed,
            });
        }
        problems
    }

    /// Returns the largest torque that the plan shows for this hole: for dry threads.
    fn torque_limit_nm(&self) -> Option<f64> {
        let dry = self
            .assessment
            .torque(self.situation.bolt, Lubrication::Dry);
        dry.map(|torque| torque.low_nm_torque)
    }

    /// Returns the thread length that the bolt must engage: what the plan counts on, less one pitch,
    /// which a gauge or bolt end does not fill (judgment).
    fn thread_for_bolt(&self) -> Option<Length> {
        let pitch = Length::from_computed_mm(self.assessment.bolt_thread.pitch_mm());
        let engaged = self.assessment.engaged?.length();
        Some((engaged - pitch).clamp_at_zero())
    }

    /// Returns the first thing that was recorded after an entry that rests on it.
    fn reopened<T>(
        &self,
        step: StepKey,
        entry: &Recorded<T>,
        rests_on: Vec<(Cause, Seen)>,
    ) -> Option<Problem> {
        let late = |basis: Seen| {
            let mut cuts = self.face.milled.iter();
            cuts.any(|cut| cut.position() == basis && cut.came_before(entry))
        };
        let (by, _) = rests_on
            .into_iter()
            .find(|(_, basis)| !entry.knows(*basis) && !late(*basis))?;
        let entry = entry.entry;
        Some(Problem::Reopened { step, entry, by })
    }

    /// Returns the entries of drilling and tapping.
    fn threads_cut(&self) -> Vec<(Cause, Seen)> {
        [CutStep::Drill, CutStep::Tap]
            .into_iter()
            .flat_map(|step| {
                let cause = Cause::Step(StepKey::Cut(step));
                self.cuts(step)
                    .map(move |cut| (cause, Recorded::position(cut)))
            })
            .collect()
    }

    fn installed(&self) -> Vec<(Cause, Seen)> {
        let installs = self.latest_installs().into_iter();
        installs
            .map(|install| (Cause::Step(StepKey::Install), Recorded::position(install)))
            .collect()
    }

    /// Returns what a check rests on: the thread, the insert and its keys; for the straightedge also
    /// the face.
    fn before_check(&self, kind: CheckKind) -> Vec<(Cause, Seen)> {
        let mut before = self.threads_cut();
        let plug = [CutStep::Plug, CutStep::DrillPlug, CutStep::TapPlug];
        for step in plug {
            let cause = Cause::Step(StepKey::Cut(step));
            before.extend(self.cuts(step).map(|cut| (cause, Recorded::position(cut))));
        }
        before.extend(self.installed());
        let keys = self.record.stake_keys.iter();
        before.extend(
            keys.filter(|keys| self.counts(&keys.body.spec))
                .map(|keys| (Cause::Step(StepKey::StakeKeys), Recorded::position(keys))),
        );
        if kind == CheckKind::StakeCheck {
            before.extend(self.face_cuts());
        }
        before
    }

    fn face_cuts(&self) -> Vec<(Cause, Seen)> {
        let cuts = self.face.milled.iter();
        cuts.map(|cut| (Cause::FaceCut, Recorded::position(cut)))
            .collect()
    }

    /// Returns all that a final check rests on: what was measured, decided and cut, and the face
    /// cuts. Trial fits and checks are judged on their own.
    fn everything(&self) -> Vec<(Cause, Seen)> {
        fn all<T>(entries: &[Recorded<T>], cause: impl Fn(&T) -> Cause) -> Vec<(Cause, Seen)> {
            let entries = entries.iter();
            entries
                .map(|entry| (cause(&entry.body), entry.position()))
                .collect()
        }
        let record = self.record;
        [
            self.wanted(),
            self.looks(),
            all(&record.damage.0, |_| Cause::Damage),
            all(&record.choice.0, |_| Cause::Remedy),
            self.read(),
            self.face_cuts(),
            all(&record.cuts, |cut| Cause::Step(StepKey::Cut(cut.step))),
            all(&record.installs, |_| Cause::Step(StepKey::Install)),
            all(&record.stake_keys, |_| Cause::Step(StepKey::StakeKeys)),
            self.tries_and_troubles(),
        ]
        .concat()
    }

    /// Returns the tries that may have changed the hole, and the tools that broke off in it.
    fn tries_and_troubles(&self) -> Vec<(Cause, Seen)> {
        let tries = self.record.tries.iter();
        let changed = tries.filter(|it| it.body.way.is_some_and(|way| way.aftermath().is_some()));
        let troubles = self.record.tool_troubles.iter();
        let broke = troubles.filter(|it| it.body.trouble == Trouble::BrokeInHole);
        changed
            .map(|it| (Cause::Try, it.position()))
            .chain(broke.map(|it| (Cause::BrokenTool, it.position())))
            .collect()
    }

    /// Returns the wanted thread, the hole's own or the one that it inherits.
    fn wanted(&self) -> Vec<(Cause, Seen)> {
        let of = |wanted: &Recorded<_>| match self.face.setup.gave(wanted.entry) {
            true => (Cause::UsualThread, wanted.position()),
            false => (Cause::WantedThread, wanted.position()),
        };
        self.record.wanted.0.iter().map(of).collect()
    }

    /// Returns the readings, and the usual values that the hole inherits.
    fn read(&self) -> Vec<(Cause, Seen)> {
        let of = |reading: &Recorded<Reading>| {
            let quantity = reading.body.quantity;
            match self.face.setup.gave(reading.entry) {
                true => (Cause::UsualReading(quantity), reading.position()),
                false => (Cause::Reading(quantity), reading.position()),
            }
        };
        self.record.readings.iter().map(of).collect()
    }

    /// Returns the first looks that a check must know of: those that find the hole sound change
    /// nothing.
    fn looks(&self) -> Vec<(Cause, Seen)> {
        let looks = self.record.condition.0.iter();
        looks
            .filter(|look| look.body.condition != Condition::Sound)
            .map(|look| (Cause::Condition, look.position()))
            .collect()
    }

    /// Returns the places of all entries of the hole and its face that work rests on.
    pub(super) fn everything_seen(&self) -> Vec<Seen> {
        fn all<T>(entries: &[Recorded<T>]) -> Vec<Seen> {
            entries.iter().map(Recorded::position).collect()
        }
        let record = self.record;
        let places = [
            self.everything()
                .into_iter()
                .map(|(_, place)| place)
                .collect(),
            all(&record.trial_fits),
            all(&record.checks),
            all(&record.final_checks),
            all(&self.face.planned_cut.0),
        ];
        let mut latest: HashMap<DeviceId, u64> = HashMap::new();
        for place in places.concat() {
            let seq = latest.entry(place.device).or_default();
            *seq = place.seq.max(*seq);
        }
        let seen = latest.into_iter().map(|(device, seq)| Seen { device, seq });
        seen.collect()
    }

    /// Returns all open problems of the remedy's steps, in the order of the work, and those of checks
    /// that it does not ask for.
    pub(in crate::hole) fn problems(&self) -> Vec<Problem> {
        let mut keys = order::step_keys(self);
        for check in CheckKind::ALL.map(StepKey::Check) {
            if !keys.contains(&check) {
                keys.push(check);
            }
        }
        let problems = keys.into_iter();
        problems
            .flat_map(|key| self.progress(key).problems)
            .collect()
    }

    /// Returns a sentence with the usual values that cutting rests on; `None` if all were measured.
    pub(super) fn not_measured(&self) -> Option<String> {
        let inherited = Inherited::of(self.record, self.face).readings;
        let names: Vec<String> = inherited
            .iter()
            .filter(|quantity| **quantity != Quantity::Grip)
            .map(Quantity::to_string)
            .collect();
        (!names.is_empty()).then(|| {
            format!(
                "From the face's setup, not measured at this hole: {}.",
                names.join(", ")
            )
        })
    }

    /// Returns what to look out for after a broken piece came out; `None`: nothing special.
    pub(super) fn aftermath(&self) -> Option<&'static str> {
        let mut ways = self
            .cuts(CutStep::ClearBroken)
            .filter_map(|cut| cut.body.removal);
        ways.find_map(Removal::aftermath)
    }

    /// Returns whether a plug is in and locked.
    pub(in crate::hole) fn is_plugged(&self) -> bool {
        self.assessment.remedy == Remedy::ThreadedPlug
            && (self.is_done(StepKey::Cut(CutStep::Plug))
                || self.is_done(StepKey::Cut(CutStep::TapPlug)))
    }
}

/// Half of the last place in which limits are shown in millimeters: people work to what they read.
const SHOWN: Length = Length::from_nm(5_000);

/// Returns whether a recorded length is outside its limits, by more than they are rounded when shown.
fn is_outside(length: Length, least: Length, most: Length) -> bool {
    length < least - SHOWN || length > most + SHOWN
}

/// Recorded torques count as at the limit if they differ by the rounding of the number shown.
const TORQUE_ROUNDING: f64 = 1.02;

/// What entries say of something that passes or fails.
enum LastWord<'a, T> {
    Nothing,
    /// The latest entries that passed.
    Passed(Vec<&'a Recorded<T>>),
    Failed(&'a Recorded<T>),
}

impl<T> LastWord<'_, T> {
    /// Judges the entries that passed: one that holds is enough, since the others did not know of
    /// it.
    fn judged(
        &self,
        judge: impl Fn(&Recorded<T>) -> Vec<Problem>,
        failed: impl Fn(EntryId) -> Problem,
    ) -> Progress {
        match self {
            LastWord::Nothing => Progress::OPEN,
            LastWord::Failed(entry) => Progress {
                done: None,
                problems: vec![failed(entry.entry)],
            },
            LastWord::Passed(entries) => {
                let judged = entries.iter().map(|entry| (judge(entry), entry));
                let best = judged.min_by_key(|(problems, _)| problems.len());
                best.map_or(Progress::OPEN, |(problems, entry)| {
                    Progress::unless(problems, Done::by(entry))
                })
            }
        }
    }
}

/// Returns what the entries say: one that passed counts only if its writer knew of all that failed.
fn last_word<'a, T>(
    entries: impl Iterator<Item = &'a Recorded<T>>,
    passes: impl Fn(&T) -> bool,
) -> LastWord<'a, T> {
    let (passed, failed): (Vec<_>, Vec<_>) = entries.partition(|entry| passes(&entry.body));
    let knows_all = |entry: &&Recorded<T>| failed.iter().all(|other| entry.knows(other.position()));
    let passed = latest(passed.into_iter().filter(knows_all));
    match latest(failed.iter().copied()).first() {
        _ if !passed.is_empty() => LastWord::Passed(passed),
        Some(failed) => LastWord::Failed(failed),
        None => LastWord::Nothing,
    }
}

/// Returns the entries that no other one came after, in the order of their ids: the latest, and those
/// recorded at the same time on other devices.
fn latest<'a, T>(entries: impl Iterator<Item = &'a Recorded<T>>) -> Vec<&'a Recorded<T>> {
    let all: Vec<&Recorded<T>> = entries.collect();
    let is_latest = |entry: &&&Recorded<T>| !all.iter().any(|other| other.knows(entry.position()));
    let mut latest: Vec<&Recorded<T>> = all.iter().filter(is_latest).copied().collect();
    latest.sort_unstable_by_key(|entry| entry.entry);
    latest
}
