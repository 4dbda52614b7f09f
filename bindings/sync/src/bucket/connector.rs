//! Name lookup and connecting that end when the sync is canceled.

use crate::interrupt::Interrupt;
use std::io;
use ureq::Error;
use ureq::config::Config;
use ureq::http::Uri;
use ureq::unversioned::resolver::{DefaultResolver, ResolvedSocketAddrs, Resolver};
use ureq::unversioned::transport::{ConnectionDetails, Connector, NextTimeout, TcpConnector};

/// Looks names up like the HTTP client's own resolver.
#[derive(Debug)]
pub struct InterruptibleResolver(pub Interrupt);

impl Resolver for InterruptibleResolver {
    fn resolve(
        &self,
        uri: &Uri,
        config: &Config,
        timeout: NextTimeout,
    ) -> Result<ResolvedSocketAddrs, Error> {
        let (uri, config) = (uri.clone(), config.clone());
        let resolve = move || DefaultResolver::default().resolve(&uri, &config, timeout);
        self.0
            .unless_set(resolve)
            .unwrap_or_else(|| Err(interrupted()))
    }
}

/// Connects like the HTTP client's own connector.
#[derive(Debug)]
pub struct InterruptibleConnector(pub Interrupt);

impl Connector for InterruptibleConnector {
    type Out = <TcpConnector as Connector>::Out;

    fn connect(
        &self,
        details: &ConnectionDetails<'_>,
        chained: Option<()>,
    ) -> Result<Option<Self::Out>, Error> {
        let (uri, config) = (details.uri.clone(), details.config.clone());
        let (addrs, request_level) = (details.addrs.clone(), details.request_level);
        let (now, timeout) = (details.now, details.timeout);
        let current_time = details.current_time.clone();
        let run_connector = details.run_connector.clone();
        let register_shutdown = details.register_shutdown.clone();
        let connect = move || {
            let details = ConnectionDetails {
                uri: &uri,
                addrs,
                config: &config,
                request_level,
                resolver: &DefaultResolver::default(),
                now,
                timeout,
                current_time,
                run_connector,
                register_shutdown,
            };
            TcpConnector::default().connect(&details, chained)
        };
        self.0
            .unless_set(connect)
            .unwrap_or_else(|| Err(interrupted()))
    }
}

fn interrupted() -> Error {
    Error::Io(io::ErrorKind::Interrupted.into())
}
