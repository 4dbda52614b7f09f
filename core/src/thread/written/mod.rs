//! Reading thread designations: the thread, and what else was written with it.

mod asked;
mod look_up;
mod old_names;
mod series;
mod tail;

pub use old_names::OldName;
pub use tail::Class;

use super::{Thread, ThreadError};
use crate::length::plain_signs;

/// More than this is no thread but a paste gone wrong, in bytes.
const LONGEST: usize = 60;
/// How much of such a paste a message quotes, in characters.
const QUOTED: usize = 20;

/// A thread as somebody wrote it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Written {
    /// The thread.
    pub thread: Thread,
    /// The tolerance class behind it.
    pub class: Option<Class>,
    /// The older or looser name by which its series was called.
    pub called: Option<OldName>,
}

impl Written {
    /// Reads a thread with its class and hand: `3/8-16 UNC-2B`, `M10x1.5-6H`, `3/8-24 SAE`, `1/2 Whitworth LH`.
    ///
    /// # Errors
    /// One sentence that says what was read and what to write; a class that the thread does not have.
    pub fn read(text: &str) -> Result<Written, ThreadError> {
        // Between size and pitch some write the sign of multiplication.
        let written = plain_signs(text).replace('\u{d7}', "x");
        if written.is_empty() || written.len() > LONGEST {
            return Err(unreadable(
                &written.chars().take(QUOTED).collect::<String>(),
            ));
        }
        let (body, tail) = tail::split(&written)?;
        let asked = asked::read(body, &written)?;
        let thread = look_up::look_up(&asked, &written)?.with_hand(tail.hand);
        if let Some(class) = tail.class {
            class.check(thread)?;
        }
        Ok(Written {
            thread,
            class: tail.class,
            called: match asked.named {
                Some(series::Called::Old(name)) => Some(name),
                _ => None,
            },
        })
    }
}

fn unreadable(written: &str) -> ThreadError {
    ThreadError::Unreadable {
        asked: written.to_owned(),
    }
}
