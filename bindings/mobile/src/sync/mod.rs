//! Sync by typed calls: remotes, pairing, background runs, bundles. The pages and the calls share
//! one service, so a run that one of them starts is seen by the other.

mod bundle;
mod pairing;
mod remotes;
mod report;
mod run;

pub use bundle::*;
pub use pairing::*;
pub use remotes::*;
pub use report::*;
pub use run::*;
