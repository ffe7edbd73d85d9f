//! The bench page, served for a test, and requests as a browser or anybody else sends them.

#![allow(dead_code)]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::Value;

/// A page that is served; the program is ended with it.
pub struct Served {
    child: Child,
    pub port: u16,
    pub secret: String,
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|_| panic!("{}", self.body))
    }
}

impl Served {
    /// Opens something of a folder; the address is kept in the folder too.
    pub fn open(folder: &Path, arguments: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_freereed"))
            .current_dir(folder)
            .env("XDG_STATE_HOME", folder.join("state"))
            .arg("open")
            .args(arguments)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let (port, secret) = line.trim().trim_end_matches('/').rsplit_once('/').expect("an address");
        let port = port.rsplit_once(':').unwrap().1.parse().unwrap();
        Self { child, port, secret: secret.to_owned() }
    }

    pub fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// A request as it is written here, with nothing added.
    pub fn raw(&self, request: &[u8]) -> Answer {
        let mut stream = TcpStream::connect(self.host()).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        // A refusal may come before all is sent.
        let _ = stream.write_all(request);
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        let status = head.split(' ').nth(1).and_then(|code| code.parse().ok()).unwrap_or(0);
        Answer { status, head: head.to_lowercase(), body: body.to_owned() }
    }

    pub fn request(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &str) -> Answer {
        let headers: String = headers.iter().map(|(name, value)| format!("{name}: {value}\r\n")).collect();
        let length = body.len();
        let text =
            format!("{method} {path} HTTP/1.1\r\n{headers}content-length: {length}\r\nconnection: close\r\n\r\n{body}");
        self.raw(text.as_bytes())
    }

    /// As the page itself asks.
    pub fn get(&self, path: &str) -> Answer {
        self.request("GET", &format!("/{}/{path}", self.secret), &[("host", &self.host())], "")
    }

    /// As the page itself sends.
    pub fn post(&self, path: &str, body: &Value) -> Answer {
        self.post_text(path, &body.to_string())
    }

    pub fn post_text(&self, path: &str, body: &str) -> Answer {
        let (host, origin) = (self.host(), format!("http://{}", self.host()));
        let headers = [("host", host.as_str()), ("origin", origin.as_str()), ("content-type", "application/json")];
        self.request("POST", &format!("/{}/{path}", self.secret), &headers, body)
    }

    /// Bytes that are no text, as the page itself sends them.
    pub fn post_bytes(&self, path: &str, body: &[u8]) -> Answer {
        let (host, length) = (self.host(), body.len());
        let head = format!(
            "POST /{}/{path} HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\ncontent-length: {length}\r\n\
             content-type: application/octet-stream\r\nconnection: close\r\n\r\n",
            self.secret
        );
        self.raw(&[head.as_bytes(), body].concat())
    }

    /// Whether it still answers.
    pub fn is_up(&self) -> bool {
        self.get("state").status == 200
    }

    /// Memory of the program (kB), where the system tells it.
    pub fn memory_kb(&self) -> Option<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).ok()?;
        let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
        line.split_whitespace().nth(1)?.parse().ok()
    }

    /// Interrupts it as Ctrl-C does and gives how it ended.
    #[cfg(unix)]
    pub fn interrupt(mut self) -> Option<i32> {
        let killed = Command::new("kill").args(["-INT", &self.child.id().to_string()]).status();
        assert!(killed.unwrap().success());
        self.child.wait().unwrap().code()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
