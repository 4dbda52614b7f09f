//! The screens' HTML, and their forms.

mod banners;
mod damage;
mod pages;
mod sync_backend;
