//! A running `holebook pair`, which shows a code and waits for a device.

use super::program;
use serde_json::Value;
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};

/// A running `holebook pair`.
pub struct PairingProcess {
    child: Child,
    /// What it printed: the code.
    pub code: Value,
}

impl PairingProcess {
    /// Starts it for a notebook, on any port, and reads its code.
    pub fn start(home: &Path, notebook: &Path) -> Self {
        let args = ["pair", "--port", "0", "--json", "--notebook"];
        let mut command = program(home);
        command.args(args).arg(notebook);
        Self::of(command)
    }

    /// The same for a command that is ready to run.
    pub fn of(mut command: Command) -> Self {
        let mut child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut out = BufReader::new(child.stdout.take().expect("its output is open"));
        let (mut printed, mut line) = (String::new(), String::new());
        while out.read_line(&mut line).is_ok_and(|read| read > 0) {
            printed += &line;
            line.clear();
            if let Ok(code) = serde_json::from_str(&printed) {
                return Self { child, code };
            }
        }
        let _ = child.wait();
        let mut err = String::new();
        let _ = child
            .stderr
            .take()
            .map(|mut stderr| stderr.read_to_string(&mut err));
        panic!("no code was printed: {printed}{err}");
    }

    /// What a person types: the address and the digits.
    pub fn typed(&self) -> Vec<&str> {
        let text = |key: &str| self.code[key].as_str().expect("the code is complete");
        [text("address")]
            .into_iter()
            .chain(text("code").split(' '))
            .collect()
    }

    /// The code's link.
    pub fn link(&self) -> &str {
        self.code["link"].as_str().expect("the code has a link")
    }

    /// Stops it as Ctrl-C does.
    pub fn interrupt(&self) {
        let asked = std::process::Command::new("kill")
            .args(["-INT", &self.child.id().to_string()])
            .status();
        assert!(asked.expect("kill runs").success());
    }

    /// Waits until it ends.
    pub fn wait(self) -> Output {
        self.child.wait_with_output().expect("the program ends")
    }
}
