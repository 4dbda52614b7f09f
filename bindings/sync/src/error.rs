//! Errors of pairing and of the pairing store. Each message says what to do.

use crate::code::CodeError;
use std::path::PathBuf;

/// Why pairing failed, or the pairing store could not be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PairingError {
    /// The pairing store cannot be read or written.
    #[error(
        "cannot read or write the pairings in {} ({detail}); check the disk and that you may write there, then try again",
        file.display()
    )]
    Store {
        /// The file.
        file: PathBuf,
        /// What the system reported.
        detail: String,
    },
    /// The disk that holds the pairing store is full.
    #[error(
        "the disk that holds the pairings in {} is full, so nothing was recorded; free some space and try again",
        file.display()
    )]
    StoreFull {
        /// The file.
        file: PathBuf,
    },
    /// A newer version wrote the pairing store. Nothing was changed.
    #[error(
        "a newer Holebook wrote the pairings in {} (version {file_version}, this one reads up to {supported_version}); update this program",
        file.display()
    )]
    NewerSchema {
        /// The file.
        file: PathBuf,
        /// The schema version of the file.
        file_version: i64,
        /// The newest schema version that this program reads.
        supported_version: i64,
    },
    /// The system's random number generator failed.
    #[error("the system's random numbers failed ({detail}); restart this device and try again")]
    NoRandomness {
        /// What the system reported.
        detail: String,
    },
    /// The key of this computer could not be created or loaded.
    #[error(
        "cannot create or load this computer's key ({detail}); move link.sqlite out of the notebook's folder and pair the devices again"
    )]
    ServerKey {
        /// What went wrong.
        detail: String,
    },
    /// This computer has no address that another device can reach.
    #[error(
        "this computer is not on a network; connect it to the shop's network and create a new pairing code"
    )]
    NoNetwork,
    /// The port cannot be opened.
    #[error(
        "cannot open port {port} ({detail}); if another Holebook uses it, use that one, or choose another port"
    )]
    PortUnavailable {
        /// The port.
        port: u16,
        /// What the system reported.
        detail: String,
    },
    /// What was typed or scanned is not a pairing code.
    #[error(transparent)]
    Code(#[from] CodeError),
    /// The shop computer cannot be reached.
    #[error(
        "the shop computer cannot be reached ({detail}); check that both are on the same network and that Holebook is running there, then try again"
    )]
    Unreachable {
        /// What happened.
        detail: String,
    },
    /// The computer that answered does not have the pinned key. Nothing was sent to it.
    #[error(
        "a different computer answered than the one that made this pairing code, so nothing was sent; get a new code from the shop computer"
    )]
    WrongKey,
    /// The shop computer does not know the code.
    #[error("the shop computer does not know this pairing code; get a new one there")]
    CodeUnknown,
    /// Another device already paired with the code.
    #[error(
        "this pairing code was already used, and each code is for one device; get a new one from the shop computer"
    )]
    CodeUsed,
    /// The code expired or was canceled.
    #[error("this pairing code no longer works; get a new one from the shop computer")]
    CodeExpired,
    /// The digits are wrong, or were replaced.
    #[error(
        "the digits are not those of the pairing code; compare them with the shop computer's screen, since they change after too many wrong ones"
    )]
    WrongDigits,
    /// This device guessed wrong too often.
    #[error(
        "too many wrong digits were entered on this device; make a new pairing code on the shop computer, then try again"
    )]
    TooManyTries,
    /// No shop computer was found for typed digits.
    #[error(
        "no shop computer was found on this network; type its address before the digits, such as 192.168.1.20 482 913 077, or scan the QR code"
    )]
    NoShopFound,
    /// The shop computer failed, such as with a full disk. It reports the reason itself.
    #[error(
        "the shop computer could not pair this device: its disk may be full; check what Holebook reports there, then try again"
    )]
    ServerFailure,
    /// The shop computer's response is not valid.
    #[error(
        "unexpected response from the shop computer ({detail}); update Holebook on both devices, then try again"
    )]
    UnexpectedResponse {
        /// What was received.
        detail: String,
    },
    /// This device is not paired with a shop computer that has this key.
    #[error("this device is not paired with that shop computer; pair it first")]
    NotPaired,
    /// No paired device has this name or number.
    #[error("no paired device has that name or number; list the devices and choose again")]
    NoSuchDevice,
    /// A name is empty or too long.
    #[error(
        "a name must have 1 to {} characters; enter another",
        crate::names::MAX_CHARS
    )]
    InvalidName,
    /// Service discovery failed; known addresses still work.
    #[error("network discovery failed ({detail}); known addresses still work")]
    Discovery {
        /// What went wrong.
        detail: String,
    },
}
