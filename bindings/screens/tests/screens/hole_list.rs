//! The holes of a face at a glance: what is next, sorted and filtered by the address.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::Screens;
use holebook_core::notebook::{FaceId, HoleId};

/// A face with four holes: measured, described, planned with an insert, and untouched.
fn face_of_four() -> (Screens, FaceId, Vec<HoleId>) {
    let screens = Screens::new();
    let face = screens.face();
    let add = || screens.notebook.add_hole(face, None, None).unwrap();
    let holes: Vec<HoleId> = (0..4).map(|_| add()).collect();
    screens.submit(&format!("/face/{face}/cut"), &[("planned", "0.5 mm")]);
    for hole in &holes[..3] {
        let readings = [
            ("depth", "1.25"),
            ("floor", ".4"),
            ("nearest-edge", "25 mm"),
            ("nearest-hole", "60 mm"),
        ];
        screens.submit(&format!("/hole/{hole}/reading"), &readings);
        let wanted = [
            ("thread", "3/8-16"),
            ("bolt", "SAE J429 grade 5"),
            ("through", "blind"),
        ];
        screens.submit(&format!("/hole/{hole}/wanted-thread"), &wanted);
    }
    for hole in &holes[1..3] {
        let damage = [("from-0", "0"), ("to-0", "30 mm"), ("diameter-0", "9.6 mm")];
        screens.submit(&format!("/hole/{hole}/damage"), &damage);
    }
    let page = format!("/hole/{}", holes[2]);
    let form = format!("{page}/remedy");
    let remedy = screens.hidden(&page, &form, "remedy").remove(0);
    let remedy = remedy.replace("&quot;", "\"");
    screens.submit(&form, &[("remedy", &remedy)]);
    (screens, face, holes)
}

/// The holes of the list, in order.
fn listed(page: &str) -> Vec<u32> {
    let list = page.split("<ol class=\"holes\"").nth(1).unwrap();
    let list = list.split("</ol>").next().unwrap();
    let rows = list.split("visually-hidden\">Hole ").skip(1);
    rows.map(|row| row.split(' ').next().unwrap().parse().unwrap())
        .collect()
}

fn row(page: &str, hole: HoleId) -> String {
    let start = page
        .find(&format!("<a href=\"/hole/{hole}\" data-hole"))
        .unwrap();
    page[start..].split("</li>").next().unwrap().to_owned()
}

#[test]
fn every_hole_shows_its_next_step_tool_and_depth() {
    let (screens, face, holes) = face_of_four();
    let page = screens.get(&format!("/face/{face}"));
    assert_eq!(listed(&page), [1, 2, 3, 4]);
    assert!(page.contains("<b>0 of 4</b> passed"));
    assert!(row(&page, holes[0]).contains("Describe damage"));
    assert!(row(&page, holes[1]).contains("Choose a remedy"));
    assert!(row(&page, holes[3]).contains("Set thread"));
    let planned = row(&page, holes[2]);
    let hole = screens.get(&format!("/hole/{}", holes[2]));
    let task = &screens.notebook.face(face).unwrap().holes[2].next;
    let unit = holebook_core::length::Unit::Inch;
    let tool = task.tool.as_ref().unwrap().show(unit);
    assert!(
        planned.contains(&tool) && tool.contains("drill"),
        "{planned}"
    );
    // The depth is the one that the hole's page gives.
    let depth = task.depth.unwrap();
    let depth = depth.rounded(unit, holebook_core::length::Rounding::Up);
    let depth = depth.replace(' ', "\u{a0}");
    assert!(planned.contains(&depth), "{planned}");
    assert!(hole.contains(&depth));
}

#[test]
fn the_address_filters_and_sorts_and_a_stale_or_hostile_one_does_no_harm() {
    let (screens, face, holes) = face_of_four();
    let get = |query: &str| screens.get(&format!("/face/{face}?{query}"));
    assert_eq!(listed(&get("next=drill")), [3]);
    assert_eq!(listed(&get("stage=measured")), [1, 2]);
    assert_eq!(listed(&get("missing=thread")), [4]);
    assert_eq!(listed(&get("missing=depth")), [4]);
    assert_eq!(listed(&get("missing=remedy&stage=measured")), [1, 2]);
    assert_eq!(listed(&get("sort=next")), [4, 1, 2, 3]);
    assert_eq!(listed(&get("sort=tool")), [3, 1, 2, 4]);
    assert_eq!(listed(&get("sort=nonsense&next=")), [1, 2, 3, 4]);
    let shown = get("next=drill");
    assert!(shown.contains("Showing 1 of 4 holes") && shown.contains("Show all"));

    let gone = get("tool=<script>alert(1)</script>");
    assert_eq!(listed(&gone), [] as [u32; 0]);
    assert!(!gone.contains("<script>alert") && gone.contains("Show all"));

    // Two devices disagree about hole 4: it comes first, and its row says so.
    let wanted = |thread: &str| [("thread", thread.to_owned())];
    for thread in ["3/8-16", "1/2-13"] {
        let form = wanted(thread);
        let form: Vec<(&str, &str)> = form
            .iter()
            .map(|(key, value)| (*key, value.as_str()))
            .collect();
        screens.submit(&format!("/hole/{}/wanted-thread", holes[3]), &form);
    }
    let page = get("");
    assert_eq!(listed(&page), [4, 1, 2, 3]);
    assert!(row(&page, holes[3]).contains("<b>conflict</b>"));
    assert!(page.contains(", <b>1 conflict</b>"));
    assert_eq!(listed(&get("sort=number")), [1, 2, 3, 4]);
}

#[test]
fn what_is_left_counts_the_holes_and_links_to_them() {
    let (screens, face, _) = face_of_four();
    let page = screens.get(&format!("/face/{face}"));
    let left = page.split("<ul class=\"left\"").nth(1).unwrap();
    let left = left.split("</ul>").next().unwrap();
    assert_eq!(left.matches("<li>").count(), 4);
    let link = left
        .split("href=\"")
        .last()
        .unwrap()
        .split('"')
        .next()
        .unwrap();
    assert!(link.contains("next=drill&amp;tool="), "{link}");
    let set = left.find("Set thread").unwrap();
    assert!(
        set < left.find("Drill").unwrap(),
        "in the order of the work"
    );
}
