//! Devices and a shop computer over real TLS on loopback: pairing, syncs, and clients and servers
//! that misbehave.
#![allow(clippy::unwrap_used)]

mod hostile_clients;
mod hostile_server;
mod lan_sync;
mod pairing;
