//! What the shop computer's program is made of that can be tried out by itself: how it carries the screens to a browser, and
//! how it meets others.

#[cfg(feature = "bucket")]
pub mod bucket;
pub mod failure;
pub mod meet;
pub mod serve;
pub mod signal;
pub mod table;
