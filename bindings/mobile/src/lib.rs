//! Holebook's core by typed calls, for Kotlin and Python.
//!
//! A [`Notebook`] holds all data of a device; every other type is a plain record or enum. Most are
//! declared in the core and only lent from here (see `lend`); those of this crate are views that no
//! core type has.
//!
//! Every call blocks until the disk has answered, so call from a background thread, never from the
//! UI thread. Any thread may call. After [`Notebook::shutdown`] every call fails with
//! [`NotebookError::Closed`]. Lengths are whole nanometers; in the calls about where things are on
//! a face, millimeters. Other numbers have their unit in the name.

mod bolt_up;
mod carrier;
mod castings;
mod cutting;
mod damage;
mod drawer;
mod drills;
mod entries;
mod error;
mod export;
mod face_places;
mod faces;
#[cfg(feature = "faults")]
mod faults;
mod find;
mod guard;
mod history;
mod holes;
mod ids;
mod inserts;
mod kit;
mod lend;
mod length;
mod list;
mod next_question;
mod notebook;
mod photos;
mod places;
mod plan;
mod record;
mod remedies;
mod runs;
mod settings;
mod sheet;
mod situation;
mod stage;
mod steps;
mod strength;
mod sync;
mod threads;
mod values;
mod verify;

pub use bolt_up::*;
pub use carrier::*;
pub use castings::*;
pub use cutting::*;
pub use damage::*;
pub use drawer::*;
pub use drills::*;
pub use entries::*;
pub use error::*;
pub use export::*;
pub use face_places::*;
pub use faces::*;
pub use find::*;
pub use history::*;
pub use holes::*;
pub use ids::*;
pub use inserts::*;
pub use kit::*;
pub use length::*;
pub use list::*;
pub use next_question::*;
pub use notebook::*;
pub use photos::*;
pub use places::*;
pub use plan::*;
pub use record::*;
pub use remedies::*;
pub use runs::*;
pub use settings::*;
pub use sheet::*;
pub use situation::*;
pub use stage::*;
pub use steps::*;
pub use strength::*;
pub use sync::*;
pub use threads::*;
pub use values::*;
pub use verify::*;

uniffi::setup_scaffolding!();
