//! Helpers for the tests of all crates. They panic if something goes wrong, as a test would.
#![allow(clippy::unwrap_used)]

pub mod http_client;
pub mod http_head;
pub mod lan;
pub mod large_notebook;
pub mod namespaces;
pub mod noise_png;
pub mod notebooks;
mod proxy;
pub mod raw_tls;
pub mod requirements;
mod seeded_rng;
pub mod shop_journals;
mod test_clock;
mod test_notebook;
mod test_shop_computer;
pub mod worked_face;

pub use proxy::Proxy;
pub use seeded_rng::{SeededRng, env_number};
pub use test_clock::TestClock;
pub use test_notebook::TestNotebook;
pub use test_shop_computer::{TestShopComputer, test_limits};
