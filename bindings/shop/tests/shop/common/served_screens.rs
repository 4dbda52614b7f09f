//! A running program that serves its screens.

use super::program;
use holebook_test_support::http_client::{HttpResponse, send};
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};

/// A running `holebook open` or `holebook demo`. It is killed when this is dropped.
pub struct ServedScreens {
    child: Child,
    /// What it printed, up to the address.
    pub printed: String,
    /// The host and port in the address.
    pub host: String,
    /// The port in the address.
    pub port: u16,
    /// The key in the address.
    pub key: String,
}

impl ServedScreens {
    /// Starts the program, and reads its output up to the address.
    pub fn start(home: &Path, args: &[&str]) -> Self {
        Self::start_with(home, args, &[])
    }

    /// The same, with more environment variables.
    pub fn start_with(home: &Path, args: &[&str], environment: &[(&str, &str)]) -> Self {
        let mut command = program(home);
        command.args(args).envs(environment.iter().copied());
        Self::of(command)
    }

    /// The same for a command that is ready to run.
    pub fn of(mut command: Command) -> Self {
        let child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut screens = Self {
            child,
            printed: String::new(),
            host: String::new(),
            port: 0,
            key: String::new(),
        };
        screens.read_address();
        screens
    }

    /// Reads up to the line with the address.
    fn read_address(&mut self) {
        let mut out = BufReader::new(self.child.stdout.take().expect("its output is open"));
        let mut line = String::new();
        while out.read_line(&mut line).is_ok_and(|read| read > 0) {
            self.printed += &line;
            if let Some((host, port, key)) = address_in(&line) {
                (self.host, self.port, self.key) = (host, port, key);
                return;
            }
            line.clear();
        }
        let mut err = String::new();
        let _ = self
            .child
            .stderr
            .take()
            .map(|mut stderr| stderr.read_to_string(&mut err));
        panic!("no address was printed: {}{err}", self.printed);
    }

    /// The cookie that the server sets for the key.
    pub fn cookie(&self) -> String {
        self.get_without_cookie(&format!("/?key={}", self.key))
            .cookie()
    }

    /// Requests a page as the person's browser does.
    pub fn get(&self, target: &str) -> HttpResponse {
        let fields = [("Cookie", &*self.cookie()), ("Host", &self.host)];
        send(self.port, "GET", target, &fields, b"")
    }

    /// Requests a page as a browser does that has no cookie.
    pub fn get_without_cookie(&self, target: &str) -> HttpResponse {
        send(self.port, "GET", target, &[("Host", &self.host)], b"")
    }

    /// Sends a form as the person's browser does.
    pub fn post(&self, target: &str, form: &str) -> HttpResponse {
        let origin = format!("http://{}", self.host);
        let fields = [
            ("Cookie", self.cookie()),
            ("Host", self.host.clone()),
            ("Origin", origin),
            (
                "Content-Type",
                "application/x-www-form-urlencoded".to_owned(),
            ),
        ];
        let fields: Vec<_> = fields
            .iter()
            .map(|(name, value)| (*name, value.as_str()))
            .collect();
        send(self.port, "POST", target, &fields, form.as_bytes())
    }

    /// Stops the program as Ctrl-C does, and waits.
    pub fn stop(mut self) -> ExitStatus {
        let id = self.child.id().to_string();
        let asked = std::process::Command::new("kill")
            .args(["-INT", &id])
            .status();
        assert!(asked.expect("kill runs").success());
        self.child.wait().expect("the program ends")
    }
}

impl Drop for ServedScreens {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn address_in(line: &str) -> Option<(String, u16, String)> {
    let (_, rest) = line.split_once("http://")?;
    let (host, rest) = rest.split_once("/?key=")?;
    let (_, port) = host.rsplit_once(':')?;
    let key = rest.chars().take_while(char::is_ascii_hexdigit).collect();
    Some((host.to_owned(), port.parse().ok()?, key))
}
