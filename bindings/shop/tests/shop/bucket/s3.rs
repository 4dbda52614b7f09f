//! A store that verifies signatures, in a process of its own (tests/bucket/serve_s3.py).

use super::server_process::{ServerProcess, folder, serve};
use super::test_notebook::Server;
use holebook_sync::bucket::Address;
use serde_json::Value;
use std::io::{BufRead as _, BufReader};
use std::net::{Ipv4Addr, SocketAddr};
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// The bucket that exists from the start.
pub const BUCKET: &str = "parts";

/// The store.
pub struct Store {
    process: ServerProcess,
    port: u16,
}

/// The one store of all tests.
pub fn store() -> &'static Store {
    static STORE: OnceLock<Store> = OnceLock::new();
    STORE.get_or_init(Store::start)
}

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Runs a line of Python with the store's own client as `s3`; returns what it prints.
pub fn python() -> PathBuf {
    top().join("target/venv/bucket/bin/python")
}

impl Store {
    fn start() -> Self {
        let script = top().join("tests/bucket/serve_s3.py");
        let mut process = serve(&folder(), &python(), &[script.as_os_str()]);
        let mut line = String::new();
        BufReader::new(process.child.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let started: Value = serde_json::from_str(&line).expect("the store prints where it is");
        let text = format!("key = {}\nsecret = {}\n", started["key"], started["secret"]);
        write_keys(&process.folder.join("keys.toml"), &text);
        Self {
            process,
            port: started["port"].as_u64().unwrap().try_into().unwrap(),
        }
    }

    pub fn endpoint(&self) -> String {
        format!("http://{}", self.at())
    }

    /// Runs a line of Python with the store's own client at hand as `s3`, and gives what it prints.
    fn python(&self, line: &str, args: &[&str]) -> String {
        let keys: toml::Table = std::fs::read_to_string(self.keys())
            .unwrap()
            .parse()
            .unwrap();
        let script = format!(
            "import sys, boto3\ns3 = boto3.client('s3', endpoint_url='{}', region_name='us-east-1', aws_access_key_id='{}', aws_secret_access_key='{}')\n{line}",
            self.endpoint(),
            keys["key"].as_str().unwrap(),
            keys["secret"].as_str().unwrap(),
        );
        let done = Command::new(python())
            .args(["-c", &script])
            .args(args)
            .output()
            .unwrap();
        assert!(
            done.status.success(),
            "{}",
            String::from_utf8_lossy(&done.stderr)
        );
        String::from_utf8(done.stdout).unwrap()
    }

    /// Adds this many empty objects to a folder of the remote.
    pub fn crowd(&self, prefix: &str, objects: usize) {
        let line = "for n in range(int(sys.argv[2])): s3.put_object(Bucket='parts', Key=f'{sys.argv[1]}{n:05}', Body=b'')";
        self.python(line, &[prefix, &objects.to_string()]);
    }
}

impl Server for Store {
    fn address(&self, remote: &str, at: SocketAddr) -> Address {
        Address::parse(
            &format!("s3://{BUCKET}/{remote}"),
            Some(&format!("http://{at}")),
        )
        .unwrap()
    }

    fn at(&self) -> SocketAddr {
        (Ipv4Addr::LOCALHOST, self.port).into()
    }

    fn keys(&self) -> PathBuf {
        self.process.folder.join("keys.toml")
    }

    fn put(&self, remote: &str, name: &str, bytes: &[u8]) {
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), bytes).unwrap();
        let line =
            "s3.put_object(Bucket='parts', Key=sys.argv[1], Body=open(sys.argv[2], 'rb').read())";
        self.python(
            line,
            &[&format!("{remote}/{name}"), file.path().to_str().unwrap()],
        );
    }

    fn files(&self, remote: &str) -> Vec<(String, u64)> {
        let line = "for page in s3.get_paginator('list_objects_v2').paginate(Bucket='parts', Prefix=sys.argv[1]):\n for o in page.get('Contents', []): print(o['Key'], o['Size'])";
        let prefix = format!("{remote}/");
        let listed = self.python(line, &[&prefix]);
        let lines = listed.lines().map(|line| {
            line.strip_prefix(&prefix)
                .unwrap()
                .rsplit_once(' ')
                .unwrap()
        });
        lines
            .map(|(name, bytes)| (name.to_owned(), bytes.parse().unwrap()))
            .collect()
    }
}

/// Writes a keys file that only its owner can read.
pub fn write_keys(file: &Path, text: &str) {
    std::fs::write(file, text).unwrap();
    std::fs::set_permissions(file, std::fs::Permissions::from_mode(0o600)).unwrap();
}
