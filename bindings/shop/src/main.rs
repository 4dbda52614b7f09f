//! Shop.
fn main() {}
