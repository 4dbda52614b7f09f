//! Helpers for the tests that cross rooms.
