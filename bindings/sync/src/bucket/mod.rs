//! Remotes for shops with several benches: a bucket of any S3-compatible store, or a WebDAV folder.
//!
//! The files have the same names as on a stick: `journal/<device>/<first>-<last>-<start of a
//! hash>.jsonl` and `photos/<hash>`. The store is as simple as a stick, knows nothing of the
//! notebook, and is not trusted: everything that comes from it is validated by the sync, and what
//! it lists or sends is read up to limits.
//!
//! [`Address`] says where it is, [`Keys`] are the credentials, and [`BucketSettings`] in the
//! notebook's folder stores which keys file belongs to which address: never the keys themselves,
//! and none of it is synced.
//!
//! Another kind of store is a module beside `s3` and `webdav` that lists, gets and puts files by
//! name (`file_store::FileStore`), and a variant of [`Address`].

mod address;
mod connector;
mod download;
mod error;
mod file_store;
mod http_client;
mod keys;
mod remote;
mod response;
mod s3;
mod settings;
mod signature;
mod store_error;
mod webdav;
mod xml;

pub use address::Address;
pub use error::BucketError;
pub use keys::Keys;
pub use remote::{BucketOptions, BucketRemote};
pub use settings::{BucketAccess, BucketSettings};
