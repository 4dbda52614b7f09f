//! Client side: pairing with a shop computer, and the shop computer as a sync remote.

mod connect;
mod http_client;
mod lan_remote;
mod pairing;
mod pinned;
mod timeout_stream;
mod transport;

pub use lan_remote::LanRemote;
pub use pairing::pair;
