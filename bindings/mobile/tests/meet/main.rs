//! How the phone meets others, in typed calls and by its pages: folders, bundles, and a real shop computer over TLS.
#![allow(clippy::unwrap_used)]

#[path = "../../../../tests/src/apart.rs"]
#[allow(dead_code)] // the shop's tests use more of it
mod apart;
#[path = "../../../link/tests/common/mod.rs"]
mod bench;
mod bundles;
#[path = "../common/mod.rs"]
mod common;
mod folders;
mod full;
mod gate;
mod midway;
#[path = "../../../../tests/src/need.rs"]
mod need;
mod pages;
mod pairing;
mod phone;
mod shop;
