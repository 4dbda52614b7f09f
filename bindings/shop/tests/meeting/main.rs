//! Devices that meet, each a process of its own: a shop computer that serves its shelf, and others that pair with it and
//! exchange; over connections that are cut, bad networks and full disks, with servers that are killed, and with strangers.
//!
//! Each test runs in namespaces of its own (Debian: util-linux, iproute2), where there is no network but loopback, and which end
//! with the test, however it ends; where they cannot be had, the tests are counted as skipped. `HOLEBOOK_CUTS=1000` cuts so
//! many connections.
#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used)]

#[path = "../common/mod.rs"]
mod common;

mod cut;
mod desk;
mod full;
mod killed;
mod lossy;
mod strangers;
mod three;
