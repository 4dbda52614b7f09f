//! Speeds and feeds.

use crate::compare::Ours;
use crate::table::Row;
use holebook_core::cutting::{Hardness, Operation, ToolMaterial, deep_hole_reduction, speeds};
use holebook_core::length::{Length, Unit};
use serde::de::DeserializeOwned;

fn parse_key<T: DeserializeOwned>(text: &str) -> T {
    serde_json::from_value(text.into()).unwrap()
}

pub fn surface_speeds(row: &Row<'_>, column: &str) -> Ours {
    let (operation, material, hardness): (Operation, ToolMaterial, Hardness) = (
        parse_key(row.input("operation")),
        parse_key(row.input("material")),
        parse_key(row.input("hardness")),
    );
    let half = Length::from_fraction(1, 2);
    let ours = speeds(operation, material, hardness, half).unwrap();
    let (least, most) = ours.surface_ft_min;
    let published = row.published(column);
    let ends: Vec<f64> = published
        .split(" to ")
        .map(|end| end.parse().unwrap())
        .collect();
    if ends.iter().all(|end| (least..=most).contains(end)) {
        published.to_owned().into()
    } else {
        format!("{least} to {most}").into()
    }
}

pub fn drill_feeds(row: &Row<'_>, column: &str) -> Ours {
    let diameter = Length::parse(row.input("diameter"), Some(Unit::Inch)).unwrap();
    let ours = speeds(
        Operation::Drill,
        ToolMaterial::HighSpeedSteel,
        Hardness::Soft,
        diameter,
    );
    let feed = ours.unwrap().feed.unwrap();
    let length = match column {
        "least" => feed.least,
        "most" => feed.most,
        _ => row.unknown_column(column),
    };
    (length.inches() * 1000.0).into()
}

pub fn drill_depth(row: &Row<'_>, column: &str) -> Ours {
    let loss = deep_hole_reduction(row.input("diameters").parse().unwrap()).unwrap();
    let share = match column {
        "speed" => loss.speed,
        "feed" => loss.feed,
        _ => row.unknown_column(column),
    };
    (share * 100.0).into()
}
