//! How this device meets others: what a carrier offers beside the notebook, so that the screens need to know no socket.
//!
//! A carrier implements [`Meeting`] and hands it to [`crate::answer_with`]. All of it but the shelves may be left out, and the
//! pages then do not speak of it. [`Worker`] does what takes long in the background, and [`Bundles`] has a place for the files, for
//! carriers to build on.

mod bundles;
mod run;
mod worker;

pub use bundles::Bundles;
pub use run::{BundleFile, Done, Leg, LegState, Run, Way};
pub use worker::{Begun, NotBegun, Piece, Worker};

use crate::carrier::Upload;
use chrono::{DateTime, FixedOffset};
use holebook_core::notebook::Moved;
use std::path::Path;

/// How this device meets others. Calls come from any thread, and come back soon; what takes long goes on in the background.
pub trait Meeting: Sync {
    /// The shelves that can be exchanged with by name: shop computers that this device is paired with, and folders and
    /// buckets that it exchanged with before and can reach again.
    ///
    /// # Errors
    /// Where they cannot be looked up.
    fn shelves(&self) -> Result<Vec<Shelf>, NotDone>;

    /// What is under way, or what was done last since the program started.
    fn run(&self) -> Option<Run>;

    /// Begins something in the background; [`Meeting::run`] says how far it is.
    ///
    /// # Errors
    /// Where something is under way already, or it cannot be begun.
    fn begin(&self, task: Task<'_>) -> Result<(), NotDone>;

    /// Ends what is under way, soon. What was moved by then stays.
    fn end(&self);

    /// Takes a shelf off the list, and what pairs this device with it, if anything does. The shelf stays as it is.
    ///
    /// # Errors
    /// Where it is not on the list, or that cannot be recorded.
    fn forget(&self, shelf: &str) -> Result<(), NotDone>;

    /// Whether the head of every page says how many entries are not home yet.
    fn says_what_is_not_home(&self) -> bool {
        false
    }

    /// Whether a person may name a folder by its path.
    fn takes_folders(&self) -> bool {
        false
    }

    /// Whether a person may name a bucket or a WebDAV folder.
    fn takes_buckets(&self) -> bool {
        false
    }

    /// Whether bundles can be written and taken in.
    fn bundles(&self) -> bool {
        false
    }

    /// How others are paired with this device, where they can be.
    fn host(&self) -> Option<&dyn Host> {
        None
    }

    /// How this device is paired with a shop computer, where it can be.
    fn guest(&self) -> Option<&dyn Guest> {
        None
    }
}

/// A device that others are paired with, and that they exchange with while it is there: the shop computer.
pub trait Host: Sync {
    /// Where others on the same network reach it now, such as `192.168.1.20:29376`; otherwise why they do not, in a sentence.
    ///
    /// # Errors
    /// The sentence.
    fn reached_at(&self) -> Result<String, NotDone>;

    /// The code that was made last, since the program started.
    fn code(&self) -> Option<Code>;

    /// Makes a code, for one device. The one before it is good no more.
    ///
    /// # Errors
    /// Where none can be made.
    fn make_code(&self) -> Result<(), NotDone>;

    /// Ends the code that stands; there may be none.
    ///
    /// # Errors
    /// Where that cannot be recorded.
    fn withdraw_code(&self) -> Result<(), NotDone>;

    /// The devices that are or were paired.
    ///
    /// # Errors
    /// Where they cannot be looked up.
    fn devices(&self) -> Result<Vec<Device>, NotDone>;

    /// Revokes a device: from now on it brings nothing and takes nothing. What it brought stays.
    ///
    /// # Errors
    /// Where it is not paired, or that cannot be recorded.
    fn revoke(&self, device: &str) -> Result<(), NotDone>;
}

/// A device that pairs itself with a shop computer.
pub trait Guest: Sync {
    /// Pairs by a code, words or link, as a person typed or scanned it; gives the shop computer's name. It may take some
    /// seconds where the shop computer does not answer.
    ///
    /// # Errors
    /// Where the code cannot be read or is good no more, or the shop computer is not reached.
    fn pair(&self, code: &str) -> Result<String, NotDone>;
}

/// A shelf to exchange with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shelf {
    /// What tells it from all others, as [`holebook_core::exchange::Shelf::id`].
    pub id: String,
    /// What to call it in a sentence: `the shop computer Bench`.
    pub name: String,
    /// Whether it is a shop computer that this device is paired with, so that forgetting it wants a new pairing.
    pub paired: bool,
}

/// What takes long, and is begun by [`Meeting::begin`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Task<'a> {
    /// Exchange with every shelf on the list.
    ExchangeWithAll,
    /// Exchange with the shelf of this id.
    ExchangeWith(&'a str),
    /// Exchange with the folder at this path.
    ExchangeFolder(&'a Path),
    /// Exchange with a bucket or a WebDAV folder.
    ExchangeBucket(Bucket<'a>),
    /// Take in a bundle that came as a file. It goes away when the request is answered, so it is to be moved or copied first.
    TakeBundle(&'a Upload),
    /// Write a bundle.
    WriteBundle(Share),
}

/// A bucket of an S3-compatible store or a WebDAV folder, as a person says where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bucket<'a> {
    /// `https://host/folder`, or `s3://bucket/folder`.
    pub address: &'a str,
    /// Where the store of a bucket answers.
    pub endpoint: Option<&'a str>,
    /// The file of its keys; none for the one that was named before, if any.
    pub keys: Option<&'a Path>,
    /// Whether what goes there may be read on the way; else it may where that was said before.
    pub unencrypted: bool,
}

/// What a bundle shall hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Share {
    /// All that the notebook holds.
    All,
    /// What was written here and lies on no shelf yet.
    NotHome,
}

/// A code for one device to pair with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// To be typed, one space between words; empty where the code cannot be said in words.
    pub words: String,
    /// To be opened or scanned.
    pub link: String,
    /// The link as a picture to scan, in SVG.
    pub picture_svg: String,
    /// How long it is good for.
    pub until: DateTime<FixedOffset>,
    /// What became of it.
    pub state: CodeState,
}

/// What became of a code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CodeState {
    /// A device may pair by it.
    Open,
    /// A device of this name has.
    Used(String),
    /// It is good no more: it is too old, too many wrong tries were made, or it was withdrawn.
    Over,
}

/// A device that is or was paired.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// What tells it from all others.
    pub id: String,
    /// What its people call it.
    pub name: String,
    /// When it was paired.
    pub paired_at: DateTime<FixedOffset>,
    /// When it exchanged last, and what it moved then, as that device sees it: it left what it brought here.
    pub last: Option<(DateTime<FixedOffset>, Moved)>,
    /// When it was revoked, if it was.
    pub revoked_at: Option<DateTime<FixedOffset>>,
}

/// Why something was not done, in one sentence: what, where, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct NotDone(pub String);

impl NotDone {
    /// Words any failure.
    pub fn from(error: impl std::fmt::Display) -> Self {
        Self(error.to_string())
    }
}

impl From<NotBegun> for NotDone {
    fn from(why: NotBegun) -> Self {
        Self::from(why)
    }
}

/// A device that meets nobody: the pages do not speak of exchange.
pub struct Alone;

impl Meeting for Alone {
    fn shelves(&self) -> Result<Vec<Shelf>, NotDone> {
        Ok(Vec::new())
    }

    fn run(&self) -> Option<Run> {
        None
    }

    fn begin(&self, _: Task<'_>) -> Result<(), NotDone> {
        Err(NotDone(
            "This device exchanges with no other; use the shop computer's program.".to_owned(),
        ))
    }

    fn end(&self) {}

    fn forget(&self, _: &str) -> Result<(), NotDone> {
        Ok(())
    }
}
