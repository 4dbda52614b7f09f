//! One hole: its damage, the remedies for it, the steps, and how far the work has come.
//!
//! [`record`] holds what people recorded about a hole, [`situation`] the part of it that the
//! arithmetic needs; [`face_setup`] holds what the holes of a face have in common, and [`inherit`]
//! what a hole takes over from it. [`remedies`] assesses every remedy, [`depths`] gives depths from the face as
//! is and from the finished face, [`steps`] lists what to do in which order, [`missing`] lists what
//! is not known yet, [`stage`] says how far the work has come. [`plan`] combines all of this for
//! one hole with the one thing to do [`next`], [`next_task`] is the part of it that lists of holes
//! show, [`next_question`] is the one thing to ask next, and [`section`] is the cross section that a
//! drawing shows. [`tries`] is what was tried before and what broke, [`bolt_up`] how a joint is
//! tightened, [`tool_use`] how far drills and taps are worn. [`late_cut`] finds what may have been
//! measured on a face whose cut is recorded late. [`needs`] is what the steps take, [`kit`] what many
//! holes take together, and
//! [`work_order`] the order of their work.

pub mod bolt_up;
pub mod caution;
pub mod condition;
pub mod damage;
pub mod depths;
mod elliptic;
pub mod face_setup;
mod hardness;
pub mod inherit;
pub mod kit;
pub mod late_cut;
pub mod limits;
pub mod missing;
pub mod mouth;
mod nearest_name;
pub mod needs;
pub mod next;
pub mod next_question;
pub mod next_task;
pub mod place_change;
pub mod plan;
pub mod plausibility;
pub mod problem;
pub mod question;
pub mod record;
pub mod remedies;
pub mod removal;
pub mod run_order;
pub mod section;
pub mod situation;
pub mod stage;
pub mod steps;
#[cfg(test)]
pub(crate) mod testing;
pub mod tool_use;
pub mod tries;
pub mod verdict;
mod wall;
pub mod work_order;

pub use hardness::hardness;
