//! Tests across crates: notebooks in several processes, programs that are killed, photos, bundles in
//! other programs, sheets as other programs read them, and all fuzz entry points.
//!
//! `HOLEBOOK_KILLS=1000` kills that many times; `HOLEBOOK_SEED=7` repeats a run that printed 7, as
//! far as timing allows.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

#[cfg(target_os = "linux")]
mod bundle_tools;
#[cfg(target_os = "linux")]
mod crashes;
mod folder_permissions;
mod fuzz_entry_points;
mod notebook_disk;
mod notebook_processes;
mod paper;
mod photos;
#[cfg(target_os = "linux")]
mod photos_disk;
#[cfg(target_os = "linux")]
mod photos_memory;
mod photos_metadata;
mod photos_view;
