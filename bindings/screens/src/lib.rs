//! Holebook's screens: HTML over the core, one function from request to response, without sockets.

pub mod carrier;
mod form;
mod journal;
mod lengths;
pub mod meeting;
mod page;
mod pages;
mod plate;
mod progress;
mod router;
mod said;
mod words;
mod writers;

pub use carrier::{Body, Method, Request, Response, Upload};
pub use pages::sheet::file as sheet;
pub use router::{answer, answer_with};
