//! Whatever is recorded and sent in whatever order: nothing is lost, and in the end all notebooks
//! are equal.

use super::*;
use crate::notebook::tests::derived_tables;
use crate::sync::bundle::import;
use proptest::prelude::*;

#[derive(Debug, Clone)]
enum Action {
    Record(usize, u8),
    Photo(usize, u8),
    Send(usize, usize, bool),
    MarkSynced(usize),
}

fn action() -> impl Strategy<Value = Action> {
    let who = 0..3_usize;
    prop_oneof![
        (who.clone(), any::<u8>()).prop_map(|(who, mm)| Action::Record(who, mm)),
        (who.clone(), 0..4_u8).prop_map(|(who, shade)| Action::Photo(who, shade)),
        (who.clone(), who.clone(), any::<bool>())
            .prop_map(|(from, to, all)| Action::Send(from, to, all)),
        who.prop_map(Action::MarkSynced),
    ]
}

/// Writes a bundle from `from` and imports it into `to`. Returns whether all of it was imported.
fn send(dir: &TempDir, from: &Notebook, to: &Notebook, what: BundleContent) -> bool {
    let path = dir.path().join("sent.zip");
    let sent = write(from, &path, what, &ignore_progress);
    let report = sent.map(|_| import(to, &path, &ignore_progress).unwrap());
    let _ = fs::remove_file(&path);
    report.is_ok_and(|report| report.problems.is_empty())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn all_notebooks_end_equal(actions in prop::collection::vec(action(), 0..16)) {
        let shop = BundleBench::new();
        let benches = [Bench::new(), Bench::new(), Bench::new()];
        for bench in &benches {
            prop_assert!(send(&shop.dir, shop.notebook(), &bench.notebook, BundleContent::All));
        }
        for action in actions {
            match action {
                Action::Record(who, mm) => {
                    let reading = depth_of(f64::from(mm) / 10.0 + 1.0);
                    benches[who].notebook.record(shop.hole, reading, &[]).unwrap();
                }
                Action::Photo(who, shade) => {
                    add_photo(&benches[who].notebook, shop.face, &shop.dir, shade);
                }
                Action::Send(from, to, all) => {
                    let what = if all { BundleContent::All } else { BundleContent::NotSynced };
                    send(&shop.dir, &benches[from].notebook, &benches[to].notebook, what);
                }
                Action::MarkSynced(who) => {
                    let path = shop.path("synced.zip");
                    if let Ok(written) = write(&benches[who].notebook, &path, BundleContent::NotSynced, &ignore_progress) {
                        fs::remove_file(&path).unwrap();
                        written.mark_synced(&benches[who].notebook).unwrap();
                    }
                    prop_assert_eq!(benches[who].notebook.entries_not_synced().unwrap(), 0);
                }
            }
        }
        for bench in &benches {
            prop_assert!(send(&shop.dir, &bench.notebook, shop.notebook(), BundleContent::All));
        }
        for bench in &benches {
            prop_assert!(send(&shop.dir, shop.notebook(), &bench.notebook, BundleContent::All));
            prop_assert_eq!(derived_tables(&bench.notebook), derived_tables(shop.notebook()));
            let check = bench.notebook.verify().unwrap();
            prop_assert!(check.is_ok());
        }
    }
}
