//! The program's commands, one a module.

pub mod insert;
pub mod look;
pub mod thread;
