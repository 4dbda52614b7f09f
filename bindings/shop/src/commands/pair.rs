//! `holebook pair`: a code for another device to pair by, or pairing with another shop computer by its code.

use super::look::Look;
use crate::cli;
use crate::failure::Failure;
use crate::meet::lan::{self, Reach, addresses};
use crate::meet::shelves::Shelves;
use crate::out;
use crate::signal::Stop;
use crate::table::{paragraph, plain};
use chrono::{DateTime, FixedOffset, Local};
use holebook_core::notebook::Notebook;
use holebook_link::{Ground, Offer, OfferState, Store, offer};
use serde::Serialize;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::oneshot;

/// How often it is looked whether a device came in.
const PAUSE: Duration = Duration::from_millis(200);

/// Pairs the notebook in `folder` with another device; a new notebook is made where there is none.
///
/// # Errors
/// Where the notebook or its pairings cannot be used, the shop computer is not reached, or no device came in.
pub fn run(folder: &Path, asked: &cli::Pair, look: Look) -> Result<(), Failure> {
    let notebook = Arc::new(Notebook::open(folder)?);
    match &asked.code {
        Some(code) => with_shop(&Shelves::new(notebook), &code.join(" "), look),
        None => with_device(&notebook, asked, look),
    }
}

#[derive(Serialize)]
struct Paired<'a> {
    shelf: String,
    name: &'a str,
}

fn with_shop(shelves: &Shelves, code: &str, look: Look) -> Result<(), Failure> {
    let shop = shelves.pair(code)?;
    if look.json {
        return out::json(&Paired {
            shelf: format!("shop:{}", shop.fingerprint),
            name: &shop.name,
        });
    }
    out::say(&paragraph(&format!(
        "This computer is paired with the shop computer {}. Exchange with it by `holebook exchange --shop`.",
        plain(&shop.name)
    )))
}

/// Shows a code, and serves the notebook meanwhile where no other program does.
fn with_device(notebook: &Arc<Notebook>, asked: &cli::Pair, look: Look) -> Result<(), Failure> {
    let stop = Stop::listen()?;
    let (reach, serving) = lan::begin(notebook, asked.port)?;
    let port = match reach {
        Reach::At(port) => port,
        Reach::Not(why) => return Err(Failure::Said(why)),
    };
    let Some((lan, store)) = serving else {
        let store = Store::open(notebook.dir())?;
        lan::say_name(notebook, &store)?;
        return show_code(&store, port, asked, look, &stop);
    };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()?;
    let (end, ended) = oneshot::channel::<()>();
    let served = runtime.spawn(lan.serve(Arc::clone(notebook), store.clone(), async {
        // Where the sender is gone, it is time to end too.
        let _ = ended.await;
    }));
    let shown = show_code(&store, port, asked, look, &stop);
    // The device that came in is given its answer before the program ends.
    let _ = end.send(());
    let served = runtime.block_on(served);
    shown.and(served.unwrap_or(Ok(())).map_err(Failure::from))
}

#[derive(Serialize)]
struct Code<'a> {
    words: Option<String>,
    link: &'a str,
    until: DateTime<FixedOffset>,
    port: u16,
}

fn show_code(
    store: &Store,
    port: u16,
    asked: &cli::Pair,
    look: Look,
    stop: &Stop,
) -> Result<(), Failure> {
    let offer = offer(store, &addresses(port))?;
    if look.json {
        out::json(&Code {
            words: offer.words().map(ToString::to_string),
            link: offer.link(),
            until: offer.until().with_timezone(&Local).fixed_offset(),
            port,
        })?;
    } else {
        out::say(&words(&offer, asked))?;
    }
    let name = wait(store, &offer, stop)?;
    if look.json {
        return Ok(());
    }
    out::say(&format!("{} is paired.\n", plain(&name)))
}

fn words(offer: &Offer, asked: &cli::Pair) -> String {
    let ground = match asked.light {
        true => Ground::Light,
        false => Ground::Dark,
    };
    let mut text = "On the other device open Exchange, then Pair, and scan this".to_owned();
    let code = offer.words();
    text += match code {
        Some(_) => " or type the words below it.\n\n",
        None => ".\n\n",
    };
    text += &offer.square_text(ground);
    if let Some(code) = code {
        text += &format!("\n{}\n", paragraph(&code.to_string()));
    }
    let until = offer.until().with_timezone(&Local).format("%H:%M");
    text += &paragraph(&format!(
        "Good until {until}, for one device. Show it to nobody else: whoever has it can read all of this notebook and \
         write in it. Ctrl-C withdraws it."
    ));
    text
}

/// Waits until a device has paired by the code; gives its name.
fn wait(store: &Store, offer: &Offer, stop: &Stop) -> Result<String, Failure> {
    loop {
        let over = match store.offer_state(offer.id())? {
            OfferState::Used { device } => {
                let mut devices = store.devices()?.into_iter();
                let device = devices.find(|known| known.id == device);
                return Ok(device.map(|device| device.name).unwrap_or_default());
            }
            OfferState::Open { .. } if stop.is_told() => {
                store.take_back_offer(offer.id())?;
                "no device was paired, and the code is good no more"
            }
            OfferState::Open { .. } => {
                std::thread::sleep(PAUSE);
                continue;
            }
            OfferState::Over => {
                "the code is too old and no device was paired; run `holebook pair` again for a new one"
            }
            OfferState::TriedTooOften => {
                "too many wrong codes were tried, so this one is good no more; see who is on the network, then run `holebook pair` again"
            }
        };
        return Err(Failure::Said(over.to_owned()));
    }
}
