//! JSON of assessments.

use super::*;
use crate::hole::testing::*;

#[test]
fn json_has_the_promised_keys() {
    let answer =
        serde_json::to_value(assess(&with(vec![station(0.0, 9.0, 13.0, 1.2, 0.0)]))).unwrap();
    for one in answer.as_array().unwrap() {
        let keys = [
            "remedy",
            "family",
            "outside_thread",
            "verdict",
            "checks",
            "thread_left",
            "effective_engagement_mm",
            "parent_strength_n",
            "bolt_strength_n",
            "strength_ratio",
            "depths_mm",
            "drill",
            "tap",
            "cautions",
            "length_mm",
            "source",
            "missing_readings",
            "sensitivities",
            "reasons",
            "bolt_tip_mm",
            "edge_wall_mm",
            "first_because",
        ];
        for key in keys {
            assert!(one.get(key).is_some(), "{key}");
        }
        for key in ["drill", "full_thread", "set_now", "set_after_cut"] {
            assert!(one["depths_mm"].get(key).is_some(), "{key}");
        }
        let depths = &one["depths_mm"];
        assert_eq!(depths["install_now"], depths["set_now"]);
        assert_eq!(depths["install_after_cut"], depths["set_after_cut"]);
        for check in one["checks"].as_array().unwrap() {
            for key in ["check", "has", "needs", "unit", "passes", "limit_from"] {
                assert!(check.get(key).is_some(), "{key}");
            }
        }
    }
    let heavy = answer
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["family"] == "key-locking insert, heavy duty")
        .unwrap();
    assert_eq!(heavy["remedy"], "key-locking-insert");
    assert_eq!(heavy["outside_thread"], "9/16-12 UNC");
    assert_eq!(heavy["verdict"], "marginal");
    assert_eq!(heavy["drill"]["name"], "33/64");
    assert_eq!(heavy["length_mm"], 12.7);
    assert!(heavy["depths_mm"]["install_now"].is_number());
    assert!(heavy["source"].is_string() && heavy["reasons"][0].is_string());
    assert!(heavy["thread_left"][0]["fraction"].is_number());
    assert!(heavy["cautions"][0].is_string());
}
