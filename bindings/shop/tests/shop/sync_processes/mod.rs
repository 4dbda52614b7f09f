//! Devices that sync with a shop computer, each a process of its own: over cut connections, bad
//! networks and full disks, with servers that are killed, and with wrong keys.
//!
//! Each test runs in namespaces of its own (Debian: util-linux, iproute2) with no network but
//! loopback; all its processes end with it. If namespaces are not allowed, the tests are counted as
//! skipped. `HOLEBOOK_CUTS=1000` cuts that many connections.

mod cut_connection;
mod full_disk;
mod killed_server;
mod lossy_network;
mod test_device;
mod three_devices;
mod wrong_keys;
