//! `holebook list`: the castings, faces and holes in the notebook.

use super::look::Look;
use super::number;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, plain};
use holebook_core::notebook::{FaceListed, HoleListed, List};
use std::path::Path;

/// Says what is in the notebook in `folder`.
///
/// # Errors
/// Where there is no notebook or it cannot be read.
pub fn run(folder: &Path, look: Look) -> Result<(), Failure> {
    let notebook = super::existing(folder)?;
    let list = notebook.list()?;
    if look.json {
        return out::json(&list);
    }
    let unit = look.unit_of(&notebook)?;
    out::say(&words(&list, |face| {
        let cut = face
            .face_cut
            .map_or_else(|| "not said".into(), |cut| cut.show(unit));
        format!("face cut still to come: {cut}")
    }))
}

fn words(list: &List, cut: impl Fn(&FaceListed) -> String) -> String {
    if list.castings.is_empty() {
        return "The notebook is empty; `holebook open` shows it in the browser, where the first casting is added.\n".into();
    }
    let mut text = String::new();
    for casting in &list.castings {
        text.push_str(&format!("{}\n", plain(&casting.name)));
        for face in &casting.faces {
            let holes = number(face.holes.len() as u64, "hole", "holes");
            text.push_str(&format!(
                "\n  {}: {holes}, {}\n  id {}\n\n",
                plain(&face.name),
                cut(face),
                face.id
            ));
            text.push_str(&holes_table(&face.holes).to_string());
        }
        text.push('\n');
    }
    text
}

fn holes_table(holes: &[HoleListed]) -> Table {
    let mut table = Table::new(&[
        ("  hole", Side::Right),
        ("thread", Side::Left),
        ("state", Side::Left),
        ("remedy", Side::Left),
    ]);
    for hole in holes {
        table.row([
            hole.number.to_string(),
            hole.thread
                .map(|thread| thread.designation())
                .unwrap_or_default(),
            state_words(hole),
            hole.remedy
                .map(|remedy| remedy.to_string())
                .unwrap_or_default(),
        ]);
    }
    table
}

/// The state, and that it is in question where it is.
pub fn state_words(hole: &HoleListed) -> String {
    if hole.in_question {
        format!("{}, in question", hole.state)
    } else {
        hole.state.to_string()
    }
}
