//! Apache's WebDAV with a password, over HTTP and over TLS with a certificate authority of our own.

use super::s3::write_keys;
use super::server_process::{ServerProcess, folder, serve};
use super::test_notebook::Server;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use holebook_sync::bucket::Address;
use holebook_test_support::lan::unused_port;
use rcgen::{BasicConstraints, CertificateParams, CertifiedIssuer, IsCa, KeyPair};
use std::ffi::OsStr;
use std::fs;
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

/// The program's path on Debian.
pub const PROGRAM: &str = "/usr/sbin/apache2";
const MODULES: &str = "/usr/lib/apache2/modules";
/// The password in Apache's format: its SHA-1.
const LOGIN: &str = "bench:{SHA}pWQ8js9y6yShJ7gLm8+hIcSSgwM=";
pub const PASSWORD: &str = "sesame street";

/// The server.
pub struct Apache {
    process: ServerProcess,
    plain: u16,
    tls: u16,
}

/// The one server of all tests.
pub fn apache() -> &'static Apache {
    static APACHE: OnceLock<Apache> = OnceLock::new();
    APACHE.get_or_init(Apache::start)
}

impl Apache {
    fn start() -> Self {
        let folder = folder();
        let at = folder.as_path();
        for name in ["", "files", "files/remotes", "files/plain", "locks"] {
            fs::create_dir_all(at.join(name)).unwrap();
            // Started as root, the server runs as another user.
            fs::set_permissions(at.join(name), fs::Permissions::from_mode(0o777)).unwrap();
        }
        let (plain, tls) = (unused_port(), unused_port());
        certify(at);
        fs::write(at.join("passwords"), LOGIN).unwrap();
        fs::write(at.join("conf"), conf(at, plain, tls)).unwrap();
        write_keys(
            &at.join("keys.toml"),
            &format!("user = 'bench'\npassword = '{PASSWORD}'\n"),
        );
        let (conf, flags) = (at.join("conf"), ["-X", "-f"].map(OsStr::new));
        let args = [&flags[..], &[conf.as_os_str()]].concat();
        let process = serve(&folder, Path::new(PROGRAM), &args);
        let server = Self {
            process,
            plain,
            tls,
        };
        server.wait();
        server
    }

    fn wait(&self) {
        let since = Instant::now();
        while TcpStream::connect(self.at()).is_err() {
            let log = fs::read_to_string(self.process.folder.join("log")).unwrap_or_default();
            assert!(
                since.elapsed() < Duration::from_secs(120),
                "apache2 does not answer: {log}"
            );
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// The address of a remote over TLS.
    pub fn secure(&self, remote: &str) -> String {
        format!("https://localhost:{}/remotes/{remote}", self.tls)
    }

    /// The certificate of the authority that signed the server's.
    pub fn authority(&self) -> PathBuf {
        self.process.folder.join("authority.pem")
    }

    /// Where the files of a remote are.
    pub fn path(&self, remote: &str) -> PathBuf {
        self.process.folder.join("files/remotes").join(remote)
    }
}

impl Server for Apache {
    fn address(&self, remote: &str, at: SocketAddr) -> Address {
        Address::parse(&format!("http://{at}/remotes/{remote}"), None).unwrap()
    }

    fn at(&self) -> SocketAddr {
        (Ipv4Addr::LOCALHOST, self.plain).into()
    }

    fn keys(&self) -> PathBuf {
        self.process.folder.join("keys.toml")
    }

    fn put(&self, remote: &str, name: &str, bytes: &[u8]) {
        let file = self.path(remote).join(name);
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, bytes).unwrap();
        fs::set_permissions(&file, fs::Permissions::from_mode(0o666)).unwrap();
    }

    fn files(&self, remote: &str) -> Vec<(String, u64)> {
        let mut files = Vec::new();
        walk(&self.path(remote), "", &mut files);
        files.sort();
        files
    }
}

fn walk(dir: &Path, before: &str, files: &mut Vec<(String, u64)>) {
    // Before the first sync there are none.
    for entry in fs::read_dir(dir).into_iter().flatten() {
        let entry = entry.unwrap();
        let name = format!("{before}{}", entry.file_name().to_string_lossy());
        let meta = entry.metadata().unwrap();
        match meta.is_dir() {
            true => walk(&entry.path(), &format!("{name}/"), files),
            false => files.push((name, meta.len())),
        }
    }
}

/// Creates a certificate authority, and the server's certificate.
fn certify(at: &Path) {
    let mut params = CertificateParams::new(Vec::<String>::new()).unwrap();
    params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    let authority = CertifiedIssuer::self_signed(params, KeyPair::generate().unwrap()).unwrap();
    let key = KeyPair::generate().unwrap();
    let server = CertificateParams::new(vec!["localhost".to_owned()]).unwrap();
    let server = server.signed_by(&key, &authority).unwrap();
    fs::write(
        at.join("authority.pem"),
        pem("CERTIFICATE", authority.der()),
    )
    .unwrap();
    fs::write(at.join("server.pem"), pem("CERTIFICATE", server.der())).unwrap();
    fs::write(
        at.join("server.key"),
        pem("PRIVATE KEY", &key.serialize_der()),
    )
    .unwrap();
}

/// Bytes in the format of RFC 7468.
fn pem(what: &str, bytes: &[u8]) -> String {
    let text = STANDARD.encode(bytes);
    let lines: Vec<_> = text
        .as_bytes()
        .chunks(64)
        .map(|line| String::from_utf8_lossy(line))
        .collect();
    format!(
        "-----BEGIN {what}-----\n{}\n-----END {what}-----\n",
        lines.join("\n")
    )
}

fn conf(at: &Path, plain: u16, tls: u16) -> String {
    let at = at.display();
    let modules = [
        "mpm_event",
        "authn_core",
        "authn_file",
        "authz_core",
        "authz_user",
        "auth_basic",
        "dav",
        "dav_fs",
        "dav_lock",
        "ssl",
        "socache_shmcb",
    ];
    let modules: String = modules
        .iter()
        .map(|name| format!("LoadModule {name}_module {MODULES}/mod_{name}.so\n"))
        .collect();
    format!(
        "{modules}\
         ServerRoot {at}\nServerName localhost\nPidFile {at}/pid\nErrorLog {at}/log\nMutex file:{at}/locks\n\
         User www-data\nGroup www-data\n\
         Listen 127.0.0.1:{plain}\nListen 127.0.0.1:{tls}\n\
         DocumentRoot {at}/files\nDavLockDB {at}/locks/db\n\
         <Directory {at}/files/remotes>\n\
         Dav On\nAuthType Basic\nAuthName remote\nAuthUserFile {at}/passwords\nRequire valid-user\n\
         </Directory>\n\
         <VirtualHost 127.0.0.1:{tls}>\n\
         SSLEngine on\nSSLCertificateFile {at}/server.pem\nSSLCertificateKeyFile {at}/server.key\n\
         </VirtualHost>\n"
    )
}
