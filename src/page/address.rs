//! Where the page is served: a port of the loopback and a secret that no other program knows.

use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Bytes of the secret.
const SECRET_BYTES: usize = 16;

/// The address of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Address {
    pub(super) port: u16,
    pub(super) secret: String,
}

/// A secret that was never used before.
///
/// # Errors
/// The system gives no random numbers.
pub(super) fn new_secret() -> io::Result<String> {
    let mut bytes = [0_u8; SECRET_BYTES];
    getrandom::fill(&mut bytes).map_err(|why| io::Error::other(why.to_string()))?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

impl Address {
    /// What is to be opened.
    pub(super) fn url(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.secret)
    }

    /// The one that was kept for what is opened, by its name.
    pub(super) fn kept(folder: &Path, name: &str) -> Option<Self> {
        let text = fs::read_to_string(file(folder, name)).ok()?;
        let (port, secret) = text.trim().split_once(' ')?;
        let is_secret = secret.len() == 2 * SECRET_BYTES && secret.bytes().all(|byte| byte.is_ascii_hexdigit());
        is_secret.then(|| Some(Self { port: port.parse().ok()?, secret: secret.to_owned() }))?
    }

    /// Keeps it for the next time, readable for the user alone.
    ///
    /// # Errors
    /// The file cannot be written.
    pub(super) fn keep(&self, folder: &Path, name: &str) -> io::Result<()> {
        fs::create_dir_all(folder)?;
        // A temporary file is the user's alone from its first byte.
        let mut kept = tempfile::NamedTempFile::new_in(folder)?;
        writeln!(kept, "{} {}", self.port, self.secret)?;
        kept.persist(file(folder, name)).map(|_| ()).map_err(|error| error.error)
    }
}

fn file(folder: &Path, name: &str) -> PathBuf {
    let mut hasher = DefaultHasher::new();
    name.hash(&mut hasher);
    folder.join(format!("page-{:016x}", hasher.finish()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_kept_for_its_job_alone() {
        let folder = tempfile::tempdir().unwrap();
        let address = Address { port: 4123, secret: new_secret().unwrap() };
        address.keep(folder.path(), "one").unwrap();
        assert_eq!(Address::kept(folder.path(), "one"), Some(address.clone()));
        assert_eq!(Address::kept(folder.path(), "other"), None);
        assert_ne!(new_secret().unwrap(), address.secret);
    }

    #[test]
    fn what_is_no_address_is_not_taken() {
        let folder = tempfile::tempdir().unwrap();
        for text in ["", "80", "80 short", "x 00112233445566778899aabbccddeeff", "80 ../../223344556677889900aabbccdd"]
        {
            fs::write(file(folder.path(), "one"), text).unwrap();
            assert_eq!(Address::kept(folder.path(), "one"), None, "{text}");
        }
    }
}
