//! A run of the screens, from the first free port to Ctrl-C.

use super::carry::Carrier;
use super::guard::Guard;
use super::listen::{self, Limits};
use super::{Desk, incoming};
use crate::failure::Failure;
use crate::meet::Meet;
use crate::signal;
use holebook_core::notebook::Notebook;
use std::io::{self, Write as _};
use std::path::Path;
use std::sync::Arc;

/// Carries the screens of `notebook`, which is in `folder`, until the program is told to stop. `announce` is called with the address
/// before the first request is answered; then the browser is opened there if `browser` says so.
///
/// # Errors
/// Where no port or no folder for incoming files can be had, or `announce` fails.
pub fn show(
    notebook: Notebook,
    folder: &Path,
    browser: bool,
    announce: impl FnOnce(&str) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let no_port = |error: io::Error| {
        Failure::Said(format!(
            "the screens cannot be shown, for no port of this computer can be had ({error}); close a program that serves pages and try again"
        ))
    };
    let no_secret = |error: getrandom::Error| {
        Failure::Said(format!(
            "the operating system gives no random numbers ({error}), and without them the screens would stand open to everybody; start it again"
        ))
    };
    let incoming = incoming::folder(folder)
        .map_err(|error| Failure::file("writing in the notebook's folder", folder, &error))?;
    let listener = listen::listen().map_err(no_port)?;
    let port = listener.local_addr().map_err(no_port)?.port();
    let guard = Arc::new(Guard::new(port).map_err(no_secret)?);
    announce(&guard.address())?;
    if browser {
        open_browser(&guard.address_for_once().map_err(no_secret)?);
    }
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(no_port)?;
    let notebook = Arc::new(notebook);
    let desk = Arc::new(Desk {
        meet: Meet::new(Arc::clone(&notebook)),
        notebook,
    });
    let carrier = Carrier::new(Arc::clone(&desk), guard, incoming.path().to_owned());
    let serving = listen::serve(
        listener,
        carrier.router(),
        Limits::default(),
        told_to_stop(),
    );
    let served = runtime.block_on(serving).map_err(no_port);
    desk.meet.stop();
    // Dropping the runtime afterwards waits for answers that are still being worked out.
    served
}

fn open_browser(address: &str) {
    if open::that_detached(address).is_err() {
        let words =
            "holebook: no browser could be opened from here; open the address above yourself";
        let _ = writeln!(io::stderr(), "{words}");
    }
}

/// Comes back when the person or the system ends the run; asked a second time, the run ends at once, and loses nothing
/// that was acknowledged.
async fn told_to_stop() {
    signal::one().await;
    tokio::spawn(async {
        signal::one().await;
        std::process::exit(130);
    });
}
