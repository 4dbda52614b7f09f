//! Laws: whatever is written and sent in whatever order, nothing is lost, and in the end all know the same.

use super::*;
use crate::exchange::bundle::take_in;
use crate::notebook::tests::worked_out;
use proptest::prelude::*;

#[derive(Debug, Clone)]
enum Deed {
    Say(usize, u8),
    Photo(usize, u8),
    Send(usize, usize, bool),
    Home(usize),
}

fn deed() -> impl Strategy<Value = Deed> {
    let who = 0..3_usize;
    prop_oneof![
        (who.clone(), any::<u8>()).prop_map(|(who, mm)| Deed::Say(who, mm)),
        (who.clone(), 0..4_u8).prop_map(|(who, shade)| Deed::Photo(who, shade)),
        (who.clone(), who.clone(), any::<bool>())
            .prop_map(|(from, to, all)| Deed::Send(from, to, all)),
        who.prop_map(Deed::Home),
    ]
}

/// Writes a bundle of what `from` has and takes it into `to`. Says whether all in it was taken.
fn send(dir: &TempDir, from: &Notebook, to: &Notebook, what: What) -> bool {
    let place = dir.path().join("sent.zip");
    let sent = write(from, &place, what, &unwatched);
    let report = sent.map(|_| take_in(to, &place, &unwatched).unwrap());
    let _ = fs::remove_file(&place);
    report.is_ok_and(|report| report.problems.is_empty())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn in_the_end_all_know_the_same(deeds in prop::collection::vec(deed(), 0..16)) {
        let shop = Shop::new();
        let benches = [Bench::new(), Bench::new(), Bench::new()];
        for bench in &benches {
            prop_assert!(send(&shop.dir, shop.notebook(), &bench.notebook, What::All));
        }
        for deed in deeds {
            match deed {
                Deed::Say(who, mm) => {
                    let reading = depth_of(f64::from(mm) / 10.0 + 1.0);
                    benches[who].notebook.say(shop.hole, reading, &[]).unwrap();
                }
                Deed::Photo(who, shade) => {
                    add_photo(&benches[who].notebook, shop.face, &shop.dir, shade);
                }
                Deed::Send(from, to, all) => {
                    let what = if all { What::All } else { What::NotHome };
                    send(&shop.dir, &benches[from].notebook, &benches[to].notebook, what);
                }
                Deed::Home(who) => {
                    let place = shop.place("home.zip");
                    if let Ok(written) = write(&benches[who].notebook, &place, What::NotHome, &unwatched) {
                        fs::remove_file(&place).unwrap();
                        written.count_as_home(&benches[who].notebook).unwrap();
                    }
                    prop_assert_eq!(benches[who].notebook.entries_to_bring_home().unwrap(), 0);
                }
            }
        }
        for bench in &benches {
            prop_assert!(send(&shop.dir, &bench.notebook, shop.notebook(), What::All));
        }
        for bench in &benches {
            prop_assert!(send(&shop.dir, shop.notebook(), &bench.notebook, What::All));
            prop_assert_eq!(worked_out(&bench.notebook), worked_out(shop.notebook()));
            let check = bench.notebook.verify().unwrap();
            prop_assert!(check.is_sound());
        }
    }
}
