//! Which request is which, and who may ask it.

use super::body::{Answer, Going};
use super::{Served, pairing, shelf};
use crate::secret::Token;
use crate::store::Caller;
use crate::wire::{DONE, FROM, PAIR, PHOTOS, SHELF};
use holebook_core::exchange::Stretch;
use holebook_core::photo::PhotoHash;
use hyper::body::Incoming;
use hyper::header::{self, HeaderValue};
use hyper::{Method, Request, Response, StatusCode};
use std::sync::Arc;

/// What a paired device may ask.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Route {
    Survey,
    Lines(Stretch, u64),
    LeaveLines(Stretch),
    Photo(PhotoHash),
    LeavePhoto(PhotoHash),
    Done,
}

impl Route {
    fn of(method: &Method, path: &str, query: Option<&str>) -> Option<Self> {
        match (method, path, query) {
            (&Method::GET, SHELF, None) => return Some(Self::Survey),
            (&Method::POST, DONE, None) => return Some(Self::Done),
            _ => {}
        }
        let place = path.strip_prefix('/')?;
        if let Some(hash) = place.strip_prefix(PHOTOS) {
            let hash = hash.parse().ok()?;
            return match (method, query) {
                (&Method::GET, None) => Some(Self::Photo(hash)),
                (&Method::PUT, None) => Some(Self::LeavePhoto(hash)),
                _ => None,
            };
        }
        let stretch = place.parse().ok()?;
        match (method, query) {
            (&Method::PUT, None) => Some(Self::LeaveLines(stretch)),
            (&Method::GET, Some(query)) => {
                let from = query.strip_prefix(FROM)?.strip_prefix('=')?;
                Some(Self::Lines(stretch, from.parse().ok()?))
            }
            _ => None,
        }
    }
}

/// Answers one request.
pub(super) async fn answer(served: Arc<Served>, request: Request<Incoming>) -> Answer {
    let uri = request.uri();
    if request.method() == Method::POST && uri.path() == PAIR && uri.query().is_none() {
        return Ok(pairing::answer(&served, request.into_body()).await);
    }
    let device = match caller(&served, &request).await {
        Ok(Caller::Device(device)) => device,
        Ok(Caller::Revoked) => return Ok(turned_away(StatusCode::FORBIDDEN)),
        Ok(Caller::Stranger) => return Ok(turned_away(StatusCode::UNAUTHORIZED)),
        Err(status) => return Ok(bare(status)),
    };
    match Route::of(request.method(), uri.path(), uri.query()) {
        Some(route) => Ok(shelf::answer(served, device, route, request).await),
        None => Ok(turned_away(StatusCode::NOT_FOUND)),
    }
}

/// Who asks. The file is asked each time, for another program may have revoked the device meanwhile.
async fn caller(served: &Arc<Served>, request: &Request<Incoming>) -> Result<Caller, StatusCode> {
    let Some(token) = token(request) else {
        return Ok(Caller::Stranger);
    };
    let asking = served.clone();
    let asked = tokio::task::spawn_blocking(move || asking.store.caller(&token.digest())).await;
    match asked {
        Ok(Ok(caller)) => Ok(caller),
        Ok(Err(error)) => {
            served.fault(error);
            Err(StatusCode::INTERNAL_SERVER_ERROR)
        }
        Err(_) => Err(StatusCode::INTERNAL_SERVER_ERROR),
    }
}

fn token(request: &Request<Incoming>) -> Option<Token> {
    let mut fields = request.headers().get_all(header::AUTHORIZATION).iter();
    let field = fields.next()?.to_str().ok()?;
    if fields.next().is_some() {
        return None;
    }
    Token::read(field.strip_prefix("Bearer ")?)
}

/// An answer of nothing but its status.
pub(super) fn bare(status: StatusCode) -> Response<Going> {
    let mut response = Response::new(Going::Whole(None));
    *response.status_mut() = status;
    response
}

/// The same, and the connection is closed, so that nobody who has no business here keeps one.
fn turned_away(status: StatusCode) -> Response<Going> {
    let mut response = bare(status);
    let close = HeaderValue::from_static("close");
    response.headers_mut().insert(header::CONNECTION, close);
    response
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use holebook_core::notebook::{DeviceId, Head, LineHash};

    #[test]
    fn nothing_but_the_shelf_has_a_route() {
        let hash = LineHash::of("x");
        let device = DeviceId::fresh();
        let stretch = Stretch::to(
            &Head {
                device,
                seq: 4,
                hash,
            },
            1,
        );
        let photo = PhotoHash::of(b"x");
        let route = |method: &Method, target: &str| {
            let (path, query) = target
                .split_once('?')
                .map_or((target, None), |(path, query)| (path, Some(query)));
            Route::of(method, path, query)
        };
        assert_eq!(route(&Method::GET, "/shelf"), Some(Route::Survey));
        let lines = format!("/{stretch}?from=3");
        assert_eq!(
            route(&Method::GET, &lines),
            Some(Route::Lines(stretch.clone(), 3))
        );
        assert_eq!(
            route(&Method::PUT, &format!("/{stretch}")),
            Some(Route::LeaveLines(stretch.clone()))
        );
        assert_eq!(
            route(&Method::GET, &format!("/photos/{photo}")),
            Some(Route::Photo(photo))
        );
        for (method, target) in [
            (Method::GET, "/".to_owned()),
            (Method::GET, "/shelf/".to_owned()),
            (Method::GET, "/shelf?x=1".to_owned()),
            (Method::DELETE, format!("/photos/{photo}")),
            (Method::GET, format!("/{stretch}")),
            (Method::GET, format!("/{stretch}?from=x")),
            (Method::GET, "/photos/../notebook.sqlite".to_owned()),
            (Method::GET, "/link.sqlite".to_owned()),
            (Method::GET, "/journal/../notebook.sqlite?from=1".to_owned()),
            (Method::GET, "/done".to_owned()),
        ] {
            assert_eq!(route(&method, &target), None, "{method} {target}");
        }
    }
}
