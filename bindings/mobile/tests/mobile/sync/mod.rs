//! Sync by typed calls and by the phone's pages: folders, bundles, and a real shop computer over TLS.

mod bundles;
mod calls;
mod folders;
mod full_disk;
mod pages;
mod pairing;
mod running;
mod shop;
