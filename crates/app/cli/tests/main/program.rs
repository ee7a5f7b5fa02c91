//! Running the program.

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

/// What a run left behind.
pub struct Ran {
    pub out: String,
    pub err: String,
    pub code: i32,
}

impl From<Output> for Ran {
    fn from(output: Output) -> Self {
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("output is UTF-8");
        Self {
            out: text(&output.stdout),
            err: text(&output.stderr),
            code: output.status.code().expect("ended by itself"),
        }
    }
}

/// The program in the repository's root, so that demo files go by the names of the README.
pub fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_shortblock"));
    command.args(arguments).current_dir(root()).env_remove("NO_COLOR").stdin(Stdio::null());
    command
}

pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../..")
}

pub fn run(arguments: &[&str]) -> Ran {
    command(arguments).output().expect("the program starts").into()
}

/// Runs with a text on standard input.
pub fn run_on(text: &str, arguments: &[&str]) -> Ran {
    use std::io::Write;
    let mut command = command(arguments);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("the program starts");
    let written = child.stdin.take().expect("is piped").write_all(text.as_bytes());
    // A program that refuses its arguments ends before it reads.
    let refused = |e: &std::io::Error| e.kind() == std::io::ErrorKind::BrokenPipe;
    assert!(written.as_ref().err().is_none_or(refused), "{written:?}");
    child.wait_with_output().expect("the program ends").into()
}

/// An empty folder of this test's own, gone afterwards.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("shortblock-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a folder for the test");
        Self(path)
    }

    pub fn with(self, name: &str, text: impl AsRef<[u8]>) -> Self {
        let path = self.0.join(name);
        fs::create_dir_all(path.parent().expect("has a folder")).expect("a folder for the test");
        fs::write(path, text).expect("a file for the test");
        self
    }

    pub fn path(&self, name: &str) -> String {
        self.0.join(name).to_string_lossy().into_owned()
    }

    pub fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(&self.0).expect("the folder is there");
        let mut names: Vec<String> = entries
            .map(|e| e.expect("an entry").file_name().into_string().expect("UTF-8"))
            .collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The 15 lines of the demo's smallest engine.
pub fn smallest() -> String {
    fs::read_to_string(root().join("demo/201/b1.toml")).expect("the demo is there")
}
