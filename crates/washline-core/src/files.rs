//! The one way in which files are written: whole, or as they were.
//!
//! A file is made beside the place where it is to stand, brought to the disk with its folder, and only then given its
//! name. So a crash, a full disk or a kill leaves the old file or the new one, never half of either. Several files
//! are all made before the first has its name; where one of them cannot have it, those before it are taken back.
//! (A kill in the moment between two names leaves whole files, some old and some new: no file system renames two
//! files at once.) What is being read, and any database, is never written over.

use std::collections::HashSet;
use std::ffi::OsString;
use std::fs::{self, File, OpenOptions, Permissions};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Component, Path, PathBuf};

use tempfile::{NamedTempFile, TempPath};

/// Makes the content of a file, at a path that is not yet its own.
type Making<'a> = Box<dyn FnOnce(&Path) -> io::Result<()> + 'a>;

/// What is to stand in a file.
pub enum Content<'a> {
    /// These bytes.
    Bytes(&'a [u8]),
    /// What is made by a call, which is given the path to make it at: an empty file that is there.
    Made(Making<'a>),
}

impl std::fmt::Debug for Content<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Content::Bytes(bytes) => write!(f, "{} bytes", bytes.len()),
            Content::Made(_) => f.write_str("what is made there"),
        }
    }
}

/// A file to be written.
#[derive(Debug)]
pub struct NewFile<'a> {
    /// Where it is to stand. Through a symbolic link the file it points at is written, and the link stays.
    pub path: &'a Path,
    /// What is to stand in it.
    pub content: Content<'a>,
    /// Whether a file that is there may be written over. Its mode and owner stay.
    pub replace: bool,
}

/// Why nothing was written. Every file is as it was.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WriteError {
    /// A file is there, and is not to be written over.
    #[error("{} is there already; it was left as it is", .0.display())]
    Exists(PathBuf),
    /// It is a folder.
    #[error("{} is a folder; it was left as it is", .0.display())]
    Folder(PathBuf),
    /// It is what is being read, or a database.
    #[error("{} is {what}; it was left as it is", path.display())]
    Guarded {
        /// The file.
        path: PathBuf,
        /// What it is.
        what: &'static str,
    },
    /// The file may not be written.
    #[error("{} is read-only; it was left as it is", .0.display())]
    ReadOnly(PathBuf),
    /// Two of the files would have one name.
    #[error("two files would be written to {}; nothing was written", .0.display())]
    Twice(PathBuf),
    /// The disk is full.
    #[error("the disk is full; {} was left as it is", .0.display())]
    Full(PathBuf),
    /// Anything else that the system says.
    #[error("{} cannot be written: {error}; it was left as it is", path.display())]
    Failed {
        /// The file.
        path: PathBuf,
        /// What the system says.
        #[source]
        error: io::Error,
    },
}

impl WriteError {
    fn at(path: &Path, error: io::Error) -> WriteError {
        let path = path.to_owned();
        match error.kind() {
            ErrorKind::AlreadyExists => WriteError::Exists(path),
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => WriteError::Full(path),
            ErrorKind::IsADirectory => WriteError::Folder(path),
            _ => WriteError::Failed { path, error },
        }
    }
}

/// Write files: all of them, or none. None of them is written over one of `guarded` (what is being read, under whatever
/// name), nor over a database, whatever is said of replacing. Folders that are missing are made, and taken away again
/// where nothing is written.
///
/// # Errors
/// When a file is there and is not to be replaced, is guarded, or cannot be written. Nothing is changed then.
pub fn write(files: Vec<NewFile<'_>>, guarded: &[PathBuf]) -> Result<(), WriteError> {
    let mut places = Vec::new();
    let mut taken = HashSet::new();
    for file in &files {
        let place = looked_at(file, guarded)?;
        if !matches!(place, Destination::Stream) && !taken.insert(place.path().to_owned()) {
            return Err(WriteError::Twice(file.path.to_owned()));
        }
        places.push(place);
    }
    let mut made_folders = Folders::default();
    let mut ready = Vec::new();
    for (file, place) in files.into_iter().zip(places) {
        let path = file.path.to_owned();
        let fail = |e| WriteError::at(&path, e);
        match place {
            Destination::Stream => stream(&path, file.content).map_err(fail)?,
            Destination::File { real, old } => {
                made_folders.make(folder_of(&real)).map_err(fail)?;
                let beside = made(&real, old.as_ref(), file.content).map_err(fail)?;
                ready.push(Ready {
                    path,
                    real,
                    old: old.is_some(),
                    beside,
                });
            }
        }
    }
    named(ready)?;
    made_folders.keep();
    Ok(())
}

/// A file made beside its place.
struct Ready {
    /// As the caller calls it.
    path: PathBuf,
    real: PathBuf,
    old: bool,
    beside: TempPath,
}

/// Give every file its name, or take back what was named.
fn named(ready: Vec<Ready>) -> Result<(), WriteError> {
    let single = ready.len() == 1;
    let mut undo = Undo::default();
    let mut folders = HashSet::new();
    for Ready {
        path,
        real,
        old,
        beside,
    } in ready
    {
        let fail = |e| WriteError::at(&path, e);
        if old {
            // Only where something after it can still fail is the old one needed again.
            if !single {
                undo.kept.push((kept_beside(&real).map_err(fail)?, real.clone()));
            }
            beside.persist(&real).map_err(|e| fail(e.error))?;
        } else {
            beside.persist_noclobber(&real).map_err(|e| fail(e.error))?;
            undo.new.push(real.clone());
        }
        folders.insert(folder_of(&real).to_owned());
    }
    for folder in folders {
        sync_folder(&folder).map_err(|e| WriteError::at(&folder, e))?;
    }
    undo.forget();
    Ok(())
}

/// What has to be taken back unless everything is well.
#[derive(Default)]
struct Undo {
    /// Old files, kept beside, with their names.
    kept: Vec<(TempPath, PathBuf)>,
    new: Vec<PathBuf>,
}

impl Undo {
    fn forget(mut self) {
        self.kept.clear();
        self.new.clear();
    }
}

impl Drop for Undo {
    fn drop(&mut self) {
        for path in self.new.drain(..) {
            let _ = fs::remove_file(path);
        }
        for (old, path) in self.kept.drain(..) {
            let second = old.to_path_buf();
            let _ = old.persist(path);
            // Where the file was never replaced, both names are one file, and renaming leaves both.
            let _ = fs::remove_file(second);
        }
    }
}

/// The old file once more, beside itself: as a second name of it where the file system has that, else as a copy.
fn kept_beside(real: &Path) -> io::Result<TempPath> {
    let place = beside(real)?.into_temp_path();
    fs::remove_file(&place)?;
    if fs::hard_link(real, &place).is_err() {
        fs::copy(real, &place)?;
    }
    Ok(place)
}

/// Folders made on the way, innermost last; taken away again where they turn out not to be needed.
#[derive(Default)]
struct Folders(Vec<PathBuf>);

impl Folders {
    fn make(&mut self, folder: &Path) -> io::Result<()> {
        let missing: Vec<PathBuf> = folder
            .ancestors()
            .take_while(|f| !f.as_os_str().is_empty() && !f.exists())
            .map(Path::to_owned)
            .collect();
        for folder in missing.into_iter().rev() {
            fs::create_dir(&folder)?;
            self.0.push(folder);
        }
        Ok(())
    }

    fn keep(mut self) {
        for folder in self.0.drain(..) {
            // Its own name has to reach the disk too.
            let _ = sync_folder(folder_of(&folder));
        }
    }
}

impl Drop for Folders {
    fn drop(&mut self) {
        for folder in self.0.iter().rev() {
            let _ = fs::remove_dir(folder);
        }
    }
}

/// Where a file really goes.
enum Destination {
    /// A device or a pipe, which has no content to lose.
    Stream,
    /// A file, with the permissions and owner of the one that is there.
    File {
        real: PathBuf,
        old: Option<fs::Metadata>,
    },
}

impl Destination {
    fn path(&self) -> &Path {
        match self {
            Destination::Stream => Path::new(""),
            Destination::File { real, .. } => real,
        }
    }
}

/// Everything that can be told before anything is written.
fn looked_at(file: &NewFile<'_>, guarded: &[PathBuf]) -> Result<Destination, WriteError> {
    let path = file.path;
    if fs::metadata(path).is_ok_and(|m| !m.is_file() && !m.is_dir()) {
        return Ok(Destination::Stream);
    }
    let real = real_path(path).map_err(|e| WriteError::at(path, e))?;
    let old = match fs::metadata(&real) {
        Ok(old) => old,
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(Destination::File { real, old: None }),
        Err(e) => return Err(WriteError::at(path, e)),
    };
    if old.is_dir() {
        return Err(WriteError::Folder(path.to_owned()));
    }
    if !file.replace {
        return Err(WriteError::Exists(path.to_owned()));
    }
    let guard = |what| {
        Err(WriteError::Guarded {
            path: path.to_owned(),
            what,
        })
    };
    if guarded.iter().any(|other| is_same(&real, &old, other)) {
        return guard("what is being read");
    }
    if is_database(&real) {
        return guard("a database");
    }
    if old.permissions().readonly() {
        return Err(WriteError::ReadOnly(path.to_owned()));
    }
    Ok(Destination::File { real, old: Some(old) })
}

/// The path behind every link, whether or not there is a file yet.
fn real_path(path: &Path) -> io::Result<PathBuf> {
    let mut path = path.to_owned();
    // As many links as the system itself would follow.
    for _ in 0..40 {
        match fs::read_link(&path) {
            Ok(target) => path = folder_of(&path).join(target),
            Err(_) => {
                let name: OsString = match path.components().next_back() {
                    Some(Component::Normal(name)) => name.to_owned(),
                    _ => return path.canonicalize(),
                };
                return Ok(match folder_of(&path).canonicalize() {
                    Ok(folder) => folder.join(name),
                    // The folder is still to be made.
                    Err(_) => std::path::absolute(&path)?,
                });
            }
        }
    }
    Err(io::Error::other("too many symbolic links"))
}

/// The folder of a file; `.` of a name by itself.
fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Whether two paths are one file, also by a second name of it.
fn is_same(real: &Path, metadata: &fs::Metadata, other: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let _ = real;
        fs::metadata(other).is_ok_and(|o| (o.dev(), o.ino()) == (metadata.dev(), metadata.ino()))
    }
    #[cfg(not(unix))]
    {
        let _ = metadata;
        other.canonicalize().is_ok_and(|o| o == real)
    }
}

/// What every SQLite database begins with.
const DATABASE: &[u8; 16] = b"SQLite format 3\0";

fn is_database(path: &Path) -> bool {
    let mut head = [0; 16];
    File::open(path).is_ok_and(|mut file| file.read_exact(&mut head).is_ok() && head == *DATABASE)
}

/// An empty file beside a place, with a name of its own that says whose it is; gone when it is dropped.
fn beside(real: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    let name = real.file_name().unwrap_or_default().to_string_lossy();
    let mut prefix = String::from(".");
    // A name has room for 255 bytes.
    prefix.extend(name.chars().take(40));
    prefix.push('.');
    builder.prefix(&prefix).suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any new file has it, less what the caller's umask takes away.
        builder.permissions(Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder_of(real))
}

/// The content of a file, on the disk, under a name beside its place.
fn made(real: &Path, old: Option<&fs::Metadata>, content: Content<'_>) -> io::Result<TempPath> {
    let mut file = beside(real)?;
    match content {
        Content::Bytes(bytes) => file.write_all(bytes)?,
        Content::Made(make) => make(file.path())?,
    }
    if let Some(old) = old {
        like(file.path(), old)?;
    }
    file.as_file().sync_all()?;
    Ok(file.into_temp_path())
}

/// Give a file the owner and the mode of the one it stands in the place of.
fn like(path: &Path, old: &fs::Metadata) -> io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let new = fs::metadata(path)?;
        if (new.uid(), new.gid()) != (old.uid(), old.gid()) {
            // Who may not give a file away keeps it: what stands in it matters more.
            let _ = std::os::unix::fs::chown(path, Some(old.uid()), Some(old.gid()));
        }
    }
    fs::set_permissions(path, old.permissions())
}

fn stream(path: &Path, content: Content<'_>) -> io::Result<()> {
    match content {
        Content::Bytes(bytes) => OpenOptions::new().write(true).open(path)?.write_all(bytes),
        Content::Made(_) => Err(io::Error::other("it is no file")),
    }
}

/// Bring the names in a folder to the disk; a system without that does it by itself.
fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) {
        match File::open(folder)?.sync_all() {
            // Some file systems cannot, and say so.
            Err(e) if matches!(e.kind(), ErrorKind::InvalidInput | ErrorKind::Unsupported) => Ok(()),
            done => done,
        }
    } else {
        Ok(())
    }
}

/// File names for titles, one each in the same order: what no file system minds, never one name twice (`A/B` and
/// `A-B` are two), at most 120 bytes and the ending.
#[must_use]
pub fn names(titles: &[&str], ending: &str) -> Vec<String> {
    let stems: Vec<String> = titles.iter().map(|t| stem(t)).collect();
    let mut taken: HashSet<String> = HashSet::new();
    stems
        .iter()
        .map(|stem| {
            let mut name = stem.clone();
            let mut n = 2;
            // A number that another title brings along by itself is left to it.
            while taken.contains(&name) || (n > 2 && stems.contains(&name)) {
                name = format!("{stem}-{n}");
                n += 1;
            }
            taken.insert(name.clone());
            format!("{name}.{ending}")
        })
        .collect()
}

/// A folded title with a hyphen for whatever is neither letter nor digit.
fn stem(title: &str) -> String {
    let mut stem = String::new();
    for word in crate::names::key(title).split(|c: char| !c.is_alphanumeric()) {
        if word.is_empty() {
            continue;
        }
        if !stem.is_empty() {
            stem.push('-');
        }
        for c in word.chars() {
            if stem.len() + c.len_utf8() > 110 {
                return stem;
            }
            stem.push(c);
        }
    }
    if stem.is_empty() { "book".to_owned() } else { stem }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_apart() {
        assert_eq!(
            names(&["A/B", "A-B", "a b"], "md"),
            ["a-b.md", "a-b-2.md", "a-b-3.md"]
        );
        assert_eq!(
            names(&["A/B", "A-B", "A B 2"], "md"),
            ["a-b.md", "a-b-3.md", "a-b-2.md"]
        );
        assert_eq!(names(&["", "/"], "csv"), ["book.csv", "book-2.csv"]);
        let long = "ä".repeat(300);
        let both = names(&[&long, &long], "md");
        assert!(both[0] != both[1] && both.iter().all(|n| n.len() <= 124));
    }

    /// What is made is taken back where a later file cannot be named: a folder stands in its place by then.
    #[test]
    fn what_was_named_is_taken_back() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at("a"), "old").unwrap();
        let (a, b, c) = (at("a"), at("b"), at("c"));
        let files = vec![
            NewFile {
                path: &a,
                content: Content::Bytes(b"new"),
                replace: true,
            },
            NewFile {
                path: &b,
                content: Content::Bytes(b"new"),
                replace: false,
            },
            NewFile {
                path: &c,
                content: Content::Made(Box::new(|_| fs::create_dir(&c))),
                replace: false,
            },
        ];
        write(files, &[]).unwrap_err();
        assert_eq!(fs::read(&a).unwrap(), b"old");
        let mut left: Vec<_> = fs::read_dir(folder.path())
            .unwrap()
            .map(|e| e.unwrap().file_name())
            .collect();
        left.sort();
        assert_eq!(left, ["a", "c"]);
    }

    #[test]
    fn folders_are_made_and_taken_away_again() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("x/y/z");
        let file = |content| {
            vec![NewFile {
                path: &path,
                content,
                replace: false,
            }]
        };
        let failing = Content::Made(Box::new(|_| Err(io::Error::other("no"))));
        write(file(failing), &[]).unwrap_err();
        assert!(!folder.path().join("x").exists());
        write(file(Content::Bytes(b"z")), &[]).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"z");
        assert!(matches!(
            write(file(Content::Bytes(b"z")), &[]),
            Err(WriteError::Exists(_))
        ));
    }
}
