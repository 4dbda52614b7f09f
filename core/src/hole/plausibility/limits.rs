//! The largest and smallest values that are not asked about. All are judgments: each is wider than
//! anything in ordinary repair work on cast machine parts, and narrower than the usual slips, such
//! as millimeters typed as inches.

use super::{Implausible, Subject};
use crate::hole::record::Quantity;
use crate::length::Length;
use crate::thread::Thread;

/// The thickest face cut: a joint face cleans up within less.
pub(super) const THICKEST_USUAL_CUT: Length = Length::from_fraction(1, 8);
/// The largest lean of an old hole, degrees: one that leans more is seen at a glance, and was most
/// likely typed in the wrong field.
pub(super) const LARGEST_USUAL_LEAN_DEG: f64 = 10.0;
/// The deepest hole, in diameters of its thread: a tap does not reach as deep.
const DEEPEST_DIAMETERS: i64 = 10;
/// The deepest hole of any thread.
const DEEPEST: Length = Length::from_fraction(12, 1);
/// The widest damage, in diameters of the thread: no insert or plug fills a wider one.
const WIDEST_DIAMETERS: i64 = 6;
/// The widest damage of any thread.
const WIDEST: Length = Length::from_fraction(6, 1);
/// The thickest floor or grip.
const THICKEST: Length = Length::from_fraction(12, 1);
/// The longest grip, in diameters of the thread.
const GRIP_DIAMETERS: i64 = 20;
/// The longest bolt, through the thickest grip into the deepest hole.
const LONGEST_BOLT: Length = Length::from_fraction(24, 1);
/// The thinnest grip: thinner than a washer.
const THINNEST_GRIP: Length = Length::from_fraction(1, 32);
/// The largest distance to an edge or hole.
const FARTHEST: Length = Length::from_fraction(40, 1);
/// The smallest bore, as a fraction of the thread's smallest minor diameter: rust and burrs take
/// less than the rest.
const BORE_SHARE: (i64, i64) = (9, 10);

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
    fn diameters(thread: Option<Thread>, number: i64, any: Length) -> Limit {
        Limit {
            length: thread.map_or(any, |thread| thread.nominal() * number),
            thread,
        }
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
pub(super) fn deepest(thread: Option<Thread>) -> Limit {
    Limit::diameters(thread, DEEPEST_DIAMETERS, DEEPEST)
}

/// Returns the widest usual damage.
pub(super) fn widest_damage(thread: Option<Thread>) -> Limit {
    Limit::diameters(thread, WIDEST_DIAMETERS, WIDEST)
}

/// Returns how far off center damage usually is at most: as far as the widest reaches.
pub(super) fn farthest_damage(thread: Option<Thread>) -> Limit {
    let widest = widest_damage(thread);
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
pub(super) fn of_reading(
    quantity: Quantity,
    value: Length,
    thread: Option<Thread>,
) -> Option<Implausible> {
    let subject = Subject::Reading(quantity);
    let any = |most: Length| at_most(subject, value, most.into());
    match quantity {
        Quantity::Depth => at_most(subject, value, deepest(thread)).or_else(|| {
            let thread = thread?;
            let half = Limit {
                length: thread.nominal() / 2,
                thread: Some(thread),
            };
            at_least(subject, value, half)
        }),
        Quantity::FullThread | Quantity::FullDiameter => at_most(subject, value, deepest(thread)),
        Quantity::NeighborDiameter => any(WIDEST),
        Quantity::BoltLength | Quantity::BoltThreadLength => any(LONGEST_BOLT),
        Quantity::Floor => any(THICKEST),
        Quantity::NearestEdge => any(FARTHEST).or_else(|| {
            let half = thread?.nominal() / 2;
            (value < half).then_some(Implausible::EdgeInHole { value, half })
        }),
        Quantity::NearestHole => any(FARTHEST).or_else(|| {
            let across = thread?.nominal();
            (value < across).then_some(Implausible::HolesOverlap { value, across })
        }),
        Quantity::Bore => bore(subject, value, thread),
        Quantity::MatingHole => {
            let widest = Limit::diameters(thread, 2, WIDEST);
            at_most(subject, value, widest).or_else(|| {
                let thread = thread.filter(|thread| value < thread.nominal())?;
                Some(Implausible::BoltDoesNotPass { value, thread })
            })
        }
        Quantity::Grip => {
            let longest = Limit::diameters(thread, GRIP_DIAMETERS, THICKEST);
            any(THICKEST)
                .or_else(|| at_most(subject, value, longest))
                .or_else(|| at_least(subject, value, THINNEST_GRIP.into()))
        }
    }
}

/// A bore wider than the thread by half has no thread left to measure across; it is damage.
fn bore(subject: Subject, value: Length, thread: Option<Thread>) -> Option<Implausible> {
    let Some(thread) = thread else {
        return at_most(subject, value, WIDEST.into());
    };
    let widest = Limit {
        length: thread.nominal() * 3 / 2,
        thread: Some(thread),
    };
    at_most(subject, value, widest).or_else(|| {
        let least = thread.usual_internal().minor_min;
        let (part, whole) = BORE_SHARE;
        (value < least * part / whole).then_some(Implausible::BoreTooSmall {
            value,
            least,
            thread,
        })
    })
}
