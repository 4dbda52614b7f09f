//! The devices whose entries this notebook has, and where their first entries came from.

use crate::labels::date_time;
use holebook_core::display_name::shown;
use holebook_core::notebook::{Arrival, DeviceId, Notebook, NotebookError};
use maud::{Markup, html};

/// Most devices that are listed; the rest are counted.
const DEVICES: usize = 50;
/// Most devices that the result of a sync names; the rest are counted.
const FIRST_TIME: usize = 5;

/// What the result of a sync says of devices whose first entries it brought from `remote`.
pub fn first_time(
    notebook: &Notebook,
    devices: &[DeviceId],
    remote: &str,
) -> Result<Markup, NotebookError> {
    let named = devices.iter().take(FIRST_TIME);
    let names = named.map(|device| name(notebook, *device));
    let names = names.collect::<Result<Vec<_>, _>>()?;
    let more = devices.len().saturating_sub(names.len());
    Ok(html! {
        @if !names.is_empty() {
            div.caution {
                p { b { "New here" } ": the first entries of these devices came from " (shown(remote))
                    ". Whoever can write there can write entries in any name, so check that you know them:" }
                ul {
                    @for name in &names { li { (name) } }
                    @if more > 0 { li { "and " (more) " more" } }
                }
            }
        }
    })
}

/// The section, folded; nothing if no entries came from elsewhere.
pub fn section(notebook: &Notebook) -> Result<Markup, NotebookError> {
    let arrivals = notebook.arrivals()?;
    let listed = arrivals.iter().take(DEVICES);
    let items = listed.map(|arrival| item(notebook, arrival));
    let items = items.collect::<Result<Vec<_>, _>>()?;
    let more = arrivals.len().saturating_sub(items.len());
    Ok(html! {
        @if !items.is_empty() {
            details.panel #devices {
                summary { "Devices whose entries came from elsewhere" }
                p { "Whoever can write on a stick, folder, bucket or bundle can write entries in any name. Over the network only paired devices can." }
                ul.journal {
                    @for item in &items { (item) }
                    @if more > 0 { li { "and " (more) " more" } }
                }
            }
        }
    })
}

fn item(notebook: &Notebook, arrival: &Arrival) -> Result<Markup, NotebookError> {
    Ok(html! {
        li {
            (name(notebook, arrival.device)?)
            div.faint { "First entries from " (shown(&arrival.from)) ", " (date_time(&arrival.at)) }
        }
    })
}

/// The name that a device gave itself, and the end of its id, which tells devices of one name apart.
fn name(notebook: &Notebook, device: DeviceId) -> Result<String, NotebookError> {
    let name = notebook.device_name(device)?.unwrap_or_default();
    let id = device.to_string();
    let short = id.rsplit('-').next().unwrap_or(&id);
    Ok(match name.is_empty() {
        true => format!("unnamed device ({short})"),
        false => format!("{} ({short})", shown(&name)),
    })
}
