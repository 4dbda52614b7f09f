//! The largest and smallest values that are not asked about. All are judgments: each is wider than
//! anything in ordinary repair work on cast machine parts, and narrower than the usual slips, such
//! as millimeters typed as inches. A shop can change them: they are among the [`Limits`].

use super::{Implausible, Known, Subject};
use crate::hole::limits::Limits;
use crate::hole::record::Quantity;
use crate::length::Length;
use crate::thread::Thread;

/// A limit, and the thread that it is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limit {
    /// The limit.
    pub length: Length,
    /// The thread, if it depends on one.
    pub thread: Option<Thread>,
}

impl Limit {
    /// Names the thread: `for 3/8-16 UNC, `.
    pub(super) fn thread_words(&self) -> String {
        let named = |thread: Thread| format!("for {}, ", thread.designation());
        self.thread.map_or(String::new(), named)
    }

    /// Returns so many diameters of the thread, or else the limit for any thread.
    fn diameters(thread: Option<Thread>, number: f64, any_mm: f64) -> Limit {
        let length_mm = thread.map_or(any_mm, |thread| thread.nominal().mm() * number);
        Limit {
            length: Length::from_computed_mm(length_mm),
            thread,
        }
    }

    /// Returns a limit for any thread, in millimeters.
    pub(super) fn mm(length_mm: f64) -> Limit {
        Limit::from(Length::from_computed_mm(length_mm))
    }
}

impl From<Length> for Limit {
    fn from(length: Length) -> Limit {
        Limit {
            length,
            thread: None,
        }
    }
}

/// Returns the deepest usual hole.
pub(super) fn deepest(known: &Known) -> Limit {
    let Limits {
        usual_depth_diameters,
        usual_depth_mm,
        ..
    } = known.limits;
    Limit::diameters(known.thread, usual_depth_diameters, usual_depth_mm)
}

/// Returns the widest usual damage.
pub(super) fn widest_damage(known: &Known) -> Limit {
    let Limits {
        usual_damage_diameters,
        usual_damage_mm,
        ..
    } = known.limits;
    Limit::diameters(known.thread, usual_damage_diameters, usual_damage_mm)
}

/// Returns how far off center damage usually is at most: as far as the widest reaches.
pub(super) fn farthest_damage(known: &Known) -> Limit {
    let widest = widest_damage(known);
    Limit {
        length: widest.length / 2,
        ..widest
    }
}

pub(super) fn at_most(subject: Subject, value: Length, limit: Limit) -> Option<Implausible> {
    (value > limit.length).then_some(Implausible::Large {
        subject,
        value,
        limit,
    })
}

fn at_least(subject: Subject, value: Length, limit: Limit) -> Option<Implausible> {
    (value < limit.length).then_some(Implausible::Small {
        subject,
        value,
        limit,
    })
}

/// Returns what is unusual about a reading's value.
pub(super) fn of_reading(quantity: Quantity, value: Length, known: &Known) -> Option<Implausible> {
    let subject = Subject::Reading(quantity);
    let (thread, limits) = (known.thread, &known.limits);
    let any = |most_mm: f64| at_most(subject, value, Limit::mm(most_mm));
    match quantity {
        Quantity::Depth => at_most(subject, value, deepest(known)).or_else(|| {
            let thread = thread?;
            let half = Limit {
                length: thread.nominal() / 2,
                thread: Some(thread),
            };
            at_least(subject, value, half)
        }),
        Quantity::FullThread | Quantity::FullDiameter => at_most(subject, value, deepest(known)),
        Quantity::NeighborDiameter => any(limits.usual_damage_mm),
        // Through the thickest grip into the deepest hole.
        Quantity::BoltLength | Quantity::BoltThreadLength => any(2.0 * limits.usual_depth_mm),
        Quantity::Floor => any(limits.usual_depth_mm),
        Quantity::NearestEdge => any(limits.usual_distance_mm).or_else(|| {
            let half = thread?.nominal() / 2;
            (value < half).then_some(Implausible::EdgeInHole { value, half })
        }),
        Quantity::NearestHole => any(limits.usual_distance_mm).or_else(|| {
            let across = thread?.nominal();
            (value < across).then_some(Implausible::HolesOverlap { value, across })
        }),
        Quantity::Bore => bore(subject, value, known),
        Quantity::MatingHole => {
            let widest = Limit::diameters(thread, 2.0, limits.usual_damage_mm);
            at_most(subject, value, widest).or_else(|| {
                let thread = thread.filter(|thread| value < thread.nominal())?;
                Some(Implausible::BoltDoesNotPass { value, thread })
            })
        }
        Quantity::Grip => {
            let (number, any_mm) = (limits.usual_grip_diameters, limits.usual_depth_mm);
            let longest = Limit::diameters(thread, number, any_mm);
            let thinnest = Limit::mm(limits.usual_grip_least_mm);
            any(any_mm)
                .or_else(|| at_most(subject, value, longest))
                .or_else(|| at_least(subject, value, thinnest))
        }
    }
}

/// A bore wider than the thread by half has no thread left to measure across; it is damage.
fn bore(subject: Subject, value: Length, known: &Known) -> Option<Implausible> {
    let Some(thread) = known.thread else {
        return at_most(subject, value, Limit::mm(known.limits.usual_damage_mm));
    };
    let widest = Limit {
        length: thread.nominal() * 3 / 2,
        thread: Some(thread),
    };
    at_most(subject, value, widest).or_else(|| {
        let least = thread.usual_internal().minor_min;
        let too_small = value.mm() < least.mm() * known.limits.usual_bore_share;
        too_small.then_some(Implausible::BoreTooSmall {
            value,
            least,
            thread,
        })
    })
}
