//! Holebook's core by typed calls, for Kotlin and Python.
//!
//! One [`Notebook`] holds all that a device knows; everything else that crosses is a plain record or enum. Every call
//! blocks until the disk has answered, so a phone calls from a thread of its own, never from the one that draws. Calls may
//! come from any thread. After [`Notebook::shutdown`] each answers [`NotebookError::Closed`].
//!
//! Lengths cross as whole nanometres. Other numbers carry their unit in the name.

mod border;
mod bundle;
mod carrier;
mod castings;
mod cutting;
mod damage;
mod drawer;
mod drills;
mod error;
mod exchange;
mod faces;
#[cfg(feature = "faults")]
mod faults;
mod guard;
mod history;
mod hold;
mod holes;
mod ids;
mod inserts;
mod joint;
mod length;
mod list;
mod meet;
mod notebook;
mod pairing;
mod photos;
mod plan;
mod record;
mod run;
mod said;
mod saying;
mod settings;
mod sheet;
mod shelves;
mod situation;
mod steps;
mod threads;
mod time;
mod torque;
mod verify;
mod ways;

pub use bundle::*;
pub use carrier::*;
pub use castings::*;
pub use cutting::*;
pub use damage::*;
pub use drawer::*;
pub use drills::*;
pub use error::*;
pub use exchange::*;
pub use faces::*;
pub use history::*;
pub use hold::*;
pub use holes::*;
pub use ids::*;
pub use inserts::*;
pub use joint::*;
pub use length::*;
pub use list::*;
pub use notebook::*;
pub use pairing::*;
pub use photos::*;
pub use plan::*;
pub use record::*;
pub use run::*;
pub use said::*;
pub use saying::*;
pub use settings::*;
pub use shelves::*;
pub use situation::*;
pub use steps::*;
pub use threads::*;
pub use time::*;
pub use torque::*;
pub use verify::*;
pub use ways::*;

uniffi::setup_scaffolding!();
