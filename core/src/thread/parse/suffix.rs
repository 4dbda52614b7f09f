//! The suffix of a designation: tolerance class, hand and STI, in any order.

use super::super::{ExternalClass, Hand, InternalClass, Thread, ThreadError};
use std::fmt;

/// A tolerance class of a hole or a screw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// Of a tapped hole: `2B`, `6H`.
    Internal(InternalClass),
    /// Of a screw: `2A`, `6g`.
    External(ExternalClass),
}

impl Class {
    /// Parses a class. In metric classes capital letters are holes and small letters screws.
    ///
    /// # Errors
    /// If no series has the class.
    pub fn parse(text: &str) -> Result<Class, ThreadError> {
        match text.parse() {
            Ok(class) => Ok(Class::Internal(class)),
            Err(_) => text.parse().map(Class::External),
        }
    }

    /// Checks that the thread has the class.
    ///
    /// # Errors
    /// If it does not.
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

/// Class, hand and STI found after the thread; STI may also come before it.
#[derive(Default)]
pub(super) struct Suffix {
    pub hand: Hand,
    pub class: Option<Class>,
    pub sti: bool,
}

/// Splits the suffix off a designation.
pub(super) fn split(written: &str) -> Result<(&str, Suffix), ThreadError> {
    let mut tail = Suffix::default();
    let mut body = written;
    if let Some(rest) = sti_prefix(body) {
        (body, tail.sti) = (rest, true);
    }
    loop {
        if let Some(rest) = sti_suffix(body).filter(|_| !tail.sti) {
            (body, tail.sti) = (rest, true);
        } else if let Some((rest, hand)) = hand_suffix(body) {
            (body, tail.hand) = (rest, hand);
        } else if let Some((rest, class)) = class_suffix(body, tail.class)? {
            (body, tail.class) = (rest, Some(class));
        } else {
            return Ok((body, tail));
        }
    }
}

const STI: &str = "sti";

fn sti_prefix(body: &str) -> Option<&str> {
    let (word, rest) = body.split_once(' ')?;
    word.eq_ignore_ascii_case(STI).then(|| rest.trim_start())
}

fn sti_suffix(body: &str) -> Option<&str> {
    let (rest, word) = body.rsplit_once([' ', '-', ','])?;
    word.eq_ignore_ascii_case(STI).then(|| trim_separator(rest))
}

fn hand_suffix(body: &str) -> Option<(&str, Hand)> {
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
        let is_separated = rest.ends_with([' ', '-', ',']);
        (is_separated && end.eq_ignore_ascii_case(word)).then(|| (trim_separator(rest), hand))
    })
}

fn class_suffix(body: &str, before: Option<Class>) -> Result<Option<(&str, Class)>, ThreadError> {
    let Some(at) = body.rfind([' ', '-', ',']) else {
        return Ok(None);
    };
    let word = &body[at + 1..];
    if before.is_some() || !looks_like_class(word) {
        return Ok(None);
    }
    Ok(Some((trim_separator(&body[..at]), Class::parse(word)?)))
}

/// Whether the word is a digit and a letter, once or twice: `2B`, `6H`, `4g6g`.
fn looks_like_class(word: &str) -> bool {
    let bytes = word.as_bytes();
    matches!(bytes.len(), 2 | 4)
        && bytes
            .chunks(2)
            .all(|pair| pair[0].is_ascii_digit() && pair[1].is_ascii_alphabetic())
}

fn trim_separator(text: &str) -> &str {
    text.trim_end_matches([' ', '-', ','])
}
