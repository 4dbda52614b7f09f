//! What the server knows of one connection.

use super::pairing::BegunExchange;
use crate::http_server::OpenConnection;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};

/// One connection.
pub(super) struct Connection {
    /// Who is at the other end.
    pub peer: IpAddr,
    open: OpenConnection,
    exchange: Mutex<ExchangeState>,
}

#[derive(Default)]
enum ExchangeState {
    #[default]
    None,
    Begun(BegunExchange),
    Over,
}

impl Connection {
    pub fn new(open: OpenConnection) -> Self {
        Self {
            peer: open.peer(),
            open,
            exchange: Mutex::default(),
        }
    }

    /// Records that a paired device is at the other end.
    pub fn trust(&self) {
        self.open.trust();
    }

    /// Keeps a key exchange until the device's proof arrives. Returns false if there was one before.
    pub fn begin_exchange(&self, begun: BegunExchange) -> bool {
        let mut state = self.exchange.lock().unwrap_or_else(PoisonError::into_inner);
        let is_first = matches!(*state, ExchangeState::None);
        if is_first {
            *state = ExchangeState::Begun(begun);
        }
        is_first
    }

    /// Takes the exchange, which is good for one proof.
    pub fn take_exchange(&self) -> Option<BegunExchange> {
        let mut state = self.exchange.lock().unwrap_or_else(PoisonError::into_inner);
        match std::mem::replace(&mut *state, ExchangeState::Over) {
            ExchangeState::Begun(begun) => Some(begun),
            ExchangeState::None | ExchangeState::Over => None,
        }
    }
}
