#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| holebook_tests::readers::give("client", bytes));
