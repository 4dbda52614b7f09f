#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| holebook_tests::fuzz_entry_points::run("remote", bytes));
