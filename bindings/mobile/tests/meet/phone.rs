//! A phone's notebook, and what the tests often ask of it.

use crate::bench::Bench;
use crate::common::Desk;
use holebook_mobile::*;

/// Something to bring home: one entry, and as many photos as are asked for, each its own.
pub fn note(book: &Notebook, name: &str) -> CastingId {
    let body = CastingBody {
        name: name.to_owned(),
        note: None,
        metal: None,
    };
    book.add_casting(body).unwrap()
}

/// The names of the castings, in order.
pub fn castings(book: &Notebook) -> Vec<String> {
    let castings = book.castings().unwrap().into_iter();
    let mut names: Vec<String> = castings.map(|casting| casting.name).collect();
    names.sort();
    names
}

/// Exchanges, and waits until it is over.
pub fn exchange(book: &Notebook, with: ExchangeWith) -> Result<Vec<ShelfOutcome>, NotebookError> {
    book.begin_exchange(with)?.result()
}

/// What one exchange that ended well did.
pub fn report(mut outcomes: Vec<ShelfOutcome>) -> ExchangeReport {
    assert_eq!(outcomes.len(), 1, "{outcomes:?}");
    match outcomes.remove(0) {
        ShelfOutcome::Done { report, .. } => report,
        failed => panic!("{failed:?}"),
    }
}

/// A phone that is paired with the shop computer.
pub fn paired(bench: &Bench) -> (Desk, PairedShop) {
    let phone = Desk::new();
    let shop = pair(&phone, bench.offer().link());
    (phone, shop)
}

pub fn pair(phone: &Desk, code: &str) -> PairedShop {
    phone.notebook.pair(code.to_owned()).unwrap()
}

/// Exchange with that shop computer.
pub fn with(shop: &PairedShop) -> ExchangeWith {
    ExchangeWith::Shop {
        id: shop.id.clone(),
    }
}

/// Why pairing failed, and the sentence.
pub fn trouble(error: NotebookError) -> (PairingTrouble, String) {
    match error {
        NotebookError::Pairing { reason, trouble } => (trouble, reason),
        other => panic!("{other:?}"),
    }
}
