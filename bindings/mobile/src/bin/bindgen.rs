//! Writes the Kotlin and Python side of the library; see `bindings/mobile/generate`.

fn main() {
    uniffi::uniffi_bindgen_main();
}
