//! How the phone meets others, in typed calls and by its pages: folders, bundles, and a real shop computer over TLS.
#![allow(clippy::unwrap_used)]

#[path = "../../../link/tests/common/mod.rs"]
mod bench;
mod bundles;
#[path = "../common/mod.rs"]
mod common;
mod folders;
mod gate;
mod midway;
mod pages;
mod pairing;
mod phone;
mod shop;
