//! Runs the program as a person or a script would.

#![allow(dead_code)]

pub mod http;
pub mod pairing;
pub mod showing;

use serde_json::Value;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// The program.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_holebook");

/// The program, with an empty home so that no notebook of this computer is touched.
pub fn program(home: &Path) -> Command {
    at_home(Command::new(PROGRAM), home)
}

/// A command that runs the program in its end, with an empty home.
pub fn at_home(mut command: Command, home: &Path) -> Command {
    command
        .env("HOME", home)
        .env("XDG_DATA_HOME", home)
        .env("APPDATA", home)
        .env("LOCALAPPDATA", home);
    command.stdin(Stdio::null());
    command
}

/// Runs the program to its end.
pub fn run(home: &Path, words: &[&str]) -> Output {
    program(home)
        .args(words)
        .output()
        .expect("the program starts")
}

/// Runs the program to its end with `input` on its standard input.
pub fn run_with_input(home: &Path, words: &[&str], input: &str) -> Output {
    let mut command = program(home);
    command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let mut child = command.args(words).spawn().expect("the program starts");
    let mut stdin = child.stdin.take().expect("its input is open");
    stdin.write_all(input.as_bytes()).expect("it takes input");
    drop(stdin);
    child.wait_with_output().expect("the program ends")
}

/// What the program said, done as asked.
pub fn said(output: &Output) -> String {
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{err}");
    assert_eq!(err, "");
    out
}

/// The same words in one line: where lines are broken hangs on how long the path of a folder is.
pub fn unbroken(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The one JSON value that the program printed, done as asked.
pub fn json(output: &Output) -> Value {
    serde_json::from_str(&said(output)).expect("standard output is one JSON value")
}

/// The one sentence of a command not done as asked; nothing stands on standard output.
pub fn sentence(output: &Output) -> String {
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(1), "{out}{err}");
    assert_eq!(out, "");
    let sentence = err
        .strip_prefix("holebook: ")
        .expect("the program says who speaks");
    let sentence = sentence.strip_suffix('\n').expect("the line ends");
    assert!(
        !sentence.contains('\n'),
        "one sentence, not several lines: {sentence}"
    );
    assert!(!sentence.contains("panicked"), "{sentence}");
    sentence.to_owned()
}

/// Asserts that an object has exactly these keys.
pub fn has_keys(value: &Value, keys: &[&str]) {
    let mut held: Vec<_> = value
        .as_object()
        .expect("an object")
        .keys()
        .map(String::as_str)
        .collect();
    let mut wanted = keys.to_vec();
    held.sort_unstable();
    wanted.sort_unstable();
    assert_eq!(held, wanted);
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("the program speaks UTF-8")
}
