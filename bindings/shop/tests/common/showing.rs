//! The program at work showing its screens.

use super::http::{Answer, send};
use super::program;
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;
use std::process::{Child, Command, ExitStatus, Stdio};

/// A run of `holebook open` or `holebook demo`; it ends with the test.
pub struct Showing {
    child: Child,
    /// What it said up to the address.
    pub said: String,
    /// The port in the address.
    pub port: u16,
    /// The key in the address.
    pub key: String,
}

impl Showing {
    /// Starts the program and reads what it says up to the address.
    pub fn start(home: &Path, words: &[&str]) -> Self {
        Self::start_with(home, words, &[])
    }

    /// The same, with more in the program's environment.
    pub fn start_with(home: &Path, words: &[&str], environment: &[(&str, &str)]) -> Self {
        let mut command = program(home);
        command.args(words).envs(environment.iter().copied());
        Self::of(command)
    }

    /// The same of a command that is ready to run.
    pub fn of(mut command: Command) -> Self {
        let child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut showing = Self {
            child,
            said: String::new(),
            port: 0,
            key: String::new(),
        };
        showing.read_address();
        showing
    }

    /// Reads on to the line with the address.
    fn read_address(&mut self) {
        let mut out = BufReader::new(self.child.stdout.take().expect("its output is open"));
        let mut line = String::new();
        while out.read_line(&mut line).is_ok_and(|read| read > 0) {
            self.said += &line;
            if let Some((port, key)) = address_in(&line) {
                (self.port, self.key) = (port, key);
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
        panic!("no address was said: {}{err}", self.said);
    }

    /// The cookie that the key is given.
    pub fn cookie(&self) -> String {
        send(self.port, "GET", &format!("/?key={}", self.key), &[], b"").cookie()
    }

    /// Looks at a page as the person's browser does.
    pub fn get(&self, target: &str) -> Answer {
        send(self.port, "GET", target, &[("Cookie", &self.cookie())], b"")
    }

    /// Sends a form as the person's browser does.
    pub fn post(&self, target: &str, form: &str) -> Answer {
        let origin = format!("http://127.0.0.1:{}", self.port);
        let fields = [
            ("Cookie", self.cookie()),
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

    /// Asks the program to stop, as Ctrl-C does, and waits.
    pub fn stop(mut self) -> ExitStatus {
        let id = self.child.id().to_string();
        let asked = std::process::Command::new("kill")
            .args(["-INT", &id])
            .status();
        assert!(asked.expect("kill runs").success());
        self.child.wait().expect("the program ends")
    }
}

impl Drop for Showing {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn address_in(line: &str) -> Option<(u16, String)> {
    let (_, rest) = line.split_once("http://127.0.0.1:")?;
    let (port, rest) = rest.split_once("/?key=")?;
    let key = rest.chars().take_while(char::is_ascii_hexdigit).collect();
    Some((port.parse().ok()?, key))
}
