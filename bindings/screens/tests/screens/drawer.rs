//! The drawer's page and forms.
#![allow(clippy::unwrap_used)]

use crate::support::{Screens, problem};
use holebook_core::drawer::Group;
use holebook_core::insert::Family;
use holebook_core::thread::Thread;

fn count(screens: &Screens, label: &str) -> Option<(u32, u32)> {
    let on_hand = screens.notebook.on_hand().unwrap();
    let unit = screens.notebook.settings().unwrap().unit;
    let mut items = on_hand.items().iter();
    let one = items.find(|one| one.item.label(unit) == label)?;
    Some((one.count, one.worn))
}

/// The JSON by which the page's form names an item.
fn item(screens: &Screens, label: &str) -> String {
    let on_hand = screens.notebook.on_hand().unwrap();
    let unit = screens.notebook.settings().unwrap().unit;
    let mut items = on_hand.items().iter();
    let one = items.find(|one| one.item.label(unit) == label).unwrap();
    serde_json::to_string(&one.item).unwrap()
}

#[test]
fn a_set_is_one_tap_and_offered_until_all_of_it_is_there() {
    let screens = Screens::new();
    let page = screens.get("/drawer");
    assert!(page.contains("Fractional drills, 1/16 to 1/2 by 64ths"));
    screens.submit("/drawer/set", &[("set", "fractions-to-1-2")]);
    assert_eq!(count(&screens, "29/64 (.453) drill"), Some((1, 0)));
    let page = screens.get("/drawer");
    assert!(!page.contains("Fractional drills, 1/16"), "offered again");
    assert!(page.contains("Drills<span class=\"faint\">, 29"));
    let used = item(&screens, "29/64 (.453) drill");
    screens.submit("/drawer/change", &[("item", &used), ("change", "used-up")]);
    assert_eq!(count(&screens, "29/64 (.453) drill"), Some((0, 0)));
    assert!(screens.get("/drawer").contains("Fractional drills, 1/16"));
    assert!(screens.rejected("/drawer/set", &[]).contains("Choose one"));
}

#[test]
fn counts_change_by_one_tap_each() {
    let screens = Screens::new();
    let tap = [
        ("kind", "taps"),
        ("thread", "1/2-13"),
        ("chamfer", "plug"),
        ("count", "2"),
    ];
    screens.submit("/drawer/item", &tap);
    let label = "1/2-13 UNC tap, plug";
    let named = item(&screens, label);
    let change = |word: &str| {
        screens.submit("/drawer/change", &[("item", &named), ("change", word)]);
        count(&screens, label).unwrap()
    };
    assert_eq!(change("worn"), (1, 1));
    assert_eq!(change("used-up"), (0, 1));
    assert_eq!(change("used-up"), (0, 1), "never below none");
    assert_eq!(change("sharpened"), (1, 0));
    assert_eq!(change("more"), (2, 0));
    // Added again, it adds up.
    screens.submit("/drawer/item", &tap);
    assert_eq!(count(&screens, label), Some((4, 0)));
    let unreadable = [("item", "{}"), ("change", "more")];
    assert!(
        screens
            .rejected("/drawer/change", &unreadable)
            .contains("reload the page")
    );
}

#[test]
fn every_group_takes_one_of_its_items() {
    let screens = Screens::new();
    let forms: [&[(&str, &str)]; 9] = [
        &[("kind", "drills"), ("drill", "#7")],
        &[
            ("kind", "taps"),
            ("thread", "3/8-16 STI"),
            ("chamfer", "bottoming"),
        ],
        &[
            ("kind", "inserts"),
            ("family", "wire thread insert"),
            ("thread", "3/8-16"),
            ("item-length", ".5625"),
        ],
        &[
            ("kind", "countersinks"),
            ("angle", "82"),
            ("diameter", "3/4"),
        ],
        &[
            ("kind", "install-tools"),
            ("family", "wire thread insert"),
            ("thread", "3/8-16"),
        ],
        &[
            ("kind", "gauges"),
            ("name", "3/8-16 STI plug gauge"),
            ("checked", "2026-10-01"),
        ],
        &[
            ("kind", "consumables"),
            ("name", "Reiniger «Öl-frei», 解脂剂 🧴"),
        ],
        &[
            ("kind", "bolts"),
            ("thread", "3/8-16"),
            ("item-length", "1-3/4"),
        ],
        &[("kind", "other-tools"), ("name", "<b>end mill</b> 3/8")],
    ];
    for form in forms {
        screens.submit("/drawer/item", form);
    }
    let page = screens.get("/drawer");
    for shown in [
        "#7 (.201) drill",
        "3/8-16 STI tap, bottoming",
        "3/8-16 UNC wire thread insert, 1-1/2 D (.563 set)",
        "82° countersink, .750 in",
        "install tool for 3/8-16 UNC wire thread insert",
        "checked 2026-10-01",
        "Reiniger «Öl-frei», 解脂剂 🧴",
        "3/8-16 x 1-3/4 bolt",
        "&lt;b&gt;end mill&lt;/b&gt; 3/8",
    ] {
        assert!(page.contains(shown), "no {shown}");
    }
    let on_hand = screens.notebook.on_hand().unwrap();
    for group in Group::ALL {
        let known = on_hand.is_known(group);
        assert_eq!(known, group != Group::ShopMade, "{group}");
    }
}

#[test]
fn a_wrong_entry_is_named_in_its_own_form_and_keeps_what_was_typed() {
    let screens = Screens::new();
    let wrong: [(&[(&str, &str)], &str); 6] = [
        (
            &[("kind", "drills"), ("drill", "3/7")],
            "not a standard drill",
        ),
        (
            &[("kind", "taps"), ("thread", "3/8-17x"), ("chamfer", "plug")],
            "Thread",
        ),
        (
            &[
                ("kind", "inserts"),
                ("family", "wire thread insert"),
                ("thread", "3/8-16"),
            ],
            "the tables have 1 D",
        ),
        (
            &[("kind", "drills"), ("drill", "X"), ("count", "-1")],
            "whole number",
        ),
        (
            &[("kind", "drills"), ("drill", "X"), ("count", "4000000")],
            "100000",
        ),
        (
            &[("kind", "gauges"), ("name", "caliper"), ("checked", "soon")],
            "2026-11-30",
        ),
    ];
    for (form, message) in wrong {
        let response = screens.post("/drawer/item", form);
        assert_eq!(response.status, 422, "{form:?}");
        assert!(
            problem(&response).contains(message),
            "{}",
            problem(&response)
        );
    }
    assert!(screens.notebook.on_hand().unwrap().is_empty());
}

#[test]
fn a_makers_sheet_replaces_the_standards_figures_until_it_is_taken_out() {
    let screens = Screens::new();
    let sheet = [
        ("family", "wire thread insert"),
        ("thread", "3/8-16"),
        ("item-length", "9/16"),
        ("drill", "X"),
        ("source", "card in the box"),
    ];
    screens.submit("/drawer/sheet", &sheet);
    let thread = Thread::parse("3/8-16").unwrap();
    let own = || {
        let inserts = screens.notebook.catalog().unwrap().inserts_for(&thread);
        let mut wire = inserts
            .iter()
            .filter(|one| one.family == Family::WireThread);
        wire.next().unwrap().shop_file.clone()
    };
    assert_eq!(own().as_deref(), Some("3/8-16 UNC wire thread insert"));
    assert!(screens.get("/drawer").contains("Makers' sheets"));
    let incomplete = [
        ("family", "key-locking insert, thin wall"),
        ("thread", "3/8-16"),
        ("item-length", "1/2"),
        ("hole-least", ".400"),
        ("source", "card"),
    ];
    assert!(
        screens
            .rejected("/drawer/sheet", &incomplete)
            .contains("enter the largest too")
    );
    screens.submit(
        "/drawer/remove-sheet",
        &[("name", "3/8-16 UNC wire thread insert")],
    );
    assert_eq!(own(), None);
}

/// A worn hole with everything measured that remedies need.
fn worn_hole(screens: &Screens) -> String {
    let hole = format!("/hole/{}", screens.hole());
    screens.submit(&format!("{hole}/face-cut"), &[("planned", ".020")]);
    screens.submit(
        &format!("{hole}/wanted-thread"),
        &[("thread", "3/8-16"), ("through", "no")],
    );
    let damage = [
        ("from-0", "0"),
        ("to-0", "1"),
        ("diameter-0", ".385"),
        ("offset-0", "0"),
    ];
    screens.submit(&format!("{hole}/damage"), &damage);
    let readings = [
        ("depth", "1-1/2"),
        ("floor", "1/2"),
        ("nearest-edge", "1-1/4"),
        ("nearest-hole", "3"),
    ];
    screens.submit(&format!("{hole}/reading"), &readings);
    hole
}

#[test]
fn remedies_can_be_limited_to_what_is_on_hand_and_say_what_one_purchase_changes() {
    let screens = Screens::new();
    let hole = worn_hole(&screens);
    let page = screens.get(&hole);
    assert!(
        page.contains("Wire thread insert, 1-1/2 D"),
        "it is offered"
    );
    assert!(
        !page.contains("Only what is on hand") && !page.contains("Not on hand"),
        "no drawer, no limit"
    );
    // Drills alone: no other group is known, so none of it is missing.
    screens.submit("/drawer/set", &[("set", "letters")]);
    let page = screens.get(&hole);
    assert!(page.contains("Only what is on hand"));
    assert!(
        page.contains("Not on hand: </b>buy one 29/64 (.453) drill, and this becomes possible.")
    );
    let limited = |screens: &Screens| screens.get(&format!("{hole}?on-hand=yes"));
    let page = limited(&screens);
    assert!(page.contains("Buy one 29/64 (.453) drill</b>: Key-locking insert, thin wall"));
    let cards = |page: &str| page.matches("class=\"remedy-card").count();
    assert!(cards(&page) < cards(&screens.get(&hole)), "fewer remedies");
    assert!(
        page.contains("Wire thread insert, 1-1/2 D"),
        "its drill X is a letter"
    );
    screens.submit("/drawer/item", &[("kind", "drills"), ("drill", "29/64")]);
    let page = limited(&screens);
    assert!(!page.contains("Buy one 29/64"), "bought");
    // A known group without the right tap.
    let tap = [("kind", "taps"), ("thread", "1/2-13"), ("chamfer", "plug")];
    screens.submit("/drawer/item", &tap);
    let page = screens.get(&hole);
    assert!(
        page.contains("buy one 3/8-16 STI tap, "),
        "the wire insert's tap is missing"
    );
}
