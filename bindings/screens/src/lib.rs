//! Holebook's screens: HTML over the core, one function from request to response, no sockets.

mod authors;
mod banners;
pub mod carrier;
mod clock_direction;
mod condition_tag;
mod contour;
mod download;
mod face_map;
mod flatness;
mod form;
mod form_names;
mod hole_badge;
mod journal;
mod labels;
mod lengths;
mod newest;
mod notices;
mod page;
mod pages;
mod progress;
mod router;
mod rows;
pub mod sync_backend;

pub use carrier::{Body, Method, Request, Response, ShellState, Upload, WaitingBundle};
pub use pages::bolt_up::sheet::file as bolt_up_sheet;
pub use pages::casting_file::casting_file;
pub use pages::sheet::{file as sheet, record_file as record};
pub use router::{answer, answer_with};
