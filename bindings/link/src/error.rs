//! What can go wrong with pairing and with what is kept of it, said so that a person can act on it.

use crate::code::CodeError;
use std::path::PathBuf;

/// Why something about pairing could not be done.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LinkError {
    /// The file of pairings cannot be used.
    #[error("the pairings in {} could not be read or written ({detail}); check the disk and that you may write there, then try again", file.display())]
    Store {
        /// The file.
        file: PathBuf,
        /// What the system said.
        detail: String,
    },
    /// A newer version has written the file of pairings. Nothing was changed.
    #[error("the pairings in {} were written by a newer Holebook (layout {theirs}, this one knows {ours}); update this program", file.display())]
    Newer {
        /// The file.
        file: PathBuf,
        /// The layout it has.
        theirs: i64,
        /// The newest layout that this version knows.
        ours: i64,
    },
    /// The system gave no random numbers, without which there are no secrets.
    #[error("the system gave no random numbers ({detail}); restart this device and try again")]
    NoRandomness {
        /// What it said.
        detail: String,
    },
    /// The own key could not be made or used.
    #[error(
        "this computer's key could not be made or used ({detail}); move link.sqlite out of the notebook's folder and pair the devices again"
    )]
    OwnKey {
        /// What went wrong.
        detail: String,
    },
    /// This computer has no address that another device could reach.
    #[error(
        "this computer is on no network that another device could reach it by; connect it to the shop's network and ask for a new code"
    )]
    NoNetwork,
    /// The port cannot be listened on.
    #[error(
        "port {port} could not be opened ({detail}); if another Holebook has it, use that one, or name another port"
    )]
    Port {
        /// The port.
        port: u16,
        /// What the system said.
        detail: String,
    },
    /// What was typed or scanned is no pairing code.
    #[error(transparent)]
    Code(#[from] CodeError),
    /// The shop computer cannot be reached.
    #[error(
        "the shop computer cannot be reached ({detail}); see that both are on the same network and that Holebook is open there, then try again"
    )]
    Unreachable {
        /// What happened.
        detail: String,
    },
    /// Another computer answers, or one that passes itself off as the shop computer. It was told nothing.
    #[error(
        "another computer answered than the one that the code is from, so it was told nothing; ask the shop computer for a new code"
    )]
    WrongKey,
    /// The code's secret is not one that the shop computer gave out.
    #[error("the shop computer does not know this code; ask it for a new one")]
    CodeUnknown,
    /// A device has paired with the code already.
    #[error(
        "this code has been used, and each code is for one device; ask the shop computer for a new one"
    )]
    CodeUsed,
    /// The code is too old, or was taken back.
    #[error("this code is no longer good; ask the shop computer for a new one")]
    CodeEnded,
    /// Too many tries came, from whomever.
    #[error(
        "the shop computer has had too many wrong codes and waits; try again in a minute with a new code"
    )]
    TooManyTries,
    /// The shop computer has a fault of its own, such as a full disk. It is said there.
    #[error(
        "the shop computer could not let this device in, as its disk is full or something else is wrong there; look at what Holebook says there, then try again"
    )]
    Fault,
    /// The answer makes no sense.
    #[error(
        "the shop computer answered in a way that this program does not know ({detail}); update both, then try again"
    )]
    Answer {
        /// What came.
        detail: String,
    },
    /// No shop computer of this key is paired.
    #[error("this device is not paired with that shop computer; pair it first")]
    NotPaired,
    /// There is no such device.
    #[error("no device of that name or number is paired; list the devices and choose again")]
    NoSuchDevice,
    /// A name is empty or too long.
    #[error(
        "a name has from 1 to {} letters; choose another",
        crate::names::LONGEST
    )]
    Name,
    /// Being found on the network failed; all else works.
    #[error(
        "looking round on the network failed ({detail}); the addresses that are known still work"
    )]
    Discovery {
        /// What went wrong.
        detail: String,
    },
}
