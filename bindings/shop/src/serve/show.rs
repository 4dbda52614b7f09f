//! A run of the screens, from the first free port to Ctrl-C.

use super::carry::Carrier;
use super::guard::Guard;
use super::listen::{self, Limits};
use super::{Desk, incoming};
use crate::failure::Failure;
use crate::meet::Meet;
use crate::meet::lan::{Lan, Reach};
use crate::signal;
use holebook_core::notebook::Notebook;
use std::io::{self, Write as _};
use std::path::Path;
use std::sync::Arc;
use tokio::runtime::Runtime;
use tokio::sync::watch;

/// What is shown, and to whom.
pub struct Show<'a> {
    /// The notebook.
    pub notebook: Notebook,
    /// Its folder.
    pub folder: &'a Path,
    /// Whether the browser is opened.
    pub browser: bool,
    /// The port on which paired devices on the network exchange with it; none where it is kept off the network.
    pub shelf: Option<u16>,
}

/// Carries the screens until the program is told to stop. `announce` is called with the address, and with how paired devices
/// reach the notebook, before the first request is answered; then the browser is opened there if that is wanted.
///
/// # Errors
/// Where no port or no folder for incoming files can be had, or `announce` fails.
pub fn show(
    show: Show<'_>,
    announce: impl FnOnce(&str, Option<&Reach>) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let Show {
        notebook,
        folder,
        browser,
        shelf,
    } = show;
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
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(no_port)?;
    let notebook = Arc::new(notebook);
    let (stop, stopped) = watch::channel(false);
    let reach = shelf.map(|port| serve_shelf(&runtime, &notebook, port, stopped.clone()));
    announce(&guard.address(), reach.as_ref())?;
    if browser {
        open_browser(&guard.address_for_once().map_err(no_secret)?);
    }
    let desk = Arc::new(Desk {
        meet: Meet::new(Arc::clone(&notebook), reach, incoming.path()),
        notebook,
    });
    let carrier = Carrier::new(Arc::clone(&desk), guard, incoming.path().to_owned());
    runtime.spawn(async move {
        told_to_stop().await;
        let _ = stop.send(true);
    });
    let serving = listen::serve(
        listener,
        carrier.router(),
        Limits::default(),
        until(stopped),
    );
    let served = runtime.block_on(serving).map_err(no_port);
    desk.meet.stop();
    // Dropping the runtime afterwards waits for answers that are still being worked out.
    served
}

/// Serves the notebook to paired devices beside the screens. Where that cannot be, the screens are shown all the same.
fn serve_shelf(
    runtime: &Runtime,
    notebook: &Arc<Notebook>,
    port: u16,
    stopped: watch::Receiver<bool>,
) -> Reach {
    match crate::meet::lan::begin(notebook, port) {
        Err(why) => Reach::Not(format!(
            "Paired devices do not reach this notebook now: {why}."
        )),
        Ok((reach, None)) => reach,
        Ok((reach, Some((lan, store)))) => {
            runtime.spawn(serving(lan, Arc::clone(notebook), store, stopped));
            reach
        }
    }
}

async fn serving(
    lan: Lan,
    notebook: Arc<Notebook>,
    store: holebook_link::Store,
    stopped: watch::Receiver<bool>,
) {
    if let Err(why) = lan.serve(notebook, store, until(stopped)).await {
        let _ = writeln!(io::stderr(), "holebook: {why}");
    }
}

/// Comes back when it is time to stop.
async fn until(mut stopped: watch::Receiver<bool>) {
    // Where nobody is left to say so, it is time too.
    let _ = stopped.wait_for(|stopped| *stopped).await;
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
