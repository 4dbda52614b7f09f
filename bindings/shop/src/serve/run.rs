//! Serves the screens from start to Ctrl-C.

use super::access::{AccessControl, HostName};
use super::listen::{self, Limits};
use super::router::ScreenServer;
use super::{OpenNotebook, uploads};
use crate::failure::Failure;
use crate::new_remotes;
use crate::signal::Signals;
use crate::table::plain;
use holebook_core::notebook::Notebook;
use holebook_sync::lan_service::{self, LanPairingServer, LanService, Reachability};
use holebook_sync::server::Event;
use holebook_sync::service::{ServiceOptions, SyncService};
use std::io::{self, Write as _};
use std::path::Path;
use std::sync::Arc;
use tokio::runtime::Runtime;
use tokio::sync::watch;

/// What to serve, and to whom.
pub struct ServeOptions<'a> {
    /// The notebook.
    pub notebook: Notebook,
    /// Its folder.
    pub folder: &'a Path,
    /// Whether to open the browser.
    pub browser: bool,
    /// The host name in the address.
    pub host: HostName,
    /// The port that paired devices sync over; `None` keeps the notebook off the network.
    pub lan_port: Option<u16>,
}

/// Serves the screens until the program is asked to stop.
///
/// Before the first request it calls `announce` with the address and with whether paired devices
/// can reach the notebook; then it opens the browser if asked.
///
/// # Errors
/// If no port or no folder for uploads is available, or `announce` fails.
pub fn serve_screens(
    options: ServeOptions<'_>,
    announce: impl FnOnce(&str, Option<&Reachability>) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let ServeOptions {
        notebook,
        folder,
        browser,
        host,
        lan_port,
    } = options;
    let no_port = |error: io::Error| {
        Failure::Message(format!(
            "the screens cannot be served because no port on this computer is free ({error}); close other programs and retry"
        ))
    };
    let no_signals = |error: io::Error| {
        Failure::Message(format!(
            "the system refuses to report Ctrl-C ({error}); close other programs and retry"
        ))
    };
    let no_secret = |error: getrandom::Error| {
        Failure::Message(format!(
            "the operating system provides no random numbers ({error}), which protect the screens from other programs; restart this computer"
        ))
    };
    let uploads = uploads::create_folder(folder)
        .map_err(|error| Failure::file("writing in the notebook's folder", folder, &error))?;
    let listener = listen::bind().map_err(no_port)?;
    let port = listener.local_addr().map_err(no_port)?.port();
    let access = Arc::new(AccessControl::new(port, host).map_err(no_secret)?);
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(no_port)?;
    // Before anyone knows the address, so that whoever stops the program by then ends it cleanly.
    let mut signals = {
        let _context = runtime.enter();
        Signals::register().map_err(no_signals)?
    };
    let notebook = Arc::new(notebook);
    let (stop, stopped) = watch::channel(false);
    let reachability = lan_port.map(|port| serve_lan(&runtime, &notebook, port, stopped.clone()));
    announce(&access.address(), reachability.as_ref())?;
    if browser {
        open_browser(&access.entrance_address().map_err(no_secret)?);
    }
    let sync = sync_service(&notebook, reachability);
    sync.set_bundle_folder(uploads.path())?;
    let open = Arc::new(OpenNotebook { notebook, sync });
    let server = ScreenServer::new(Arc::clone(&open), access, uploads.path().to_owned());
    runtime.spawn(async move {
        signals.next().await;
        let _ = stop.send(true);
        // A second signal exits at once, without losing anything acknowledged.
        signals.next().await;
        std::process::exit(130);
    });
    let serving = listen::serve(
        listener,
        server.router(),
        Limits::default(),
        wait_for_stop(stopped),
    );
    let served = runtime.block_on(serving).map_err(no_port);
    open.sync.shut_down();
    // Dropping the runtime then waits for requests that are still being answered.
    served
}

/// The sync service of the shop computer.
fn sync_service(notebook: &Arc<Notebook>, reachability: Option<Reachability>) -> SyncService {
    let remotes = new_remotes(Arc::clone(notebook));
    let server = |reachability| LanPairingServer::new(Arc::clone(&remotes), reachability);
    let options = ServiceOptions {
        named_remotes: true,
        shows_unsynced_count: false,
        pairing_server: reachability.map(|reachability| Box::new(server(reachability)) as Box<_>),
    };
    SyncService::new(remotes, options)
}

/// Serves the notebook to paired devices, in addition to the screens. If that fails, the screens are served
/// anyway.
fn serve_lan(
    runtime: &Runtime,
    notebook: &Arc<Notebook>,
    port: u16,
    stopped: watch::Receiver<bool>,
) -> Reachability {
    match lan_service::open(notebook, port) {
        Err(error) => Reachability::Unreachable(format!(
            "Paired devices cannot reach this notebook now: {error}."
        )),
        Ok((reachability, None)) => reachability,
        Ok((reachability, Some((lan, store)))) => {
            runtime.spawn(serving(lan, Arc::clone(notebook), store, stopped));
            reachability
        }
    }
}

async fn serving(
    lan: LanService,
    notebook: Arc<Notebook>,
    store: holebook_sync::PairingStore,
    stopped: watch::Receiver<bool>,
) {
    let served = lan.serve(
        notebook,
        store,
        Box::new(report_failure),
        wait_for_stop(stopped),
    );
    if let Err(error) = served.await {
        let _ = writeln!(io::stderr(), "holebook: {error}");
    }
}

/// Prints failures of this computer. Everything else is on the page of paired devices.
pub fn report_failure(event: Event) {
    if let Event::Failure { detail } = event {
        let _ = writeln!(io::stderr(), "holebook: {}", plain(&detail));
    }
}

/// Returns when it is time to stop.
async fn wait_for_stop(mut stopped: watch::Receiver<bool>) {
    // If the sender is gone, stop too.
    let _ = stopped.wait_for(|stopped| *stopped).await;
}

fn open_browser(address: &str) {
    if open::that_detached(address).is_err() {
        let text = "holebook: the browser could not be opened; open the address above yourself";
        let _ = writeln!(io::stderr(), "{text}");
    }
}
