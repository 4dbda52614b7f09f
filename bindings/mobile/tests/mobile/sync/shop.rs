//! Syncs with a real shop computer over TLS, also when its address has changed.

use super::calls::{add_casting, castings, paired, report, sync, with};
use crate::support::{TestPhone, measured_hole};
use holebook_mobile::*;
use holebook_test_support::TestShopComputer;

#[test]
fn sync_transfers_entries_and_photos_both_ways() {
    let computer = TestShopComputer::start();
    computer.add_castings("from the shop", 3);
    computer.add_photo(1, 40);
    let (phone, shop) = paired(&computer);
    measured_hole(&phone.notebook);
    let did = report(sync(&phone.notebook, with(&shop)).unwrap());
    assert_eq!((did.photos_pushed, did.photos_pulled), (1, 1));
    // By the core's calls, on the shop computer.
    let there = computer.notebook.castings().unwrap().into_iter();
    let mut there: Vec<String> = there.map(|casting| casting.name).collect();
    there.sort();
    assert_eq!(castings(&phone.notebook), there);
    assert_eq!(phone.notebook.entries_not_synced().unwrap(), 0);
    assert_eq!(phone.notebook.photos_not_synced().unwrap(), 0);
    let remote = phone.notebook.known_remotes().unwrap().remove(0);
    assert_eq!(
        remote.last.unwrap().counts.entries_pushed,
        did.entries_pushed
    );
    assert!(phone.notebook.shops().unwrap()[0].last_sync_at.is_some());
    let again = report(sync(&phone.notebook, with(&shop)).unwrap());
    assert_eq!((again.entries_pulled, again.entries_pushed), (0, 0));
}

#[test]
fn different_entries_become_a_conflict() {
    let computer = TestShopComputer::start();
    let ((barn, shop), (other, _)) = (paired(&computer), paired(&computer));
    let hole = measured_hole(&barn.notebook).hole;
    sync(&barn.notebook, with(&shop)).unwrap();
    sync(&other.notebook, with(&shop)).unwrap();
    let want = |phone: &TestPhone, thread: &str| {
        let wanted = HoleEntry::WantedThread(WantedThread {
            thread: crate::support::thread(thread),
            bolt: None,
            through: None,
            pressure: false,
        });
        let before = phone.notebook.hole(hole).unwrap().record.wanted;
        let replaces = before.0.into_iter().map(|entry| entry.entry).collect();
        phone.notebook.record(hole, wanted, replaces).unwrap();
    };
    want(&barn, "7/16-14");
    want(&other, "1/2-13");
    sync(&other.notebook, with(&shop)).unwrap();
    let did = report(sync(&barn.notebook, with(&shop)).unwrap());
    assert_eq!(did.conflicts, [hole]);
}

#[test]
fn unreachable_remote_does_not_keep_the_others_from_syncing() {
    let (mut gone, computer) = (TestShopComputer::start(), TestShopComputer::start());
    let (phone, _) = paired(&gone);
    phone
        .notebook
        .pair(computer.offer().link().to_owned())
        .unwrap();
    gone.stop();
    add_casting(&phone.notebook, "one");
    let outcomes = sync(&phone.notebook, SyncTarget::All).unwrap();
    let done = |outcome: &&RemoteOutcome| matches!(outcome, RemoteOutcome::Done { report, .. } if report.entries_pushed == 1);
    assert_eq!(outcomes.iter().filter(done).count(), 1, "{outcomes:?}");
    let missed = |outcome: &&RemoteOutcome| matches!(outcome, RemoteOutcome::Failed { problem: Some(RemoteProblem::Unreachable), reason, .. } if !reason.is_empty());
    assert_eq!(outcomes.iter().filter(missed).count(), 1, "{outcomes:?}");
}

#[test]
fn shop_computer_with_a_new_address_is_found_where_the_phone_saw_it() {
    let mut computer = TestShopComputer::start();
    let other = TestShopComputer::start();
    let (phone, shop) = paired(&computer);
    let notebook = &phone.notebook;
    computer.stop();
    computer.port = 0;
    computer.resume();
    let missed = sync(notebook, with(&shop)).unwrap_err();
    assert!(
        matches!(
            missed,
            NotebookError::Remote {
                problem: RemoteProblem::Unreachable,
                ..
            }
        ),
        "{missed:?}"
    );

    let see = |name: &str, addresses: &[String]| {
        let name = name.to_owned();
        let addresses = addresses.to_vec();
        notebook
            .set_seen_shops(vec![SeenShop { name, addresses }])
            .unwrap();
    };
    // Another computer that claims its name is rejected.
    see(&shop.announced_as, &[other.address().to_string()]);
    let refused = sync(notebook, with(&shop)).unwrap_err();
    assert!(
        matches!(refused, NotebookError::Remote { .. }),
        "{refused:?}"
    );
    assert!(other.events.lock().unwrap().is_empty());

    let now = computer.address().to_string();
    see("another", std::slice::from_ref(&now));
    assert!(
        sync(notebook, with(&shop)).is_err(),
        "the name is another's"
    );
    let addresses = [
        "nonsense".to_owned(),
        other.address().to_string(),
        now.clone(),
    ];
    see(&shop.announced_as, &addresses);
    report(sync(notebook, with(&shop)).unwrap());
    assert_eq!(
        notebook.shops().unwrap()[0].addresses[0],
        now,
        "it is stored"
    );
}
