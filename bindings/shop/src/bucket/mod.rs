//! Shelves for shops with several benches: a bucket of any S3-compatible store, or a WebDAV folder.
//!
//! What lies there has the names that it has on a stick: `journal/<device>/<first>-<last>-<start of a hash>.jsonl` and
//! `photos/<hash>`. The store is as dumb as a stick, knows nothing of the notebook, and is not trusted: all that comes from it is
//! checked by the exchange, and what it lists or sends is read up to limits.
//!
//! [`Address`] says where it is, [`Keys`] what lets this computer in, and the notebook's folder keeps which file of keys belongs
//! to which address ([`Kept`]): never the keys, and nothing of it is exchanged.
//!
//! Another kind of store is a module beside `s3` and `dav` that lists, gets and puts by name (`store::Store`), and an address of
//! its own.

mod address;
mod ask;
mod dav;
mod error;
mod fetch;
mod kept;
mod keys;
mod refusal;
mod s3;
mod shelf;
mod sign;
mod store;
mod xml;

pub use address::Address;
pub use ask::Ended;
pub use error::BucketError;
pub use kept::{Kept, Way};
pub use keys::Keys;
pub use shelf::{BucketShelf, May};
