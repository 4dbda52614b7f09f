//! The bucket remote against real servers and against fake ones that misbehave: an S3-compatible
//! store from PyPI that verifies every signature, and Apache's WebDAV.
//!
//! The tests start both on loopback. `tests/all` installs what they need
//! (tests/bucket/requirements.txt; Debian: apache2-bin); if that is missing, the tests are counted
//! as skipped.

mod apache;
mod commands;
mod fake_server;
mod hostile;
mod remote_cases;
mod s3;
mod server_process;
mod test_notebook;
