//! Finding holes in pictures whose truth is known.

mod bad_input;
mod noise;
mod sample;
mod scene;
mod trial;
mod weights;
