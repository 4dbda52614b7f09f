//! Other programs that transfer the same files.

use std::fs;
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// How long files took to arrive, and how long until they were on disk.
pub type Took = (Duration, Duration);

/// An `rsync` daemon.
pub struct Rsync {
    daemon: Child,
    port: u16,
}

impl Rsync {
    pub fn serve(photos: &Path, scratch: &Path) -> Self {
        let port = free_port();
        let config = scratch.join("rsyncd.conf");
        let text = format!(
            "use chroot = no\nport = {port}\naddress = 127.0.0.1\n[photos]\npath = {}\n",
            photos.display()
        );
        fs::write(&config, text).unwrap();
        let mut command = Command::new("rsync");
        command
            .args(["--daemon", "--no-detach", "--config"])
            .arg(config);
        let daemon = started(&mut command, port);
        Self { daemon, port }
    }

    pub fn fetch(&self, into: &Path) -> Took {
        let from = format!("rsync://127.0.0.1:{}/photos/", self.port);
        let mut command = Command::new("rsync");
        command.args(["-a", "--whole-file", "--exclude=*/", &from]);
        timed(command.arg(into), into)
    }
}

impl Drop for Rsync {
    fn drop(&mut self) {
        self.daemon.kill().unwrap();
        self.daemon.wait().unwrap();
    }
}

/// nginx over TLS; `curl` is the client.
pub struct Nginx {
    server: Child,
    urls: Vec<String>,
    scratch: PathBuf,
}

impl Nginx {
    pub fn serve(photos: &Path, scratch: &Path) -> Self {
        let port = free_port();
        let (key, certificate) = (scratch.join("tls.key"), scratch.join("tls.pem"));
        let mut openssl = Command::new("openssl");
        openssl.args([
            "req",
            "-x509",
            "-nodes",
            "-subj",
            "/CN=localhost",
            "-newkey",
            "ec",
        ]);
        openssl.args(["-pkeyopt", "ec_paramgen_curve:prime256v1", "-keyout"]);
        openssl
            .arg(&key)
            .arg("-out")
            .arg(&certificate)
            .stderr(Stdio::null());
        assert!(openssl.status().unwrap().success());
        let config = scratch.join("nginx.conf");
        let text = format!(
            "daemon off; user root; worker_processes auto; error_log stderr crit; pid {scratch}/nginx.pid;\n\
             events {{}}\nhttp {{ access_log off; sendfile on;\n\
             client_body_temp_path {scratch}/b; proxy_temp_path {scratch}/p; fastcgi_temp_path {scratch}/f;\n\
             uwsgi_temp_path {scratch}/u; scgi_temp_path {scratch}/s;\n\
             server {{ listen 127.0.0.1:{port} ssl; ssl_protocols TLSv1.3; root {photos};\n\
             ssl_certificate {certificate}; ssl_certificate_key {key}; }} }}\n",
            scratch = scratch.display(),
            photos = photos.display(),
            certificate = certificate.display(),
            key = key.display(),
        );
        fs::write(&config, text).unwrap();
        let server = started(Command::new("nginx").arg("-c").arg(&config), port);
        let files = fs::read_dir(photos).unwrap().map(Result::unwrap);
        let files = files.filter(|file| file.file_type().unwrap().is_file());
        let url = |file: fs::DirEntry| {
            let name = file.file_name().into_string().unwrap();
            format!("https://127.0.0.1:{port}/{name}")
        };
        Self {
            server,
            urls: files.map(url).collect(),
            scratch: scratch.to_owned(),
        }
    }

    /// Fetches four at once, as we do.
    pub fn fetch(&self, into: &Path) -> Took {
        fs::create_dir(into).unwrap();
        let config = self.scratch.join("curl.conf");
        let wanted = self
            .urls
            .iter()
            .map(|url| format!("url = {url}\nremote-name\n"));
        fs::write(&config, wanted.collect::<String>()).unwrap();
        let mut command = Command::new("curl");
        command
            .args(["-sS", "-k", "--fail", "-Z", "--parallel-max", "4", "-K"])
            .arg(config);
        timed(command.current_dir(into), into)
    }
}

impl Drop for Nginx {
    fn drop(&mut self) {
        // SIGTERM also ends its workers; SIGKILL would leave them running.
        let pid = self.server.id().to_string();
        Command::new("kill").args(["-TERM", &pid]).status().unwrap();
        self.server.wait().unwrap();
    }
}

fn timed(command: &mut Command, into: &Path) -> Took {
    let since = Instant::now();
    let status = command.status();
    let status = status.unwrap_or_else(|error| panic!("{command:?} cannot be run: {error}"));
    assert!(status.success(), "{command:?} failed");
    let arrived = since.elapsed();
    let sync = Command::new("sync").arg("-f").arg(into).status();
    assert!(sync.unwrap().success());
    (arrived, since.elapsed())
}

fn started(command: &mut Command, port: u16) -> Child {
    let server = command.spawn();
    let mut server = server.unwrap_or_else(|error| panic!("{command:?} cannot be run: {error}"));
    let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    for _ in 0..100 {
        if TcpStream::connect(address).is_ok() {
            return server;
        }
        sleep(Duration::from_millis(50));
    }
    server.kill().unwrap();
    server.wait().unwrap();
    panic!("{command:?} does not listen");
}

fn free_port() -> u16 {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
    listener.local_addr().unwrap().port()
}
