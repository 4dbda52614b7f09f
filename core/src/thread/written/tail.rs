//! What stands behind a designation: tolerance class and hand, in either order.

use super::super::{ExternalClass, Hand, InternalClass, Thread, ThreadError};
use std::fmt;

/// A tolerance class, of a hole or of a screw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// Of a tapped hole: `2B`, `6H`.
    Internal(InternalClass),
    /// Of a screw: `2A`, `6g`.
    External(ExternalClass),
}

impl Class {
    /// Reads a class. Capital letters are holes and small ones screws in metric classes.
    ///
    /// # Errors
    /// No series has it.
    pub fn read(text: &str) -> Result<Class, ThreadError> {
        match text.parse() {
            Ok(class) => Ok(Class::Internal(class)),
            Err(_) => text.parse().map(Class::External),
        }
    }

    /// Whether the thread has the class.
    ///
    /// # Errors
    /// It has not.
    pub fn check(self, thread: Thread) -> Result<(), ThreadError> {
        match self {
            Class::Internal(class) => thread.internal(class).map(drop),
            Class::External(class) => thread.external(class).map(drop),
        }
    }
}

impl fmt::Display for Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Class::Internal(class) => class.fmt(f),
            Class::External(class) => class.fmt(f),
        }
    }
}

/// What was found behind the thread.
#[derive(Default)]
pub(super) struct Tail {
    pub hand: Hand,
    pub class: Option<Class>,
}

/// Parts the thread from what stands behind it.
pub(super) fn split(written: &str) -> Result<(&str, Tail), ThreadError> {
    let mut tail = Tail::default();
    let mut body = written;
    loop {
        if let Some((rest, hand)) = hand_behind(body) {
            (body, tail.hand) = (rest, hand);
        } else if let Some((rest, class)) = class_behind(body, tail.class)? {
            (body, tail.class) = (rest, Some(class));
        } else {
            return Ok((body, tail));
        }
    }
}

fn hand_behind(body: &str) -> Option<(&str, Hand)> {
    const WORDS: [(&str, Hand); 10] = [
        ("left-handed", Hand::Left),
        ("left-hand", Hand::Left),
        ("left handed", Hand::Left),
        ("left hand", Hand::Left),
        ("left", Hand::Left),
        ("lh", Hand::Left),
        ("l.h.", Hand::Left),
        ("right hand", Hand::Right),
        ("right-hand", Hand::Right),
        ("rh", Hand::Right),
    ];
    WORDS.iter().find_map(|&(word, hand)| {
        let at = body.len().checked_sub(word.len())?;
        let (rest, end) = (body.get(..at)?, body.get(at..)?);
        let apart = rest.ends_with([' ', '-', ',']);
        (apart && end.eq_ignore_ascii_case(word)).then(|| (without_joint(rest), hand))
    })
}

fn class_behind(body: &str, before: Option<Class>) -> Result<Option<(&str, Class)>, ThreadError> {
    let Some(at) = body.rfind([' ', '-', ',']) else {
        return Ok(None);
    };
    let word = &body[at + 1..];
    if before.is_some() || !looks_like_class(word) {
        return Ok(None);
    }
    Ok(Some((without_joint(&body[..at]), Class::read(word)?)))
}

/// A digit and a letter, once or twice: `2B`, `6H`, `4g6g`.
fn looks_like_class(word: &str) -> bool {
    let bytes = word.as_bytes();
    matches!(bytes.len(), 2 | 4)
        && bytes
            .chunks(2)
            .all(|pair| pair[0].is_ascii_digit() && pair[1].is_ascii_alphabetic())
}

fn without_joint(text: &str) -> &str {
    text.trim_end_matches([' ', '-', ','])
}
