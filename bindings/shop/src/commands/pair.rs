//! `holebook pair`: shows a pairing code, or pairs with another shop computer by its code.

use super::output::OutputOptions;
use crate::cli;
use crate::failure::Failure;
use crate::new_remotes;
use crate::out;
use crate::serve::run::report_failure;
use crate::signal::Stop;
use crate::table::paragraph;
use chrono::{DateTime, FixedOffset, Local};
use holebook_core::display_name::escaped;
use holebook_core::notebook::Notebook;
use holebook_sync::lan_service::{self, Reachability, addresses};
use holebook_sync::service::Remotes;
use holebook_sync::{Background, OfferState, PairingOffer, PairingStore, create_offer};
use serde::Serialize;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::oneshot;

/// How often to check whether a device has paired.
const PAUSE: Duration = Duration::from_millis(200);

/// Pairs the notebook in `folder` with another device; creates the notebook if needed.
///
/// # Errors
/// If the notebook or its pairings cannot be used, the shop computer cannot be reached, or no
/// device paired.
pub fn run(folder: &Path, args: &cli::Pair, output: OutputOptions) -> Result<(), Failure> {
    let notebook = Arc::new(Notebook::open(folder)?);
    match &args.code {
        Some(code) => pair_with_shop(&new_remotes(notebook), &code.join(" "), output),
        None => pair_device(&notebook, args, output),
    }
}

#[derive(Serialize)]
struct Paired<'a> {
    remote: String,
    name: &'a str,
}

fn pair_with_shop(remotes: &Remotes, code: &str, output: OutputOptions) -> Result<(), Failure> {
    let shop = remotes.pair(code)?;
    if output.json {
        return out::print_json(&Paired {
            remote: shop.remote_id(),
            name: &shop.name,
        });
    }
    out::print(&paragraph(&format!(
        "This computer is paired with the shop computer {}. Sync with it: `holebook sync --shop`.",
        escaped(&shop.name)
    )))
}

/// Shows a pairing code, and serves the notebook meanwhile unless another program does.
fn pair_device(
    notebook: &Arc<Notebook>,
    args: &cli::Pair,
    output: OutputOptions,
) -> Result<(), Failure> {
    let stop = Stop::listen()?;
    let (reachability, serving) = lan_service::open(notebook, args.port)?;
    let port = match reachability {
        Reachability::Port(port) => port,
        Reachability::Unreachable(why) => return Err(Failure::Message(why)),
    };
    let Some((lan, store)) = serving else {
        let store = PairingStore::open(notebook.dir())?;
        lan_service::update_name(notebook, &store)?;
        return show_code(&store, port, args, output, &stop);
    };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()?;
    let (end, ended) = oneshot::channel::<()>();
    let served = runtime.spawn(lan.serve(
        Arc::clone(notebook),
        store.clone(),
        Box::new(report_failure),
        async {
            // If the sender is gone, stop too.
            let _ = ended.await;
        },
    ));
    let shown = show_code(&store, port, args, output, &stop);
    // Answer the device before the program exits.
    let _ = end.send(());
    let served = runtime.block_on(served);
    shown.and(served.unwrap_or(Ok(())).map_err(Failure::from))
}

#[derive(Serialize)]
struct Code<'a> {
    code: &'a str,
    address: String,
    link: &'a str,
    until: DateTime<FixedOffset>,
    port: u16,
}

fn show_code(
    store: &PairingStore,
    port: u16,
    args: &cli::Pair,
    output: OutputOptions,
    stop: &Stop,
) -> Result<(), Failure> {
    let offer = create_offer(store, &addresses(port))?;
    let digits = current_digits(store, &offer)?;
    if output.json {
        out::print_json(&Code {
            code: &digits,
            address: offer.typed_address(),
            link: offer.link(),
            until: offer.expires_at().with_timezone(&Local).fixed_offset(),
            port,
        })?;
    } else {
        out::print(&code_text(&offer, &digits, args))?;
    }
    let name = wait(store, &offer, output, stop)?;
    if output.json {
        return Ok(());
    }
    out::print(&format!("{} is paired.\n", escaped(&name)))
}

fn current_digits(store: &PairingStore, offer: &PairingOffer) -> Result<String, Failure> {
    match store.offer_state(offer.id())? {
        OfferState::Open { digits, .. } => Ok(digits.to_string()),
        OfferState::Used { .. } | OfferState::Expired => Err(Failure::Message(EXPIRED.to_owned())),
    }
}

const EXPIRED: &str = "the code expired or a newer one replaced it, and no device was paired; run `holebook pair` again for a new one";

fn code_text(offer: &PairingOffer, digits: &str, args: &cli::Pair) -> String {
    let ground = match args.light {
        true => Background::Light,
        false => Background::Dark,
    };
    let mut text =
        "On the other device open Sync, then Pair, and scan this or type the digits below it.\n\n"
            .to_owned();
    text += &offer.qr_text(ground);
    text += &format!("\n    {digits}\n\n");
    text += &paragraph(&format!(
        "If that device does not find this computer, type {} before the digits.",
        offer.typed_address()
    ));
    let until = offer.expires_at().with_timezone(&Local).format("%H:%M");
    text += &paragraph(&format!(
        "Good until {until}, for one device. Keep it private: anyone who has it can read this whole notebook and \
         write in it. Ctrl-C cancels it."
    ));
    text
}

/// Waits until a device has paired by the code, and returns its name. Prints the digits again if they
/// were replaced.
fn wait(
    store: &PairingStore,
    offer: &PairingOffer,
    output: OutputOptions,
    stop: &Stop,
) -> Result<String, Failure> {
    let mut known = 0;
    loop {
        let over = match store.offer_state(offer.id())? {
            OfferState::Used { device } => {
                let mut devices = store.devices()?.into_iter();
                let device = devices.find(|known| known.id == device);
                return Ok(device.map(|device| device.name).unwrap_or_default());
            }
            OfferState::Open { .. } if stop.requested() => {
                store.cancel_offer(offer.id())?;
                "no device was paired, and the code no longer works"
            }
            OfferState::Open {
                digits, renewed, ..
            } => {
                if renewed != known && !output.json {
                    known = renewed;
                    out::print(&paragraph(&format!(
                        "Wrong digits were typed too often, so they were replaced. Type {digits} now; if you did not \
                         type the wrong ones, somebody else on this network did."
                    )))?;
                }
                std::thread::sleep(PAUSE);
                continue;
            }
            OfferState::Expired => EXPIRED,
        };
        return Err(Failure::Message(over.to_owned()));
    }
}
