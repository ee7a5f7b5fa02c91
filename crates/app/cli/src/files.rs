//! Engine files on disk: arguments of the command line, and the loader for what they refer to.

use crate::failure::Failure;
use crate::text::harmless;
use shortblock_document::nearest;
use shortblock_engine::{Build, Doubt, Loaded, Loader, load};
use std::fs::File;
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};

/// The largest engine file or table, bytes; a person types no more.
const LARGEST: u64 = 8 << 20;
/// How far above an engine's file its shop's folder may lie.
const LEVELS_UP: usize = 2;
/// The name of what comes from standard input.
const STDIN: &str = "standard input";

/// A build that was read, and the name it was asked for by.
pub struct Opened {
    /// As typed, or `standard input`.
    pub name: String,
    /// The build.
    pub build: Box<Build>,
}

impl Opened {
    /// What the build is called on curves: its build number, else its engine number, else its name.
    pub fn label(&self) -> String {
        let identity = &self.build.identity;
        let words = [&identity.build, &identity.number, &identity.name];
        let word = words.into_iter().find(|word| !word.is_empty()).unwrap_or(&self.name);
        harmless(word)
    }
}

/// The build a `FILE` argument names.
pub fn open(argument: &str, shop: Option<&Path>) -> Result<Opened, Failure> {
    let (name, loaded) = read(argument, shop)?;
    match loaded.build {
        Ok(build) => Ok(Opened { name, build }),
        Err(faults) => Err(Failure::Faults(name, Box::new(faults))),
    }
}

/// What came of reading the file that a `FILE` argument names, and its name.
pub fn read(argument: &str, shop: Option<&Path>) -> Result<(String, Loaded), Failure> {
    let entry = Entry::find(argument, shop)?;
    let name = entry.name.clone();
    let path = entry.path.clone();
    Ok((name, load(&path, &entry.into_shop())))
}

/// Doubts nobody has silenced.
pub fn open_doubts(doubts: &[Doubt]) -> Vec<&Doubt> {
    doubts.iter().filter(|doubt| doubt.silenced.is_none()).collect()
}

/// `path="value"` of the command line: the shell has taken the quotes.
pub fn setting(text: &str) -> Result<(&str, &str), Failure> {
    let parts = text.split_once('=').map(|(path, value)| (path.trim(), value.trim()));
    parts.filter(|(path, value)| !path.is_empty() && !value.is_empty()).ok_or_else(|| {
        Failure::NotUnderstood(format!(
            "\"{text}\" is no path and value\nhint: write them as path=\"value\", for example \
             exhaust.primary.length=\"810 mm\""
        ))
    })
}

/// A file that was found, with its text and the shop it lies in.
pub struct Entry {
    name: String,
    /// Folder of the shop, without detours.
    root: PathBuf,
    /// Path of the file below it.
    path: String,
    text: String,
}

impl Entry {
    /// The file that an argument of the command line names.
    pub fn find(argument: &str, shop: Option<&Path>) -> Result<Self, Failure> {
        if argument == "-" {
            return Self::from_stdin(shop);
        }
        let file = file_of(argument)?;
        let whole = file.canonicalize().map_err(|error| disk(argument, &error))?;
        let bytes = read_bytes(argument, &whole)?;
        let folder = whole.parent().unwrap_or(Path::new("/"));
        let root = root_of(folder, shop)?;
        let below = whole.strip_prefix(&root).map_err(|_| {
            let shop = root.display();
            Failure::NotFound(format!(
                "{argument} does not lie in the shop {shop}\nhint: leave --shop out, or name the \
                 folder that holds the engine and the shelf"
            ))
        })?;
        Ok(Self {
            name: harmless(argument),
            path: slashes(below),
            text: text_of(argument, bytes)?,
            root,
        })
    }

    fn from_stdin(shop: Option<&Path>) -> Result<Self, Failure> {
        let bytes = limited(STDIN, io::stdin().lock())?;
        let here = Path::new(".").canonicalize().map_err(|error| disk(".", &error))?;
        let root = root_of(&here, shop)?;
        // What it refers to is looked for as if it lay in this folder.
        let below = here.strip_prefix(&root).unwrap_or(Path::new(""));
        Ok(Self {
            name: STDIN.to_owned(),
            path: slashes(&below.join(STDIN)),
            text: text_of(STDIN, bytes)?,
            root,
        })
    }

    /// As typed, or `standard input`.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Path below the shop's folder.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Place on disk.
    pub fn file(&self) -> PathBuf {
        self.root.join(&self.path)
    }

    /// The text of the file.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The shop it lies in, as a loader.
    pub fn into_shop(self) -> Shop {
        Shop { root: self.root, entry: (self.path, self.text) }
    }
}

/// The file of an argument: itself, or with `.toml` behind it.
fn file_of(argument: &str) -> Result<PathBuf, Failure> {
    let path = PathBuf::from(argument);
    let with_ending = PathBuf::from(format!("{}.toml", argument.trim_end_matches('/')));
    if path.is_dir() && !with_ending.is_file() {
        let builds = names_in(&path);
        let hint = match builds.first() {
            Some(first) => {
                let all: Vec<&str> = builds.iter().map(|n| n.trim_end_matches(".toml")).collect();
                let folder = argument.trim_end_matches('/');
                let first = first.trim_end_matches(".toml");
                format!(
                    "name one of its builds, such as {folder}/{first}; there is {}",
                    all.join(", ")
                )
            }
            None => "there is no engine file in it".to_owned(),
        };
        return Err(Failure::NotFound(format!("{argument} is a folder\nhint: {hint}")));
    }
    if path.exists() && !path.is_dir() {
        return Ok(path);
    }
    if with_ending.exists() {
        return Ok(with_ending);
    }
    Err(Failure::NotFound(format!("there is no file {argument}{}", near_names(&path))))
}

/// What else is in the folder of a file that is not there.
fn near_names(path: &Path) -> String {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return format!("\nhint: there is no folder {} either", folder.display());
    }
    let wanted = path.file_name().map(|name| name.to_string_lossy().into_owned());
    let mut names = names_in(folder);
    // A link that leads nowhere is listed and yet not there.
    names.retain(|name| Some(name) != wanted.as_ref());
    let close = wanted.and_then(|wanted| {
        let all = names.iter().map(String::as_str);
        nearest(&wanted, all.clone())
            .or_else(|| nearest(&format!("{wanted}.toml"), all))
            .map(str::to_owned)
    });
    match (close, names.is_empty()) {
        (Some(close), _) => {
            let close = folder.join(close);
            let close = close.strip_prefix("./").unwrap_or(&close).display().to_string();
            format!("\nhint: did you mean {close}?")
        }
        (None, true) => format!("\nhint: there is no engine file in {}", folder.display()),
        (None, false) => format!("\nhint: there is {}", names.join(", ")),
    }
}

/// Builds in a folder, sorted; what never changes about the engine is not one.
fn names_in(folder: &Path) -> Vec<String> {
    let mut names = files_in(folder);
    names.retain(|name| name.ends_with(".toml") && name != "engine.toml" && name != "shop.toml");
    names.truncate(12);
    names
}

fn files_in(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).into_iter().flatten();
    let mut names: Vec<String> =
        entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok()).collect();
    names.sort();
    names
}

/// The shop's folder of something that lies on disk.
///
/// # Errors
/// When it is not there, or the shop that is told is none.
pub fn shop_of(path: &Path, told: Option<&Path>) -> Result<PathBuf, Failure> {
    let whole = path.canonicalize().map_err(|error| disk(&path.display().to_string(), &error))?;
    let folder = if whole.is_dir() { whole.as_path() } else { whole.parent().unwrap_or(&whole) };
    root_of(folder, told)
}

/// The shop's folder: as told, else the nearest one from `folder` upwards that has a shelf or a
/// `shop.toml`, else `folder` itself.
fn root_of(folder: &Path, told: Option<&Path>) -> Result<PathBuf, Failure> {
    if let Some(told) = told {
        let whole = told.canonicalize().ok().filter(|path| path.is_dir());
        return whole.ok_or_else(|| {
            let hint = "hint: --shop wants the folder that holds the engines and the shelf";
            Failure::NotFound(format!("there is no folder {}\n{hint}", told.display()))
        });
    }
    let is_shop = |path: &&Path| path.join("shelf").is_dir() || path.join("shop.toml").is_file();
    let found = folder.ancestors().take(LEVELS_UP + 1).find(is_shop);
    Ok(found.unwrap_or(folder).to_owned())
}

fn read_bytes(name: &str, path: &Path) -> Result<Vec<u8>, Failure> {
    let file = File::open(path).map_err(|error| disk(name, &error))?;
    limited(name, file)
}

fn limited(name: &str, from: impl Read) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    from.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|error| disk(name, &error))?;
    if bytes.len() as u64 > LARGEST {
        let most = LARGEST >> 20;
        return Err(Failure::NoEngineFile(format!(
            "{name} is larger than {most} MB, so it is no engine file\nhint: name the .toml file \
             of a build"
        )));
    }
    Ok(bytes)
}

/// The text in `bytes`; letters that are none stay visible for the checker to point at.
fn text_of(name: &str, bytes: Vec<u8>) -> Result<String, Failure> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(Failure::NoEngineFile(format!(
            "{name} is saved as UTF-16\nhint: save it anew as UTF-8, or as plain text"
        )));
    }
    if bytes.contains(&0) {
        return Err(Failure::NoEngineFile(format!(
            "{name} is not a text file, so it is no engine file\nhint: an engine file is TOML text; \
             see the 15 lines in the README"
        )));
    }
    let text = String::from_utf8_lossy(&bytes);
    Ok(text.strip_prefix('\u{feff}').unwrap_or(&text).to_owned())
}

/// A failure of the disk in words.
pub fn disk(name: &str, error: &io::Error) -> Failure {
    match error.kind() {
        io::ErrorKind::NotFound => Failure::NotFound(format!("there is no {name}")),
        io::ErrorKind::PermissionDenied => Failure::Disk(format!(
            "{name} may not be opened: permission denied\nhint: look at who owns it and its mode"
        )),
        _ => Failure::Disk(format!("{name}: {error}")),
    }
}

fn slashes(path: &Path) -> String {
    let parts = path.components().map(|part| part.as_os_str().to_string_lossy());
    parts.collect::<Vec<_>>().join("/")
}

/// The shop's folder as a loader. Nothing outside it is opened.
pub struct Shop {
    root: PathBuf,
    /// Path and text of the file that was asked for: it is read once.
    entry: (String, String),
}

impl Shop {
    /// Puts another text in place of the file that was asked for.
    pub fn replace_entry(&mut self, text: &str) {
        text.clone_into(&mut self.entry.1);
    }

    /// The place of `path` on disk, unless a detour or a link leads out of the shop.
    fn inside(&self, path: &str) -> Option<PathBuf> {
        let relative = Path::new(path);
        let plain = |part: Component| matches!(part, Component::Normal(_) | Component::CurDir);
        if !relative.components().all(plain) {
            return None;
        }
        let whole = self.root.join(relative).canonicalize().ok()?;
        whole.starts_with(&self.root).then_some(whole)
    }
}

impl Loader for Shop {
    fn text(&self, path: &str) -> Option<String> {
        if path == self.entry.0 {
            return Some(self.entry.1.clone());
        }
        let whole = self.inside(path).filter(|whole| whole.is_file())?;
        text_of(path, read_bytes(path, &whole).ok()?).ok()
    }

    fn names(&self, path: &str) -> Vec<String> {
        let folder = if path.is_empty() { Some(self.root.clone()) } else { self.inside(path) };
        folder.map_or(Vec::new(), |folder| files_in(&folder))
    }
}
