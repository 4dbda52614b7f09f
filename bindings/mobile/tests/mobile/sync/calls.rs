//! Typed calls that the tests of sync use often.

use crate::support::TestPhone;
use holebook_mobile::*;
use holebook_test_support::TestShopComputer;

/// Adds a casting: one entry that is not synced yet.
pub fn add_casting(notebook: &Notebook, name: &str) -> CastingId {
    let body = CastingBody {
        name: name.to_owned(),
        note: None,
        metal: None,
    };
    notebook.add_casting(body).unwrap()
}

/// The names of the castings, in order.
pub fn castings(notebook: &Notebook) -> Vec<String> {
    let castings = notebook.castings().unwrap().into_iter();
    let mut names: Vec<String> = castings.map(|casting| casting.name).collect();
    names.sort();
    names
}

/// Syncs, and waits for the result.
pub fn sync(notebook: &Notebook, with: SyncTarget) -> Result<Vec<RemoteOutcome>, NotebookError> {
    notebook.start_sync(with)?.result()
}

/// The report of the one sync, which succeeded.
pub fn report(mut outcomes: Vec<RemoteOutcome>) -> SyncReport {
    assert_eq!(outcomes.len(), 1, "{outcomes:?}");
    match outcomes.remove(0) {
        RemoteOutcome::Done { report, .. } => report,
        failed => panic!("{failed:?}"),
    }
}

/// A phone that is paired with the shop computer.
pub fn paired(computer: &TestShopComputer) -> (TestPhone, PairedShop) {
    let phone = TestPhone::new();
    let shop = pair(&phone, computer.offer().link());
    (phone, shop)
}

pub fn pair(phone: &TestPhone, code: &str) -> PairedShop {
    phone.notebook.pair(code.to_owned()).unwrap()
}

/// A sync with that shop computer.
pub fn with(shop: &PairedShop) -> SyncTarget {
    SyncTarget::Shop {
        id: shop.id.clone(),
    }
}

/// The reason why pairing failed, and its sentence.
pub fn problem(error: NotebookError) -> (PairingProblem, String) {
    match error {
        NotebookError::Pairing { reason, problem } => (problem, reason),
        other => panic!("{other:?}"),
    }
}
