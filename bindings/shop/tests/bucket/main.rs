//! The bucket shelf against real servers, and against pretended ones that no server is like: an S3-compatible store from PyPI that checks every signature, and Apache's WebDAV.
//!
//! Both are started by the tests, on loopback. `tests/all` installs what they need (tests/bucket/requirements.txt; Debian:
//! apache2-bin); where that is not there, the tests are counted as skipped.
#![cfg(all(unix, feature = "bucket"))]
#![allow(clippy::unwrap_used)]

#[path = "../common/mod.rs"]
mod common;

mod apache;
mod cases;
mod commands;
mod desk;
mod hostile;
mod pretend;
mod s3;
mod served;
