//! A pretended server: it answers as a test says.

use holebook_tests::heads::{field, head};
use std::io::{self, BufReader, Read as _, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::thread;

/// A server that remembers what it was asked.
pub struct Pretended {
    pub at: SocketAddr,
    asked: Arc<Mutex<Vec<String>>>,
}

type Answering = dyn Fn(&str, &mut dyn Write) -> io::Result<()> + Send + Sync;

impl Pretended {
    /// `answering` is given the head of a request, and where to write the answer to.
    pub fn start(
        answering: impl Fn(&str, &mut dyn Write) -> io::Result<()> + Send + Sync + 'static,
    ) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let at = listener.local_addr().unwrap();
        let asked = Arc::new(Mutex::new(Vec::new()));
        let (answering, noting): (Arc<Answering>, _) = (Arc::new(answering), asked.clone());
        thread::spawn(move || {
            for stream in listener.incoming() {
                let (answering, noting) = (answering.clone(), noting.clone());
                thread::spawn(move || drop(serve(stream.unwrap(), &*answering, &noting)));
            }
        });
        Self { at, asked }
    }

    /// One that gives the same answer to all.
    pub fn saying(answer: impl Into<Vec<u8>>) -> Self {
        let answer = answer.into();
        Self::start(move |_, out| out.write_all(&answer))
    }

    /// The first lines of what it was asked.
    pub fn asked(&self) -> Vec<String> {
        self.asked.lock().unwrap().clone()
    }
}

/// An answer with a body.
pub fn answer(status: &str, body: &str) -> String {
    format!(
        "HTTP/1.1 {status}\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    )
}

fn serve(stream: TcpStream, answering: &Answering, noting: &Mutex<Vec<String>>) -> io::Result<()> {
    let mut from = BufReader::new(stream.try_clone()?);
    let mut out = stream;
    loop {
        let head = head(&mut from)?;
        let length = field(&head, "content-length").and_then(|length| length.parse().ok());
        if head.contains("100-continue") {
            out.write_all(b"HTTP/1.1 100 Continue\r\n\r\n")?;
        }
        io::copy(
            &mut from.by_ref().take(length.unwrap_or(0)),
            &mut io::sink(),
        )?;
        noting
            .lock()
            .unwrap()
            .push(head.lines().next().unwrap_or_default().to_owned());
        answering(&head, &mut out)?;
        out.flush()?;
    }
}
