//! Which house, and which texts: `--house`, then `WASHLINE_HOUSE`, then the platform's data folder.

use std::io::Read;
use std::path::{Path, PathBuf};

use etcetera::BaseStrategy;
use washline_core::spec::Source;
use washline_core::store::{Access, House};

use crate::clock;
use crate::error::CliError;
use crate::plain::plain;

/// The file of the house: the one named (by option or environment), else the platform's place for data.
pub fn path(named: Option<&Path>) -> Result<PathBuf, CliError> {
    if let Some(path) = named {
        return Ok(path.to_owned());
    }
    // Set to nothing is as good as not set.
    if let Some(path) = std::env::var_os("WASHLINE_HOUSE").filter(|p| !p.is_empty()) {
        return Ok(path.into());
    }
    let base = etcetera::choose_base_strategy().map_err(|e| {
        CliError::usage(format!("no place for the house: {e}"))
            .hint("name one with --house FILE or WASHLINE_HOUSE")
    })?;
    Ok(base.data_dir().join("washline").join("house.db"))
}

/// Open the house to read; it must exist.
pub fn to_read(named: Option<&Path>) -> Result<House, CliError> {
    Ok(House::open(&path(named)?, Access::Read)?.0)
}

/// The house to read, where there is one.
pub fn if_any(named: Option<&Path>) -> Result<Option<House>, CliError> {
    match path(named)?.exists() {
        true => to_read(named).map(Some),
        false => Ok(None),
    }
}

/// Open the house to write, and say so where that makes a new file.
pub fn to_write(named: Option<&Path>, notes: &mut String) -> Result<House, CliError> {
    let (mut house, created) = House::open(&path(named)?, Access::Write)?;
    house.at(clock::now());
    if created {
        notes.push_str(&format!(
            "a new house in {}\n",
            plain(&house.path().display().to_string())
        ));
    }
    if let Some(sort) = network_drive(house.path()) {
        notes.push_str(&format!(
            "{} lies on a network drive ({sort}): written from two machines it can be destroyed; keep the house on one machine, and backups there\n",
            plain(&house.path().display().to_string())
        ));
    }
    Ok(house)
}

/// The sort of network drive that a file lies on, where the system tells: Linux does.
fn network_drive(path: &Path) -> Option<String> {
    let mounted = std::fs::read_to_string("/proc/self/mounts").ok()?;
    network_drive_of(&mounted, &std::path::absolute(path).ok()?)
}

/// The same by a table of what is mounted where.
fn network_drive_of(mounted: &str, path: &Path) -> Option<String> {
    /// File systems that lie on another machine: write-ahead needs memory that all writers share.
    const NETWORK: [&str; 10] = [
        "nfs",
        "nfs4",
        "cifs",
        "smb3",
        "smbfs",
        "afs",
        "ceph",
        "glusterfs",
        "fuse.sshfs",
        "fuse.glusterfs",
    ];
    let (_, sort) = mounted
        .lines()
        .filter_map(|line| {
            let mut fields = line.split(' ').skip(1);
            let (at, sort) = (fields.next()?.replace("\\040", " "), fields.next()?);
            path.starts_with(&at).then(|| (at.len(), sort.to_owned()))
        })
        .max_by_key(|(length, _)| *length)?;
    NETWORK.contains(&sort.as_str()).then_some(sort)
}

/// Read texts from files; `-` is standard input.
pub fn texts(files: &[PathBuf]) -> Result<Vec<Source>, CliError> {
    bytes(files)?
        .into_iter()
        .map(|(name, bytes)| {
            Source::decode(name, bytes).map_err(|e| {
                CliError::input(e.to_string())
                    .hint("save the file as UTF-8 (many editors: \"Save with encoding\")")
            })
        })
        .collect()
}

/// The largest file that is read, bytes: some 30,000 drinks.
const LARGEST: u64 = 10_000_000;

/// All of it, or a byte more than is read: what has no end is not waited for.
fn bounded(from: impl Read) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(LARGEST + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// What is said of a file that cannot be read. Of a name without an ending, `tidy "platform fog"`, it may be a drink that is
/// meant.
pub fn unreadable(file: &Path, name: &str, why: &std::io::Error) -> CliError {
    let error = CliError::input(format!("{name} cannot be read: {why}"));
    match why.kind() {
        std::io::ErrorKind::NotFound if file.extension().is_none() => error.hint(format!(
            "a file is expected here; a drink of the house is `washline show \"{name}\"`"
        )),
        _ => error,
    }
}

/// Standard input can be read once.
pub fn named_twice() -> CliError {
    CliError::usage("standard input is named twice")
}

/// Read files as they are, each with the name it goes by; `-` is standard input.
pub fn bytes(files: &[PathBuf]) -> Result<Vec<(String, Vec<u8>)>, CliError> {
    let mut seen_stdin = false;
    files
        .iter()
        .map(|file| {
            let (name, bytes) = if file.as_os_str() == "-" {
                if std::mem::replace(&mut seen_stdin, true) {
                    return Err(named_twice());
                }
                ("<standard input>".to_owned(), bounded(std::io::stdin().lock()))
            } else {
                (
                    file.display().to_string(),
                    std::fs::File::open(file).and_then(bounded),
                )
            };
            let bytes = bytes.map_err(|e| unreadable(file, &name, &e))?;
            if bytes.len() as u64 > LARGEST {
                return Err(CliError::input(format!(
                    "{name} is larger than {LARGEST} bytes, the most that is read"
                ))
                .hint("a list of that size is several: cut it at its headings"));
            }
            Ok((name, bytes))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_network_drive_is_told_by_what_is_mounted() {
        let mounted = "/dev/sda1 / ext4 rw 0 0\nbar:/lists /mnt/our\\040lists nfs4 rw 0 0\n/dev/sdb /mnt/our\\040lists/usb vfat rw 0 0\n";
        let of = |path: &str| network_drive_of(mounted, Path::new(path));
        assert_eq!(of("/home/h.db"), None);
        assert_eq!(of("/mnt/our lists/h.db").as_deref(), Some("nfs4"));
        assert_eq!(of("/mnt/our lists/usb/h.db"), None);
        assert_eq!(of("/mnt/our listings/h.db"), None);
    }
}
