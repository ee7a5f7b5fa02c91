//! What cargo says of the packages.

use serde_json::Value;
use std::path::PathBuf;
use std::process::Command;

/// One package of the workspace.
#[derive(Default, Clone)]
pub struct Package {
    pub name: String,
    /// Folder relative to the root, with forward slashes.
    pub folder: String,
    pub dependencies: Vec<Dependency>,
    /// Whether it runs code of its own at build time.
    pub build_script: bool,
}

/// One line of a package's dependencies.
#[derive(Clone)]
pub struct Dependency {
    pub name: String,
    /// Whether tests, examples and benchmarks alone see it.
    pub dev: bool,
}

/// A package that ends up in the program, with its licence expression.
pub struct Linked {
    pub name: String,
    pub version: String,
    pub licence: Option<String>,
}

/// The root of the workspace.
pub fn root() -> Result<PathBuf, String> {
    let told = run("cargo", &["locate-project", "--workspace", "--message-format", "plain"])?;
    let manifest = PathBuf::from(told.trim());
    manifest.parent().map(PathBuf::from).ok_or("the workspace has no folder".to_string())
}

/// The packages of the workspace.
pub fn members() -> Result<Vec<Package>, String> {
    let metadata = metadata(&["--no-deps"])?;
    let root = text(&metadata["workspace_root"]);
    Ok(list(&metadata["packages"]).iter().map(|p| package(p, &root)).collect())
}

/// Every package from outside that cargo resolves for this machine's platform.
pub fn linked() -> Result<Vec<Linked>, String> {
    let compiler = run("rustc", &["-vV"])?;
    let host = compiler.lines().find_map(|l| l.strip_prefix("host: "));
    let host = host.ok_or("rustc -vV names no host")?;
    let metadata = metadata(&["--filter-platform", host])?;
    let outside = list(&metadata["packages"]).iter().filter(|p| !p["source"].is_null());
    Ok(outside
        .map(|p| Linked {
            name: text(&p["name"]),
            version: text(&p["version"]),
            licence: p["license"].as_str().map(str::to_string),
        })
        .collect())
}

fn package(value: &Value, root: &str) -> Package {
    let manifest = text(&value["manifest_path"]).replace('\\', "/");
    let folder = manifest.trim_end_matches("/Cargo.toml").trim_start_matches(root);
    let dependency =
        |d: &Value| Dependency { name: text(&d["name"]), dev: d["kind"].as_str() == Some("dev") };
    let custom_build = |t: &Value| list(&t["kind"]).iter().any(|k| k == "custom-build");
    Package {
        name: text(&value["name"]),
        folder: folder.trim_start_matches('/').to_string(),
        dependencies: list(&value["dependencies"]).iter().map(dependency).collect(),
        build_script: list(&value["targets"]).iter().any(custom_build),
    }
}

fn metadata(extra: &[&str]) -> Result<Value, String> {
    let arguments = [&["metadata", "--offline", "--format-version", "1"], extra].concat();
    serde_json::from_str(&run("cargo", &arguments)?)
        .map_err(|e| format!("cargo metadata gave no JSON: {e}"))
}

fn run(program: &str, arguments: &[&str]) -> Result<String, String> {
    let command = format!("{program} {}", arguments.join(" "));
    let out = Command::new(program)
        .args(arguments)
        .output()
        .map_err(|e| format!("`{command}` did not start: {e}"))?;
    if !out.status.success() {
        return Err(format!("`{command}` failed:\n{}", String::from_utf8_lossy(&out.stderr)));
    }
    Ok(String::from_utf8_lossy(&out.stdout).into_owned())
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_string()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}
