//! The requests that a paired device may make.

use crate::wire::{DONE, FROM, JOURNAL, PHOTOS};
use holebook_core::photo::PhotoHash;
use holebook_core::sync::Segment;
use hyper::Method;

/// A request that a paired device may make.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Route {
    Listing,
    PullLines(Segment, u64),
    PushLines(Segment),
    PullPhoto(PhotoHash),
    PushPhoto(PhotoHash),
    Finish,
}

impl Route {
    /// Returns the request with this method and address; `None` if there is no such one.
    pub fn parse(method: &Method, path: &str, query: Option<&str>) -> Option<Self> {
        match (method, path, query) {
            (&Method::GET, JOURNAL, None) => return Some(Self::Listing),
            (&Method::POST, DONE, None) => return Some(Self::Finish),
            _ => {}
        }
        let item = path.strip_prefix('/')?;
        if let Some(hash) = item.strip_prefix(PHOTOS) {
            let hash = hash.parse().ok()?;
            return match (method, query) {
                (&Method::GET, None) => Some(Self::PullPhoto(hash)),
                (&Method::PUT, None) => Some(Self::PushPhoto(hash)),
                _ => None,
            };
        }
        let segment = item.parse().ok()?;
        match (method, query) {
            (&Method::PUT, None) => Some(Self::PushLines(segment)),
            (&Method::GET, Some(query)) => {
                let from = query.strip_prefix(FROM)?.strip_prefix('=')?;
                Some(Self::PullLines(segment, from.parse().ok()?))
            }
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use holebook_core::notebook::{DeviceId, Head, LineHash};

    #[test]
    fn only_sync_requests_have_a_route() {
        let hash = LineHash::of("x");
        let device = DeviceId::fresh();
        let segment = Segment::ending_at(
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
            Route::parse(method, path, query)
        };
        assert_eq!(route(&Method::GET, "/journal"), Some(Route::Listing));
        let lines = format!("/{segment}?from=3");
        assert_eq!(
            route(&Method::GET, &lines),
            Some(Route::PullLines(segment.clone(), 3))
        );
        assert_eq!(
            route(&Method::PUT, &format!("/{segment}")),
            Some(Route::PushLines(segment.clone()))
        );
        assert_eq!(
            route(&Method::GET, &format!("/photos/{photo}")),
            Some(Route::PullPhoto(photo))
        );
        for (method, target) in [
            (Method::GET, "/".to_owned()),
            (Method::GET, "/journal/".to_owned()),
            (Method::GET, "/journal?x=1".to_owned()),
            (Method::DELETE, format!("/photos/{photo}")),
            (Method::GET, format!("/{segment}")),
            (Method::GET, format!("/{segment}?from=x")),
            (Method::GET, "/photos/../notebook.sqlite".to_owned()),
            (Method::GET, "/link.sqlite".to_owned()),
            (Method::GET, "/journal/../notebook.sqlite?from=1".to_owned()),
            (Method::GET, "/done".to_owned()),
        ] {
            assert_eq!(route(&method, &target), None, "{method} {target}");
        }
    }
}
