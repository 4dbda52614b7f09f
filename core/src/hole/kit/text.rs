//! The kit as plain text, to send.

use super::{Kit, KitLine, hole_numbers};
use crate::drawer::Group;
use crate::length::{Unit, in_unit};

/// Returns the kit as plain text, what to buy first. Lengths are in the reader's unit.
pub fn text(kit: &Kit, title: &str, unit: Unit) -> String {
    let mut text = format!("{title}\n\nTo buy or make\n");
    let buy: Vec<&KitLine> = kit.to_buy().collect();
    if buy.is_empty() {
        text.push_str("  nothing\n");
    }
    for line in buy {
        text.push_str(&format!("  {} x {}\n", line.buy, line.label(unit)));
    }
    for group in Group::ALL {
        let lines: Vec<&KitLine> = kit.of_group(group).collect();
        if lines.is_empty() {
            continue;
        }
        text.push_str(&format!("\n{}\n", group.label()));
        for line in lines {
            text.push_str(&of_line(kit, line, unit));
        }
    }
    if !kit.open.is_empty() {
        text.push_str("\nOpen: not in this kit, or not wholly\n");
        for open in &kit.open {
            let hole = &open.at;
            text.push_str(&format!(
                "  {}, {}, hole {}: {}\n",
                hole.casting_name,
                hole.face_name,
                hole.number,
                in_unit(&open.why, unit)
            ));
        }
    }
    text
}

fn of_line(kit: &Kit, line: &KitLine, unit: Unit) -> String {
    let mut text = format!("  {} x {}", line.needed, line.label(unit));
    if line.spares > 0 {
        let spares = if line.spares == 1 { "spare" } else { "spares" };
        text.push_str(&format!(" + {} {spares}", line.spares));
    }
    if let Some(on_hand) = line.on_hand {
        text.push_str(&format!(", {on_hand} on hand"));
    }
    text.push_str(&format!(", buy {}", line.buy));
    let word = match (kit.faces > 1, line.holes.len()) {
        (true, _) => "for",
        (false, 1) => "hole",
        (false, _) => "holes",
    };
    text.push_str(&format!("; {word} {}\n", hole_numbers(&line.holes, kit)));
    for instead in &line.instead {
        text.push_str(&format!(
            "      on hand, will do: {}\n",
            instead.label(unit)
        ));
    }
    for why in &line.judgment {
        text.push_str(&format!("      judgment: {why}\n"));
    }
    text
}
