//! The screens' HTML, and their forms.

mod banners;
mod damage;
mod many_conflicts;
mod pages;
mod questions;
mod reopening;
mod support;
mod sync_backend;
mod undo;
