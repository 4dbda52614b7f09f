//! The program `holebook`, run as a person or a script would.
#![allow(clippy::unwrap_used)]

mod common;

#[cfg(all(unix, feature = "bucket"))]
mod bucket;
mod demo;
mod drill;
mod export;
mod folders;
mod identify;
mod insert;
mod kit;
#[cfg(unix)]
mod open;
#[cfg(unix)]
mod pairing;
mod place;
mod remedies;
#[cfg(unix)]
mod screens;
mod sync;
#[cfg(target_os = "linux")]
mod sync_processes;
mod thread;
#[cfg(unix)]
mod verify;
