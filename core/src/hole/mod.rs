//! The hole: what is left of its wall, the ways to make it hold again, the steps, and how far it is.

pub mod damage;
mod elliptic;
pub mod record;

pub mod situation;
pub mod state;
#[cfg(test)]
mod testing;
mod wall;
