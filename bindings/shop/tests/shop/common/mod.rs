//! Runs the program as a person or a script would.

#[cfg(unix)]
pub mod pairing_process;
#[cfg(unix)]
pub mod served_screens;

use serde_json::Value;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// The program.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_holebook");

/// The program with an empty home, so that no notebook of this computer is touched.
pub fn program(home: &Path) -> Command {
    with_home(Command::new(PROGRAM), home)
}

/// A command that runs the program in the end, with this home.
pub fn with_home(mut command: Command, home: &Path) -> Command {
    command
        .env("HOME", home)
        .env("XDG_DATA_HOME", home)
        .env("APPDATA", home)
        .env("LOCALAPPDATA", home);
    command.stdin(Stdio::null());
    command
}

/// Runs the program.
pub fn run(home: &Path, args: &[&str]) -> Output {
    program(home)
        .args(args)
        .output()
        .expect("the program starts")
}

/// Runs the program with `input` as its standard input.
pub fn run_with_input(home: &Path, args: &[&str], input: &str) -> Output {
    let mut command = program(home);
    command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let mut child = command.args(args).spawn().expect("the program starts");
    let mut stdin = child.stdin.take().expect("its input is open");
    stdin.write_all(input.as_bytes()).expect("it takes input");
    drop(stdin);
    child.wait_with_output().expect("the program ends")
}

/// The standard output of a program that succeeded and printed no error.
pub fn stdout(output: &Output) -> String {
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{err}");
    assert_eq!(err, "");
    out
}

/// The same text in one line: where it is wrapped depends on the length of a folder's path.
pub fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The JSON value that a program printed that succeeded.
pub fn json(output: &Output) -> Value {
    serde_json::from_str(&stdout(output)).expect("standard output is one JSON value")
}

/// The one sentence of a program that failed and printed nothing else.
pub fn error_sentence(output: &Output) -> String {
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(1), "{out}{err}");
    assert_eq!(out, "");
    let sentence = err
        .strip_prefix("holebook: ")
        .expect("the error begins with the program's name");
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
    let mut actual: Vec<_> = value
        .as_object()
        .expect("an object")
        .keys()
        .map(String::as_str)
        .collect();
    let mut expected = keys.to_vec();
    actual.sort_unstable();
    expected.sort_unstable();
    assert_eq!(actual, expected);
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("the output is UTF-8")
}
