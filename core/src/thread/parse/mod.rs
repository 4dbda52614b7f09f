//! Parser for thread designations, with tolerance class, hand and older series names.

mod look_up;
mod old_names;
mod query;
mod series;
mod suffix;

pub use old_names::OldName;
pub use suffix::Class;

use super::{Thread, ThreadError};
use crate::length::normalize_signs;

/// Longer text is refused unread, in bytes: it is a paste gone wrong.
const MAX_BYTES: usize = 60;
/// How many characters of such text an error quotes.
const QUOTED_CHARS: usize = 20;

/// A thread with everything that was written with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ParsedThread {
    /// The thread.
    pub thread: Thread,
    /// The tolerance class, if given.
    pub class: Option<Class>,
    /// The older or looser series name, if one was used.
    pub old_name: Option<OldName>,
}

impl ParsedThread {
    /// Parses a thread with its class and hand: `3/8-16 UNC-2B`, `M10x1.5-6H`, `3/8-24 SAE`,
    /// `1/2 Whitworth LH`, `3/8-16 STI`.
    ///
    /// # Errors
    /// If the text is not a thread, or the thread does not have the class.
    pub fn parse(text: &str) -> Result<ParsedThread, ThreadError> {
        // Some write a multiplication sign between size and pitch.
        let written = normalize_signs(text).replace('\u{d7}', "x");
        if written.is_empty() || written.len() > MAX_BYTES {
            return Err(not_a_thread(
                &written.chars().take(QUOTED_CHARS).collect::<String>(),
            ));
        }
        let (body, tail) = suffix::split(&written)?;
        let query = query::parse(body, &written)?;
        let mut thread = look_up::look_up(&query, &written)?.with_hand(tail.hand);
        if tail.sti {
            if thread.is_pipe() {
                return Err(not_a_thread(&written));
            }
            thread = thread.for_wire_insert();
        }
        if let Some(class) = tail.class {
            class.check(thread)?;
        }
        Ok(ParsedThread {
            thread,
            class: tail.class,
            old_name: match query.named {
                Some(series::SeriesName::Old(name)) => Some(name),
                _ => None,
            },
        })
    }
}

fn not_a_thread(written: &str) -> ThreadError {
    ThreadError::NotAThread {
        input: written.to_owned(),
    }
}
