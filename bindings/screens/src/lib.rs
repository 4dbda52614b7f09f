//! Holebook's screens: HTML over the core, one function from request to response, without sockets.

pub mod carrier;
mod form;
mod page;

pub use carrier::{Body, Method, Request, Response, Upload};
