//! The screens' HTML, and their forms.

mod asking;
mod banners;
mod bench_place;
mod bolt_up;
mod casting_file;
mod damage;
mod drawer;
mod face_setup;
mod find_holes;
mod hole_list;
mod kit;
mod many_conflicts;
mod pages;
mod photo;
mod places;
mod planned;
mod questions;
mod reopening;
mod search;
mod support;
mod sync_backend;
mod undo;
