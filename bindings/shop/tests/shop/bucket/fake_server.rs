//! A fake server that responds as a test says.

use holebook_test_support::http_head::{field, read_head};
use std::io::{self, BufReader, Read as _, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::thread;

/// A server that records its requests.
pub struct FakeServer {
    pub at: SocketAddr,
    requests: Arc<Mutex<Vec<String>>>,
}

type Handler = dyn Fn(&str, &mut dyn Write) -> io::Result<()> + Send + Sync;

impl FakeServer {
    /// `handler` gets the head of a request and the writer for the response.
    pub fn start(
        handler: impl Fn(&str, &mut dyn Write) -> io::Result<()> + Send + Sync + 'static,
    ) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let at = listener.local_addr().unwrap();
        let requests = Arc::new(Mutex::new(Vec::new()));
        let (handler, seen): (Arc<Handler>, _) = (Arc::new(handler), requests.clone());
        thread::spawn(move || {
            for stream in listener.incoming() {
                let (handler, seen) = (handler.clone(), seen.clone());
                thread::spawn(move || drop(serve(stream.unwrap(), &*handler, &seen)));
            }
        });
        Self { at, requests }
    }

    /// A server that sends the same response to every request.
    pub fn with_response(answer: impl Into<Vec<u8>>) -> Self {
        let answer = answer.into();
        Self::start(move |_, out| out.write_all(&answer))
    }

    /// The first lines of its requests.
    pub fn requests(&self) -> Vec<String> {
        self.requests.lock().unwrap().clone()
    }
}

/// A response with a body.
pub fn response(status: &str, body: &str) -> String {
    format!(
        "HTTP/1.1 {status}\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    )
}

fn serve(stream: TcpStream, handler: &Handler, requests: &Mutex<Vec<String>>) -> io::Result<()> {
    let mut from = BufReader::new(stream.try_clone()?);
    let mut out = stream;
    loop {
        let head = read_head(&mut from)?;
        let length = field(&head, "content-length").and_then(|length| length.parse().ok());
        if head.contains("100-continue") {
            out.write_all(b"HTTP/1.1 100 Continue\r\n\r\n")?;
        }
        io::copy(
            &mut from.by_ref().take(length.unwrap_or(0)),
            &mut io::sink(),
        )?;
        requests
            .lock()
            .unwrap()
            .push(head.lines().next().unwrap_or_default().to_owned());
        handler(&head, &mut out)?;
        out.flush()?;
    }
}
